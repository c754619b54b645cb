"""Carrying on: from a place forward in time, to every place that something of it reached.

A label-correcting walk in waves: every wave is one plain query for all places reached in the wave
before. Of every place only the earliest contact counts, apart for each time between two washings;
an edge is followed only if it is later than the contact and not later than the next washing.
"""

from __future__ import annotations

import bisect
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import TypeVar

from django.db import connection

from lacwright.shop.ledger.moves import OUTSIDE

T = TypeVar("T")
Moment = tuple[int, int, int]
"""The order of steps: when, which event, which step of it."""

AT_ONCE = 4000
"""Numbers in one query: every database takes so many."""
TERMS = 150
"""Ranges of time in one query; SQLite takes a thousand."""
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
    wave = [Contact(place, since, END, None) for place, since in starts]
    while wave:
        walk.read(wave)
        following: dict[Moment, Contact] = {}
        for contact in wave:
            for edge in walk.carried_on(contact):
                if not edge.washed:
                    following[edge.moment] = Contact(edge.to, edge.moment, END, edge)
        wave = walk.new(following[moment] for moment in sorted(following))
    return walk.told()


class _Out:
    """What is known of what went out of a place, in the order of time."""

    def __init__(self) -> None:
        self.edges: dict[Moment, Edge] = {}
        self.moments: list[Moment] = []
        self.washes: list[Moment] = []

    def sort(self) -> None:
        """Bring what was read in order."""
        self.moments = sorted(self.edges)
        self.washes = [m for m in self.moments if self.edges[m].washed]

    def until(self, since: Moment) -> Moment:
        """Return the first washing after a moment."""
        n = bisect.bisect_right(self.washes, since)
        return self.washes[n] if n < len(self.washes) else END

    def between(self, since: Moment, until: Moment) -> list[Edge]:
        """Return what went out after one moment, up to and with another."""
        first = bisect.bisect_right(self.moments, since)
        last = bisect.bisect_right(self.moments, until)
        return [self.edges[m] for m in self.moments[first:last]]


class _Walk:
    def __init__(self) -> None:
        self._out: dict[int, _Out] = defaultdict(_Out)
        self._contacts: dict[int, dict[Moment, Contact]] = defaultdict(dict)
        self._edges: dict[Moment, Edge] = {}

    def new(self, wave: Iterable[Contact]) -> list[Contact]:
        """Return the contacts that say more than an earlier one of the same place does."""
        return [
            contact for contact in wave
            if not any(kept.since <= contact.since <= until
                       for until, kept in self._contacts[contact.place].items())
        ]  # fmt: skip

    def read(self, wave: Sequence[Contact]) -> None:
        """Read what went out of the places of a wave, each from its contact to the next washing."""
        touched = set()
        for some in chunks(wave, TERMS):
            values = [v for c in some for v in (c.place, c.since[0], c.place, c.since[0], END[0])]
            with connection.cursor() as cursor:
                cursor.execute(_OUT.format(" OR ".join([_TERM] * len(some))), values)
                for at, event, step, source, to, washed in cursor.fetchall():
                    edge = Edge((at, event, step), source, to, bool(washed))
                    self._out[source].edges[edge.moment] = edge
                    touched.add(source)
        for place in touched:
            self._out[place].sort()

    def carried_on(self, contact: Contact) -> Iterator[Edge]:
        """Yield what a contact carried on that no earlier contact did, up to the next washing."""
        out = self._out[contact.place]
        until = out.until(contact.since)
        kept = self._contacts[contact.place].get(until)
        if kept is not None and kept.since <= contact.since:
            return
        self._contacts[contact.place][until] = Contact(contact.place, contact.since, until,
                                                       contact.edge)  # fmt: skip
        # What a later contact carried on within the same time was followed before.
        for edge in out.between(contact.since, until if kept is None else kept.since):
            self._edges[edge.moment] = edge
            yield edge

    def told(self) -> Reach:
        """Return what was found."""
        contacts = {
            place: sorted(mine.values(), key=lambda c: c.since)
            for place, mine in self._contacts.items() if mine
        }  # fmt: skip
        return Reach(contacts, self._edges)


_TERM = """(source_id = %s AND at_us >= %s AND at_us <= COALESCE(
  (SELECT MIN(at_us) FROM shop_flow WHERE source_id = %s AND at_us > %s AND washed), %s))"""

_OUT = """
SELECT at_us, event_id, step, source_id, to_id, washed
FROM shop_flow
WHERE ({}) AND (washed OR to_id NOT IN (
  SELECT id FROM shop_place WHERE key IN ('supplier', 'air', 'waste', 'unaccounted')))
ORDER BY at_us, event_id, step
"""
assert all(f"'{key}'" in _OUT for key in OUTSIDE)


def chunks(values: Sequence[T], size: int = AT_ONCE) -> Iterator[Sequence[T]]:
    """Yield a sequence in parts that a query can take."""
    for start in range(0, len(values), size):
        yield values[start : start + size]
