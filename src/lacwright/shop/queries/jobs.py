"""Jobs: which are open, how far each has come, what comes next and when at the earliest."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.db.models import Count, Exists, Max, OuterRef, Q
from django.db.models.fields.json import KT

from lacwright.shop import clock
from lacwright.shop.files_store import path_of
from lacwright.shop.models import Event, Job, Piece
from lacwright.shop.opening import opened
from lacwright.shop.queries.own_figures import own_figure
from lacwright.shop.queries.progress import ABRADE, COAT, STRIP, Done, Lane, Step, lanes
from lacwright.shop.reading import snapshot
from lacwright.trade import table

OPEN, CLOSED = "open", "closed"


@dataclass(frozen=True)
class Progress:
    """How far some faces of a part have come, and what comes next."""

    lane: Lane
    earliest_us: int | None

    def as_json(self, zone: dt.tzinfo) -> dict[str, Any]:
        """Return it as plain data with the reason for every null."""
        lane, step = self.lane, self.lane.next
        planned = bool(lane.steps)
        keys: dict[str, Any] = {
            "part": lane.part, "faces": list(lane.faces), "laid": lane.laid,
            "planned": lane.planned if planned else None, "left": lane.left if planned else None,
            "skipped": [step_words(s) for s in lane.skipped],
            "next": None if step is None else step_words(step),
            "earliest": None if self.earliest_us is None else clock.iso(self.earliest_us, zone),
        }  # fmt: skip
        no = "no plan is kept with the job"
        why = {"planned": no, "left": no, "next": "the plan has no more steps" if planned else no,
               "earliest": "the plan has no more steps" if planned and step is None
               else "nothing was done yet"}  # fmt: skip
        return {**keys, "missing": {k: why[k] for k, v in keys.items() if v is None}}


@dataclass(frozen=True)
class Shown:
    """A job with all that belongs to it."""

    job: Job
    closed: Event | None
    started: Event
    progress: tuple[Progress, ...]
    events: tuple[Event, ...]

    @property
    def state(self) -> str:
        """Return "open" or "closed"."""
        return OPEN if self.closed is None else CLOSED

    def of_kind(self, *kinds: str) -> list[Event]:
        """Return what happened of some kinds, in the order of time."""
        return [e for e in self.events if e.kind in kinds]

    @property
    def spots(self) -> list[Event]:
        """Spots to come back to that are not done."""
        done = {e.movement.body["spot"] for e in self.of_kind("spot-done")}
        return [e for e in self.of_kind("spot") if e.root_id not in done]

    def as_json(self, zone: dt.tzinfo) -> dict[str, Any]:
        """Return it as plain data with the reason for every null."""
        job, plan = self.job, self.job.plan
        start = self.started.movement.body
        finish = (plan or {}).get("keys", {}).get("finish") or {}
        keys: dict[str, Any] = {
            "job": job.key, "title": job.title, "state": self.state, "piece": job.piece.key,
            "customer": job.piece.customer and job.piece.customer.key,
            "started": clock.iso(self.started.at_us, zone),
            "closed": self.closed and clock.iso(self.closed.at_us, zone),
            "delivered": self.closed and self.closed.movement.body["delivered"],
            "promised": job.promised and job.promised.isoformat(),
            "planned_finish": finish.get("earliest"), "note": job.note,
            "stops_at_start": start.get("stops", []), "in_spite": start.get("in_spite", ""),
            "progress": [p.as_json(zone) for p in self.progress],
            "minutes": sum(e.movement.body.get("minutes") or 0.0 for e in self.events),
            "spots": [_spot(e, zone) for e in self.spots],
            "faults": [_fault(e, zone) for e in self.of_kind("fault")],
            "agreements": [_agreement(e, zone) for e in self.of_kind("agree")],
            "files": [_file(e, zone) for e in self.of_kind("attach")],
        }  # fmt: skip
        still = "it is open"
        why = {"customer": "not said", "closed": still, "promised": "no day is promised",
               "delivered": still if self.closed is None else "not said",
               "planned_finish": "no plan is kept with the job"}  # fmt: skip
        return {**keys, "missing": {k: why[k] for k, v in keys.items() if v is None}}


def job_lines(*, state: str | None = OPEN) -> list[dict[str, Any]]:
    """Return a line for every job, the promised day first, in one query.

    Parameters
    ----------
    state : str or None
        "open", "closed", None for all.
    """
    closed = Event.objects.filter(job=OuterRef("pk"), kind="close", void=False)
    rows = (
        Job.objects.filter(opened__event__void=False)
        .annotate(
            is_closed=Exists(closed), planned=KT("plan__planned_coats"),
            coats=Count("events", filter=Q(events__kind=COAT, events__void=False)),
            last_us=Max("events__at_us", filter=Q(events__void=False)),
        )
    )  # fmt: skip
    if state is not None:
        rows = rows.filter(Exists(closed) if state == CLOSED else ~Exists(closed))
    found = rows.order_by("promised", "key").values(
        "key", "title", "piece__key", "piece__customer__key", "promised", "is_closed", "planned",
        "coats", "last_us",
    )  # fmt: skip
    return sorted((_line(row) for row in found), key=lambda r: (r["promised"] is None,))


def open_on(piece: Piece) -> list[str]:
    """Return the jobs that are open on a piece."""
    closed = Event.objects.filter(job=OuterRef("pk"), kind="close", void=False)
    rows = Job.objects.filter(piece=piece, opened__event__void=False).exclude(Exists(closed))
    return list(rows.order_by("key").values_list("key", flat=True))


def begun_us(job: Job) -> int | None:
    """Return when a job was begun; None where that was taken back."""
    rows = Event.objects.filter(root=job.opened_id, void=False)
    return rows.values_list("at_us", flat=True).first()


def _line(row: Mapping[str, Any]) -> dict[str, Any]:
    keys = {
        "job": row["key"], "title": row["title"], "piece": row["piece__key"],
        "customer": row["piece__customer__key"],
        "state": CLOSED if row["is_closed"] else OPEN,
        "promised": row["promised"] and row["promised"].isoformat(), "coats": row["coats"],
        "planned_coats": None if row["planned"] is None else int(row["planned"]),
        "last_us": row["last_us"],
    }  # fmt: skip
    why = {"customer": "not said", "promised": "no day is promised",
           "planned_coats": "no plan is kept with the job"}  # fmt: skip
    return {**keys, "missing": {k: why[k] for k, v in keys.items() if v is None}}


def show(job: Job, zone: dt.tzinfo) -> Shown:
    """Return a job with its progress, spots, faults, agreements and files."""
    with snapshot():
        return _show(job, zone)


def _show(job: Job, zone: dt.tzinfo) -> Shown:
    events = tuple(
        Event.objects.filter(job=job, void=False).select_related("movement", "jar")
        .order_by("at_us", "root")
    )  # fmt: skip
    closed = [e for e in events if e.kind == "close"]
    started = Event.objects.select_related("movement").get(root=job.opened)
    return Shown(job, closed[-1] if closed else None, started,
                 tuple(progress(job, events, zone)), events)  # fmt: skip


def progress(job: Job, events: Iterable[Event], zone: dt.tzinfo) -> list[Progress]:
    """Return how far the parts of a job have come."""
    done = done_of(events)
    found = lanes(job.plan, job.piece.areas_m2, done)
    waits: dict[str, float] = {}

    def usual(lane: Lane) -> float:
        if lane.last is None or lane.last.kind != COAT or not lane.last.body["method"]:
            return 0.0
        method = lane.last.body["method"]
        if method not in waits:
            waits[method] = own_figure(f"wait.{method}").number()
        return waits[method]

    return [Progress(lane, None if lane.steps and lane.next is None
                     else lane.earliest_us(zone, usual(lane))) for lane in found]  # fmt: skip


def done_of(events: Iterable[Event]) -> list[Done]:
    """Return the coats, sandings and strippings among events."""
    return [Done(e.root_id, e.at_us, e.kind, e.movement.body) for e in events
            if e.kind in (COAT, ABRADE, STRIP)]  # fmt: skip


def step_words(step: Step) -> str:
    """Return a step as a person reads it: "Coat 3 (body, 2-lb)", "Level with P600"."""
    words = table("steps")[step["what"]].text("words")
    if step["lays"]:
        words += f" {step['number']} ({step['mix']}, {step['cut_lb_per_gal']:g}-lb)"
    if step["abrasive"]:
        words += f" with {step['abrasive']}"
    return f"{words}: {step['note']}" if step["note"] else words


def _spot(event: Event, zone: dt.tzinfo) -> dict[str, Any]:
    body = event.movement.body
    return {"movement": event.root_id, "at": clock.iso(event.at_us, zone), "parts": body["parts"],
            "where": body["where"], "text": body["text"]}  # fmt: skip


def _fault(event: Event, zone: dt.tzinfo) -> dict[str, Any]:
    body = event.movement.body
    keys: dict[str, Any] = {
        "movement": event.root_id, "at": clock.iso(event.at_us, zone), "what": body["what"],
        "parts": body["parts"], "where": body["where"], "text": body["text"],
        "cause": body["cause"], "jar": event.jar and event.jar.key,
    }  # fmt: skip
    return keys if event.jar is not None else {**keys, "missing": {"jar": "not said"}}


def _agreement(event: Event, zone: dt.tzinfo) -> dict[str, Any]:
    body = event.movement.body
    keys = {
        "movement": event.root_id,
        "at": clock.iso(event.at_us, zone),
        **{k: body[k] for k in ("what", "text", "price", "currency", "panel")},
    }
    why = {"price": "no price was said", "panel": "no panel is meant"}
    return {**keys, "missing": {k: why[k] for k, v in keys.items() if v is None}}


def _file(event: Event, zone: dt.tzinfo) -> dict[str, Any]:
    body = event.movement.body
    return {"movement": event.root_id, "at": clock.iso(event.at_us, zone), "name": body["name"],
            "media": body["media"], "words": body["words"], "sha256": body["sha256"],
            "path": str(path_of(opened(), body["sha256"]))}  # fmt: skip
