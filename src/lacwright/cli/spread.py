"""`lacwright spread`: spreading rate to wet and dry film."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from lacwright.cli.show import CUT, DENSITY, FILM, SHARE, SPREAD, brief, emit, json_option, only_one
from lacwright.figures.spoken import a_cut

if TYPE_CHECKING:
    from lacwright.figures import Figure


@click.command()
@click.option("--rate", "spread_ml_m2", type=SPREAD,
              help="Spreading rate: '500 sqft/gal', '12 m2/l', '75 ml/m2'.")  # fmt: skip
@click.option("--dry", "dry_um", type=FILM,
              help="In place of a rate: wished dry film, '1 mil' or '15 um'.")  # fmt: skip
@click.option("--cut", "cut_lb", type=CUT, help="Pounds of flakes per US gallon of alcohol: 2.")
@click.option("--solids", type=SHARE, help="In place of a cut: solids by volume, '65 %'.")
@click.option("--density", "resin_density", type=DENSITY,
              help="Density of the resin in g/ml (default from the table).")  # fmt: skip
@json_option
def spread(
    spread_ml_m2: float | None, dry_um: float | None, cut_lb: float | None, solids: float | None,
    resin_density: float | None, as_json: bool,
) -> None:  # fmt: skip
    """Spreading rate to wet and dry film, on a sealed surface and with nothing lost.

    Example: lacwright spread --rate "500 sqft/gal" --cut 2
    """
    from lacwright.figures import Refusal, computed, given
    from lacwright.film import DRY_FORMULA, SPREAD_FORMULA, UM_PER_MIL, rate_from_spread
    from lacwright.trade import table

    only_one(rate=spread_ml_m2, dry=dry_um)
    only_one(cut=cut_lb, solids=solids)
    phi = _solids_figure(cut_lb, solids, resin_density)
    figures = {"solids_volume_fraction": phi}
    if spread_ml_m2 is not None:
        figures["spread_ml_per_m2"] = given(spread_ml_m2, "ml/m2", "--rate")
        figures["dry_um"] = computed(DRY_FORMULA, "um", _only(figures)).with_band(
            spread_ml_m2 * (phi.low or 0), spread_ml_m2 * (phi.high or 1)
        )
    else:
        assert dry_um is not None
        figures["dry_um"] = given(dry_um, "um", "--dry")
        figures["spread_ml_per_m2"] = computed(SPREAD_FORMULA, "ml/m2", _only(figures)).with_band(
            dry_um / (phi.high or 1), dry_um / (phi.low or 1)
        )
    wet = figures["wet_um"] = computed("spread_ml_per_m2", "um", _only(figures, "spread_ml_per_m2"),
                                       note="1 ml on 1 m2 is 1 um")  # fmt: skip
    wet_um, dry = wet.number(), figures["dry_um"].number()
    m2, sqft = rate_from_spread(spread_ml_per_m2=wet_um)
    odd = table("film")["odd_spread"]
    if not odd.number("low") <= wet_um <= odd.number("high"):
        raise Refusal("--rate" if spread_ml_m2 is not None else "--dry",
                      f"a coat of {wet_um:,.0f} ml/m2 is no coat of shellac",
                      "check the number and its unit: 500 sqft/gal is 81 ml/m2")  # fmt: skip
    figures["m2_per_l"] = computed("1000 / spread_ml_per_m2", "m2/l",
                                   _only(figures, "spread_ml_per_m2"))  # fmt: skip
    keys = {
        "spread_ml_per_m2": wet_um,
        "wet_um": wet_um,
        "wet_mil": wet_um / UM_PER_MIL,
        "dry_um": dry,
        "dry_mil": dry / UM_PER_MIL,
        "m2_per_l": m2,
        "sqft_per_gal": sqft,
        "solids_volume_fraction": phi.number(),
    }
    percent = f"{brief(100 * phi.number())} % solids"
    what = percent if cut_lb is None else a_cut(cut_lb).capitalize()
    lines = [
        f"{what} spread at {brief(wet_um)} ml/m2 lies {brief(wet_um)} um wet and dries to "
        f"{brief(dry)} um.",
        f"Wet          {brief(wet_um)} um ({brief(wet_um / UM_PER_MIL)} mil)",
        f"Dry          {brief(dry)} um ({brief(dry / UM_PER_MIL)} mil), sealed wood, nothing lost",
        f"Covers       {brief(m2)} m2/l ({brief(sqft)} sqft per US gallon)",
        f"Solids       {100 * phi.number():.1f} % by volume",
    ]
    emit(schema="lacwright.spread/1", keys=keys, lines=lines, as_json=as_json, figures=figures)


def _solids_figure(
    cut_lb: float | None, solids: float | None, resin_density: float | None
) -> Figure:
    """Return solids by volume: given, or of the cut by adding volumes."""
    from lacwright.figures import Refusal, computed, exact, given
    from lacwright.figures.units import G_PER_L_PER_CUT
    from lacwright.solution import Recipe, Resin
    from lacwright.trade import table

    if solids is not None:
        if not 0 < solids <= 1:
            raise Refusal("--solids", f"solids of {solids:.0%} by volume cannot be",
                          "write e.g. '20 %'")  # fmt: skip
        if resin_density is not None:
            raise Refusal("--density", "it is not needed with --solids", "leave it out")
        return given(solids, "1", "--solids")
    assert cut_lb is not None
    density = (
        table("solution")["resin_density"].figure() if resin_density is None
        else given(resin_density, "g/ml", "--density")
    )  # fmt: skip

    def phi(g_ml: float) -> float:
        mix = Recipe(cut_lb, {Resin(density_g_ml=g_ml): 1.0}).make(1000.0)
        return float(mix.solids_volume_fraction)

    low, high = phi(density.high or density.number()), phi(density.low or density.number())
    return computed(
        "cut * per_lb / 1000 / density / (1 + cut * per_lb / 1000 / density)", "1",
        {
            "cut": given(cut_lb, "lb/gal", "--cut"), "density": density,
            "per_lb": exact(G_PER_L_PER_CUT, "g/l", "1 lb per US gallon"),
        },
    ).with_band(low, high)  # fmt: skip


def _only(figures: dict[str, Figure], *names: str) -> dict[str, Figure]:
    """Return the named figures, of no names all of them."""
    return {n: f for n, f in figures.items() if not names or n in names}
