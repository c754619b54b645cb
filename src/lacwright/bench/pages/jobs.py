"""The job: what comes next and when, what is done, how much film there is."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from lacwright.bench.pages import happened
from lacwright.bench.words import day
from lacwright.figures import Basis, Caution, Figure, Mark
from lacwright.shop import clock
from lacwright.shop.models import Job
from lacwright.shop.queries import jobs as q
from lacwright.shop.queries.pieces import History, history
from lacwright.shop.queries.progress import Lane
from lacwright.shop.queries.proving import Quarantine
from lacwright.shop.queries.remembered import remembered
from lacwright.shop.queries.shut import shut_jars

HOUR_US = 3600 * clock.SECOND


@dataclass(frozen=True)
class Next:
    """A next step, on the parts that are all as far."""

    words: str
    where: str
    parts: tuple[str, ...]
    faces: tuple[str, ...]
    lays: bool
    sands: bool
    what: str
    jar: str
    shut: str  # what is against that jar
    at: dt.datetime | None  # when it may begin; None where nothing has to dry
    wait: str  # "3 h", "" where it may begin
    laid: int
    planned: int


@dataclass(frozen=True)
class FilmNow:
    """The film on a part, and what the plan wants at the end."""

    part: str
    now: Figure
    planned: Figure | None


@dataclass(frozen=True)
class OneJob:
    """A job as its page shows it."""

    job: Job
    closed: str
    next: tuple[Next, ...]
    without_plan: bool
    done: tuple[happened.Line, ...]
    film: tuple[FilmNow, ...]
    shut: tuple[tuple[str, str], ...]  # jars on it that failed a test, and which
    spots: tuple[dict[str, Any], ...]
    faults: tuple[dict[str, Any], ...]
    agreements: tuple[dict[str, Any], ...]
    files: tuple[dict[str, Any], ...]
    hours: float
    finish: dt.date | None
    stops: tuple[str, ...]
    in_spite: str
    cautions: tuple[Caution, ...]
    wet: bool  # a coat of the last days lies on it
    fresh: bool  # it is of the last day

    @property
    def over(self) -> bool:
        """Whether it is open and everything planned is done."""
        return not (self.closed or self.next or self.without_plan)


def one_job(job: Job, zone: dt.tzinfo, now_us: int) -> OneJob:
    """Return a job with all that belongs to it."""
    shown = remembered(("job", job.key, str(zone)), lambda: q.show(job, zone))
    told = shown.as_json(zone)
    shut = shut_jars()
    past = _history(job)
    done = happened.lines(past, zone, shut, job=job.key)
    bad = dict.fromkeys(line.jar for line in done if line.shut)
    finish = told["planned_finish"]
    return OneJob(
        job=job, closed=_closed(shown, zone),
        next=_next(shown.progress, zone, now_us, shut) if shown.closed is None else (),
        without_plan=not (job.plan or {}).get("steps"), done=tuple(done),
        film=tuple(FilmNow(*row) for row in _film(job, past.film)),
        shut=tuple((jar, shut[jar].words(zone)) for jar in bad),
        spots=tuple(told["spots"]), faults=tuple(told["faults"]),
        agreements=tuple(told["agreements"]), files=tuple(told["files"]),
        hours=told["minutes"] / 60, finish=finish and dt.date.fromisoformat(finish),
        stops=tuple(told["stops_at_start"]), in_spite=told["in_spite"],
        cautions=tuple(Caution(c["code"], c["text"]) for c in (job.plan or {}).get("cautions", ())),
        wet=happened.young(done), fresh=happened.young(done, clock.DAY),
    )  # fmt: skip


def film_rows(job: Job) -> list[tuple[str, Figure, Figure | None]]:
    """Return the film on the parts of a job, and what the plan wants."""
    return _film(job, _history(job).film)


def _history(job: Job) -> History:
    return remembered(("history", job.piece.key), lambda: history(job.piece))


@dataclass(frozen=True)
class DayLine:
    """What is done at an hour of a day."""

    day: dt.date
    at: str
    what: str


@dataclass(frozen=True)
class Planned:
    """A plan as it is kept with a job."""

    coats: int
    finish: dt.date | None
    mixes: tuple[dict[str, Any], ...]
    steps: tuple[tuple[str, str], ...]  # what and on which parts, in order
    days: tuple[DayLine, ...]
    notes: tuple[str, ...]
    stops: tuple[str, ...]
    cautions: tuple[Caution, ...]


def planned_job(plan: Mapping[str, Any]) -> Planned:
    """Return what was planned when a job began."""
    keys = plan["keys"]
    finish = (keys.get("finish") or {}).get("earliest")
    days = [
        DayLine(dt.date.fromisoformat(e["date"]), e["at"], on_part(e["what"], e["part"]))
        for e in keys.get("calendar") or ()
    ]
    return Planned(
        plan["planned_coats"], finish and dt.date.fromisoformat(finish),
        tuple({"name": name, **mix} for name, mix in keys["mixes"].items()),
        tuple((q.step_words(s), ", ".join(s["parts"])) for s in plan["steps"]), tuple(days),
        tuple(keys["notes"]), tuple(s["text"] for s in plan["stops"]),
        tuple(Caution(c["code"], c["text"]) for c in plan["cautions"]),
    )  # fmt: skip


def on_part(what: str, part: str) -> str:
    """Return a step with its part, where that is not all there is."""
    return what if not part or part == "all parts" or part.startswith("mix ") else f"{what}: {part}"


def wait_words(us: int) -> str:
    """Return how long that is, in words: "40 min", "3 h", "2 days"."""
    hours = us / HOUR_US
    if hours < 1:
        return f"{max(1, round(hours * 60))} min"
    return f"{hours:.0f} h" if hours < 36 else f"{hours / 24:.0f} days"


def _next(
    progress: tuple[q.Progress, ...], zone: dt.tzinfo, now_us: int,
    shut: Mapping[str, Quarantine],
) -> tuple[Next, ...]:  # fmt: skip
    """Return the next steps, those that may begin first in front."""
    groups: dict[tuple[Any, ...], list[Lane]] = {}
    for one in progress:
        step = one.lane.next
        if step is not None:
            due = one.earliest_us if one.earliest_us is not None and one.earliest_us > now_us else 0
            groups.setdefault((due, q.step_words(step), one.lane.laid), []).append(one.lane)
    out = []
    for (due, words, laid), lanes in sorted(groups.items(), key=lambda g: g[0][:2]):
        step = lanes[0].next
        assert step is not None
        parts = tuple(dict.fromkeys(lane.part for lane in lanes if lane.part))
        faces = lanes[0].faces if len(lanes) == 1 else ()
        jar = step["jar"] or ""
        out.append(Next(
            words, happened.where(list(parts), list(faces)).removeprefix(" on "), parts, faces,
            bool(step["lays"]), bool(step["sands"]), str(step["what"]), jar,
            shut[jar].words(zone) if jar in shut else "",
            clock.from_us(due, zone) if due else None, wait_words(due - now_us) if due else "",
            laid, max(lane.planned for lane in lanes),
        ))  # fmt: skip
    return tuple(out)


def _closed(shown: q.Shown, zone: dt.tzinfo) -> str:
    if shown.closed is None:
        return ""
    given = shown.closed.movement.body["delivered"]
    return f"Closed on {day(clock.day_of(shown.closed.at_us, zone))}" + (
        f", handed over on {day(dt.date.fromisoformat(given))}" if given else ""
    )


def _film(job: Job, now: Mapping[str, Figure]) -> list[tuple[str, Figure, Figure | None]]:
    """Return the film now and as planned, parts that are alike together."""
    out: dict[tuple[Any, ...], tuple[list[str], Figure, Figure | None]] = {}
    for part, figure in now.items():
        plan = _planned(job.plan, part)
        like = (figure.value, figure.low, figure.high, plan and (plan.value, plan.low, plan.high))
        out.setdefault(like, ([], figure, plan))[0].append(part)
    return [(", ".join(parts), figure, plan) for parts, figure, plan in out.values()]


def _planned(plan: Mapping[str, Any] | None, part: str) -> Figure | None:
    told = (plan or {}).get("figures", {}).get(f"film.{part}.flat_left")
    if told is None or told["value"] is None:
        return None
    return Figure(told["value"], told["low"], told["high"], told["unit"], Basis(told["basis"]),
                  Mark(told["mark"]), told["source"])  # fmt: skip
