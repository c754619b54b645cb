"""What single coats tell of the maker's own figures, and why one tells nothing.

Only what was weighed or measured counts; an estimate would teach the record its own defaults.
The first coat on a part is left out of spread, deposit and film: bare wood drinks. A new pad
drinks too: its fill is told apart where it was weighed, else the coat is left out.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, TypeVar

from django.db import connection
from django.db.models import Model, QuerySet, Sum

from lacwright.shop.asked import chunks, rows, table_of, things
from lacwright.shop.facts import ALCOHOL, DYE, FLAKES, density_of
from lacwright.shop.models import Event, Jar, Line, Lot, Movement, Piece
from lacwright.trade import table

M = TypeVar("M", bound=Model)
LATEST = 200
"""So many coats of each method are read, the last ones: beyond them nothing moves any more."""

SPREAD, LOST, LEFT_IN, DEPOSIT, FILM, HOURS = (
    "spread", "lost", "left_in", "deposit", "film", "hours",
)  # fmt: skip
EVAPORATION = "jar.evaporation"
COUNTED = ("weighed", "measured")
BODY = ("coat", "session")
"""A seal coat, a washcoat, a glaze is laid otherwise."""
PAD, SPRAY = "pad", "spray"


@dataclass(frozen=True)
class Told:
    """What one coat tells of a figure: a value, or why it tells none."""

    name: str
    movement: int
    at_us: int
    value: float | None
    why: str = ""


def told_by(methods: Iterable[str] | None = None) -> list[Told]:
    """Return what the last coats tell, in the order of time.

    Parameters
    ----------
    methods : iterable of str, optional
        Those whose coats are read; all that occur if left out.
    """
    wanted = list(methods) if methods is not None else _methods()
    events = [event for method in wanted for event in _last_coats(method)]
    facts = _Facts(events)
    out = [told for event in events for told in _of(event, facts)]
    return sorted(out, key=lambda t: (t.at_us, t.movement))


_laid: dict[str, tuple[int, str, frozenset[str]]] = {}
"""By database: the last movement that was looked at, its seal, the methods up to there."""


def _methods() -> list[str]:
    """Return the methods by which any coat was ever written down.

    Movements never change, so only those that came since are read. The seal tells that they are
    the same: the number of one that was given up is given again.
    """
    name = str(connection.settings_dict["NAME"])
    last, seal, found = _laid.get(name, (0, "", frozenset[str]()))
    if last and list(rows(_SEAL, also=[last])) != [(seal,)]:
        last, found = 0, frozenset()
    newest = next(rows(_NEWEST), None)
    if newest is None:
        return []
    if newest[0] != last:
        more = Movement.objects.filter(kind="coat", id__gt=last).order_by()
        told = more.values_list("body__method", flat=True).distinct()
        found |= {method for method in told if method}
        _laid[name] = (*newest, found)
    return sorted(found)


_SEAL = "SELECT seal FROM shop_movement WHERE id = %s"
_NEWEST = "SELECT id, seal FROM shop_movement ORDER BY id DESC LIMIT 1"


def _last_coats(method: str) -> list[Event]:
    found: QuerySet[Event] = (
        Event.objects.filter(kind="coat", void=False, movement__body__method=method)
        .order_by("-at_us", "-root")
    )  # fmt: skip
    events = list(found[:LATEST])
    told = _by_number(Movement, {e.movement_id for e in events})
    jars = _by_number(Jar, {e.jar_id for e in events if e.jar_id})
    pieces = _by_number(Piece, {e.piece_id for e in events if e.piece_id})
    for event in events:
        event.movement = told[event.movement_id]
        event.jar = jars[event.jar_id] if event.jar_id else None
        event.piece = pieces[event.piece_id] if event.piece_id else None
    return events


def _by_number(table: type[M], numbers: set[int]) -> dict[int, M]:
    return {row.pk: row for row in things(table, "WHERE t.id IN ({})", numbers)}


class _Facts:
    """What has to be known of many coats, in a fixed number of queries."""

    def __init__(self, events: Sequence[Event]) -> None:
        self.lines: dict[int, dict[str, dict[int, int]]] = defaultdict(lambda: defaultdict(dict))
        sums = (
            Line.objects.filter(about__in=[e.root_id for e in events],
                                place__kind__in=("jar", "applicator", "piece"))
            .values_list("about", "place__kind", "lot").annotate(ug=Sum("ug"))
        )  # fmt: skip
        for about, kind, lot, ug in sums:
            if ug:  # what a later entry took back again adds up to nothing
                self.lines[about][kind][lot] = ug
        self.lots = Lot.objects.in_bulk(
            {lot for by_kind in self.lines.values() for lots in by_kind.values() for lot in lots}
        )
        self.earlier = self._earlier({e.piece_id for e in events if e.piece_id})
        self.new = _with_new([e for e in events if e.applicator_id])

    def is_first(self, event: Event) -> bool:
        """Return whether it lies on wood that was bare, on one of its parts at least."""
        assert event.piece is not None
        ground = _Ground()
        for when, strips, parts in self.earlier[event.piece.id]:
            if when >= (event.at_us, event.root_id):
                break
            ground.take(strips, set(parts))
        return ground.is_bare(set(event.movement.body["parts"]) or set(event.piece.areas_m2))

    def is_new(self, event: Event) -> bool:
        """Return whether its pad or brush was new or washed."""
        return event.root_id in self.new

    def grams(self, event: Event, where: str, kind: str) -> dict[Lot, float]:
        """Return what an event changed in a kind of place, of a kind of lot [g]."""
        found = self.lines[event.root_id][where]
        return {self.lots[k]: ug / 1e6 for k, ug in found.items() if self.lots[k].kind == kind}

    def knows(self, event: Event) -> bool:
        """Return whether it is known what the mix was made of."""
        found = self.lines[event.root_id]["jar"]
        return any(self.lots[k].kind == FLAKES for k in found) and all(
            self.lots[k].kind in (FLAKES, ALCOHOL, DYE) for k in found
        )

    @staticmethod
    def _earlier(
        pieces: set[int],
    ) -> dict[int, list[tuple[tuple[int, int], bool, list[str]]]]:
        found = (
            Event.objects.filter(piece__in=pieces, kind__in=("coat", "strip"), void=False)
            .order_by("at_us", "root")
            .values_list("piece", "at_us", "root_id", "kind", "movement__body__parts")
        )  # fmt: skip
        out: dict[int, list[tuple[tuple[int, int], bool, list[str]]]] = defaultdict(list)
        for piece, at_us, root, kind, parts in found:
            assert piece is not None
            out[piece].append(((at_us, root), kind == "strip", parts or []))
        return out


def _with_new(events: Sequence[Event]) -> set[int]:
    """Return the coats whose pad or brush was new or washed, by their root.

    Asked of each coat, from the index of what went where: a pad has thousands of contacts.
    """
    places = dict(rows(_PLACES, {e.applicator_id for e in events}))
    asked = [(e.root_id, places[e.applicator_id], e.at_us) for e in events]
    return {root for some in chunks(asked) for (root,) in table_of(_NEW, some)}


_PLACES = "SELECT id, place_id FROM shop_applicator WHERE id IN ({})"

# New: nothing went into it before, or it was washed out after the last thing that did.
_NEW = """
WITH coat (root, place, at_us) AS (VALUES {}), reached AS (
    SELECT root, place, at_us, (
        SELECT f.id FROM shop_flow f
        WHERE f.to_id = place AND (f.at_us, f.event_id) < (coat.at_us, root)
        ORDER BY f.at_us DESC, f.event_id DESC LIMIT 1
    ) AS flow FROM coat
)
SELECT root FROM reached LEFT JOIN shop_flow l ON l.id = flow
WHERE flow IS NULL OR EXISTS (
    SELECT 1 FROM shop_flow w
    WHERE w.source_id = place AND w.washed AND (w.at_us, w.event_id) >= (l.at_us, l.event_id)
    AND (w.at_us, w.event_id) < (reached.at_us, root)
)
"""


@dataclass
class _Ground:
    """Which parts of a piece have a coat on them."""

    covered: set[str] = field(default_factory=set)
    bare: set[str] = field(default_factory=set)
    rest: bool = False  # whether what is in neither is covered

    def take(self, strips: bool, parts: set[str]) -> None:
        """Take a coat or a stripping into account; no parts are all of them."""
        if not parts:
            self.covered, self.bare, self.rest = set(), set(), not strips
        elif strips:
            self.covered, self.bare = self.covered - parts, self.bare | parts
        else:
            self.covered, self.bare = self.covered | parts, self.bare - parts

    def is_bare(self, parts: set[str]) -> bool:
        """Return whether one of some parts is bare."""
        if not parts:
            return not self.rest and not self.covered
        return any(p in self.bare or not (self.rest or p in self.covered) for p in parts)


@dataclass(frozen=True)
class _Coat:
    """The amounts of one weighed or measured coat."""

    ml: float  # of mix that left the jar for it
    resin_g: float
    g_per_ml: float  # resin in a millilitre of it


def _of(event: Event, facts: _Facts) -> list[Told]:
    body = event.movement.body
    method, area = body["method"], body["area_m2"]
    made = [*_hours(event, body), *_evaporation(event, body)]
    families = (SPREAD, DEPOSIT, FILM)
    if body["what"] not in BODY:
        return [*made, *_none(event, method, families, "it is no coat that builds the film")]
    if body["amount_basis"] not in COUNTED:
        return [*made, *_none(event, method, families, "it was not weighed")]
    if not facts.knows(event):
        return [*made, *_none(event, method, families, "what is in the jar is not known")]
    coat = _amounts(event, body, facts)
    if coat is None:
        return [*made, *_none(event, method, families, "the book had no mix in the jar")]
    made += _left(event, body, coat, facts)
    if not area:
        return [*made, *_none(event, method, families, "its area is not known")]
    if facts.is_first(event):
        return [*made, *_none(event, method, families, "the first coat: bare wood drinks")]
    new = facts.is_new(event)
    used_ml = coat.ml
    if new and body["left_g"] is not None:
        used_ml -= body["left_g"] / coat.g_per_ml  # the fill of a new pad, told apart as left_in
    elif new and table("methods")[method].text("kind") == PAD:
        return [*made, *_none(event, method, families, "the pad was new, and what it took up was "
                              "not weighed")]  # fmt: skip
    on = facts.grams(event, "piece", FLAKES)
    grams = sum(on.values())
    um = sum(g / density_of(lot) for lot, g in on.items()) / area
    return [
        *made,
        _told(event, f"{SPREAD}.{method}", used_ml / area),
        _told(event, f"{DEPOSIT}.{method}", grams / area),
        _told(event, f"{FILM}.{method}", um),
    ]


def _amounts(event: Event, body: Mapping[str, Any], facts: _Facts) -> _Coat | None:
    """Return what left the jar as mix: what it was made of by the book, how much by the scale.

    The book may have held less than was taken out; None if it held nothing of it.
    """
    resin = facts.grams(event, "jar", FLAKES)
    spirit = facts.grams(event, "jar", ALCOHOL)
    dye = facts.grams(event, "jar", DYE)
    wet_g = -sum(spirit.values())
    stays = 1.0 - (body["evaporated_g"] or 0.0) / wet_g if wet_g > 0 else 1.0
    ml = -sum(g / density_of(lot) for lot, g in (resin | dye).items())
    ml -= stays * sum(g / density_of(lot) for lot, g in spirit.items())
    grams = -sum(resin.values())
    whole = grams + stays * wet_g - sum(dye.values())
    if ml <= 0 or whole <= 0:
        return None
    if body["used_ml"] is not None:
        times = body["used_ml"] / ml
    else:
        times = (body["before_g"] - body["after_g"] - (body["evaporated_g"] or 0.0)) / whole
    return _Coat(times * ml, times * grams, grams / ml)


def _left(event: Event, body: Mapping[str, Any], coat: _Coat, facts: _Facts) -> list[Told]:
    """Return what stayed in the pad or brush: in a new one its fill, else a loss."""
    method, left_g = body["method"], body["left_g"]
    if table("methods")[method].text("kind") == SPRAY:
        return []  # overspray cannot be weighed in the gun
    if left_g is None:
        return _none(event, method, (LOST,), "what stayed in pad or brush was not weighed")
    if facts.is_new(event):
        return [_told(event, f"{LEFT_IN}.{method}", left_g / coat.g_per_ml)]
    through = facts.lines[event.root_id]["applicator"]
    more = sum(facts.grams(event, "applicator", FLAKES).values()) if through else left_g
    return [_told(event, f"{LOST}.{method}", more / coat.resin_g)]


def _hours(event: Event, body: Mapping[str, Any]) -> list[Told]:
    if body["minutes"] is None:
        return []
    if not body["area_m2"]:
        return _none(event, body["method"], (HOURS,), "its area is not known")
    return [_told(event, f"{HOURS}.{body['method']}", body["minutes"] / 60.0 / body["area_m2"])]


def _evaporation(event: Event, body: Mapping[str, Any]) -> list[Told]:
    """Return the rate at which the open jar lost alcohol, where that was weighed."""
    if "evaporated_g" not in body.get("given", ()) or not body["open_min"]:
        return []
    mouth = None if event.jar is None else event.jar.mouth_mm
    if mouth is None:
        return [Told(EVAPORATION, event.root_id, event.at_us, None,
                     "the width of the jar's mouth is not known")]  # fmt: skip
    area = math.pi / 4.0 * (mouth / 1000.0) ** 2
    return [_told(event, EVAPORATION, body["evaporated_g"] / (60.0 * body["open_min"] * area))]


def _told(event: Event, name: str, value: float) -> Told:
    if value > 0:
        return Told(name, event.root_id, event.at_us, value)
    return Told(name, event.root_id, event.at_us, None, "nothing was left of it by the weights")


def _none(event: Event, method: str, families: Iterable[str], why: str) -> list[Told]:
    return [Told(f"{family}.{method}", event.root_id, event.at_us, None, why)
            for family in families]  # fmt: skip
