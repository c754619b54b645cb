"""Where a lot went: what is left of it, and every jar, pad, piece and loss it is in."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import Sum

from lacwright.shop import clock
from lacwright.shop.asked import chunks
from lacwright.shop.ledger import AIR, SUPPLIER, UNACCOUNTED, WASTE
from lacwright.shop.models import Balance, Event, Flow, Line, Lot, Place
from lacwright.shop.queries.preferences import zone as shop_zone
from lacwright.shop.queries.spread_on import BEGINNING, reach
from lacwright.shop.reading import snapshot


@dataclass(frozen=True)
class On:
    """So much of a lot on a piece, by one observation (below 0: taken off again)."""

    movement: int
    at_us: int
    what: str
    number: int | None
    parts: tuple[str, ...]
    amount: float

    def as_json(self, zone: dt.tzinfo) -> dict[str, Any]:
        """Return it as plain data."""
        out: dict[str, Any] = {
            "movement": self.movement, "at": clock.iso(self.at_us, zone), "what": self.what,
            "number": self.number, "parts": list(self.parts), "amount": self.amount,
        }  # fmt: skip
        return {**out, "missing": {"number": "not said"} if self.number is None else {}}


@dataclass(frozen=True)
class Holder:
    """A place that holds some of a lot."""

    name: str
    kind: str
    amount: float
    coats: tuple[On, ...] = ()

    def as_json(self, zone: dt.tzinfo) -> dict[str, Any]:
        """Return it as plain data."""
        out: dict[str, Any] = {"name": self.name, "amount": self.amount}
        if self.kind == "piece":
            out["coats"] = [c.as_json(zone) for c in self.coats]
        return out


@dataclass(frozen=True)
class Went:
    """Where a lot went. Grams, or pieces of what is counted.

    What came = in_store + jars + applicators + pieces + air + waste + unaccounted, to the
    microgram. Unaccounted is below 0 where more was taken than ever came.
    """

    came: float | None
    in_store: float
    jars: tuple[Holder, ...]
    applicators: tuple[Holder, ...]
    pieces: tuple[Holder, ...]
    air: float
    waste: float
    unaccounted: float
    not_said: tuple[str, ...]
    """Places that it reached without anybody saying how much."""
    unit: str
    zone: dt.tzinfo

    def as_json(self) -> dict[str, Any]:
        """Return it as plain data with the reason for every null."""
        return {
            "unit": self.unit, "came": self.came, "in_store": self.in_store,
            "jars": [h.as_json(self.zone) for h in self.jars],
            "applicators": [h.as_json(self.zone) for h in self.applicators],
            "pieces": [h.as_json(self.zone) for h in self.pieces],
            "air": self.air, "waste": self.waste, "unaccounted": self.unaccounted,
            "also_in_amount_not_said": list(self.not_said),
            "missing": {} if self.came is not None else {"came": "nobody said how much came"},
        }  # fmt: skip


def where_went(lot: Lot) -> Went:
    """Return where a lot went."""
    with snapshot():
        zone = shop_zone()
        held = {
            (kind, key): ug for kind, key, ug in Balance.objects.filter(lot=lot)
            .values_list("place__kind", "place__key", "ug")
        }  # fmt: skip
        coats = _coats(lot)
        came_us = -held.get((SUPPLIER, SUPPLIER), 0)
        came = Flow.objects.filter(lot=lot, source__key=SUPPLIER)
        said = came_us > 0 or not came.exists()
        return Went(
            came_us / 1e6 if said else None, held.get(("store", lot.place.key), 0) / 1e6,
            _holders("jar", held), _holders("applicator", held), _holders("piece", held, coats),
            held.get((AIR, AIR), 0) / 1e6, held.get((WASTE, WASTE), 0) / 1e6,
            held.get((UNACCOUNTED, UNACCOUNTED), 0) / 1e6,
            _not_said(lot), lot.unit, zone,
        )  # fmt: skip


def _holders(
    kind: str, held: dict[tuple[str, str], int], coats: dict[str, list[On]] | None = None
) -> tuple[Holder, ...]:  # fmt: skip
    keys = {key for of, key in held if of == kind}
    if coats is not None:
        keys |= coats.keys()  # also pieces from which all was taken off again
    return tuple(
        Holder(key.partition(":")[2], kind, held.get((kind, key), 0) / 1e6,
               tuple((coats or {}).get(key, ())))
        for key in sorted(keys)
    )  # fmt: skip


def _coats(lot: Lot) -> dict[str, list[On]]:
    rows = (
        Line.objects.filter(lot=lot, place__kind="piece").values("about", "place__key")
        .annotate(u=Sum("ug")).values_list("about", "place__key", "u")
    )  # fmt: skip
    amounts = [(about, key, ug) for about, key, ug in rows if ug]
    events: dict[int, Event] = {}
    for some in chunks(sorted({about for about, _, _ in amounts})):
        found = Event.objects.filter(root__in=some, void=False).select_related("movement")
        events.update({event.root_id: event for event in found})
    out: dict[str, list[On]] = {}
    for about, key, ug in sorted(amounts, key=lambda a: (events[a[0]].at_us, a[0])):
        event = events[about]
        body = event.movement.body
        out.setdefault(key, []).append(On(about, event.at_us, body.get("what") or event.kind,
                                          body.get("number"), tuple(body.get("parts") or ()),
                                          ug / 1e6))  # fmt: skip
    return out


def _not_said(lot: Lot) -> tuple[str, ...]:
    """Return the places that it reached, but not by an amount."""
    starts = [(lot.place_id, BEGINNING)]
    came = Flow.objects.filter(lot=lot).exclude(to=lot.place)
    starts += [(to, (at, event, step)) for to, at, event, step in came.values_list(
        "to", "at_us", "event", "step")]  # fmt: skip
    found = reach(starts)
    reached = {*found.contacts, *(e.to for e in found.edges.values() if not e.washed)}
    known = set(Line.objects.filter(lot=lot).values_list("place", flat=True))
    return tuple(sorted(_names(reached - known - {lot.place_id})))


def _names(places: Iterable[int]) -> Iterable[str]:
    for some in chunks(sorted(places)):
        for key in Place.objects.filter(id__in=some).values_list("key", flat=True):
            yield key.partition(":")[2]
