"""What is on a piece, in order: coats, sandings, strippings, tests, faults; by part and by lot."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Count, Q, Sum

from lacwright.figures import Figure
from lacwright.shop import clock
from lacwright.shop.models import Event, Job, Line, Lot, Piece
from lacwright.shop.queries.contents import Contents
from lacwright.shop.queries.film_on import FilmOn, Landed, film_on
from lacwright.shop.queries.past import contents_before
from lacwright.shop.queries.progress import ABRADE, COAT, ONE, STRIP, Done, zones_of
from lacwright.shop.reading import snapshot
from lacwright.surface import Zone

TOLD = (COAT, ABRADE, STRIP, "test", "fault", "spot", "spot-done", "note", "rest", "clean", "wax",
        "attach", "agree")  # fmt: skip

NOT_SAID = "not said"


@dataclass(frozen=True)
class Happened:
    """One thing that happened on a piece."""

    event: Event
    number: int | None  # of its kind on its parts
    landed: Landed | None
    film: Mapping[str, Figure]  # of a coat, by part

    @property
    def body(self) -> Mapping[str, Any]:
        """What was written down."""
        body: Mapping[str, Any] = self.event.movement.body
        return body

    @property
    def inside(self) -> Contents | None:
        """What was in its jar just before."""
        return None if self.landed is None else self.landed.inside

    @property
    def cut(self) -> float | None:
        """Cut of the jar at that time [lb/gal]."""
        if self.inside is None or self.inside.no_cut is not None:
            return None
        return float(self.inside.mix.cut_lb_per_gal)

    def resin(self) -> list[tuple[Lot, float, float | None]]:
        """Return what it left on the piece: lot, grams, grams on a square metre."""
        if self.landed is None:
            return []
        area = self.body["area_m2"]
        return [(lot, g, g / area if area else None) for lot, g in self.landed.by_lot.items()]

    def as_json(self, zone: dt.tzinfo) -> dict[str, Any]:
        """Return it as plain data with the reason for every null."""
        event, body = self.event, self.body
        keys: dict[str, Any] = {
            "movement": event.root_id, "at": clock.iso(event.at_us, zone), "kind": event.kind,
            "job": event.job and event.job.key, "what": body.get("what", event.kind),
            "parts": body.get("parts", []),
        }  # fmt: skip
        why = {"job": "for no job"}
        if event.kind == COAT:
            keys |= self._coat_json(why)
        else:
            skip = ("refs", "moves", "parts", "what")
            more = {k: _reasoned(v) for k, v in body.items() if k not in skip}
            keys |= more
            why |= dict.fromkeys(more, NOT_SAID)
        return {**keys, "missing": {k: why[k] for k, v in keys.items() if v is None}}

    def _coat_json(self, why: dict[str, str]) -> dict[str, Any]:
        event, body = self.event, self.body
        inside = self.inside
        why |= {
            "jar": "not said", "applicator": "not said", "method": "not said",
            "cut_lb_per_gal": (inside.no_cut if inside is not None else None) or "not known",
            "area_m2": "not known", "minutes": "not said", "number": "not counted",
            "used_ml": "it was not measured", "evaporated_g": "not known",
            "left_g": "it was not weighed",
        }  # fmt: skip
        return {
            "number": self.number, "faces": body["faces"], "method": body["method"],
            "jar": event.jar and event.jar.key,
            "applicator": event.applicator and event.applicator.key,
            "cut_lb_per_gal": self.cut, "area_m2": body["area_m2"],
            "amount_basis": body["amount_basis"], "used_ml": body["used_ml"],
            "evaporated_g": body["evaporated_g"], "left_g": body["left_g"],
            "minutes": body["minutes"], "note": body["note"],
            "in_spite": body.get("in_spite", ""),
            "lots": [
                {"lot": lot.key, "g": g, "g_m2": per,
                 **({} if per is not None else {"missing": {"g_m2": "its area is not known"}})}
                for lot, g, per in self.resin()
            ],
            "film_um": [_film_json(part, figure) for part, figure in self.film.items()],
        }  # fmt: skip


@dataclass(frozen=True)
class History:
    """A piece and what happened on it, the oldest first."""

    piece: Piece
    jobs: tuple[str, ...]
    happened: tuple[Happened, ...]
    film: Mapping[str, Figure]  # now, by part

    def as_json(self, zone: dt.tzinfo) -> dict[str, Any]:
        """Return it as plain data with the reason for every null."""
        row = self.piece
        keys: dict[str, Any] = {
            "piece": row.key, "kind": row.kind, "title": row.title,
            "customer": row.customer and row.customer.key, "wood": row.wood,
            "areas_m2": row.areas_m2, "note": row.note, "jobs": list(self.jobs),
            "film_um": [_film_json(part, figure) for part, figure in self.film.items()],
            "happened": [one.as_json(zone) for one in self.happened],
        }  # fmt: skip
        if row.customer is None:
            keys["missing"] = {"customer": "not said"}
        return keys


def history(piece: Piece) -> History:
    """Return what happened on a piece or panel, in a fixed number of queries."""
    with snapshot():
        return _history(piece)


def _history(piece: Piece) -> History:
    events = list(
        Event.objects.filter(piece=piece, void=False, kind__in=TOLD)
        .select_related("movement", "job", "jar__place", "applicator").order_by("at_us", "root")
    )  # fmt: skip
    jobs = list(Job.objects.filter(piece=piece, opened__event__void=False).order_by("id"))
    coats = [e for e in events if e.kind == COAT]
    before = contents_before(coats)
    landed = landed_on(piece, coats, before)
    film = _film(piece, jobs, events, landed)
    numbers = _numbers(piece, coats)
    happened = tuple(
        Happened(
            event, numbers.get(event.root_id), landed.get(event.root_id),
            {part: figure for (root, part), figure in film.coats.items() if root == event.root_id},
        )
        for event in events
    )  # fmt: skip
    return History(piece, tuple(job.key for job in jobs), happened, film.now)


def piece_lines(*, kind: str | None = None) -> list[dict[str, Any]]:
    """Return a line for every piece and panel, by name, in one query."""
    rows = Piece.objects.filter(opened__event__void=False).select_related("customer")
    if kind is not None:
        rows = rows.filter(kind=kind)
    counted = rows.annotate(
        coats=Count("events", filter=Q(events__kind=COAT, events__void=False))
    ).order_by("key")  # fmt: skip
    return [
        {"piece": row.key, "kind": row.kind, "title": row.title, "wood": row.wood,
         "customer": row.customer and row.customer.key,
         "area_m2": sum(row.areas_m2.values()) if row.areas_m2 else None,
         "coats": row.coats,
         "missing": {k: w for k, w, v in (
             ("customer", "not said", row.customer), ("area_m2", "not said", row.areas_m2 or None),
         ) if v is None}}
        for row in counted
    ]  # fmt: skip


def landed_on(
    piece: Piece, coats: Sequence[Event], before: Mapping[int, Contents]
) -> dict[int, Landed]:
    """Return what coats left on a piece, by their root.

    Parameters
    ----------
    piece : Piece
    coats : sequence of Event
    before : mapping of root to Contents
        What their jars held just before.
    """
    sums: dict[int, dict[int, int]] = defaultdict(dict)
    rows = (
        Line.objects.filter(place=piece.place_id, about__event__kind=COAT,
                            about__event__piece=piece)
        .values_list("about", "lot").annotate(ug=Sum("ug")).order_by("about", "lot__key")
    )  # fmt: skip
    for about, lot, ug in rows:
        sums[about][lot] = ug
    lots = Lot.objects.in_bulk({lot for by_lot in sums.values() for lot in by_lot})
    return {
        e.root_id: Landed({lots[k]: ug / 1e6 for k, ug in sums[e.root_id].items() if ug},
                          before.get(e.root_id))
        for e in coats
    }  # fmt: skip


def zones_on(piece: Piece, jobs: Iterable[Job], events: Iterable[Event]) -> tuple[Zone, ...]:
    """Return the finished zones of a piece: as its last plan has them, else a face a part."""
    planned: dict[str, list[Zone]] = {}
    for job in jobs:
        found = zones_of(job.plan)
        planned |= {part: [z for z in found if z.part == part] for part in {z.part for z in found}}
    named = [part for event in events if event.kind in (COAT, ABRADE)
             for part in event.movement.body["parts"]]  # fmt: skip
    wood = piece.wood or "unknown"
    out: list[Zone] = []
    for part in dict.fromkeys((*piece.areas_m2, *planned, *named)) or {ONE: None}:
        out += planned.get(part) or [Zone(part, "face", piece.areas_m2.get(part, 0.0), wood=wood)]
    return tuple(out)


def _film(
    piece: Piece, jobs: Sequence[Job], events: Sequence[Event], landed: Mapping[int, Landed]
) -> FilmOn:
    done = [Done(e.root_id, e.at_us, e.kind, e.movement.body) for e in events
            if e.kind in (COAT, ABRADE, STRIP)]  # fmt: skip
    return film_on(zones=zones_on(piece, jobs, events), events=done, landed=landed)


def _numbers(piece: Piece, coats: Sequence[Event]) -> dict[int, int]:
    """Return which of its kind a coat is, counted by part; as he counted, where he did."""
    counts: dict[tuple[str, str], int] = defaultdict(int)
    out: dict[int, int] = {}
    named = [part for event in coats for part in event.movement.body["parts"]]
    every = list(dict.fromkeys((*piece.areas_m2, *named))) or [ONE]
    for event in coats:
        body = event.movement.body
        parts = body["parts"] or every
        for part in parts:
            counts[body["what"], part] += 1
        out[event.root_id] = body["number"] or max(counts[body["what"], part] for part in parts)
    return out


def _reasoned(value: Any) -> Any:
    """Return data with a reason beside every null in it."""
    if isinstance(value, Mapping):
        out = {k: _reasoned(v) for k, v in value.items()}
        nulls = [k for k, v in out.items() if v is None]
        return {**out, "missing": dict.fromkeys(nulls, NOT_SAID)} if nulls else out
    return [_reasoned(v) for v in value] if isinstance(value, list) else value


def _film_json(part: str, figure: Figure) -> dict[str, Any]:
    out: dict[str, Any] = {
        "part": part,
        "um": figure.value,
        "low": figure.low,
        "high": figure.high,
        "mark": str(figure.mark),
        "source": figure.source,
    }
    if figure.value is None:
        out["missing"] = dict.fromkeys(("um", "low", "high"), figure.missing)
    return out
