"""The mixes of a plan as masses: which resins and which alcohol a mix is made of."""

from __future__ import annotations

import numpy as np

from lacwright.figures import Refusal
from lacwright.plan.own import Array, OwnFigures
from lacwright.plan.piece import Lot, MixSpec
from lacwright.solution import Recipe, Resin, resin_named
from lacwright.solution.alcohol import NOT_STATED
from lacwright.trade import table


def recipe_of(
    spec: MixSpec, shelf: tuple[Lot, ...], resin_density_g_ml: float | Array, temp_c: float
) -> Recipe:
    """Return a mix without its amount, by lot.

    Parameters
    ----------
    spec : MixSpec
        Cut, grade or lots, alcohol, dye.
    shelf : tuple of Lot
        Where the grade and wax of a lot stand.
    resin_density_g_ml : float or array
        Of all its resins; an array holds draws [g/ml].
    temp_c : float
        At which volumes are told [C].
    """
    names = spec.flakes or ((spec.grade or "", 1.0),)
    return Recipe(
        spec.cut_lb_per_gal,
        {_resin(name, shelf, resin_density_g_ml): share for name, share in names},
        {spec.alcohol or NOT_STATED: 1.0},
        spec.dye_ml_per_l / 1000,
        temp_c,
    )


def density_draws(own: OwnFigures) -> Array:
    """Return draws of the resin's density, kept within what lac can weigh [g/ml]."""
    odd = table("solution")["resin_density_odd"]
    return np.clip(own.draw("resin_density"), odd.number("low"), odd.number("high"))


def _resin(name: str, shelf: tuple[Lot, ...], density: float | Array) -> Resin:
    lot = next((x for x in shelf if x.kind == "flakes" and x.name == name), None)
    if lot is None:
        try:
            return resin_named(name, density_g_ml=density)
        except Refusal:  # a lot that is not on the shelf, called by a name of its own
            return resin_named("", lot=name, density_g_ml=density)
    wax = None if lot.waxed is None else "waxed" if lot.waxed else "dewaxed"
    return resin_named(lot.grade or "", lot=name, wax=wax, density_g_ml=density)
