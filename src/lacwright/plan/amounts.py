"""How much to mix: what the coats take, what stays in pads and brushes, and a reserve.

Each is a line of its own; the sum is the solution, the cut parts it into flakes and alcohol.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from lacwright.figures import Figure, computed, exact, given, unknown
from lacwright.figures.units import G_PER_L_PER_CUT
from lacwright.plan.class_pack import ClassMix
from lacwright.plan.laying import Laying
from lacwright.plan.mixes import content_of, density_of, recipe_of
from lacwright.plan.own import Array, OwnFigures
from lacwright.plan.piece import Lot, MixSpec
from lacwright.solution import Mix


@dataclass(frozen=True)
class Amount:
    """One mix of a plan."""

    spec: MixSpec
    figures: dict[str, Figure]  # coats, applicators, reserve, class, solution, resin, alcohol, ...
    resin_draws: Array
    alcohol_draws: Array
    solution_draws: Array
    per_lot: tuple[tuple[str, float], ...]  # (lot or grade, share of the resin)
    mix: Mix | None = None  # the central case by mass; None where nothing is mixed
    dye_draws: Array | None = None  # where there is dye in it


def amount(
    spec: MixSpec, coats: tuple[Laying, ...], own: OwnFigures, *, class_mix: ClassMix | None,
    temp_c: float, shelf: tuple[Lot, ...] = (),
) -> Amount:  # fmt: skip
    """Return the lines of one mix.

    Parameters
    ----------
    spec : MixSpec
        Cut, grade, alcohol, reserve, batch.
    coats : tuple of Laying
        The coats and sessions laid from it.
    own : OwnFigures
        What stays in a new pad or brush, the usual reserve.
    class_mix : ClassMix or None
        What a class takes of it.
    temp_c : float
        At which the alcohol is measured.
    shelf : tuple of Lot
        Where grade and wax of the lots stand.
    """
    figures: dict[str, Figure] = {}
    zero: Array = np.zeros_like(own.noise("none", 0.0))
    used = {f"coat{k}": c.used for k, c in enumerate(coats, 1)}
    coat_draws = sum((c.used_draws for c in coats), zero)
    figures["coats"] = (
        computed(" + ".join(used), "ml", used, draws=coat_draws) if used
        else exact(0.0, "ml", "no coat is laid from it")
    )  # fmt: skip
    figures["applicators"], applicator_draws = _applicators(spec, coats, own, zero)
    figures["reserve"], reserve_draws = _reserve(spec, figures, coat_draws + applicator_draws, own)
    lines = ["coats", "applicators", "reserve"]
    total = coat_draws + applicator_draws + reserve_draws
    if class_mix is not None:
        figures["for_class"] = class_mix.total
        lines.append("for_class")
        total = total + class_mix.total_draws
    figures["needed"] = computed(
        " + ".join(lines), "ml", {n: figures[n] for n in lines}, draws=total
    )
    if spec.make_ml is not None:
        figures["solution"] = given(spec.make_ml, "ml", f"mix {spec.name}, make")
        total = np.full_like(zero, spec.make_ml)
    else:
        needed = figures["needed"]
        figures["solution"] = computed("needed", "ml", {"needed": needed}, draws=total)
    return _parted(spec, figures, total, own, temp_c, shelf)


def _applicators(
    spec: MixSpec, coats: tuple[Laying, ...], own: OwnFigures, zero: Array
) -> tuple[Figure, Array]:
    methods = tuple(dict.fromkeys(c.method for c in coats))
    if not methods:
        return exact(0.0, "ml", "no coat is laid from it"), zero
    inputs: dict[str, Figure] = {}
    draws, terms = zero, []
    for k, (method, count) in enumerate(_shared_out(spec, methods, own).items(), 1):
        inputs[f"count{k}"] = count
        inputs[f"left_in{k}"] = own.figure(f"left_in.{method}")
        terms.append(f"count{k} * left_in{k}")
        draws = draws + own.draw(f"left_in.{method}") * count.number()
    return computed(" + ".join(terms), "ml", inputs, draws=draws), draws


def _shared_out(
    spec: MixSpec, methods: tuple[str, ...], own: OwnFigures
) -> dict[str, Figure]:  # fmt: skip
    """Return how many new pads or brushes of each method are charged from a mix.

    The maker's own number is for the mix as a whole and is dealt out over its methods.
    """
    if spec.new_applicators is None:
        return {method: own.figure("new_applicators") for method in methods}
    source = f"mix {spec.name}, new_applicators"
    each, more = divmod(spec.new_applicators, len(methods))
    return {
        method: given(each + (1 if k < more else 0), "1", source)
        for k, method in enumerate(methods)
    }


def _reserve(
    spec: MixSpec, figures: dict[str, Figure], base_draws: Array, own: OwnFigures
) -> tuple[Figure, Array]:
    if spec.reserve_ml is not None:
        figure = given(spec.reserve_ml, "ml", f"mix {spec.name}, reserve")
        return figure, np.full_like(base_draws, spec.reserve_ml)
    share = (
        own.figure("reserve.share") if spec.reserve_share is None
        else given(spec.reserve_share, "1", f"mix {spec.name}, reserve")
    )  # fmt: skip
    draws = base_draws * share.number()
    inputs = {"share": share, "coats": figures["coats"], "applicators": figures["applicators"]}
    return computed("share * (coats + applicators)", "ml", inputs, draws=draws), draws


def _parted(
    spec: MixSpec, figures: dict[str, Figure], total: Array, own: OwnFigures, temp_c: float,
    shelf: tuple[Lot, ...],
) -> Amount:  # fmt: skip
    """Part the volume into flakes, alcohol and dye, by mass."""
    some = figures["solution"].number() > 0
    density, density_rows = density_of(spec, shelf, own)
    recipe = recipe_of(spec, shelf, density_rows, temp_c)
    # A mix that nothing is laid from is made all the same, of nothing.
    mix = recipe.make(solution_ml=total if some else 1.0).scaled(1.0 if some else 0.0)
    alcohol_draws, resin_draws = np.asarray(mix.alcohol_ml), np.asarray(mix.total_resin_g)
    cut = given(spec.cut_lb_per_gal, "lb/gal", f"mix {spec.name}, cut")
    per_lb = exact(G_PER_L_PER_CUT, "g/l", "1 lb per US gallon")
    formula = "solution / (1 + cut * per_lb / 1000 / density)"
    inputs = {"solution": figures["solution"], "cut": cut, "per_lb": per_lb,
              "density": density}  # fmt: skip
    if spec.dye_ml_per_l:
        formula = "solution / (1 + cut * per_lb / 1000 / density + dye / 1000)"
        inputs["dye"] = given(spec.dye_ml_per_l, "ml/l", f"mix {spec.name}, dye")
    figures["alcohol"] = computed(formula, "ml", inputs, draws=alcohol_draws)
    dye_draws = None
    if spec.dye_ml_per_l:
        dye_draws = np.asarray(mix.dye_ml)
        figures["dye"] = computed(
            "alcohol * dye / 1000", "ml", {"alcohol": figures["alcohol"], "dye": inputs["dye"]},
            draws=dye_draws,
        )  # fmt: skip
    figures["resin"] = computed(
        "alcohol * cut * per_lb / 1000", "g",
        {"alcohol": figures["alcohol"], "cut": cut, "per_lb": per_lb}, draws=resin_draws,
    )  # fmt: skip
    figures["alcohol_g"] = _alcohol_g(spec, figures["alcohol"], alcohol_draws, temp_c)
    central = recipe_of(spec, shelf, density.number(), temp_c)
    made = central.make(solution_ml=figures["solution"].number()) if some else None
    return Amount(spec, figures, resin_draws, alcohol_draws, total, _per_lot(spec, shelf), made,
                  dye_draws)  # fmt: skip


def _per_lot(spec: MixSpec, shelf: tuple[Lot, ...]) -> tuple[tuple[str, float], ...]:
    content = content_of(spec, shelf)
    if content is not None:
        return tuple((resin.lot or resin.grade, float(grams / content.total_resin_g))
                     for resin, grams in content.resin_g.items())  # fmt: skip
    return spec.flakes or ((spec.grade or f"flakes for {spec.name}", 1.0),)


def _alcohol_g(spec: MixSpec, alcohol: Figure, draws: Array, temp_c: float) -> Figure:
    if spec.alcohol is None:
        return unknown(
            "g", "cannot estimate without the alcohol: its density depends on what it is"
        )
    if not spec.alcohol.known:
        return unknown("g", "cannot estimate with an alcohol of unknown composition")
    density = spec.alcohol.density_figure(temp_c)
    return computed(
        "alcohol * density", "g", {"alcohol": alcohol, "density": density},
        draws=draws * density.number(),
    )  # fmt: skip
