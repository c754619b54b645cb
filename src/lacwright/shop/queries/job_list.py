"""A page of the list of jobs: what comes next on each, in a fixed number of queries."""

from __future__ import annotations

import datetime as dt
import json
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Count, Exists, F, Max, OuterRef, Q, QuerySet
from django.db.models.fields.json import KT

from lacwright.shop.models import Event, Job
from lacwright.shop.queries.jobs import CLOSED, OPEN, step_words
from lacwright.shop.queries.progress import ABRADE, COAT, STRIP, Done, lanes


@dataclass(frozen=True)
class JobLine:
    """A job in a list.

    Parameters
    ----------
    key, title, piece : str
        Its name, what it is, on which piece.
    customer : str or None
        Whose the piece is.
    promised : date or None
        The day that was promised.
    closed : bool
        Whether it is closed.
    coats : int
        Coats and sessions laid.
    planned : int or None
        Coats planned in all, None without a plan.
    last_us : int
        When something was last written down.
    next : tuple of (str, str)
        The next steps: what, and on which parts.
    """

    key: str
    title: str
    piece: str
    customer: str | None
    promised: dt.date | None
    closed: bool
    coats: int
    planned: int | None
    last_us: int
    next: tuple[tuple[str, str], ...]


def job_page(
    *, state: str | None = OPEN, words: str = "", first: int = 0, length: int = 30
) -> tuple[list[JobLine], int]:
    """Return some jobs, the newest first (of the open ones the promised), and how many there are.

    Parameters
    ----------
    state : str or None
        "open", "closed", None for all.
    words : str
        What name, title, piece or customer must hold, word by word.
    first, length : int
        Which of them.
    """
    rows = _rows(state, words)
    total = rows.count()
    order = (F("promised").asc(nulls_last=True), "-id") if state == OPEN else ("-id",)
    # The page first, then what is on it: plans are large, and the sorting would drag them along.
    shown = list(rows.order_by(*order).values_list("id", flat=True)[first : first + length])
    found = list(
        Job.objects.filter(id__in=shown)
        .annotate(steps=KT("plan__steps"), planned=KT("plan__planned_coats"))
        .values("id", "key", "title", "piece__key", "piece__customer__key", "promised", "planned",
                "steps", "piece__areas_m2")
    )  # fmt: skip
    found.sort(key=lambda row: shown.index(row["id"]))
    ids = [row["id"] for row in found]
    told = Event.objects.filter(job__in=ids, void=False).values_list("job").annotate(
        coats=Count("root", filter=Q(kind=COAT)), last=Max("at_us")
    )  # fmt: skip
    counted = {job: (coats, last) for job, coats, last in told}
    closed = set(_closed().filter(job__in=ids).values_list("job", flat=True))
    done = _done([row["id"] for row in found if row["steps"] and row["id"] not in closed])
    return [
        _line(row, row["id"] in closed, *counted.get(row["id"], (0, 0)), done[row["id"]])
        for row in found
    ], total


def _closed() -> QuerySet[Event]:
    return Event.objects.filter(kind="close", void=False, job__isnull=False)


def _rows(state: str | None, words: str) -> QuerySet[Job]:
    rows = Job.objects.filter(Exists(Event.objects.filter(root=OuterRef("opened"), void=False)))
    if state == CLOSED:
        rows = rows.filter(id__in=_closed().values("job"))
    elif state == OPEN:
        rows = rows.exclude(id__in=_closed().values("job"))
    for word in words.split():
        rows = rows.filter(
            Q(key__icontains=word) | Q(title__icontains=word) | Q(piece__key__icontains=word)
            | Q(piece__customer__key__icontains=word)
        )  # fmt: skip
    return rows


def _done(jobs: Iterable[int]) -> dict[int, list[Done]]:
    out: dict[int, list[Done]] = defaultdict(list)
    rows = (
        Event.objects.filter(job__in=list(jobs), void=False)
        .order_by().values_list("job", "root_id", "at_us", "kind", "movement__body")
    )  # fmt: skip
    # Picked out and sorted here: asked for kinds or an order, the database would walk all there is.
    mine = (row for row in rows if row[3] in (COAT, ABRADE, STRIP))
    for job, root, at_us, kind, body in sorted(mine, key=lambda row: (row[2], row[1])):
        assert job is not None
        out[job].append(Done(root, at_us, kind, body))
    return out


def _line(
    row: Mapping[str, Any], closed: bool, coats: int, last_us: int, done: Sequence[Done]
) -> JobLine:  # fmt: skip
    steps = json.loads(row["steps"]) if isinstance(row["steps"], str) else row["steps"]
    return JobLine(
        row["key"], row["title"], row["piece__key"], row["piece__customer__key"],
        row["promised"], closed, coats,
        None if row["planned"] is None else int(row["planned"]), last_us,
        () if closed or not steps else
        _next({"steps": steps}, row["piece__areas_m2"], done),
    )  # fmt: skip


def _next(
    plan: Mapping[str, Any], parts: Iterable[str], done: Sequence[Done]
) -> tuple[tuple[str, str], ...]:  # fmt: skip
    """Return the next steps of the parts, like ones together."""
    where: dict[str, list[str]] = {}
    for lane in lanes(plan, parts, done):
        if lane.next is not None:
            where.setdefault(step_words(lane.next), []).append(lane.part)
    return tuple((what, ", ".join(dict.fromkeys(p for p in on if p))) for what, on in where.items())
