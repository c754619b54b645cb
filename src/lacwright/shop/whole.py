"""All events at once, in memory: what an audit, a rebuild and a bulk load work with."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from lacwright.shop.ledger import Derived, Facts, derive
from lacwright.shop.ledger.moves import OUTSIDE


@dataclass(frozen=True, slots=True)
class Happening:
    """An event that counts: its root, and the body of its last version."""

    at_us: int
    root: int
    body: Mapping[str, Any]


class Book:
    """What every place holds (those outside too) and ever got, as events are read in time."""

    def __init__(self, facts: Facts) -> None:
        self.facts = facts
        self.held: dict[str, dict[str, int]] = {}
        self.came: dict[str, dict[str, int]] = {}

    def read(self, body: Mapping[str, Any]) -> Derived:
        """Work out one event and take over what it does."""
        moves = body["moves"]
        if not moves:
            return Derived()
        derived = derive(moves, held=lambda p: self.held.get(p, {}),
                         came=self.came_into, facts=self.facts)  # fmt: skip
        everything, ever = self.held, self.came
        for (place, lot), ug in derived.lines.items():
            held = everything.get(place)
            if held is None:
                held = everything[place] = {}
            left = held.get(lot, 0) + ug
            if left:
                held[lot] = left
            else:
                held.pop(lot, None)
            if ug > 0 and place not in OUTSIDE:
                came = ever.get(place)
                if came is None:
                    came = ever[place] = {}
                came[lot] = came.get(lot, 0) + ug
        return derived

    def came_into(self, place: str) -> Mapping[str, int]:
        """Return all that ever came into a place."""
        return self.came.get(place, {})


def derive_all(events: Iterable[Happening], facts: Facts) -> Iterator[tuple[Happening, Derived]]:
    """Yield every event with its lines and edges, in the order of time.

    Parameters
    ----------
    events : iterable of Happening
        All that count, in any order.
    facts : mapping of lot to LotFacts
        Of all lots.
    """
    book = Book(facts)
    for event in sorted(events, key=lambda e: (e.at_us, e.root)):
        yield event, book.read(event.body)
