"""The shelf: every lot and jar with what is left, its price, its age, and a word about testing."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any

from lacwright.plan.piece import Lot as PlanLot
from lacwright.plan.stock import age_word
from lacwright.shop import clock, names
from lacwright.shop.asked import body_of, chunks, rows, things
from lacwright.shop.facts import ALCOHOL, DYE, FLAKES, alcohol_of, density_of
from lacwright.shop.models import Balance, Event, Jar, Lot
from lacwright.shop.queries.contents import Contents, contents_of, resin_of
from lacwright.shop.queries.poured import pours, with_sources
from lacwright.shop.queries.preferences import zone as shop_zone
from lacwright.shop.queries.proving import NOTHING, Proof, proof, proofs
from lacwright.shop.queries.tainted import Taint, of_lots, poured_in, with_proof
from lacwright.solution import DatedTest, Resin, age, ageing_class
from lacwright.solution.ageing import BEFORE_USE, EXPECT_FAILURE, Age
from lacwright.trade import table

EMPTY, DISCARDED, REORDER = "empty", "discarded", "reorder"
TEST_FIRST, TOO_OLD, FAILED = "test first", "too old to trust untested", "failed its test"
TAINTED = "holds some of what failed its test"
LIQUIDS = (ALCOHOL, DYE)
AGES = 8192
"""So many ages of jars are kept: of a day they are asked for at every turn."""


@dataclass(frozen=True, eq=False)
class LotLine:
    """A lot of the shelf.

    Parameters
    ----------
    lot : Lot
        Its row.
    left_u : int or None
        What is left, in micrograms (millionths of a piece); None = nobody said how much it was.
    came_us : int or None
        When it came; None = it was there before the record.
    proof : Proof
        Its tests.
    at_us : int
        The moment it is looked at.
    zone : tzinfo
        Of the shop.
    """

    lot: Lot
    left_u: int | None
    came_us: int | None
    proof: Proof
    at_us: int
    zone: dt.tzinfo

    @property
    def left(self) -> float | None:
        """What is left, in grams or pieces."""
        return None if self.left_u is None else self.left_u / 1e6

    @property
    def left_ml(self) -> float | None:
        """What is left of a liquid [ml]."""
        if self.left is None or self.lot.kind not in LIQUIDS:
            return None
        return self.left / density_of(self.lot)

    @property
    def since(self) -> dt.date | None:
        """The day from which it ages: when it was bought, else when it came."""
        if self.lot.bought is not None:
            return self.lot.bought
        return None if self.came_us is None else clock.day_of(self.came_us, self.zone)

    @property
    def failed(self) -> bool:
        """Whether it is shut since it failed its test."""
        return self.proof.quarantine(self.lot.key, "lot") is not None

    @property
    def age_word(self) -> str:
        """What age and tests say: "", "test first", "too old ...", "failed its test"."""
        return age_word(self.plan_lot(), clock.day_of(self.at_us, self.zone))

    @property
    def test_by(self) -> dt.date | None:
        """The day from which flakes are to be tested before use."""
        if self.since is None or self.lot.kind != FLAKES:
            return None
        kind = f"flakes-{ageing_class(resin_of(self.lot))}"
        return age(kind=kind, mixed=self.since, on=self.since).test_by

    @property
    def word(self) -> str:
        """The one word about it: a failed test, empty, to be ordered, to be tested."""
        low = self.lot.order_below_u
        short = low is not None and self.left_u is not None and self.left_u < low
        if self.failed:
            return FAILED
        if self.left_u is not None and self.left_u <= 0:
            return EMPTY
        return REORDER if short else self.age_word

    def plan_lot(self) -> PlanLot:
        """Return it as a plan takes it: flakes in g, liquids in ml, other things as they are."""
        lot, test = self.lot, self.proof.dated("lot", self.zone)
        liquid = lot.kind in LIQUIDS
        per = 1e6 * (density_of(lot) if liquid else 1.0)
        return PlanLot(
            name=lot.key, kind=lot.kind if lot.kind in (FLAKES, ALCOHOL, DYE) else "other",
            have=self.left_ml if liquid else self.left, unit="ml" if liquid else lot.unit,
            grade=lot.grade or None, waxed=lot.waxed,
            alcohol=alcohol_of(lot) if lot.kind == ALCOHOL else None, date=self.since,
            tested=None if test is None else test.on, passed=None if test is None else test.passed,
            price=None if lot.price is None else float(lot.price),
            price_for=None if lot.price_for_u is None else lot.price_for_u / per,
        )  # fmt: skip

    def as_json(self) -> dict[str, Any]:
        """Return it as plain data with the reason for every null."""
        lot, test = self.lot, self.proof.dated("lot", self.zone)
        keys: dict[str, Any] = {
            "name": lot.key, "kind": lot.kind, "grade": lot.grade, "waxed": lot.waxed,
            "bleached": lot.bleached, "composition": lot.parts, "density_g_ml": lot.density_g_ml,
            "unit": lot.unit, "left": self.left, "left_ml": self.left_ml,
            "supplier": lot.supplier, "batch": lot.batch,
            "bought": lot.bought and lot.bought.isoformat(),
            "price": None if lot.price is None else float(lot.price),
            "price_for": None if lot.price_for_u is None else lot.price_for_u / 1e6,
            "order_below": None if lot.order_below_u is None else lot.order_below_u / 1e6,
            "word": self.word, "tested": test and test.on.isoformat(),
            "passed": None if test is None else test.passed, "note": lot.note,
        }  # fmt: skip
        return {**keys, "missing": {k: self._why(k) for k, v in keys.items() if v is None}}

    def _why(self, key: str) -> str:
        no = {
            "left": "nobody said how much came", "price_for": "no price is on record",
            "price": "no price is on record", "tested": "no test is on record",
            "passed": "no test is on record", "order_below": "no least amount is set",
        }  # fmt: skip
        if key == "left_ml":
            return no["left"] if self.lot.kind in LIQUIDS else "it is not a liquid"
        only = {"waxed": FLAKES, "bleached": FLAKES, "composition": ALCOHOL}
        if key in only and self.lot.kind != only[key]:
            return f"it is not {only[key]}"
        return no.get(key, "not said")


@dataclass(frozen=True, eq=False)
class JarLine:
    """A jar of the shelf.

    Parameters
    ----------
    jar : Jar
        Its row.
    contents : Contents
        What is in it.
    opened_us : int
        When it was mixed or filled.
    since_us : int
        Since when its oldest part is in solution: a blend is as old as its oldest jar.
    discarded_us : int or None
        When it was washed out.
    proof : Proof
        Its tests.
    at_us : int
        The moment it is looked at.
    zone : tzinfo
        Of the shop.
    taints : tuple of Taint
        What failed its test and is in it: jars, lots of flakes.
    was_there : bool
        Whether it was there already when the record began, nobody knows how long.
    """

    jar: Jar
    contents: Contents
    opened_us: int
    since_us: int
    discarded_us: int | None
    proof: Proof
    at_us: int
    zone: dt.tzinfo
    taints: tuple[Taint, ...] = ()
    was_there: bool = False

    @cached_property
    def failed(self) -> bool:
        """Whether it is shut since it failed its test."""
        return self.proof.quarantine(self.jar.key, "jar") is not None

    @property
    def suspect(self) -> tuple[Taint, ...]:
        """What failed its test and is in it, unless a passed test of its own proves it since."""
        if self.empty or self.discarded_us is not None:
            return ()
        return tuple(t for t in self.taints if t.proved_us is None)

    @property
    def empty(self) -> bool:
        """Whether nothing is in it, as far as the book knows."""
        return self.contents.empty and not self.contents.unsaid

    @cached_property
    def since(self) -> dt.date | None:
        """The day from which it ages; None for a jar that was there, nobody knows how long.

        A bought liquid is as old as the day it was bought, at least.
        """
        bought = [h.lot.bought for h in self.contents.held if h.came_mixed and h.lot.bought]
        if not bought and self.was_there:
            test = self.proof.dated("jar", self.zone)
            return None if test is None else test.on
        return min([clock.day_of(self.since_us, self.zone), *bought])

    @cached_property
    def age(self) -> Age | None:
        """What the calendar and the tests say; None where its day is not known or not yet."""
        mixed, on = self.since, clock.day_of(self.at_us, self.zone)
        if mixed is None or on < mixed:
            return None
        test = self.proof.dated("jar", self.zone)
        if test is not None and not mixed <= test.on <= on:
            test = None
        return _aged(self.ages_like, mixed, on, test)

    @property
    def ages_like(self) -> str:
        """The row of the table of ageing: of several resins the one that keeps shortest."""
        held = self.contents.held
        kinds = {_ages_like(h.lot.grade, h.lot.waxed) for h in held if h.lot.kind == FLAKES}
        if not kinds or self.contents.unknown_g > 0:
            kinds.add(ageing_class(Resin()))
        rows = table("ageing")
        return min(sorted(kinds), key=lambda kind: rows[kind].number("value"))

    @property
    def word(self) -> str:
        """The one word about it."""
        if self.discarded_us is not None:
            return DISCARDED
        if self.failed:
            return FAILED
        if self.empty:
            return EMPTY
        if self.suspect:
            return TAINTED
        if self.proof.running:
            return "test running"
        if self.since is None:
            return TEST_FIRST
        found = "" if self.age is None else self.age.word
        return {BEFORE_USE: TEST_FIRST, EXPECT_FAILURE: TOO_OLD}.get(found, "")

    def plan_lot(self) -> PlanLot:
        """Return it as a plan takes it; its grade is that of most of its resin."""
        numbers = self.contents.numbers[0]
        resins = sorted((h for h in self.contents.held if h.lot.kind == FLAKES),
                        key=lambda h: (-h.ug, h.lot.key))  # fmt: skip
        main = resins[0].lot if resins else None
        spirits = list(self.contents.mix.solvent_g)
        test = self.proof.dated("jar", self.zone)
        return PlanLot(
            name=self.jar.key, kind="jar", have=numbers["solution_ml"], unit="ml",
            grade=main.grade or None if main else None, waxed=main.waxed if main else None,
            alcohol=spirits[0] if len(spirits) == 1 else None,
            cut_lb_per_gal=numbers["cut_lb_per_gal"],
            date=self.since,
            tested=None if test is None else test.on, passed=None if test is None else test.passed,
        )  # fmt: skip

    def as_json(self) -> dict[str, Any]:
        """Return it as plain data with the reason for every null."""
        jar, test = self.jar, self.proof.dated("jar", self.zone)
        last = self.proof.last("jar")
        keys: dict[str, Any] = {
            "name": jar.key, "purpose": jar.purpose, "word": self.word,
            "mixed": clock.iso(self.opened_us, self.zone),
            "in_solution_since": self.since and self.since.isoformat(),
            "test_by": None if self.age is None or self.failed else self.age.test_by.isoformat(),
            "tested": test and test.on.isoformat(), "passed": None if test is None else test.passed,
            "last_test": last and last.as_json(self.zone),
            "discarded": None if self.discarded_us is None
            else clock.iso(self.discarded_us, self.zone),
            "tare_g": jar.tare_g, "mouth_mm": jar.mouth_mm, "claimed_cut": jar.claimed_cut,
            "note": jar.note, "taints": [t.as_json(self.zone) for t in self.taints],
        }  # fmt: skip
        none = "no test is on record" if last is None else f"no test of it said: {last.verdict}"
        why = {"tested": none, "passed": none, "last_test": "no test is on record",
               "discarded": "it was not washed out", "tare_g": "not said", "mouth_mm": "not said",
               "claimed_cut": "it was mixed here, or no cut is claimed",
               "test_by": "it failed its test: the calendar has no more to say" if self.failed
               else "its day is not on record, or later than the day that is looked at",
               "in_solution_since": "it was there when the record began"}  # fmt: skip
        inside = self.contents.as_json()
        missing = {k: why[k] for k, v in keys.items() if v is None} | inside["missing"]
        return {**keys, **inside, "missing": missing}


@dataclass(frozen=True)
class Stock:
    """The whole shelf."""

    lots: tuple[LotLine, ...]
    jars: tuple[JarLine, ...]


def stock(*, at_us: int | None = None) -> Stock:
    """Return all lots and jars, those that are used up included, in a fixed number of queries.

    Parameters
    ----------
    at_us : int, optional
        The moment at which ages are told; now if not given. Amounts are always those of now.
    """
    return Stock(lots(at_us=at_us), jars(at_us=at_us))


def lots(
    *, at_us: int | None = None, only: Mapping[str, Any] | None = None,
    zone: dt.tzinfo | None = None,
) -> tuple[LotLine, ...]:  # fmt: skip
    """Return the lots of the shelf by kind and name; lots that nobody said are none.

    Parameters
    ----------
    at_us : int, optional
        The moment at which ages are told; now if not given.
    only : mapping, optional
        Fields of the lots that are asked for, as Django filters by them.
    zone : tzinfo, optional
        Of the shop, where it was read already.
    """
    found = list(Lot.objects.filter(said=True, **only or {}).order_by("kind", "key"))
    numbers = None if only is None else [lot.id for lot in found]
    came = {lot: (at, body) for lot, at, body in _of_lots(_CAME, numbers)}
    counted = {lot for (lot,) in _of_lots(_COUNTED, numbers)}
    held = dict(_of_lots(_HELD, numbers))
    tests = proofs("lot", only=numbers)
    moment, zone = clock.now_us() if at_us is None else at_us, zone or shop_zone()
    return tuple(
        _lot_line(lot, held.get(lot.id, 0), lot.id in counted, tests.get(lot.key, NOTHING), moment,
                  zone, (came[lot.id][0], body_of(came[lot.id][1])))
        for lot in found if lot.id in came
    )  # fmt: skip


def jars(*, at_us: int | None = None, only: Iterable[int] | None = None) -> tuple[JarLine, ...]:
    """Return the jars by name, those that are empty or washed out included."""
    found = _standing(only)
    inside = contents_of([jar.place for jar in found])
    gone = {jar: at for some in chunks([jar.id for jar in found])
            for jar, at in rows(_DISCARDED, some)}  # fmt: skip
    among = None if only is None else with_sources(jar.place_id for jar in found)
    tests, opened = proofs("jar", places=among), _opened(among)
    since = _with_older(opened, among)
    bad, bad_lots = poured_in(among, tests), of_lots(inside.values())
    old = _there_before(only)
    moment, zone = clock.now_us() if at_us is None else at_us, shop_zone()

    def line(jar: Jar) -> JarLine:
        mine, place = tests.get(jar.key, NOTHING), inside[jar.place_id]
        taints = (*with_proof(bad.get(jar.place_id, ()), mine), *bad_lots.get(place.place, ()))
        at = opened[jar.place_id]
        return JarLine(jar, place, at, since.get(jar.place_id, at), gone.get(jar.id),
                       mine, moment, zone, taints, jar.opened_id in old)  # fmt: skip

    return tuple(line(jar) for jar in found)


def _standing(only: Iterable[int] | None) -> list[Jar]:
    """Return jars that were not taken back, by name, with their places."""
    head, tail = "JOIN shop_event e ON e.root_id = t.opened_id WHERE NOT e.void", "ORDER BY t.key"
    some = () if only is None else (list(only),)
    found = things(Jar, f"{head} {'AND t.id IN ({})' if some else ''} {tail}", *some)
    for jar in found:
        jar.place = names.place_of(Jar, jar.place_id, jar.key)
    return found


def _there_before(only: Iterable[int] | None) -> set[int]:
    """Return what wrote down the jars that were there already when the record began.

    Only a liquid that was filled in can have been; thousands of mixes are not read for it.
    """
    found = rows(_FILLED) if only is None else rows(f"{_FILLED} AND j.id IN ({{}})", list(only))
    return {movement for movement, body in found if body_of(body).get("opening")}


def lot_line(lot: Lot, *, at_us: int | None = None) -> LotLine:
    """Return one lot, also one that nobody said or that came with a bought liquid."""
    held = Balance.objects.filter(place=lot.place, lot=lot).values_list("ug", flat=True).first()
    counted = Event.objects.filter(kind="count", void=False, lot=lot).exists()
    moment = clock.now_us() if at_us is None else at_us
    opened = None if lot.opened is None else lot.opened.event
    came = None if opened is None else (opened.at_us, opened.movement.body)
    return _lot_line(lot, held or 0, counted, proof(lot), moment, shop_zone(), came)


def jar_line(jar: Jar, *, at_us: int | None = None) -> JarLine:
    """Return one jar."""
    return jars(at_us=at_us, only=[jar.id])[0]


def in_solution_since(only: Iterable[int] | None = None) -> dict[int, int]:
    """Return, by the place of a jar, since when its oldest part is in solution.

    A top-up does not make an old jar young, and a blend is as old as its oldest jar.

    Parameters
    ----------
    only : iterable of int, optional
        Places that are asked for; the jars from which they came are looked up with them.
    """
    return _since(None if only is None else with_sources(only))


def _since(among: Iterable[int] | None) -> dict[int, int]:
    among = None if among is None else list(among)
    return _with_older(_opened(among), among)


def _opened(among: Iterable[int] | None) -> dict[int, int]:
    """Return when jars were mixed or filled, by place."""
    if among is None:
        return dict(rows(_OPENED))
    return dict(rows(f"{_OPENED} AND j.place_id IN ({{}})", list(among)))


def _with_older(opened: Mapping[int, int], among: Iterable[int] | None) -> dict[int, int]:
    """Return the same, each as old as what was poured into it."""
    since = dict(opened)
    for step in pours(among):
        if step.source in since and step.to in since:
            since[step.to] = min(since[step.to], since[step.source])
    return since


@lru_cache(maxsize=AGES)
def _ages_like(grade: str, waxed: bool | None) -> str:
    return ageing_class(resin_of(Lot(grade=grade, waxed=waxed)))


@lru_cache(maxsize=AGES)
def _aged(kind: str, mixed: dt.date, on: dt.date, test: DatedTest | None) -> Age:
    return age(kind=kind, mixed=mixed, on=on, test=test)


def _lot_line(
    lot: Lot, held_u: int, counted: bool, tests: Proof, at_us: int, zone: dt.tzinfo,
    came: tuple[int, Mapping[str, Any]] | None,
) -> LotLine:  # fmt: skip
    came_us, left = None, held_u if counted or held_u else None
    if came is not None:
        at, body = came
        came_us = None if body.get("opening") else at
        left = left if body.get("amount") is None else held_u
    return LotLine(lot, left, came_us, tests, at_us, zone)


def _of_lots(sql: str, numbers: list[int] | None) -> Iterator[Any]:
    """Yield what is known of some lots, or of all."""
    if numbers is None:
        yield from rows(sql)
        return
    for some in chunks(numbers):
        yield from rows(f"{sql} AND k.id IN ({{}})", some)


_CAME = """
SELECT k.id, e.at_us, m.body FROM shop_lot k
JOIN shop_event e ON e.root_id = k.opened_id JOIN shop_movement m ON m.id = e.movement_id
WHERE NOT e.void AND e.kind = 'receive'
"""

_FILLED = """
SELECT m.id, m.body FROM shop_jar j JOIN shop_movement m ON m.id = j.opened_id
WHERE m.kind = 'fill'
"""

_DISCARDED = """
SELECT jar_id, MAX(at_us) FROM shop_event
WHERE jar_id IN ({}) AND kind = 'discard' AND NOT void GROUP BY jar_id
"""

_COUNTED = """
SELECT DISTINCT k.id FROM shop_lot k JOIN shop_event e ON e.lot_id = k.id
WHERE e.kind = 'count' AND NOT e.void
"""

_HELD = """
SELECT k.id, b.ug FROM shop_lot k JOIN shop_balance b ON b.place_id = k.place_id AND b.lot_id = k.id
WHERE 1 = 1
"""

_OPENED = """
SELECT j.place_id, e.at_us FROM shop_jar j JOIN shop_event e ON e.root_id = j.opened_id
WHERE NOT e.void
"""
