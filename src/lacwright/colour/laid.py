"""How coats are laid and what they take: amounts, dry lac and film of the coats to go."""

from __future__ import annotations

from dataclasses import dataclass

from lacwright.colour.coats_to_go import LastCoat
from lacwright.figures import Figure, computed, exact, given
from lacwright.figures.units import G_PER_L_PER_CUT
from lacwright.trade import table

PER_LB = exact(G_PER_L_PER_CUT, "g/l", "1 lb per US gallon")


@dataclass(frozen=True)
class Laid:
    """How a coat is laid, as far as it is said.

    Parameters
    ----------
    spread_ml_m2 : float or None
        Mix that leaves the jar.
    lost_share : float
        Share of it that does not stay on the work.
    cut_lb_per_gal, resin_density_g_ml : float or None
        Of the mix; density of the resin.
    """

    spread_ml_m2: float | None = None
    lost_share: float = 0.0
    cut_lb_per_gal: float | None = None
    resin_density_g_ml: float | None = None

    def load(self) -> Figure | None:
        """Return the dry lac of a coat [g/m2], None where spread or cut is not said."""
        if self.spread_ml_m2 is None or self.cut_lb_per_gal is None:
            return None
        return computed(
            "spread / 1000 * (1 - lost) * cut * per_lb / (1 + cut * per_lb / (1000 * density))",
            "g/m2",
            {"spread": given(self.spread_ml_m2, "ml/m2", "spread"),
             "lost": given(self.lost_share, "1", "loss"),
             "cut": given(self.cut_lb_per_gal, "lb/gal", "cut"), "per_lb": PER_LB,
             "density": self.density()},
        )  # fmt: skip

    def film(self) -> Figure | None:
        """Return the dry film of a coat [um]."""
        load = self.load()
        if load is None:
            return None
        return computed("load / density", "um", {"load": load, "density": self.density()},
                        note="1 g/m2 of density 1 g/ml is 1 um, on sealed wood")  # fmt: skip

    def density(self) -> Figure:
        """Return the density of the resin [g/ml]."""
        if self.resin_density_g_ml is None:
            return table("solution")["resin_density"].figure()
        return given(self.resin_density_g_ml, "g/ml", "resin_density")


def amounts(plan: LastCoat, laid: Laid, area_m2: float | None) -> dict[str, Figure]:
    """Return what the advised coats take: dark_ml, clear_ml, film_um, resin_g_m2, where known.

    Parameters
    ----------
    plan : LastCoat
        Such as `ToGo.advised`.
    laid : Laid
    area_m2 : float or None
        Of the piece.
    """
    dark = exact(plan.full + plan.share, "1", "coats of the dark mix")
    clear = exact(1 - plan.share if plan.share else 0.0, "1", "coats of the clear mix")
    coats = exact(float(plan.laid), "1", "coats")
    out: dict[str, Figure] = {}
    if laid.spread_ml_m2 is not None and area_m2 is not None:
        each = {"area": given(area_m2, "m2", "area"),
                "spread": given(laid.spread_ml_m2, "ml/m2", "spread")}  # fmt: skip
        out["dark_ml"] = computed("area * spread * coats", "ml", {**each, "coats": dark})
        out["clear_ml"] = computed("area * spread * coats", "ml", {**each, "coats": clear})
    load, film = laid.load(), laid.film()
    if load is not None and film is not None:
        out["resin_g_m2"] = computed("load * coats", "g/m2", {"load": load, "coats": coats})
        out["film_um"] = computed("film * coats", "um", {"film": film, "coats": coats})
    return out
