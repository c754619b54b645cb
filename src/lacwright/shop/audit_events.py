"""The events of a span of time: worked out anew from the movements, compared with what is kept."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from lacwright.shop.audit_movements import REF_COLUMNS, Refs
from lacwright.shop.facts import AllFacts
from lacwright.shop.findings import Ask, Collector
from lacwright.shop.whole import Book

Where = tuple[str, str]
"""A place and a lot."""
Holds = dict[str, dict[str, int]]


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


@dataclass(frozen=True)
class Ended:
    """How a span began and ended.

    Parameters
    ----------
    begun, held : dict of place to dict of lot to int
        What every place held before and after, none of it 0.
    lines : int
        Rows of lines that belong to it.
    """

    begun: Holds
    held: Holds
    lines: int


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
    """The book of a part: what came into a place before it began, the lines say."""

    def __init__(self, ask: Ask, names: _Names, part: Part, begun: Holds) -> None:
        super().__init__(names.facts)
        self.held = {place: dict(lots) for place, lots in begun.items()}
        self._ask, self._names, self._from_us = ask, names, part.from_us

    def came_into(self, place: str) -> Mapping[str, int]:
        """Return all that ever came into a place."""
        came = dict(self.came.get(place, {}))
        if self._from_us is not None and place in self._names.place:
            sql = _CAME.format(int(self._from_us), self._names.place[place])
            for _, lot, ug in self._ask(sql):
                came[lot] = came.get(lot, 0) + int(ug)
        return came


class _Where(dict[tuple[int, int], Where]):
    """Names of places and lots by their numbers; a number of none stands for itself."""

    def __init__(self, names: _Names) -> None:
        super().__init__()
        self._place = {number: key for key, number in names.place.items()}
        self._lot = {number: key for key, number in names.lot.items()}

    def __missing__(self, numbers: tuple[int, int]) -> Where:
        place, lot = numbers
        found = self._place.get(place, f"place {place}"), self._lot.get(lot, f"lot {lot}")
        return self.setdefault(numbers, found)


class _Lines:
    """The lines of a part, by the event that they are about."""

    def __init__(self, ask: Ask, found: Collector, names: _Names, part: Part) -> None:
        where = _Where(names)
        events: dict[int, dict[Where, int]] = {}
        posted: dict[int, int] = defaultdict(int)
        rows = ask(_LINES.format(part.where))
        self.events, self.count = events, len(rows)
        for movement, about, place_id, lot_id, ug in rows:
            key = where[place_id, lot_id]
            event = events.get(about)
            if event is None:
                events[about] = {key: ug}
            elif key in event:
                event[key] += ug
            else:
                event[key] = ug
            posted[movement] += ug
        for movement, ug in posted.items():
            if ug:
                found.add("sum", f"movement {movement} differs by {ug} ug")

    def before(self, balance: Iterable[tuple[str, str, int]]) -> Holds:
        """Return what every place held before these lines, by what it holds after them."""
        held: dict[Where, int] = defaultdict(int)
        for place, lot, ug in balance:
            held[place, lot] += ug
        for event in self.events.values():
            for key, ug in event.items():
                held[key] -= ug
        out: Holds = defaultdict(dict)
        for (place, lot), ug in held.items():
            if ug:
                out[place][lot] = ug
        return dict(out)


def check_part(ask: Ask, found: Collector, part: Part) -> Ended:
    """Derive the lines and edges of a part and compare them with what is kept.

    A part that does not begin at the beginning starts from what the balances say less its own
    lines. Whoever cuts the history must see that the part before ended with just that.
    """
    names, known = _Names(ask), Refs(ask, found)
    place_id, lot_id = names.place, names.lot
    lines = _Lines(ask, found, names, part)
    begun = {} if part.from_us is None else lines.before(ask(_BALANCES))
    book = _Book(ask, names, part, begun)
    rows = ask(_FLOWS.format(part.where))
    flows = set(rows)
    wrong_lines, wrong_flows = set(), set()
    if len(flows) != len(rows):
        found.add("flow", "some are there twice")
    for root, at_us, text, *refs in ask(_EVENTS.format(REF_COLUMNS, part.where)):
        try:
            body = _read(text)
            known.check(root, body["refs"], tuple(refs))
            if "sha256" in body and body["sha256"] not in names.files:
                found.add("name", f"movement {root} names file {body['sha256']}")
            derived = book.read(body)
            kept = lines.events.pop(root, _NONE)
            # Corrections can leave lines that add up to nothing.
            if kept != derived.lines and {k: ug for k, ug in kept.items() if ug} != derived.lines:
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
    wrong_lines |= {about for about, kept in lines.events.items() if any(kept.values())}
    wrong_flows |= {flow[0] for flow in flows}
    for code, wrong in (("line", wrong_lines), ("flow", wrong_flows)):
        for number in sorted(wrong):
            found.add(code, f"about movement {number}")
    return Ended(begun, {place: lots for place, lots in book.held.items() if lots}, lines.count)


def _read(text: str) -> Mapping[str, Any]:
    """Return what of a body is looked at: refs and moves, and the file it names.

    As the program writes it, a quote within a text is never bare: a key that is found once, and
    in no inner object, is the key itself. All else, such as the form of another database, is read
    as a whole.
    """
    moves, refs = text.find(_MOVES), text.find(_REFS)
    if (
        moves < 0 or refs < 0 or _FILE in text
        or text.find(_MOVES, moves + 1) >= 0 or text.find(_REFS, refs + 1) >= 0
        or any(text.count("{", 0, at) - text.count("}", 0, at) != 1 for at in (moves, refs))
    ):  # fmt: skip
        found: Mapping[str, Any] = _DECODE(text)[0]
        return found
    return {"moves": _DECODE(text, moves + len(_MOVES) - 1)[0],
            "refs": _DECODE(text, refs + len(_REFS) - 1)[0]}  # fmt: skip


_DECODE = json.JSONDecoder().raw_decode
_MOVES, _REFS, _FILE = '"moves":[', '"refs":{', '"sha256"'

_NONE: dict[Where, int] = {}

_ODD = (KeyError, TypeError, ValueError, AttributeError, ArithmeticError, RecursionError)
"""What a body that makes no sense ends in."""

_LOTS = "SELECT key, kind, parts, density_g_ml FROM shop_lot"

_EVENTS = """
SELECT e.root_id, e.at_us, m.body, {} FROM shop_event e
JOIN shop_movement m ON m.id = e.movement_id
WHERE NOT e.void AND {} ORDER BY e.at_us, e.root_id
"""

_LINES = """
SELECT l.movement_id, l.about_id, l.place_id, l.lot_id, l.ug FROM shop_line l
JOIN shop_event e ON e.root_id = l.about_id WHERE {}
"""

_FLOWS = """
SELECT f.event_id, f.at_us, f.step, f.source_id, f.to_id, f.lot_id, f.washed FROM shop_flow f
JOIN shop_event e ON e.root_id = f.event_id WHERE {}
"""

_BALANCES = """
SELECT p.key, t.key, b.ug FROM shop_balance b
JOIN shop_place p ON p.id = b.place_id JOIN shop_lot t ON t.id = b.lot_id
"""

_CAME = """
SELECT l.about_id, t.key, SUM(l.ug) FROM shop_line l
JOIN shop_event e ON e.root_id = l.about_id JOIN shop_lot t ON t.id = l.lot_id
WHERE e.at_us < {} AND l.place_id = {}
GROUP BY l.about_id, t.key HAVING SUM(l.ug) > 0
"""
