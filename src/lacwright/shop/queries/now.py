"""What is to be done now: of the work that was touched lately, however large the record is."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.db.models import Exists, OuterRef, Q

from lacwright.plan.own import default_figure
from lacwright.shop.facts import FLAKES
from lacwright.shop.models import Balance, Event, Jar, Job, Lot
from lacwright.shop.queries import due as dues
from lacwright.shop.queries import shelf
from lacwright.shop.queries.preferences import own_given
from lacwright.shop.queries.progress import ABRADE, COAT, STRIP, Done, Lane, lanes
from lacwright.shop.queries.shut import shut_jars, shut_lots

JOBS, JARS, LOTS = 20, 40, 30
"""So many are looked at, those that were touched last: what is used is what must be proved."""
_EVENTS = 12
"""Events that are read back for one of them."""


@dataclass(frozen=True)
class LaneNow:
    """Faces of a part of an open job, and from when on its next step may begin."""

    job: Job
    lane: Lane
    earliest_us: int | None
    """None: nothing was done on it yet."""


@dataclass(frozen=True)
class Now:
    """What stands at a moment.

    Parameters
    ----------
    lanes : tuple of LaneNow
        Of the open jobs that were touched last.
    due : tuple of Due
        Tests, and what is to be discarded.
    looks : dict
        When a running test is to be looked at again, by kind and name of what is tested.
    more_jobs, more_jars : bool
        Whether there are others that nobody touched for longer.
    """

    lanes: tuple[LaneNow, ...]
    due: tuple[dues.Due, ...]
    looks: Mapping[tuple[str, str], int]
    more_jobs: bool
    more_jars: bool


def nothing_yet() -> bool:
    """Return whether the shop has neither a jar nor a job nor a lot."""
    here = Event.objects.filter(root=OuterRef("opened"), void=False)
    return not any(rows.filter(Exists(here)).exists()
                   for rows in (Jar.objects, Job.objects, Lot.objects))  # fmt: skip


def stands(*, at_us: int, zone: dt.tzinfo) -> Now:
    """Return what stands at a moment, in a fixed number of queries.

    Parameters
    ----------
    at_us : int
        The moment.
    zone : tzinfo
        Of the shop: rests end with the beginning of a day.
    """
    jobs, more_jobs = _jobs()
    jars, more_jars = _jars()
    jar_lines = shelf.jars(at_us=at_us, only=jars)
    lot_lines = shelf.lots(at_us=at_us, only={"id__in": _flakes()})
    due = dues.due_among(jars=jar_lines, lots=lot_lines)
    looks = {
        (kind, name): test.look_us
        for kind, name, proof in (*(("jar", j.jar.key, j.proof) for j in jar_lines),
                                  *(("lot", x.lot.key, x.proof) for x in lot_lines))
        for test in proof.running if test.look_us is not None
    }  # fmt: skip
    return Now(tuple(_lanes(jobs, zone)), due, looks, more_jobs, more_jars)


def _jobs() -> tuple[list[Job], bool]:
    closed = Event.objects.filter(job=OuterRef("pk"), kind="close", void=False)
    open_ = Job.objects.filter(opened__event__void=False).exclude(Exists(closed))
    numbers = _touched_last("job", JOBS)
    rows = open_.filter(id__in=numbers).select_related("piece")
    found = sorted(rows, key=lambda job: numbers.index(job.id))
    return found, open_.exclude(id__in=numbers).exists()


def _jars() -> tuple[list[int], bool]:
    gone = Event.objects.filter(jar=OuterRef("pk"), kind="discard", void=False)
    standing = Jar.objects.filter(opened__event__void=False).exclude(Exists(gone))
    numbers = _touched_last("jar", JARS)
    # What failed its test is told until it is poured away, however long nobody touched it.
    wanted = Q(id__in=numbers) | Q(key__in=list(shut_jars()))
    found = list(standing.filter(wanted).values_list("id", flat=True))
    return found, standing.exclude(id__in=numbers).exists()


def _flakes() -> list[int]:
    """Return the lots of flakes that came last and of which something is there, or may be."""
    used_up = Balance.objects.filter(lot=OuterRef("pk"), place=OuterRef("place"), ug__gt=0)
    rows = Lot.objects.filter(kind=FLAKES, said=True, opened__event__void=False)
    there = rows.filter(Exists(used_up) | ~Exists(Event.objects.filter(
        lot=OuterRef("pk"), kind="count", void=False)))  # fmt: skip
    last = list(there.order_by("-opened").values_list("id", flat=True)[:LOTS])
    shut = shut_lots()
    bad = there.filter(key__in=list(shut)).values_list("id", flat=True) if shut else ()
    return list(dict.fromkeys([*last, *bad]))


def _touched_last(word: str, most: int) -> list[int]:
    """Return the numbers of the things that the last observations were about."""
    rows = Event.objects.filter(**{f"{word}__isnull": False}, void=False)
    last = rows.order_by("-at_us", "-root").values_list(f"{word}_id", flat=True)
    return list(dict.fromkeys(last[: most * _EVENTS]))[:most]


def _lanes(jobs: list[Job], zone: dt.tzinfo) -> Iterable[LaneNow]:
    done: dict[int, list[Done]] = defaultdict(list)
    rows = (
        Event.objects.filter(job__in=jobs, void=False).order_by()
        .values_list("job_id", "root_id", "at_us", "kind", "movement__body")
    )  # fmt: skip
    # Picked out and sorted here: asked for kinds or an order, the database would walk all there is.
    mine = (row for row in rows if row[3] in (COAT, ABRADE, STRIP))
    for job_id, root, at_us, kind, body in sorted(mine, key=lambda row: (row[2], row[1])):
        assert job_id is not None
        done[job_id].append(Done(root, at_us, kind, body))
    given = own_given()

    def usual_h(lane: Lane) -> float:
        method = lane.last.body.get("method") if lane.last and lane.last.kind == COAT else None
        if not method:
            return 0.0
        name = f"wait.{method}"
        return (given.get(name) or default_figure(name)).number()

    for job in jobs:
        for lane in lanes(job.plan, job.piece.areas_m2, done[job.id]):
            yield LaneNow(job, lane, lane.earliest_us(zone, usual_h(lane)))
