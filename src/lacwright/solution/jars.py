"""Jars: blending them, what an open one lost, what an unknown one holds, wax that settled."""

from __future__ import annotations

from collections.abc import Sequence

from lacwright.figures import Num, Refusal, central
from lacwright.figures.spoken import a_cut, trimmed
from lacwright.figures.units import G_PER_L_PER_CUT
from lacwright.solution.alcohol import NOT_STATED, Alcohol
from lacwright.solution.making import Change, adjust
from lacwright.solution.mix import Mix
from lacwright.solution.num import every
from lacwright.solution.resin import Resin


def blend(*, jars: Sequence[Mix]) -> Mix:
    """Return all jars poured together.

    Raises
    ------
    Refusal
        For no jar at all.
    """
    if not jars:
        raise Refusal("--jar", "there is no jar", 'give e.g. --jar "300 ml 3-lb garnet"')
    poured = jars[0]
    for jar in jars[1:]:
        poured = poured + jar
    return poured


def blend_to(
    *, jars: Sequence[Mix], to_cut: float | None = None, solution_ml: float | None = None,
    alcohol: Alcohol = NOT_STATED, resin: Resin | None = None,
) -> tuple[float, Change]:  # fmt: skip
    """Return the share of every jar to pour, and the change that brings them to a cut.

    Parameters
    ----------
    jars : sequence of Mix
        What there is.
    to_cut : float, optional
        Wished cut [lb/gal]; None = as it comes.
    solution_ml : float, optional
        Wished volume of mix [ml]; None = all of the jars.
    alcohol, resin
        What is added to reach the cut.

    Returns
    -------
    (float, Change)
        Share of every jar [1, at most 1].

    Raises
    ------
    Refusal
        If the jars cannot make the wished volume.
    """
    poured = blend(jars=jars)
    whole = Change(poured, poured)
    if to_cut is not None:
        whole = adjust(mix=poured, to_cut=to_cut, alcohol=alcohol, resin=resin)
    if solution_ml is None:
        return 1.0, whole
    share = solution_ml / central(whole.after.solution_ml)
    if not 0 < share <= 1 + 1e-9:
        raise Refusal("--solution", f"the jars make {trimmed(central(whole.after.solution_ml), 4)} "
                      f"ml, {trimmed(solution_ml, 4)} ml are wished",
                      "ask for less, or make the rest anew with 'mix make'")  # fmt: skip
    return min(share, 1.0), Change(
        whole.before.scaled(share), whole.after.scaled(share), whole.add_resin_g * share,
        whole.add_alcohol_ml * share, whole.add_alcohol_g * share,
    )  # fmt: skip


def pour_to_cut(
    *, strong: Mix, weak: Mix, to_cut: float, solution_ml: float
) -> tuple[float, float]:
    """Return ml of two jars that make a volume of a cut between theirs, nothing added.

    Parameters
    ----------
    strong, weak : Mix
        The two jars, in either order.
    to_cut : float
        Wished cut [lb/gal], between their cuts.
    solution_ml : float
        Wished volume [ml].

    Returns
    -------
    (float, float)
        Volume of the first and of the second jar [ml].

    Raises
    ------
    Refusal
        If the cut does not lie between theirs, or a jar holds too little.
    """
    wanted = to_cut * G_PER_L_PER_CUT / 1000.0
    # Resin above (or below) what the cut asks of its alcohol, per ml of each mix.
    over = [
        central((m.total_resin_g - wanted * m.alcohol_ml) / m.solution_ml) for m in (strong, weak)
    ]
    if over[0] * over[1] > 0 or over[0] == over[1]:
        raise Refusal("--to", f"{a_cut(to_cut, 6)} does not lie between the two jars",
                      "leave out --only-jars, then alcohol or flakes are added")  # fmt: skip
    first = solution_ml * over[1] / (over[1] - over[0])
    for name, ml, jar in (("first", first, strong), ("second", solution_ml - first, weak)):
        if ml > central(jar.solution_ml) * (1 + 1e-9):
            raise Refusal("--jar", f"{trimmed(ml, 4)} ml of the {name} jar are needed, it holds "
                          f"{trimmed(central(jar.solution_ml), 4)} ml", "ask for less")  # fmt: skip
    return first, solution_ml - first


def evaporated(*, mix: Mix, lost_g: Num) -> Mix:
    """Return what is left in an open jar that lost weight: only solvent leaves.

    Every solvent is taken to leave in proportion to what there is of it, so that the same
    alcohol given back restores the mix. (A slow alcohol really stays longer, water comes in.)

    Parameters
    ----------
    mix : Mix
        What was in the jar.
    lost_g : float or array
        Weight that is missing [g].

    Raises
    ------
    Refusal
        If more is missing than there was of solvent.
    """
    if not every(lost_g >= 0):
        raise Refusal("--lost", "a jar that gained weight took in water or was topped up",
                      "weigh it again; for water no correction is known")  # fmt: skip
    if not every(lost_g < mix.alcohol_g):
        raise Refusal("--lost", f"only {trimmed(central(mix.alcohol_g), 4)} g of solvent "
                      "were in it",
                      "check the weighings: was mix poured out?")  # fmt: skip
    left = 1.0 - lost_g / mix.alcohol_g
    return Mix(mix.resin_g, {a: g * left for a, g in mix.solvent_g.items()}, mix.dye_g,
               temp_c=mix.temp_c)  # fmt: skip


def give_back(*, mix: Mix, lost_g: Num) -> Change:
    """Return the change from the jar as it stands back to what it was before the loss."""
    now = evaporated(mix=mix, lost_g=lost_g)
    lost = {a: mix.solvent_g[a] - g for a, g in now.solvent_g.items()}
    back = Mix({}, lost, temp_c=mix.temp_c)
    return Change(now, now + back, 0.0, back.alcohol_ml, back.alcohol_g)


def cut_of_residue(
    *, sample_g: Num, dry_g: Num, alcohol_density_g_ml: Num, retained: Num = 0.0,
    moisture_share: Num = 0.0,
) -> Num:  # fmt: skip
    """Return the cut of an unknown jar from a weighed sample dried to constant weight.

    Parameters
    ----------
    sample_g, dry_g : float or array
        The sample wet and dry [g].
    alcohol_density_g_ml : float or array
        Density of the alcohol [g/ml].
    retained : float or array
        Alcohol still in the dry sample, share of its weight [1].
    moisture_share : float or array
        Water in the flakes of which it was made, as weighed [1]. It has dried off with the
        alcohol, and a cut counts flakes as weighed: dry / (1 - moisture) of them.

    Returns
    -------
    float or array
        Cut [lb/gal].

    Raises
    ------
    Refusal
        If the dry weight is not between nothing and the sample, or nothing is left for alcohol.

    Examples
    --------
    >>> round(cut_of_residue(sample_g=5.0, dry_g=0.8, alcohol_density_g_ml=0.789), 2)
    1.25
    """
    if not (every(dry_g > 0) and every(dry_g < sample_g)):
        raise Refusal("--dry", "the dried sample must weigh more than nothing and less than wet",
                      "subtract the weight of the dish from both")  # fmt: skip
    if not all(every(x >= 0) and every(x < 1) for x in (retained, moisture_share)):
        raise Refusal("--moisture", "a share of water or alcohol outside 0 to 1", "write e.g. 5 %")
    flakes = dry_g * (1.0 - retained) / (1.0 - moisture_share)
    if not every(flakes < sample_g):
        raise Refusal("--moisture", "with so much water in the flakes no alcohol is left",
                      "check the weights and the moisture")  # fmt: skip
    return flakes / (sample_g - flakes) * alcohol_density_g_ml * 1000.0 / G_PER_L_PER_CUT


def decanted(*, mix: Mix, settles: Num | None = None) -> tuple[Mix, Num]:
    """Return the clear liquor above the settled wax, and the wax that stays behind [g].

    The liquor keeps its alcohol; what wets the sediment is not counted.

    Parameters
    ----------
    mix : Mix
        A mix of waxed lac that has settled.
    settles : float or array, optional
        Share of the resin that settles [1]; the wax of the waxed lots if not given.

    Returns
    -------
    (Mix, float or array)
        The resin of every lot without the wax that settled, and that wax [g].

    Raises
    ------
    Refusal
        For a share outside 0 to 1.
    """
    if settles is not None and not (every(settles >= 0) and every(settles < 1)):
        raise Refusal("--wax-share", "a share that settles outside 0 to 1", "write e.g. 5 %")
    clear = Mix({}, mix.solvent_g, mix.dye_g, temp_c=mix.temp_c)
    wax: Num = 0.0
    for resin, grams in mix.resin_g.items():
        share: Num = resin.wax_share if resin.waxed else 0.0
        share = share if settles is None else settles
        settled = grams * share
        # What is left of the wax, in what is left of the resin; of draws, the central case.
        gone = central(share)
        wax_left = max(resin.wax_share - gone, 0.0) / (1.0 - gone)
        free = Resin(resin.lot, resin.grade, resin.density_g_ml, wax_left, True,
                     resin.moisture_share)  # fmt: skip
        clear = clear.with_resin(free, grams - settled)
        wax = wax + settled
    return clear, wax
