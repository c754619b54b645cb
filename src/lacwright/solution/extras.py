"""Beside the plain mix: slow alcohol as a share, paste wax, and what shortcuts really give."""

from __future__ import annotations

from dataclasses import dataclass

from lacwright.figures import Num, Refusal
from lacwright.figures.spoken import an
from lacwright.figures.units import G_PER_L_PER_CUT
from lacwright.solution.alcohol import Alcohol
from lacwright.solution.making import Change
from lacwright.solution.mix import Mix
from lacwright.solution.num import every
from lacwright.trade import table


def slow(*, mix: Mix, alcohol: Alcohol, share: Num, of: str = "alcohol") -> Change:
    """Return the change that makes a slow alcohol (or turpentine) a share of the mix.

    Parameters
    ----------
    mix : Mix
        What is there, without any of it.
    alcohol : Alcohol
        The slow one.
    share : float or array
        Its share by volume [1], of all the alcohol after adding, or of the whole mix.
    of : "alcohol" or "mix"
        What the share is of.

    Raises
    ------
    Refusal
        For a share that is not between 0 and 1.
    """
    if not (every(share > 0) and every(share < 1)):
        raise Refusal("--share", "a share lies between 0 and 1", "write e.g. 5 %")
    base = mix.alcohol_ml if of == "alcohol" else mix.solution_ml
    ml = base * share / (1.0 - share)
    after = mix.with_alcohol(alcohol, ml=ml)
    return Change(mix, after, 0.0, ml, ml * alcohol.density_g_ml(mix.temp_c))


@dataclass(frozen=True)
class PasteWax:
    """A paste wax by weight: each wax and the turpentine it takes [g]."""

    beeswax_g: Num
    carnauba_g: Num
    turpentine_g: Num

    @property
    def total_g(self) -> Num:
        """What it makes [g]."""
        return self.beeswax_g + self.carnauba_g + self.turpentine_g

    @property
    def wax_share(self) -> Num:
        """Wax by weight [1]."""
        return (self.beeswax_g + self.carnauba_g) / self.total_g


def paste_wax(*, beeswax_g: Num = 0.0, carnauba_g: Num = 0.0, firmness: Num = 1.0) -> PasteWax:
    """Return the turpentine that a blend of waxes takes: each wax its own, in proportion.

    Parameters
    ----------
    beeswax_g, carnauba_g : float or array
        Wax [g].
    firmness : float or array
        1 = the rule; above 1 firmer, with so many times less turpentine.

    Raises
    ------
    Refusal
        Without any wax.

    Notes
    -----
    The rule (beeswax its own weight, carnauba three times) gives 280 g for 190 g of beeswax and
    30 g of carnauba. Another published recipe takes 500 g for the same: a softer paste.
    """
    amounts = every(beeswax_g >= 0) and every(carnauba_g >= 0)
    if not (amounts and every(beeswax_g + carnauba_g > 0)):
        raise Refusal("--beeswax", "there is no wax", 'give e.g. --beeswax "190 g"')
    if not every(firmness > 0):
        raise Refusal("--firmness", "must be above zero", "1 is the rule, 2 takes half")
    rows = table("solution")
    takes = (beeswax_g * rows["wax_turps_beeswax"].number("value")
             + carnauba_g * rows["wax_turps_carnauba"].number("value"))  # fmt: skip
    return PasteWax(beeswax_g, carnauba_g, takes / firmness)


def cut_by_rule(*, cut_lb_per_gal: Num, to_cut: Num, resin_density_g_ml: Num) -> Num:
    """Return the cut that is really left by the rule "from/to - 1 parts of alcohol to one of mix".

    The rule forgets that part of the jar is resin.

    Parameters
    ----------
    cut_lb_per_gal, to_cut : float or array
        The cut that is there, and the wished one [lb/gal].
    resin_density_g_ml : float or array
        Density of the resin [g/ml].

    Examples
    --------
    >>> round(cut_by_rule(cut_lb_per_gal=3.0, to_cut=1.0, resin_density_g_ml=1.14), 2)
    0.83
    """
    _thinner(cut_lb_per_gal, to_cut)
    parts = cut_lb_per_gal / to_cut - 1.0
    alcohol = 1.0 / _grown(cut_lb_per_gal, resin_density_g_ml)
    return cut_lb_per_gal * alcohol / (alcohol + parts)


def parts_to_thin(*, cut_lb_per_gal: Num, to_cut: Num, resin_density_g_ml: Num) -> Num:
    """Return the parts of alcohol to one part of mix that really thin it to a cut."""
    _thinner(cut_lb_per_gal, to_cut)
    return (cut_lb_per_gal / to_cut - 1.0) / _grown(cut_lb_per_gal, resin_density_g_ml)


def explain_chart(*, cut_lb_per_gal: float, to_cut: float, resin_density_g_ml: float) -> str | None:
    """Return why a much reprinted dilution chart differs from the definition, None if it agrees.

    Parameters
    ----------
    cut_lb_per_gal, to_cut : float
        The row and column of the chart [lb/gal].
    resin_density_g_ml : float
        Density of the resin [g/ml].
    """
    for row in table("dilution_chart"):
        if (
            abs(row.number("from_cut") - cut_lb_per_gal) < 1e-6
            and abs(row.number("to_cut") - to_cut) < 1e-6
            and row.has("slip")
        ):
            printed = row.number("parts")
            alcohol = 1.0 / _grown(cut_lb_per_gal, resin_density_g_ml)
            gives = cut_lb_per_gal * alcohol / (alcohol + printed)
            exact = parts_to_thin(cut_lb_per_gal=cut_lb_per_gal, to_cut=to_cut,
                                  resin_density_g_ml=resin_density_g_ml)  # fmt: skip
            return (
                f"A much reprinted chart says {printed:.3g} parts of alcohol to one of this mix; "
                f"{_SLIPS[row.text('slip')]} By the definition of cut it is {exact:.3g} parts; "
                f"the chart's leaves {an(f'{gives:.3g}-lb cut')}."
            )
    return None


_SLIPS = {
    "per-mix": "it starts from pounds per gallon of alcohol and ends at pounds per gallon of mix.",
    "displacement": "it forgets the room that the resin takes up.",
    "rounding": "it is rounded too far.",
    "misprint": "it is out of line with its neighbours, probably a misprint.",
    "unexplained": "no one definition of cut gives that.",
}


def _grown(cut_lb_per_gal: Num, resin_density_g_ml: Num) -> Num:
    """Return the volume of mix per volume of alcohol."""
    return 1.0 + cut_lb_per_gal * G_PER_L_PER_CUT / 1000.0 / resin_density_g_ml


def _thinner(cut_lb_per_gal: Num, to_cut: Num) -> None:
    if not (every(to_cut > 0) and every(to_cut <= cut_lb_per_gal)):
        raise Refusal("--to", "the wished cut must be below the one that is there",
                      "write e.g. --cut 3 --to 1")  # fmt: skip
