"""Making, thinning, strengthening, and setting a wrong mix right."""

from __future__ import annotations

from dataclasses import dataclass

from lacwright.figures import Num, Refusal, central
from lacwright.figures.spoken import trimmed
from lacwright.figures.units import G_PER_L_PER_CUT
from lacwright.solution.alcohol import NOT_STATED, Alcohol
from lacwright.solution.mix import Mix
from lacwright.solution.num import every, not_below_zero, some
from lacwright.solution.recipe import Recipe
from lacwright.solution.resin import Resin

# A jar that is already at the wished cut must not be refused for the last digit of a float.
DUST = 1e-9


@dataclass(frozen=True, eq=False)
class Change:
    """A mix before and after something was added.

    Parameters
    ----------
    before, after : Mix
        The mix that was there, and what it becomes.
    add_resin_g : float or array
        Flakes to add [g].
    add_alcohol_ml, add_alcohol_g : float or array
        Alcohol to add [ml], [g].
    """

    before: Mix
    after: Mix
    add_resin_g: Num = 0.0
    add_alcohol_ml: Num = 0.0
    add_alcohol_g: Num = 0.0


def make(
    *, cut_lb_per_gal: Num, resin: Resin | None = None, alcohol: Alcohol = NOT_STATED,
    solution_ml: Num | None = None, alcohol_ml: Num | None = None, resin_g: Num | None = None,
    dye_share: Num = 0.0, temp_c: float = 20.0,
) -> Mix:  # fmt: skip
    """Return the mix of a cut that makes a volume, or uses up alcohol or flakes.

    Parameters
    ----------
    cut_lb_per_gal : float or array
        Pounds of flakes per US gallon of alcohol.
    resin : Resin, optional
        The flakes.
    alcohol : Alcohol
        The alcohol.
    solution_ml, alcohol_ml, resin_g : float or array
        Exactly one of them: finished mix [ml], alcohol [ml], flakes [g].
    dye_share : float or array
        Liquid dye concentrate, ml per ml of alcohol [1].
    temp_c : float
        Temperature of the volumes [C].

    Raises
    ------
    Refusal
        For an amount or a cut of zero or less.

    References
    ----------
    Federal Specification TT-S-300A (1977), footnote 1: cut is pounds of resin to one gallon of
    solvent, not of mix.

    Examples
    --------
    27 CFR 21.80: 300 lb of shellac to 100 gal of alcohol.

    >>> mix = make(cut_lb_per_gal=3.0, alcohol_ml=378541.1784)
    >>> round(mix.total_resin_g / 453.59237, 6)
    300.0
    """
    recipe = Recipe(cut_lb_per_gal, {resin or Resin(): 1.0}, {alcohol: 1.0}, dye_share, temp_c)
    return recipe.make(solution_ml, alcohol_ml=alcohol_ml, resin_g=resin_g)


def dissolve(
    *, resin_g: Num, resin: Resin | None = None, alcohol: Alcohol = NOT_STATED,
    alcohol_ml: Num | None = None, solution_ml: Num | None = None, temp_c: float = 20.0,
) -> Mix:  # fmt: skip
    """Return the mix of so much flakes in so much alcohol, or made up to so much mix.

    Parameters
    ----------
    resin_g : float or array
        Flakes [g].
    resin, alcohol
        What they are.
    alcohol_ml, solution_ml : float or array
        Exactly one: alcohol [ml], or volume of the finished mix [ml].
    temp_c : float
        Temperature of the volumes [C].

    Raises
    ------
    Refusal
        If the flakes alone fill the volume.
    """
    flakes = Mix({resin or Resin(): resin_g}, {}, temp_c=temp_c)
    if (alcohol_ml is None) == (solution_ml is None):
        raise TypeError("give exactly one of alcohol_ml and solution_ml")
    if solution_ml is not None:
        alcohol_ml = solution_ml - flakes.resin_ml
    assert alcohol_ml is not None
    if not every(alcohol_ml > 0):
        raise Refusal("--solution", "the flakes leave no room for alcohol",
                      "check the weight and the volume, and their units")  # fmt: skip
    return flakes.with_alcohol(alcohol, ml=alcohol_ml)


def thin(
    *, mix: Mix, alcohol: Alcohol = NOT_STATED, to_cut: Num | None = None,
    to_solids: Num | None = None,
) -> Change:  # fmt: skip
    """Return the change that thins a mix to a cut, or to a share of solids by weight.

    Parameters
    ----------
    mix : Mix
        What is there.
    alcohol : Alcohol
        What it is thinned with.
    to_cut : float or array
        Wished cut [lb/gal]; or
    to_solids : float or array
        wished dry resin by weight of the mix [1].

    Raises
    ------
    Refusal
        If the mix is thinner than that already.
    """
    if (to_cut is None) == (to_solids is None):
        raise TypeError("give exactly one of to_cut and to_solids")
    if to_cut is not None:
        if not every(to_cut > 0):
            raise Refusal("--to", "a cut of zero is alcohol", "write e.g. 1.5")
        ml = 1000.0 * mix.total_resin_g / (to_cut * G_PER_L_PER_CUT) - mix.alcohol_ml
        now, goal = f"{central(mix.cut_lb_per_gal):.3g}-lb", "--to"
    else:
        assert to_solids is not None
        if not (every(to_solids > 0) and every(to_solids < 1)):
            raise Refusal("--to-solids", "a share of solids lies between 0 and 1",
                          "write e.g. 0.05 or 5 %")  # fmt: skip
        g = mix.dry_resin_g / to_solids - mix.solution_g
        ml = g / alcohol.density_g_ml(mix.temp_c)
        now, goal = f"{central(mix.solids_mass_fraction):.1%} solids by weight", "--to-solids"
    if some(ml < -DUST * mix.solution_ml):
        raise Refusal(goal, f"the mix is {now}, alcohol cannot make it stronger",
                      "use strengthen, or ask for less")  # fmt: skip
    ml = not_below_zero(ml)
    return _add_alcohol(mix, alcohol, ml)


def strengthen(*, mix: Mix, to_cut: Num, resin: Resin | None = None) -> Change:
    """Return the change that brings a mix up to a cut with more flakes.

    Parameters
    ----------
    mix : Mix
        What is there.
    to_cut : float or array
        Wished cut [lb/gal].
    resin : Resin, optional
        The flakes; the same as in the mix where it holds one kind only.

    Raises
    ------
    Refusal
        If the mix is stronger than that already.
    """
    if not every(to_cut > 0):
        raise Refusal("--to", "a cut of zero is alcohol", "write e.g. 1.5")
    grams = to_cut * G_PER_L_PER_CUT * mix.alcohol_ml / 1000.0 - mix.total_resin_g
    if some(grams < -DUST * mix.solution_ml):
        raise Refusal("--to", f"the mix is {central(mix.cut_lb_per_gal):.3g}-lb, flakes cannot "
                      "make it thinner", "use thin, or ask for more")  # fmt: skip
    grams = not_below_zero(grams)
    if resin is None:
        kinds = tuple(mix.resin_g)
        resin = kinds[0] if len(kinds) == 1 else next((k for k in kinds if k == Resin()), Resin())
    return Change(mix, mix.with_resin(resin, grams), add_resin_g=grams)


def adjust(*, mix: Mix, to_cut: float, alcohol: Alcohol, resin: Resin | None = None) -> Change:
    """Return the change that brings a mix to a cut, with alcohol or flakes as it needs."""
    if central(mix.cut_lb_per_gal) > to_cut:
        return thin(mix=mix, alcohol=alcohol, to_cut=to_cut)
    return strengthen(mix=mix, to_cut=to_cut, resin=resin)


def correct(
    *, made: Mix, used_ml: float = 0.0, to_cut: float, alcohol: Alcohol | None = None,
    resin: Resin | None = None,
) -> Change:  # fmt: skip
    """Return the change that sets a wrong mix right, counting only what is left of it.

    Parameters
    ----------
    made : Mix
        What was really mixed.
    used_ml : float
        What was used since [ml of mix].
    to_cut : float
        The cut it should have been [lb/gal].
    alcohol, resin
        What is added; the same as in the mix if not given.

    Returns
    -------
    Change
        `before` is what is left.

    Raises
    ------
    Refusal
        If more was used than was made, or nothing is left.
    """
    if not every(used_ml < made.solution_ml):
        raise Refusal("--used", f"{trimmed(used_ml, 4)} ml were used of "
                      f"{trimmed(central(made.solution_ml), 4)} ml that were made, nothing is left",
                      "check both amounts, or make a new mix")  # fmt: skip
    left = made.part(ml=used_ml)[1]
    if alcohol is None:
        alcohol = next(iter(made.solvent_g), NOT_STATED)
    return adjust(mix=left, to_cut=to_cut, alcohol=alcohol, resin=resin)


def planned_coats_equivalent(*, coats_laid: Num, laid: Mix, planned: Mix) -> Num:
    """Return how many planned coats the coats laid with a wrong mix are worth.

    A coat of the same spread carries resin in proportion to grams per litre of mix.

    Parameters
    ----------
    coats_laid : float or array
        Coats laid with the wrong mix.
    laid, planned : Mix
        The wrong mix and the planned one.

    Returns
    -------
    float or array
        Planned coats [1].

    Raises
    ------
    Refusal
        For less than no coat.
    """
    if not every(coats_laid >= 0):
        raise Refusal("--coats-laid", "a number of coats below zero", "write e.g. 2")
    return coats_laid * laid.resin_g_per_l / planned.resin_g_per_l


def _add_alcohol(mix: Mix, alcohol: Alcohol, ml: Num) -> Change:
    after = mix.with_alcohol(alcohol, ml=ml)
    return Change(mix, after, 0.0, ml, ml * alcohol.density_g_ml(mix.temp_c))
