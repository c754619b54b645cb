"""Carrying on: from a place forward in time, to every place that something of it reached.

A label-correcting walk in waves: every wave is two plain queries for all places reached in the wave
before, when they were washed and what went out of them. Of every place only the earliest contact
counts, apart for each time between two washings; an edge is followed only if it is later than the
contact and not later than the next washing.
"""

from __future__ import annotations

import bisect
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from lacwright.shop.asked import chunks, table_of
from lacwright.shop.ledger.moves import OUTSIDE

Moment = tuple[int, int, int]
"""The order of steps: when, which event, which step of it."""

BEGINNING: Moment = (-(2**62), -1, -1)
END: Moment = (2**62, 0, 0)


@dataclass(frozen=True, slots=True)
class Edge:
    """Something went from a place to another."""

    moment: Moment
    source: int
    to: int
    washed: bool

    @property
    def event(self) -> int:
        """Root of the observation."""
        return self.moment[1]


@dataclass(frozen=True, slots=True)
class Contact:
    """When a place was reached, until when it carries on, and along which edge it was reached."""

    place: int
    since: Moment
    until: Moment
    edge: Edge | None


@dataclass
class Reach:
    """What was reached from the starts."""

    contacts: dict[int, list[Contact]] = field(default_factory=dict)
    """By place, in the order of time; two of one place are parted by a washing."""
    edges: dict[Moment, Edge] = field(default_factory=dict)
    """Every step by which something was carried on, washings included."""

    def at(self, place: int, moment: Moment) -> Contact | None:
        """Return the contact of a place that was in force at a moment."""
        found = self.contacts.get(place, [])
        n = bisect.bisect_left(found, moment, key=lambda c: c.since) - 1
        return found[n] if n >= 0 and moment <= found[n].until else None

    def path(self, edge: Edge) -> list[int]:
        """Return the places through which it came to an edge, the start first."""
        places = [edge.source]
        contact = self.at(edge.source, edge.moment)
        while contact is not None and contact.edge is not None:
            places.append(contact.edge.source)
            contact = self.at(contact.edge.source, contact.edge.moment)
        return places[::-1]


def reach(starts: Iterable[tuple[int, Moment]]) -> Reach:
    """Return every place that something reached from some places, each from a moment on.

    Parameters
    ----------
    starts : iterable of (place, moment)
        From where, and from when on (exclusive).
    """
    walk = _Walk()
    wave: list[Reached] = [(place, since, None) for place, since in starts]
    while wave:
        wave = [(edge.to, edge.moment, edge) for edge in walk.carried_on(wave) if not edge.washed]
    return walk.told()


Reached = tuple[int, Moment, Edge | None]
"""A place, when it was reached, and along which edge."""
Span = tuple[int, Moment, Moment]
"""A place, after which moment, up to and with which moment."""


class _Walk:
    def __init__(self) -> None:
        self._washes: dict[int, list[Moment]] = {}
        self._washes_of: dict[int, tuple[int, int]] = {}
        self._contacts: dict[int, dict[Moment, Contact]] = defaultdict(dict)
        self._edges: dict[Moment, Edge] = {}

    def carried_on(self, wave: Sequence[Reached]) -> list[Edge]:
        """Return what places carried on since they were reached, each up to its next washing.

        A pad may be reached a thousand times: of every place only the earliest contact before each
        washing is followed, and only as far back as no earlier wave came.
        """
        self._read_washes(wave)
        first: dict[tuple[int, Moment], Contact] = {}
        for place, since, edge in wave:
            until = self._until(place, since)
            better = first.get((place, until)) or self._contacts[place].get(until)
            if better is None or since < better.since:
                first[place, until] = Contact(place, since, until, edge)
        spans: list[Span] = []
        for (place, until), contact in first.items():
            before = self._contacts[place].get(until)
            spans.append((place, contact.since, until if before is None else before.since))
            self._contacts[place][until] = contact
        return self._read(spans)

    def told(self) -> Reach:
        """Return what was found."""
        contacts = {
            place: sorted(mine.values(), key=lambda c: c.since)
            for place, mine in self._contacts.items()
        }  # fmt: skip
        return Reach(contacts, self._edges)

    def _until(self, place: int, since: Moment) -> Moment:
        """Return the first washing of a place after a moment."""
        washes = self._washes[place]
        n = bisect.bisect_right(washes, since)
        return washes[n] if n < len(washes) else END

    def _read_washes(self, wave: Sequence[Reached]) -> None:
        """Read when the places of a wave were washed, from the first contact to after the last."""
        known, asked = self._washes_of, dict[int, tuple[int, int]]()
        for place, (at_us, _, _), _ in wave:
            first, last = asked.get(place) or known.get(place) or (at_us, at_us)
            if place not in known or not first <= at_us <= last:
                asked[place] = min(first, at_us), max(last, at_us)
        for place in asked:
            self._washes[place] = []
        known.update(asked)
        for some in chunks(list(asked.items())):
            for place, *moment in table_of(_WASHES, [(place, *span) for place, span in some]):
                self._washes[place].append(tuple(moment))
        for place in asked:
            self._washes[place].sort()

    def _read(self, spans: Sequence[Span]) -> list[Edge]:
        """Read what went out of places within spans of time, as far as it was not read before."""
        found: list[Edge] = []
        for some in chunks(spans):
            of: dict[int, list[Span]] = defaultdict(list)
            for span in some:
                of[span[0]].append(span)
            values = [(place, since[0], until[0]) for place, since, until in some]
            for source, at_us, event, step, to, washed in table_of(_OUT, values):
                moment = (at_us, event, step)
                if moment not in self._edges and any(
                    since < moment <= until for _, since, until in of[source]
                ):
                    edge = self._edges[moment] = Edge(moment, source, to, bool(washed))
                    found.append(edge)
        return found


# CROSS JOIN: SQLite then begins with the few places, and not with the flows.
_WASHES = """
WITH asked(place, since, last) AS (VALUES {})
SELECT f.source_id, f.at_us, f.event_id, f.step
FROM asked CROSS JOIN shop_flow f
WHERE f.source_id = asked.place AND f.at_us >= asked.since AND f.washed AND f.at_us <= COALESCE(
  (SELECT MIN(n.at_us) FROM shop_flow n
   WHERE n.source_id = asked.place AND n.at_us > asked.last AND n.washed), asked.last)
"""

_OUT = """
WITH asked(place, since, until) AS (VALUES {})
SELECT f.source_id, f.at_us, f.event_id, f.step, f.to_id, f.washed
FROM asked CROSS JOIN shop_flow f
WHERE f.source_id = asked.place AND f.at_us >= asked.since AND f.at_us <= asked.until
  AND (f.washed OR f.to_id NOT IN (
    SELECT id FROM shop_place WHERE key IN ('supplier', 'air', 'waste', 'unaccounted')))
"""
assert all(f"'{key}'" in _OUT for key in OUTSIDE)
