"""From checked tables to the types a plan starts from. What is not said stays not said."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lacwright.figures import Refusal, nearest
from lacwright.figures.spoken import a_cut
from lacwright.files import words as w
from lacwright.files.checks import check
from lacwright.files.money import ClassTable, QuoteTable
from lacwright.files.tables import LotTable, MixTable, ShopTable, StepTable, WishTable
from lacwright.plan.piece import (
    ClassSpec,
    Exercise,
    HoursLine,
    Lot,
    MaterialLine,
    MixSpec,
    QuoteSpec,
    Shop,
    Step,
    Wish,
)
from lacwright.solution import Alcohol, read_alcohol
from lacwright.trade import table


def wish_of(data: Any) -> tuple[Wish, list[Refusal]]:
    """Return the wish of a [wish] table and all that is wrong with it."""
    row, wrong = check(WishTable, data, "[wish]")
    if row is None:
        return Wish(), wrong
    return Wish(
        tuple(row.use), tuple(row.under), tuple(row.over), row.start, row.by, row.sheen, row.grade,
        _waxed(row.wax), row.film_left,
    ), []  # fmt: skip


def shop_of(data: Any, hand_days: tuple[int, ...] | None = None) -> tuple[Shop, list[Refusal]]:
    """Return the shop of a [shop] table and all that is wrong with it.

    `hand_days` are the working days of a [hand] table in the same file; they may stand in one
    of the two tables only.
    """
    row, wrong = check(ShopTable, data, "[shop]")
    if row is None:
        return Shop(), wrong
    if not row.working_days and "working_days" in data:
        wrong.append(Refusal("[shop] working_days", "the list is empty, so no work is ever done",
                             'write e.g. ["mon", "tue"] or leave it out'))  # fmt: skip
    if row.working_days and hand_days:
        wrong.append(Refusal("[hand] working_days", "[shop] gives the working days too",
                             "keep one of them"))  # fmt: skip
    days = tuple(sorted(row.working_days)) or hand_days
    closed = sorted({day for span in row.closed for day in span})
    return Shop(
        row.temp, row.rh, days, tuple(closed), row.rag_plan, tuple(row.ignition), row.children
    ), wrong


def lot_of(row: LotTable, where: str) -> Lot:
    """Return a lot of the shelf.

    Raises
    ------
    Refusal
        For an alcohol that is in no table.
    """
    have = None if row.have is None else w.stock(row.have, row.kind)
    price_for = None if row.price_for is None else w.stock(row.price_for, row.kind)
    unit = (have or price_for or (0.0, _UNIT[row.kind]))[1]
    if have and price_for and have[1] != price_for[1]:
        raise Refusal(f"{where}, for", f"the price is for {price_for[1]}, the stock in {have[1]}",
                      "write both in the same unit")  # fmt: skip
    alcohol = None
    if row.alcohol is not None:
        alcohol = read_alcohol(row.alcohol, where=f"{where}, alcohol", lot=row.name)
    return Lot(
        row.name, row.kind, have and have[0], unit, row.grade, _waxed(row.wax), alcohol, row.cut,
        row.date, row.tested, row.passed, row.price, price_for and price_for[0],
    )  # fmt: skip


def mix_of(row: MixTable, where: str, shelf: Mapping[str, Lot]) -> MixSpec:
    """Return a mix, its lots and its jar looked up on the shelf.

    Raises
    ------
    Refusal
        For a lot or jar that is not on the shelf, an unknown alcohol, a missing cut.
    """
    jar = None if row.jar is None else _jar(row, where, shelf)
    cut = row.cut
    if jar is not None and jar.cut_lb_per_gal is not None:
        if cut is not None and abs(cut - jar.cut_lb_per_gal) > 0.005:
            raise Refusal(f"{where}, cut", f"the jar holds {a_cut(jar.cut_lb_per_gal, 6)}",
                          "leave it out, or take another jar")  # fmt: skip
        cut = jar.cut_lb_per_gal
    if cut is None:
        raise Refusal(f"{where}, cut", "the cut is missing", 'write e.g. cut = "2-lb cut"')
    named = [(row.lot, None)] if row.lot else [(f.lot, f.share) for f in row.flakes]
    field = "lot" if row.lot else "flakes"
    flakes = [(_flakes(lot, f"{where}, {field}", shelf), s or 1.0) for lot, s in named]
    total = sum(s for _, s in flakes)
    sources = [shelf[lot] for lot, _ in flakes if lot in shelf] + ([jar] if jar else [])
    grades = {lot.grade for lot in sources}
    reserve = row.reserve or w.Reserve()
    return MixSpec(
        row.name, cut, row.grade or (grades.pop() if len(grades) == 1 else None),
        _alcohol(row, where, shelf) or (jar.alcohol if jar else None),
        tuple((lot, s / total) for lot, s in flakes), reserve.share, reserve.ml, row.make,
        row.new_applicators, _dye(row, jar), row.jar,
    )  # fmt: skip


def step_of(row: StepTable, faces: tuple[str, ...]) -> Step:
    """Return a step; `faces` are its faces as its parts call them."""
    rest, deposit = row.rest or w.RestTime(), row.deposit or w.Deposit()
    return Step(
        row.what, tuple(row.parts), faces, row.times, row.method, row.mix, tuple(row.spread),
        row.uses, row.wet, deposit.um, deposit.g_m2, row.soaks_in, row.lost, row.removes,
        row.abrasive, row.edges, row.wait if row.wait is not None else rest.hours, rest.days,
        rest.working_days, row.working_day, row.hours, row.oil, row.note or "",
    )  # fmt: skip


def quote_spec(data: Any) -> tuple[QuoteSpec | None, list[Refusal]]:
    """Return what a [quote] table says and all that is wrong with it."""
    row, wrong = check(QuoteTable, data, "[quote]")
    if row is None:
        return None, wrong
    hours = tuple(
        HoursLine(h.what, h.fixed or 0.0, h.per_m2 or 0.0, h.per_coat or 0.0,
                  h.per_m2_coat or 0.0, tuple(h.faces), tuple(h.parts))
        for h in row.hours
    )  # fmt: skip
    materials = tuple(MaterialLine(m.what, m.amount, m.price, m.per or "") for m in row.material)
    return QuoteSpec(row.currency or "", row.rate, hours, materials, row.contingency,
                     row.contingency_on), []  # fmt: skip


def class_spec(data: Any) -> tuple[ClassSpec | None, list[Refusal]]:
    """Return what a [class] table says and all that is wrong with it."""
    row, wrong = check(ClassTable, data, "[class]")
    if row is None:
        return None, wrong
    exercises = tuple(
        Exercise(e.name, (e.area or e.size or 0.0) * (e.count or 1), e.coats, e.mix,
                 e.per_person or 1.0, e.method or "brush", e.spread)
        for e in row.exercise
    )  # fmt: skip
    return ClassSpec(
        row.students, row.demonstrators or 0, exercises, tuple((row.lost or {}).items()),
        row.spare, row.cleaning, tuple((i.what, i.per_person, i.price) for i in row.item),
    ), []  # fmt: skip


_UNIT = {"flakes": "g", "alcohol": "ml", "jar": "ml", "dye": "ml", "other": "pieces"}


def _waxed(word: str | None) -> bool | None:
    return None if word is None else word == "waxed"


def _jar(row: MixTable, where: str, shelf: Mapping[str, Lot]) -> Lot:
    lot = shelf.get(row.jar or "")
    if lot is None or lot.kind != "jar":
        jars = [name for name, lot in shelf.items() if lot.kind == "jar"]
        raise Refusal(f"{where}, jar", f"no jar '{row.jar}' is on the shelf",
                      nearest(row.jar or "", jars) if jars else
                      'add a [[lot]] with kind = "jar"')  # fmt: skip
    return lot


def _dye(row: MixTable, jar: Lot | None) -> float:
    """Return ml of dye to a litre of alcohol: as said, else what is in the jar."""
    if row.dye is not None or jar is None or jar.content is None or not jar.cut_lb_per_gal:
        return row.dye or 0.0
    return float(1000.0 * jar.content.dye_ml / jar.content.alcohol_ml)


def _flakes(name: str, where: str, shelf: Mapping[str, Lot]) -> str:
    """Return the lot of that name, or the grade."""
    if name in shelf:
        if shelf[name].kind != "flakes":
            raise Refusal(where, f"'{name}' on the shelf is {shelf[name].kind}, not flakes",
                          "name a lot of flakes or a grade")  # fmt: skip
        return name
    grades = table("grades")
    try:
        return grades.find(name, where).key
    except Refusal:
        known = [n for n, lot in shelf.items() if lot.kind == "flakes"]
        raise Refusal(where, f"'{name}' is neither a lot of flakes on the shelf nor a grade",
                      nearest(name, [*known, *grades.rows])) from None  # fmt: skip


def _alcohol(row: MixTable, where: str, shelf: Mapping[str, Lot]) -> Alcohol | None:
    """Return the alcohol of a mix: a lot of the shelf, a name of the table, a composition."""
    name = row.alcohol
    if name is None:
        return None
    lots = {n: lot for n, lot in shelf.items() if lot.kind == "alcohol"}
    if name in lots:
        return lots[name].alcohol or Alcohol(name, None)
    try:
        return read_alcohol(name, where=f"{where}, alcohol")
    except Refusal as refusal:
        close = nearest(name, lots) if lots else ""
        if close.startswith("did you mean"):
            raise Refusal(refusal.where, f"no alcohol '{name}' is on the shelf", close) from None
        raise
