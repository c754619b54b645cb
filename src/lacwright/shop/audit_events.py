"""The events of a span of time: worked out anew from the movements, compared with what is kept.

A span begins from what the lines before it say. If every span agrees with the lines in it, the
whole does; so spans can be checked beside each other.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from lacwright.shop.audit_movements import REF_COLUMNS, Refs
from lacwright.shop.facts import AllFacts
from lacwright.shop.findings import Ask, Collector
from lacwright.shop.ledger.moves import OUTSIDE
from lacwright.shop.whole import Book


@dataclass(frozen=True)
class Part:
    """A span of time, without bounds where none is given; `before_us` is not in it."""

    from_us: int | None = None
    before_us: int | None = None

    @property
    def where(self) -> str:
        """The condition for events `e` in it, in SQL."""
        low = "1 = 1" if self.from_us is None else f"e.at_us >= {int(self.from_us)}"
        high = "1 = 1" if self.before_us is None else f"e.at_us < {int(self.before_us)}"
        return f"{low} AND {high}"


@dataclass
class _Lot:
    key: str
    kind: str
    parts: Mapping[str, float] | None
    density_g_ml: float | None


class _Names:
    """Numbers of places and lots, and what the ledger must know of a lot."""

    def __init__(self, ask: Ask) -> None:
        self.place: dict[str, int] = dict(ask("SELECT key, id FROM shop_place"))
        self.lot: dict[str, int] = dict(ask("SELECT key, id FROM shop_lot"))
        self.files = {sha for (sha,) in ask("SELECT sha256 FROM shop_file")}
        lots = {
            key: _Lot(key, kind, None if parts is None else json.loads(parts), density)
            for key, kind, parts, density in ask(_LOTS)
        }
        self.facts = AllFacts(lots.__getitem__)


class _Book(Book):
    """The book of a part: before it began, the lines say what there was."""

    def __init__(self, ask: Ask, names: _Names, part: Part) -> None:
        super().__init__(names.facts)
        self._ask, self._names, self._from_us = ask, names, part.from_us
        if part.from_us is None:
            return
        place = {number: key for key, number in names.place.items()}
        self._lot_key = {number: key for key, number in names.lot.items()}
        for number, lot, ug in ask(_HELD.format(int(part.from_us))):
            if place[number] not in OUTSIDE:
                self.held.setdefault(place[number], {})[self._lot_key[lot]] = int(ug)

    def came_into(self, place: str) -> Mapping[str, int]:
        """Return all that ever came into a place."""
        came = dict(self.came.get(place, {}))
        if self._from_us is not None and place in self._names.place:
            sql = _CAME.format(int(self._from_us), self._names.place[place])
            for _, lot, ug in self._ask(sql):
                key = self._lot_key[lot]
                came[key] = came.get(key, 0) + int(ug)
        return came


def check_part(ask: Ask, found: Collector, part: Part) -> None:
    """Derive the lines and edges of a part and compare them with what is kept."""
    names, known = _Names(ask), Refs(ask, found)
    place_id, lot_id = names.place, names.lot
    book = _Book(ask, names, part)
    lines: dict[tuple[int, int, int], int] = defaultdict(int)
    for about, place, lot, ug in ask(_LINES.format(part.where)):
        lines[about, place, lot] += ug
    rows = ask(_FLOWS.format(part.where))
    flows = set(rows)
    wrong_lines, wrong_flows = set(), set()
    if len(flows) != len(rows):
        found.add("flow", "some are there twice")
    decode = json.JSONDecoder().raw_decode  # a third quicker than `loads`
    for root, at_us, text, *refs in ask(_EVENTS.format(REF_COLUMNS, part.where)):
        try:
            body = decode(text)[0]
            known.check(root, body["refs"], tuple(refs))
            if "sha256" in body and body["sha256"] not in names.files:
                found.add("name", f"movement {root} names file {body['sha256']}")
            derived = book.read(body)
            for (place, lot), ug in derived.lines.items():
                if lines.pop((root, place_id[place], lot_id[lot]), 0) != ug:
                    wrong_lines.add(root)
            for step, (source, to, lot, washed) in enumerate(derived.edges):
                flow = (root, at_us, step, place_id[source], place_id[to], lot and lot_id[lot],
                        washed)  # fmt: skip
                if flow in flows:
                    flows.remove(flow)
                else:
                    wrong_flows.add(root)
        except _ODD as error:
            found.add("body", f"movement {root} ({type(error).__name__}: {error})")
    wrong_lines |= {about for (about, _, _), ug in lines.items() if ug}
    wrong_flows |= {flow[0] for flow in flows}
    for code, wrong in (("line", wrong_lines), ("flow", wrong_flows)):
        for number in sorted(wrong):
            found.add(code, f"about movement {number}")


_ODD = (KeyError, TypeError, ValueError, AttributeError, ArithmeticError, RecursionError)
"""What a body that makes no sense ends in."""

_LOTS = "SELECT key, kind, parts, density_g_ml FROM shop_lot"

_EVENTS = """
SELECT e.root_id, e.at_us, m.body, {} FROM shop_event e
JOIN shop_movement m ON m.id = e.movement_id
WHERE NOT e.void AND {} ORDER BY e.at_us, e.root_id
"""

_LINES = """
SELECT l.about_id, l.place_id, l.lot_id, l.ug FROM shop_line l
JOIN shop_event e ON e.root_id = l.about_id WHERE {}
"""

_FLOWS = """
SELECT f.event_id, f.at_us, f.step, f.source_id, f.to_id, f.lot_id, f.washed FROM shop_flow f
JOIN shop_event e ON e.root_id = f.event_id WHERE {}
"""

_HELD = """
SELECT l.place_id, l.lot_id, SUM(l.ug) FROM shop_line l
JOIN shop_event e ON e.root_id = l.about_id WHERE e.at_us < {}
GROUP BY l.place_id, l.lot_id HAVING SUM(l.ug) <> 0
"""

_CAME = """
SELECT l.about_id, l.lot_id, SUM(l.ug) FROM shop_line l
JOIN shop_event e ON e.root_id = l.about_id WHERE e.at_us < {} AND l.place_id = {}
GROUP BY l.about_id, l.lot_id HAVING SUM(l.ug) > 0
"""
