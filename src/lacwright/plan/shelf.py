"""The shelf against the job: per lot need, have, left, and a word.

Words: "enough", "reorder", "test first", "too old to trust untested", "failed its test",
"not on the shelf", "amount not said". Age only says when to test; a dated test overrides it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from lacwright.figures import Figure, Refusal, Stop, computed, given, nearest
from lacwright.plan.amounts import Amount
from lacwright.plan.own import Array
from lacwright.plan.piece import Lot, MixSpec, Piece
from lacwright.plan.quote import Use
from lacwright.trade import table

Age = Callable[[Lot], str]
"""Returns "", "test first", "too old to trust untested" or "failed its test" for a lot."""


@dataclass(frozen=True)
class ShelfLine:
    """One lot of the shelf, or one thing the job needs that is not on it."""

    lot: str
    kind: str
    need: Figure
    have: float | None
    left: float | None
    unit: str
    word: str


@dataclass(frozen=True)
class Needs:
    """What the job takes from each lot, and what it needs that stands on no lot."""

    uses: tuple[Use, ...]
    absent: tuple[tuple[str, str, Figure], ...]  # (what, unit, need)


def needs_of(
    piece: Piece, amounts: tuple[Amount, ...], cleaning: tuple[tuple[Figure, Array], ...]
) -> Needs:
    """Share out what the mixes and the cleaning take over the lots of the shelf.

    Parameters
    ----------
    piece : Piece
        With its shelf.
    amounts : tuple of Amount
        The mixes.
    cleaning : tuple of (Figure, draws)
        Cleaning alcohol.

    Raises
    ------
    Refusal
        For a jar that a mix names and the shelf does not have.
    """
    taken: dict[str, list[tuple[Figure, Array]]] = {}
    for amount in amounts:
        spec = amount.spec
        if spec.jar is not None:
            jar = _lot(piece, spec.jar, f"mix {spec.name}, jar")
            _take(taken, jar.name, amount.figures["solution"], amount.solution_draws)
            continue
        for name, share in amount.per_lot:
            figure = amount.figures["resin"]
            rows = amount.resin_draws
            if share != 1.0:
                rows = rows * share
                figure = computed(
                    "resin * share", "g",
                    {"resin": figure, "share": given(share, "1", f"mix {spec.name}, {name}")},
                    draws=rows,
                )  # fmt: skip
            _take(taken, _flakes_lot(piece, spec, name), figure, rows)
        _take(taken, _alcohol_lot(piece, spec), amount.figures["alcohol"], amount.alcohol_draws)
        if amount.dye_draws is not None:
            _take(taken, _dye_lot(piece), amount.figures["dye"], amount.dye_draws)
    for figure, rows in cleaning:
        _take(taken, _cleaning_lot(piece, amounts), figure, rows)
    lots = {lot.name: lot for lot in piece.shelf}
    uses, absent = [], []
    for name, parts in taken.items():
        figure, rows = _sum(parts)
        if name in lots:
            uses.append(Use(lots[name], figure, rows))
        else:
            absent.append((name, figure.unit, figure))
    return Needs(tuple(uses), tuple(absent))


def shelf_lines(piece: Piece, needs: Needs, age: Age) -> tuple[ShelfLine, ...]:
    """Return a line for every lot the job takes from and for everything that is not there."""
    lines = []
    for use in needs.uses:
        lot, need = use.lot, use.amount
        left = None if lot.have is None else lot.have - need.number()
        lines.append(
            ShelfLine(lot.name, lot.kind, need, lot.have, left, lot.unit, _word(lot, need, age))
        )
    for what, unit, need in needs.absent:
        lines.append(ShelfLine(what, "", need, None, None, unit, "not on the shelf"))
    return tuple(lines)


def shelf_notes(lines: tuple[ShelfLine, ...], needs: Needs, age: Age) -> tuple[str, ...]:
    """Return what one word a lot cannot say: short and due for a test, or short in a bad case."""
    out = []
    words = {line.lot: line.word for line in lines}
    for use in needs.uses:
        lot, need = use.lot, use.amount
        if words[lot.name] == "reorder" and age(lot):
            out.append(f"{lot.name}: {age(lot)} as well")
        if words[lot.name] != "reorder" and lot.have is not None and lot.have < need.number():
            out.append(f"{lot.name} is short by {need.number() - lot.have:.0f} {lot.unit} as well")
        if lot.kind in ("flakes", "jar") and lot.date is None and not lot.passed:
            out.append(f"{lot.name}: neither date nor passed test is said: test it first")
        enough_in_the_middle = lot.have is not None and lot.have >= need.number()
        if enough_in_the_middle and lot.have < (need.high or 0.0):  # type: ignore[operator]
            out.append(f"{lot.name} may run short: up to {need.high:.0f} {lot.unit} can be needed")
    return tuple(out)


def jar_notes(piece: Piece, specs: tuple[MixSpec, ...], age: Age) -> tuple[str, ...]:
    """Return a note for every tested jar that could be a mix which is to be made new."""
    grades = table("grades")
    close = table("practice")["jar.cut_off"].number("value")
    out = []
    for spec in specs:
        if spec.jar is not None or spec.grade is None:
            continue
        wanted = grades.find(spec.grade, f"mix {spec.name}, grade").key
        for lot in piece.shelf:
            fits = lot.kind == "jar" and lot.passed and not age(lot) and lot.cut_lb_per_gal
            if not fits or lot.grade is None or grades.find(lot.grade, lot.name).key != wanted:
                continue
            if abs(lot.cut_lb_per_gal / spec.cut_lb_per_gal - 1) <= close:  # type: ignore[operator]
                out.append(f"jar '{lot.name}' passed its test and has the cut of mix {spec.name}: "
                           f'use it up first with jar = "{lot.name}"')  # fmt: skip
    return tuple(out)


def failed_lots(lines: tuple[ShelfLine, ...]) -> tuple[Stop, ...]:
    """Return a stop for every lot of the job that failed its test."""
    return tuple(
        Stop("lot-failed", f"{line.lot} failed its test. Nothing of it goes on the work: take "
             "another lot, or test again beside a fresh control.")
        for line in lines if line.word == "failed its test"
    )  # fmt: skip


def alcohol_of(piece: Piece, spec: MixSpec) -> Lot | None:
    """Return the alcohol lot that a mix is made with, if the shelf tells.

    A mix that names no alcohol takes the only one there is, of the piece file if it has any; of
    several it would be a guess.
    """
    lots = [lot for lot in piece.shelf if lot.kind == "alcohol"]
    if spec.alcohol is not None:
        wanted = spec.alcohol
        named = [x for x in lots if wanted.lot in (x.name, x.alcohol.lot if x.alcohol else None)]
        alike = [x for x in lots if x.alcohol and wanted.parts and x.alcohol.parts == wanted.parts]
        return next(iter(named + alike), None)
    said = [x for x in lots if not x.logged] or [x for x in lots if x.some_left]
    return said[0] if len(said) == 1 else None


def left_of(have: Figure, need: Figure) -> Figure:
    """Return what is left, which is less than nothing where it falls short."""
    left = computed("have - need", need.unit, {"have": have, "need": need})
    return left.with_band(
        (have.low or 0.0) - (need.high or 0.0), (have.high or 0.0) - (need.low or 0.0)
    )


def _word(lot: Lot, need: Figure, age: Age) -> str:
    aged = age(lot)
    if aged in ("failed its test", "too old to trust untested"):
        return aged
    if lot.have is None:
        return aged or "amount not said"
    if lot.have < need.number():
        return "reorder"
    return aged or "enough"


def _lot(piece: Piece, name: str, where: str) -> Lot:
    for lot in piece.shelf:
        if lot.name == name:
            return lot
    raise Refusal(where, f"there is no lot '{name}' on the shelf",
                  nearest(name, [x.name for x in piece.shelf]) if piece.shelf
                  else "add a [[lot]] table")  # fmt: skip


def _flakes_lot(piece: Piece, spec: MixSpec, name: str) -> str:
    flakes = [lot for lot in piece.shelf if lot.kind == "flakes"]
    for lot in flakes:
        if lot.name == name:
            return name
    grades = table("grades")
    wanted = (
        grades.find(name, f"mix {spec.name}, flakes").key
        if name != f"flakes for {spec.name}"
        else ""
    )
    of_grade = [
        x for x in flakes if x.grade is not None and grades.find(x.grade, x.name).key == wanted
        and (None in (x.waxed, piece.wish.waxed) or x.waxed == piece.wish.waxed)
    ]  # fmt: skip
    if of_grade:
        # The lot with the most in it: a job mixed from one lot has one colour.
        return max(_own_first(of_grade), key=lambda x: x.have or 0.0).name
    return f"{name} flakes" if wanted else name


def _alcohol_lot(piece: Piece, spec: MixSpec) -> str:
    lot = alcohol_of(piece, spec)
    if lot is not None:
        return lot.name
    return spec.alcohol.lot if spec.alcohol is not None else "alcohol (which is not said)"


def _dye_lot(piece: Piece) -> str:
    dyes = _own_first([lot for lot in piece.shelf if lot.kind == "dye"])
    # Of several in the record none was chosen.
    return dyes[0].name if dyes and (len(dyes) == 1 or not dyes[0].logged) else "dye concentrate"


def _cleaning_lot(piece: Piece, amounts: tuple[Amount, ...]) -> str:
    """The can called so; else the alcohol of a mix that is made; else the first there is."""
    lots = _own_first([lot for lot in piece.shelf
                       if lot.kind == "alcohol" and (lot.some_left or not lot.logged)])  # fmt: skip
    cans = [lot.name for lot in lots]
    called = [name for name in cans if "clean" in name.lower()]
    of_mixes = [_alcohol_lot(piece, a.spec) for a in amounts if a.spec.jar is None]
    if lots and lots[0].logged and len(lots) > 1:
        cans = []  # of several in the record none was chosen
    return next(iter([*called, *of_mixes, *cans]), "alcohol for cleaning")


def _own_first(lots: list[Lot]) -> list[Lot]:
    """Return the lots of the piece file if there are any, else those of the record."""
    return [lot for lot in lots if not lot.logged] or lots


def _take(
    taken: dict[str, list[tuple[Figure, Array]]], name: str, figure: Figure, rows: Array
) -> None:
    taken.setdefault(name, []).append((figure, rows))


def _sum(parts: list[tuple[Figure, Array]]) -> tuple[Figure, Array]:
    if len(parts) == 1:
        return parts[0]
    inputs = {f"use{k}": f for k, (f, _) in enumerate(parts, 1)}
    rows = np.sum([r for _, r in parts], axis=0)
    return computed(" + ".join(inputs), parts[0][0].unit, inputs, draws=rows), rows
