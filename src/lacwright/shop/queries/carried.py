"""What a walk reached, with names: coats on pieces and panels, jars, pads and brushes."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from lacwright.shop import clock
from lacwright.shop.asked import body_of, chunks, rows
from lacwright.shop.models import Place
from lacwright.shop.queries.contents import Contents, contents_of
from lacwright.shop.queries.spread_on import END, Contact, Edge, Reach

Sums = dict[int, int]
"""Micrograms by the number of the lot."""
Way = tuple[tuple[str, ...], tuple[str, ...]]
"""Through which places: their names, and in words."""


@dataclass(frozen=True, eq=False)
class Coat:
    """A coat that carries it.

    Parameters
    ----------
    movement : int
        Number of the observation.
    at_us : int
        When it was laid.
    kind, what : str
        Kind of the observation ("coat"), and what it was ("coat", "session").
    number : int or None
        Which coat it was.
    parts : tuple of str
        Where; () = all of it.
    job : str or None
        Of which job.
    jar, applicator : str or None
        From which jar, through which pad or brush.
    via : tuple of str
        Through which places it came there, the start first.
    way : tuple of str
        The same in words: "jar J1", "jar B", "pad 1".
    laid_ug : dict
        Dry resin and dye it left on the piece, by the number of the lot; empty = not said.
    taken_ug : dict
        Mix that left the jar for it, by the number of the lot.
    washed_off_us : int or None
        When it was washed off again.
    """

    movement: int
    at_us: int
    kind: str
    what: str
    number: int | None
    parts: tuple[str, ...]
    job: str | None
    jar: str | None
    applicator: str | None
    via: tuple[str, ...]
    way: tuple[str, ...]
    laid_ug: Mapping[int, int]
    taken_ug: Mapping[int, int]
    basis: str
    washed_off_us: int | None

    @property
    def resin_g(self) -> float | None:
        """Dry resin on the piece [g]; None where no amount was said."""
        return sum(self.laid_ug.values()) / 1e6 if self.laid_ug else None

    @property
    def mix_g(self) -> float | None:
        """Mix that left the jar [g]."""
        return sum(self.taken_ug.values()) / 1e6 if self.taken_ug else None

    def as_json(self, zone: dt.tzinfo) -> dict[str, Any]:
        """Return it as plain data with the reason for every null."""
        keys: dict[str, Any] = {
            "movement": self.movement, "at": clock.iso(self.at_us, zone), "what": self.what,
            "number": self.number, "parts": list(self.parts), "job": self.job, "jar": self.jar,
            "applicator": self.applicator, "via": list(self.via), "way": list(self.way),
            "resin_g": self.resin_g, "mix_g": self.mix_g, "amount_basis": self.basis,
            "washed_off": None if self.washed_off_us is None
            else clock.iso(self.washed_off_us, zone),
        }  # fmt: skip
        why = {
            "number": "not said",
            "job": "it belongs to no job",
            "jar": "not said",
            "applicator": "not said",
            "resin_g": "the amount was not said",
            "mix_g": "the amount was not said",
            "washed_off": "it was not washed off",
        }
        return {**keys, "missing": {k: why[k] for k, v in keys.items() if v is None}}


@dataclass(frozen=True, eq=False)
class PieceCarry:
    """A piece or panel with the coats that carry it, in the order of time."""

    name: str
    kind: str
    title: str
    customer: str | None
    coats: tuple[Coat, ...]

    def as_json(self, zone: dt.tzinfo) -> dict[str, Any]:
        """Return it as plain data with the reason for every null."""
        out: dict[str, Any] = {
            "name": self.name, "kind": self.kind, "title": self.title, "customer": self.customer,
            "coats": [c.as_json(zone) for c in self.coats],
        }  # fmt: skip
        return {**out, "missing": {} if self.customer else {"customer": "not said"}}


@dataclass(frozen=True, eq=False)
class JarCarry:
    """A jar that holds some of it.

    Parameters
    ----------
    name : str
        The jar.
    since_us : int or None
        When it got there; None = the jar it began with.
    via, way : tuple of str
        Through which places; the same in words.
    discarded_us : int or None
        When it was washed out.
    contents : Contents
        What is in it now.
    """

    name: str
    since_us: int | None
    via: tuple[str, ...]
    way: tuple[str, ...]
    discarded_us: int | None
    contents: Contents

    def as_json(self, zone: dt.tzinfo) -> dict[str, Any]:
        """Return it as plain data with the reason for every null."""
        values, missing = self.contents.numbers
        keys: dict[str, Any] = {
            "name": self.name,
            "since": None if self.since_us is None else clock.iso(self.since_us, zone),
            "via": list(self.via), "way": list(self.way),
            "discarded": None if self.discarded_us is None
            else clock.iso(self.discarded_us, zone),
            **{k: values[k] for k in ("solution_ml", "resin_g", "cut_lb_per_gal")},
        }  # fmt: skip
        why = {"since": "it began with this jar", "discarded": "it was not washed out",
               **missing}  # fmt: skip
        return {**keys, "missing": {k: why[k] for k, v in keys.items() if v is None}}


@dataclass(frozen=True, eq=False)
class ApplicatorCarry:
    """A pad or brush that it went through and that was not washed out since."""

    name: str
    kind: str
    since_us: int
    via: tuple[str, ...]
    way: tuple[str, ...]

    def as_json(self, zone: dt.tzinfo) -> dict[str, Any]:
        """Return it as plain data."""
        return {"name": self.name, "kind": self.kind, "since": clock.iso(self.since_us, zone),
                "via": list(self.via), "way": list(self.way)}  # fmt: skip


def carried(
    found: Reach, zone: dt.tzinfo
) -> tuple[tuple[PieceCarry, ...], tuple[JarCarry, ...], tuple[ApplicatorCarry, ...]]:
    """Return what a walk reached: pieces with their coats, jars, pads and brushes."""
    named = _Named(found)
    onto = [e for e in found.edges.values() if named.kind(e.to) == "piece" and not e.washed]
    contacts = [c for mine in found.contacts.values() for c in mine]
    return (
        tuple(_pieces(onto, named)),
        tuple(_jars([c for c in contacts if named.kind(c.place) == "jar"], named)),
        tuple(_applicators([c for c in contacts if named.kind(c.place) == "applicator"
                            and c.until == END], named)),
    )  # fmt: skip


class _Named:
    """Kinds and names of the places of a walk, and the way to them."""

    def __init__(self, found: Reach) -> None:
        self._found = found
        places = {*found.contacts, *(p for e in found.edges.values() for p in (e.source, e.to))}
        self._of: dict[int, tuple[str, str]] = {}
        self._pad: dict[int, str] = {}
        for some in chunks(sorted(places)):
            for place, kind, key, pad in rows(_PLACES, some):
                self._of[place] = kind, key.partition(":")[2]
                if pad is not None:
                    self._pad[place] = pad

    def kind(self, place: int) -> str:
        """Return the kind of a place."""
        return self._of[place][0]

    def place(self, place: int) -> Place:
        """Return a place without asking again."""
        kind, name = self._of[place]
        return Place(id=place, kind=kind, key=f"{kind}:{name}")

    def via(self, edge: Edge | None) -> tuple[str, ...]:
        """Return the names of the places through which it came to an edge."""
        return self.both(edge)[0]

    def way(self, edge: Edge | None) -> tuple[str, ...]:
        """Return the same in words: "jar J1", "pad 1"."""
        return self.both(edge)[1]

    def both(self, edge: Edge | None) -> Way:
        """Return names and words."""
        if edge is None:
            return (), ()
        places = self._found.path(edge)
        return tuple(self._of[p][1] for p in places), tuple(self._words(p) for p in places)

    def _words(self, place: int) -> str:
        kind, name = self._of[place]
        word = self._pad.get(place, "lot" if kind == "store" else kind)
        return name if place in self._pad and name.startswith(word) else f"{word} {name}"


@dataclass(frozen=True, slots=True)
class _Piece:
    id: int
    key: str
    kind: str
    title: str
    customer: str | None


@dataclass(frozen=True, slots=True)
class _Strip:
    at_us: int
    root: int
    body: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class _Told:
    """What an observation says, as far as a recall needs it."""

    root: int
    at_us: int
    kind: str
    body: Mapping[str, Any]
    job: str | None
    jar: str | None
    jar_place: int | None
    applicator: str | None


def _pieces(onto: list[Edge], named: _Named) -> list[PieceCarry]:
    by_place: dict[int, dict[int, Edge]] = defaultdict(dict)
    for edge in sorted(onto, key=lambda e: e.moment):
        by_place[edge.to].setdefault(edge.event, edge)  # a coat is listed once
    events = _events({edge.event for edge in onto})
    pieces: dict[int, _Piece] = {}
    for some in chunks(sorted(by_place)):
        pieces.update({place: _Piece(*told) for place, *told in rows(_PIECES, some)})
    jars = {e.jar_place for e in events.values() if e.jar_place is not None}
    sums = _sums(events, {*by_place, *jars})
    stripped = _strips([piece.id for piece in pieces.values()])
    out = []
    for place, edges in by_place.items():
        piece = pieces[place]
        coats = tuple(
            _coat(events[root], place, named.both(edge), sums,
                  stripped.get(piece.id, []))
            for root, edge in edges.items()
        )  # fmt: skip
        out.append(PieceCarry(piece.key, piece.kind, piece.title, piece.customer, coats))
    return sorted(out, key=lambda p: (p.coats[0].at_us, p.name))


def _coat(
    event: _Told, place: int, came: Way,
    sums: Mapping[tuple[int, int], Sums],
    strips: list[_Strip],
) -> Coat:  # fmt: skip
    body = event.body
    parts = tuple(body.get("parts") or ())
    laid = {k: u for k, u in sums.get((event.root, place), {}).items() if u > 0}
    taken: Sums = {}
    if event.jar_place is not None:
        out = sums.get((event.root, event.jar_place), {})
        taken = {k: -u for k, u in out.items() if u < 0}
    off = next((s.at_us for s in strips if (s.at_us, s.root) > (event.at_us, event.root)
                and _takes_off(s, parts)), None)  # fmt: skip
    return Coat(
        event.root, event.at_us, event.kind, body.get("what") or event.kind, body.get("number"),
        parts, event.job, event.jar, event.applicator, *came, laid, taken,
        body.get("amount_basis") or ("not said" if not laid else "estimated"), off,
    )  # fmt: skip


def _takes_off(strip: _Strip, parts: tuple[str, ...]) -> bool:
    """Return whether a strip took a coat on some parts off."""
    body = strip.body
    off = set(body.get("parts") or ())
    return bool(body["moves"]) or not off or (bool(parts) and off >= set(parts))


def _strips(pieces: list[int]) -> dict[int, list[_Strip]]:
    out: dict[int, list[_Strip]] = defaultdict(list)
    for some in chunks(sorted(pieces)):
        for piece, at_us, root, body in rows(_STRIPS, some):
            out[piece].append(_Strip(at_us, root, body_of(body)))
    return out


def _events(roots: set[int]) -> dict[int, _Told]:
    out: dict[int, _Told] = {}
    for some in chunks(sorted(roots)):
        for root, at_us, kind, body, *told in rows(_EVENTS, some):
            out[root] = _Told(root, at_us, kind, body_of(body), *told)
    return out


def _sums(roots: Iterable[int], places: set[int]) -> dict[tuple[int, int], Sums]:
    """Return what events did to places, by lot."""
    out: dict[tuple[int, int], Sums] = defaultdict(dict)
    for some in chunks(sorted(roots)):
        for about, place, lot, ug in rows(_LINES, some):
            if place in places:
                out[about, place][lot] = int(ug)
    return out


def _jars(contacts: list[Contact], named: _Named) -> list[JarCarry]:
    jars: dict[int, str] = {}
    for some in chunks(sorted({c.place for c in contacts})):
        jars.update(rows(_JARS, some))
    inside = contents_of([named.place(place) for place in jars])
    ordered = sorted(contacts, key=lambda c: (c.edge is not None, c.since))
    return [
        JarCarry(jars[c.place], None if c.edge is None else c.since[0], named.via(c.edge),
                 named.way(c.edge), None if c.until == END else c.until[0], inside[c.place])
        for c in ordered if c.place in jars
    ]  # fmt: skip


def _applicators(contacts: list[Contact], named: _Named) -> list[ApplicatorCarry]:
    pads: dict[int, tuple[str, str]] = {}
    for some in chunks(sorted({c.place for c in contacts})):
        pads.update({place: (key, kind) for place, key, kind in rows(_APPLICATORS, some)})
    return [
        ApplicatorCarry(*pads[c.place], c.since[0], named.via(c.edge), named.way(c.edge))
        for c in sorted(contacts, key=lambda c: c.since) if c.place in pads
    ]  # fmt: skip


_PLACES = """
SELECT p.id, p.kind, p.key, a.kind
FROM shop_place p LEFT JOIN shop_applicator a ON a.place_id = p.id WHERE p.id IN ({})
"""

_PIECES = """
SELECT p.place_id, p.id, p.key, p.kind, p.title, c.key
FROM shop_piece p LEFT JOIN shop_customer c ON c.id = p.customer_id WHERE p.place_id IN ({})
"""

_EVENTS = """
SELECT e.root_id, e.at_us, e.kind, m.body, j.key, r.key, r.place_id, a.key
FROM shop_event e JOIN shop_movement m ON m.id = e.movement_id
LEFT JOIN shop_job j ON j.id = e.job_id
LEFT JOIN shop_jar r ON r.id = e.jar_id
LEFT JOIN shop_applicator a ON a.id = e.applicator_id
WHERE e.root_id IN ({})
"""

_LINES = """
SELECT about_id, place_id, lot_id, SUM(ug) FROM shop_line WHERE about_id IN ({})
GROUP BY about_id, place_id, lot_id
"""

_STRIPS = """
SELECT e.piece_id, e.at_us, e.root_id, m.body
FROM shop_event e JOIN shop_movement m ON m.id = e.movement_id
WHERE e.piece_id IN ({}) AND e.kind = 'strip' AND NOT e.void
ORDER BY e.at_us, e.root_id
"""

_JARS = """
SELECT j.place_id, j.key FROM shop_jar j JOIN shop_event e ON e.root_id = j.opened_id
WHERE j.place_id IN ({}) AND NOT e.void
"""

_APPLICATORS = """
SELECT a.place_id, a.key, a.kind FROM shop_applicator a JOIN shop_event e ON e.root_id = a.opened_id
WHERE a.place_id IN ({}) AND NOT e.void
"""
