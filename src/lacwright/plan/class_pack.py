"""A class: what each person uses, what the whole class needs, what it costs a student.

per head = exercises (items x coats x area x spread) + what is lost per person; total = per head
x everybody who works (students and demonstrators) x (1 + spare). The cost of it all is borne by
the students.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from lacwright.figures import Figure, computed, exact, given, unknown
from lacwright.plan.own import Array, OwnFigures
from lacwright.plan.piece import ClassSpec, Exercise, MaterialLine


@dataclass(frozen=True)
class ClassMix:
    """Millilitres of one mix for a class."""

    per_head: Figure
    total: Figure
    total_draws: Array


@dataclass(frozen=True)
class ClassPack:
    """What a class needs."""

    mixes: dict[str, ClassMix]
    cleaning: Figure
    figures: dict[str, Figure]


def class_pack(spec: ClassSpec, own: OwnFigures) -> ClassPack:
    """Return amounts per head and in all, by mix, with cleaning alcohol and items.

    Parameters
    ----------
    spec : ClassSpec
        Students, demonstrators, exercises, losses, spare, items.
    own : OwnFigures
        For the spread of a method, its loss, and the spare where the class does not say.
    """
    heads = computed(
        "students + demonstrators", "1",
        {"students": exact(spec.students, "1", "class, students"),
         "demonstrators": exact(spec.demonstrators, "1", "class, demonstrators")},
    )  # fmt: skip
    spare = (
        own.figure("class.spare_share") if spec.spare_share is None
        else given(spec.spare_share, "1", "class, spare")
    )  # fmt: skip
    figures: dict[str, Figure] = {"class.heads": heads, "class.spare": spare}
    names = dict.fromkeys([e.mix for e in spec.exercises] + [m for m, _ in spec.lost_per_person_ml])
    mixes: dict[str, ClassMix] = {}
    for name in names:
        per_head, draws = _per_head(name, spec, own, figures)
        total_draws = draws * heads.number() * (1 + spare.number())
        total = computed(
            "per_head * heads * (1 + spare)", "ml",
            {"per_head": per_head, "heads": heads, "spare": spare}, draws=total_draws,
        )  # fmt: skip
        mixes[name] = ClassMix(per_head, total, total_draws)
        figures[f"class.per_head.{name}"], figures[f"class.total.{name}"] = per_head, total
    figures["class.per_head"] = _sum("ml", {n: m.per_head for n, m in mixes.items()})
    figures["class.total"] = _sum("ml", {n: m.total for n, m in mixes.items()})
    cleaning_each = (
        own.figure("class.cleaning_ml") if spec.cleaning_ml_per_person is None
        else given(spec.cleaning_ml_per_person, "ml", "class, cleaning")
    )  # fmt: skip
    cleaning = computed("each * heads", "ml", {"each": cleaning_each, "heads": heads})
    figures["class.cleaning"] = cleaning
    for what, each, _ in spec.items:
        figures[f"class.item.{what}"] = computed(
            "each * heads", "1", {"each": given(each, "1", "class, items"), "heads": heads}
        )
    return ClassPack(mixes, cleaning, figures)


def item_lines(spec: ClassSpec) -> tuple[tuple[MaterialLine, ...], tuple[str, ...]]:
    """Return the items of a class as material lines, and the names of those without a price."""
    heads = spec.students + spec.demonstrators
    priced = tuple(MaterialLine(what, each * heads, price, "1")
                   for what, each, price in spec.items if price is not None)  # fmt: skip
    return priced, tuple(what for what, _, price in spec.items if price is None)


def per_student(spec: ClassSpec, materials: Figure, unit: str) -> Figure:
    """Return the cost of all materials and items, borne by the students alone.

    Missing where a price is missing, or there is no student.
    """
    if spec.students == 0:
        return unknown(unit, "cannot estimate without students")
    students = exact(spec.students, "1", "class, students")
    return computed("materials / students", unit, {"materials": materials, "students": students},
                    note="no labour, no contingency")  # fmt: skip


def _per_head(
    name: str, spec: ClassSpec, own: OwnFigures, figures: dict[str, Figure]
) -> tuple[Figure, Array]:
    inputs: dict[str, Figure] = {}
    terms: list[str] = []
    draws: Array = np.zeros_like(own.noise("none", 0.0))
    for k, exercise in enumerate((e for e in spec.exercises if e.mix == name), 1):
        figure, row = exercise_ml(exercise, own)
        figures[f"class.exercise.{exercise.name}"] = figure
        inputs[f"exercise{k}"] = figure
        terms.append(f"exercise{k}")
        draws = draws + row
    for mix, lost_ml in spec.lost_per_person_ml:
        if mix == name:
            inputs["lost"] = given(lost_ml, "ml", "class, lost per person")
            terms.append("lost")
            draws = draws + lost_ml
    return computed(" + ".join(terms), "ml", inputs, draws=draws), draws


def exercise_ml(exercise: Exercise, own: OwnFigures) -> tuple[Figure, Array]:
    """Return what one person takes for all coats of an exercise [ml], with its draws."""
    source = f"class, {exercise.name}"
    if exercise.spread_ml_m2 is None:
        spread = own.figure(f"spread.{exercise.method}")
        spread_draws = own.draw_figure(spread, f"hand.{exercise.method}")
    else:
        spread = given(exercise.spread_ml_m2, "ml/m2", source)
        spread_draws = own.draw_figure(spread, source)
    area_coats = exercise.per_person * exercise.coats * exercise.area_m2
    figure = computed(
        "items * coats * area * spread", "ml",
        {
            "items": given(exercise.per_person, "1", source),
            "coats": given(exercise.coats, "1", source),
            "area": given(exercise.area_m2, "m2", source),
            "spread": spread,
        },
        draws=area_coats * spread_draws,
        note=exercise.name,
    )  # fmt: skip
    return figure, area_coats * spread_draws


def _sum(unit: str, parts: dict[str, Figure]) -> Figure:
    from lacwright.plan.quote import total_of

    return total_of(parts, unit, nothing="cannot estimate without exercises")
