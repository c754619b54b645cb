"""The shelf: the list of lots, what is known of one, where it went, a list that is read in."""

from __future__ import annotations

import datetime as dt
from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.template.defaultfilters import capfirst
from django.urls import reverse

from lacwright.bench.forms.shelf import KIND_WORDS
from lacwright.bench.pages.jars import Line, TestRow, test_rows
from lacwright.bench.pages.measures import When, days_words, of_lot, spoken_day, when
from lacwright.bench.words import amount
from lacwright.figures import Caution
from lacwright.figures.spoken import trimmed
from lacwright.shop import clock
from lacwright.shop.facts import ALCOHOL, FLAKES, alcohol_of, density_of
from lacwright.shop.models import Lot
from lacwright.shop.queries import shelf
from lacwright.shop.queries.found import find_lots, told_of
from lacwright.shop.queries.named import panels_among
from lacwright.shop.queries.preferences import currency
from lacwright.shop.queries.proving import NOTHING
from lacwright.shop.queries.remembered import remembered
from lacwright.shop.queries.shelf import LIQUIDS, LotLine, lot_line
from lacwright.shop.queries.shut import shut_jars
from lacwright.shop.queries.suiting import suits_lac
from lacwright.shop.queries.went import Holder, Went
from lacwright.solution import cautions_of

URGENT = (shelf.FAILED, shelf.TEST_FIRST, shelf.TOO_OLD, shelf.REORDER)


@dataclass(frozen=True)
class LotRow:
    """A lot of the list."""

    name: str
    url: str
    what: str
    left: str
    age: str
    word: str
    shut: bool


def lot_rows(
    *, words: str, kind: str, show: str, skip: int, most: int, zone: dt.tzinfo
) -> tuple[list[LotRow], int]:
    """Return a page of lots, and how many there are; ages tell days."""
    today = clock.day_of(clock.now_us(), zone)
    return remembered(("lots", words, kind, show, skip, most, str(zone), today),
                      lambda: _lot_rows(words, kind, show, skip, most))  # fmt: skip


def _lot_rows(
    words: str, kind: str, show: str, skip: int, most: int
) -> tuple[list[LotRow], int]:  # fmt: skip
    found = find_lots(words=words, kind=kind, show=show, skip=skip, most=most)
    by_id = {line.lot.id: line for line in shelf.lots(only={"id__in": found.ids})}
    return [_row(by_id[number]) for number in found.ids], found.total


def _row(line: LotLine) -> LotRow:
    lot = line.lot
    return LotRow(lot.key, reverse("shelf-one", args=[lot.key]), what(lot), left(line),
                  age_words(line), line.word or ("test running" if line.proof.running else ""),
                  line.failed)  # fmt: skip


def what(lot: Lot) -> str:
    """Return what a lot is: "garnet, waxed", "alcohol", "P320"."""
    wax = {None: "", True: ", waxed", False: ", dewaxed"}[lot.waxed]
    name = lot.grade.replace("-", " ") if lot.grade else KIND_WORDS[lot.kind].lower()
    return f"{name}{wax}{', bleached' if lot.bleached and 'bleached' not in name else ''}"


def left(line: LotLine) -> str:
    """Return what is left of a lot."""
    return of_lot(line.left, line.lot.unit, line.left_ml)


def age_words(line: LotLine) -> str:
    """Return how old a lot is, "" where nobody knows."""
    if line.since is None:
        return ""
    return days_words((clock.day_of(line.at_us, line.zone) - line.since).days)


@dataclass(frozen=True)
class LotPage:
    """One lot."""

    name: str
    kind: str
    what: str
    left: str
    word: str
    shut: str
    says: tuple[str, ...]
    odd: str
    in_jar: str
    jar_shut: str
    """What is against the jar in which it came."""
    facts: tuple[tuple[str, str], ...]
    since: When | None
    age: str
    test_by: When | None
    tests: tuple[TestRow, ...]
    looks: tuple[When, ...]
    log: tuple[Line, ...]
    note: str
    empty: bool
    next: str
    """What the large button does: "recall", "look", "test", "mix", ""."""
    cautions: tuple[Caution, ...]


def lot_page(lot: Lot, zone: dt.tzinfo) -> LotPage:
    """Return what is to be seen of a lot."""
    line = lot_line(lot)
    shut = line.proof.quarantine(lot.key, "lot") if line.proof is not NOTHING else None
    looks = tuple(when(t.look_us, zone) for t in line.proof.running if t.look_us is not None)
    opened = lot.opened
    filled = opened is not None and opened.kind == "fill"
    test_by = line.test_by
    in_jar = str(opened.body["refs"]["jar"]) if opened is not None and filled else ""
    return LotPage(
        lot.key, lot.kind, what(lot), left(line), "" if filled else line.word,
        "" if shut is None else f"Lot {lot.key} {shut.words(zone)}: nothing of it is dissolved",
        () if shut is None else shut.says, odd(lot),
        in_jar, shelf.FAILED if in_jar and in_jar in shut_jars() else "",
        tuple(_facts(line)), None if line.since is None else spoken_day(line.since),
        age_words(line), None if test_by is None else spoken_day(test_by),
        tuple(test_rows(line.proof.tests, zone)), looks,
        () if filled else tuple(Line(when(t.at_us, zone), t.words, t.movement)
                                for t in told_of(lot)),
        lot.note, line.left == 0, _next(line, bool(shut), bool(looks), filled),
        cautions_of([alcohol_of(lot)]) if lot.kind == ALCOHOL else (),
    )  # fmt: skip


def _next(line: LotLine, shut: bool, looks: bool, filled: bool) -> str:
    if shut:
        return "recall"
    if filled or (line.left is not None and line.left <= 0):
        return ""
    if looks:
        return "look"
    if line.age_word:
        return "test"
    return "mix" if line.lot.kind in (FLAKES, ALCOHOL) else ""


def odd(lot: Lot) -> str:
    """Return what is the matter with an alcohol for shellac, "" where nothing is."""
    if lot.kind != ALCOHOL:
        return ""
    verdict, why = suits_lac(lot)
    if verdict == "no":
        return f"It does not suit shellac: {why}"
    return capfirst(why) if verdict == "weak" else ""


def _facts(line: LotLine) -> Iterable[tuple[str, str]]:
    lot = line.lot
    if lot.kind == ALCOHOL:
        parts = sorted((lot.parts or {}).items(), key=lambda part: -part[1])
        told = ", ".join(f"{name} {share:.3g}" for name, share in
                         ((name, 100 * share) for name, share in parts))  # fmt: skip
        yield "What is in it, % by weight", told or "not known: ask for the data sheet"
    if lot.density_g_ml is not None:
        yield "Density, as weighed", f"{lot.density_g_ml:g} g/ml"
    if lot.supplier or lot.batch:
        yield "From", ", ".join(text for text in (lot.supplier, lot.batch) if text)
    if lot.bought is not None:
        yield "Bought", spoken_day(lot.bought).words
    if lot.price is not None and lot.price_for_u:
        of = _amount(lot, lot.price_for_u)
        yield "Price", f"{lot.price:.2f} {currency()} for {of}".replace("  ", " ")
    if lot.order_below_u is not None:
        yield "Order below", _amount(lot, lot.order_below_u)


def _amount(lot: Lot, u: int) -> str:
    """Return an amount of a lot out of its millionths."""
    return of_lot(u / 1e6, lot.unit, u / 1e6 / density_of(lot) if lot.kind in LIQUIDS else None)


def typed(lot: Lot, u: int | None) -> str:
    """Return an amount as a field takes it: "250 g", "12 pc", "500 ml"."""
    if u is None:
        return ""
    if lot.unit != "g":
        return f"{u / 1e6:g} pc"
    if lot.kind in LIQUIDS:
        return f"{trimmed(u / 1e6 / density_of(lot), 4)} ml"
    return f"{u / 1e6:.6g} g"


@dataclass(frozen=True)
class On:
    """Something of a lot on a piece by one coat."""

    when: When
    words: str
    amount: str


@dataclass(frozen=True)
class Held:
    """A place that holds some of a lot."""

    name: str
    url: str
    amount: str
    coats: tuple[On, ...]
    shut: str = ""


@dataclass(frozen=True)
class WentPage:
    """Where a lot went."""

    name: str
    came: str
    store: str
    jars: tuple[Held, ...]
    pads: tuple[Held, ...]
    pieces: tuple[Held, ...]
    lost: tuple[tuple[str, str], ...]
    not_said: tuple[str, ...]
    nowhere: bool


def went_page(lot: Lot, found: Went, shown: Sequence[Holder], zone: dt.tzinfo) -> WentPage:
    """Return where a lot went, with some of the pieces that got it."""
    boards = panels_among(h.name for h in shown)

    def told(value: float | None) -> str:
        return of_lot(value, found.unit)

    def held(
        rows: Iterable[Holder], room: Mapping[str, str], shut: Container[str] = ()
    ) -> tuple[Held, ...]:
        return tuple(
            Held(h.name, _url(h.name, room, boards), told(h.amount),
                 tuple(On(when(c.at_us, zone), _coat(c.what, c.number, c.parts), told(c.amount))
                       for c in h.coats), shelf.FAILED if h.name in shut else "")
            for h in rows
        )  # fmt: skip

    return WentPage(
        lot.key, told(found.came), told(found.in_store),
        held(found.jars, {"": "jars-one"}, shut_jars()),
        held(found.applicators, {}), held(shown, {"": "pieces-one", "panel": "panels-one"}),
        tuple(_lost(found, told)), found.not_said,
        not (found.jars or found.applicators or found.pieces),
    )  # fmt: skip


def _url(name: str, room: Mapping[str, str], boards: set[str]) -> str:
    if not room:
        return reverse("jars-pads")
    return reverse(room["panel"] if name in boards and "panel" in room else room[""], args=[name])


def _coat(word: str, number: int | None, parts: Iterable[str]) -> str:
    on = ", ".join(parts)
    return capfirst(f"{word}{f' {number}' if number else ''}{f' on {on}' if on else ''}")


def _lost(found: Went, told: Any) -> Iterable[tuple[str, str]]:
    for words, value in (("Into the air", found.air), ("Into the waste", found.waste)):
        if value:
            yield words, told(value)
    if found.unaccounted > 0:
        yield "Nobody knows where", told(found.unaccounted)
    elif found.unaccounted < 0:
        yield "Taken beyond what ever came", told(-found.unaccounted)


@dataclass(frozen=True)
class Imported:
    """A line of a stock list as it was understood."""

    name: str
    what: str
    left: str
    more: str


def imported(lots: Iterable[Mapping[str, Any]]) -> list[Imported]:
    """Return the lots that reading a list in would write down."""
    return [
        Imported(lot["name"], _what_json(lot), of_lot(lot["left"], lot["unit"], lot["left_ml"]),
                 ", ".join(x for x in (lot["supplier"], lot["batch"], lot["bought"],
                                       _price_json(lot)) if x))
        for lot in lots
    ]  # fmt: skip


def _what_json(lot: Mapping[str, Any]) -> str:
    wax = {None: "", True: ", waxed", False: ", dewaxed"}[lot["waxed"]]
    return f"{lot['kind']}{', ' + lot['grade'].replace('-', ' ') if lot['grade'] else ''}{wax}"


def _price_json(lot: Mapping[str, Any]) -> str:
    return "" if lot["price"] is None else f"price {amount(lot['price'], 4)}"
