"""The mixes of a plan as masses: which resins and which alcohol a mix is made of."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from lacwright.figures import Figure, Refusal, central, given
from lacwright.plan.own import Array, OwnFigures
from lacwright.plan.piece import Lot, MixSpec
from lacwright.solution import Mix, Recipe, Resin, default_resin_density, resin_named
from lacwright.solution.alcohol import NOT_STATED
from lacwright.trade import table


def recipe_of(
    spec: MixSpec, shelf: tuple[Lot, ...], resin_density_g_ml: float | Array, temp_c: float
) -> Recipe:
    """Return a mix without its amount, by lot.

    Parameters
    ----------
    spec : MixSpec
        Cut, grade or lots, alcohol, dye; or a jar.
    shelf : tuple of Lot
        Where the grade and wax of a lot stand, and what is in a jar.
    resin_density_g_ml : float or array
        Of all its resins; an array holds draws [g/ml].
    temp_c : float
        At which volumes are told [C].
    """
    content = content_of(spec, shelf)
    if content is not None:
        resins = {replace(resin, density_g_ml=resin_density_g_ml): float(grams)
                  for resin, grams in content.resin_g.items()}  # fmt: skip
        alcohols = {alcohol: float(grams / alcohol.density_g_ml(temp_c))
                    for alcohol, grams in content.solvent_g.items()}  # fmt: skip
        return Recipe(spec.cut_lb_per_gal, resins, alcohols, spec.dye_ml_per_l / 1000, temp_c)
    names = spec.flakes or ((spec.grade or "", 1.0),)
    return Recipe(
        spec.cut_lb_per_gal,
        {_resin(name, shelf, resin_density_g_ml): share for name, share in names},
        {spec.alcohol or NOT_STATED: 1.0},
        spec.dye_ml_per_l / 1000,
        temp_c,
    )


def content_of(spec: MixSpec, shelf: tuple[Lot, ...]) -> Mix | None:
    """Return what is in the jar that a mix is, where that is known by lot."""
    jar = next((x for x in shelf if x.kind == "jar" and x.name == spec.jar), None)
    if jar is None or jar.content is None or not central(jar.content.total_resin_g) > 0:
        return None
    return jar.content


def density_of(
    spec: MixSpec, shelf: tuple[Lot, ...], own: OwnFigures
) -> tuple[Figure, Array]:  # fmt: skip
    """Return the density of the resin of a mix [g/ml], with its draws.

    Strongest first: what the maker says, what was weighed of the lots in the jar, the default.
    """
    content = content_of(spec, shelf)
    if content is not None and not own.said("resin_density"):
        usual = default_resin_density()
        if any(resin.density_g_ml != usual for resin in content.resin_g):
            value = float(content.resin_density_g_ml)
            return (given(value, "g/ml", f"flakes in jar {spec.jar}, as weighed"),
                    np.full_like(own.noise("none", 0.0), value))  # fmt: skip
    return own.figure("resin_density"), density_draws(own)


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
