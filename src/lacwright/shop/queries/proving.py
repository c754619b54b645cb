"""Tests: which is in force, and what is shut because of it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from lacwright.shop import clock
from lacwright.shop.asked import body_of, rows
from lacwright.shop.models import Jar, Lot, Movement
from lacwright.shop.verdict import FAILED, PASSED, RUNNING, Times
from lacwright.solution import DatedTest

DECIDES = {"jar": ("drying",), "lot": ("dissolve",)}
"""Tests that shut a jar or a lot if they fail; the last of each kind counts.

A drop of water on a film shuts nothing: it whitens many a sound one.
"""


@dataclass(frozen=True)
class Tested:
    """A test that was written down."""

    movement: int
    at_us: int
    test: str
    verdict: str
    says: tuple[str, ...]
    limits: Mapping[str, Any]
    body: Mapping[str, Any]

    def as_json(self, zone: dt.tzinfo) -> dict[str, Any]:
        """Return it as plain data."""
        return {"observation": self.movement, "test": self.test,
                "at": clock.iso(self.at_us, zone), "verdict": self.verdict,
                "says": list(self.says)}  # fmt: skip

    @property
    def look_us(self) -> int | None:
        """When to look again, as far as the last look tells when it began."""
        look = self.body.get("look_min")
        if look is None:
            return None
        drop = self.body.get("jar")
        seen = Times(**drop).looked_min if drop else 60.0 * self.body["result"].get("hours", 0.0)
        return self.at_us + round((float(look) - (seen or 0.0)) * 60 * clock.SECOND)


@dataclass(frozen=True)
class Quarantine:
    """Why a jar or lot is shut."""

    of: str
    test: str
    movement: int
    at_us: int
    says: tuple[str, ...]

    def words(self, zone: dt.tzinfo) -> str:
        """Return "failed its drying test of 2027-03-01"."""
        return f"failed its {self.test} test of {clock.day_of(self.at_us, zone)}"


@dataclass(frozen=True)
class Proof:
    """What the tests say about a jar or lot."""

    tests: tuple[Tested, ...]  # in the order of time

    def quarantine(self, of: str, kind: str) -> Quarantine | None:
        """Return why it is shut, None if it is not."""
        for test in DECIDES[kind]:
            decided = [t for t in self.tests if t.test == test and t.verdict in (PASSED, FAILED)]
            if decided and decided[-1].verdict == FAILED:
                last = decided[-1]
                return Quarantine(of, last.test, last.movement, last.at_us, last.says)
        return None

    def dated(self, kind: str, zone: dt.tzinfo) -> DatedTest | None:
        """Return the last test that passed or failed, as the model of ageing takes it."""
        decided = [t for t in self.tests
                   if t.test in DECIDES[kind] and t.verdict in (PASSED, FAILED)]  # fmt: skip
        if not decided:
            return None
        last = decided[-1]
        return DatedTest(clock.day_of(last.at_us, zone), last.verdict == PASSED)

    def last_good(self, failed: Quarantine | None) -> Tested | None:
        """Return the last passed drying test, of those before it failed."""
        good = [t for t in self.tests if t.test == "drying" and t.verdict == PASSED
                and (failed is None or t.at_us <= failed.at_us)]  # fmt: skip
        return good[-1] if good else None

    def last(self, kind: str) -> Tested | None:
        """Return the last test of those that decide, whatever it said."""
        mine = [t for t in self.tests if t.test in DECIDES[kind]]
        return mine[-1] if mine else None

    @property
    def running(self) -> tuple[Tested, ...]:
        """Tests that were begun and are not decided: the last of each kind."""
        if not self.tests:
            return ()
        last = {t.test: t for t in self.tests}
        return tuple(t for t in last.values() if t.verdict == RUNNING)


NOTHING = Proof(())


def quarantine(jar: Jar, *, at_us: int | None = None) -> Quarantine | None:
    """Return why a jar is shut, None if it is not.

    Parameters
    ----------
    jar : Jar
        The jar.
    at_us : int, optional
        When; now, whatever was written down, if not given.
    """
    return proof(jar, at_us=at_us).quarantine(jar.key, "jar")


def lot_quarantine(lot: Lot, *, at_us: int | None = None) -> Quarantine | None:
    """Return why a lot is shut, None if it is not."""
    return proof(lot, at_us=at_us).quarantine(lot.key, "lot")


def proof(thing: Jar | Lot, *, at_us: int | None = None) -> Proof:
    """Return the tests of a jar or lot."""
    kind = "jar" if isinstance(thing, Jar) else "lot"
    found = rows(_TESTS.format(f"e.{kind}_id IN ({{}})"), [thing.pk])
    tests = (_tested(*told) for told in found if at_us is None or told[1] <= at_us)
    return Proof(tuple(tests))


def proofs(
    kind: str, *, only: Iterable[int] | None = None, places: Iterable[int] | None = None
) -> dict[str, Proof]:
    """Return the tests of jars ("jar") or lots ("lot") that have any, by name: one query.

    Parameters
    ----------
    kind : str
        "jar" or "lot".
    only, places : iterable of int, optional
        Their numbers, or those of their places; all of them if left out.
    """
    lists, where = [], [f"e.{kind}_id IS NOT NULL"]
    if only is not None:
        where.append(f"e.{kind}_id IN ({{}})")
        lists.append(list(only))
    if places is not None:
        where.append(f"e.{kind}_id IN (SELECT id FROM shop_{kind} WHERE place_id IN ({{}}))")
        lists.append(list(places))
    found: dict[str, list[Tested]] = {}
    for told in rows(_TESTS.format(" AND ".join(where)), *lists):
        test = _tested(*told)
        found.setdefault(test.body["refs"][kind], []).append(test)
    return {key: Proof(tuple(tests)) for key, tests in found.items()}


def tested(movement: Movement, root: int) -> Tested:
    """Return a test out of the movement that counts."""
    return _tested(root, movement.at_us, movement.body)


def _tested(root: int, at_us: int, text: Any) -> Tested:
    body = body_of(text)
    return Tested(root, at_us, body["test"], body["verdict"], tuple(body["says"]),
                  body["limits"], body)  # fmt: skip


_TESTS = """
SELECT e.root_id, e.at_us, m.body
FROM shop_event e JOIN shop_movement m ON m.id = e.movement_id
WHERE {} AND e.kind = 'test' AND NOT e.void
ORDER BY e.at_us, e.root_id
"""
