"""How far a job has come against the plan it was started with: pure, from a plan and its events."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from lacwright.shop import clock
from lacwright.surface import Zone
from lacwright.trade import table

Step = Mapping[str, Any]
"""A step of the plan as it is kept with the job, see `plan_link.kept`."""

COAT, ABRADE, STRIP = "coat", "abrade", "strip"
ONE = ""
"""The part of a piece of which no part has a name."""


@dataclass(frozen=True)
class Done:
    """A coat, a sanding or a stripping, as the progress of a job needs it."""

    root: int
    at_us: int
    kind: str
    body: Mapping[str, Any]

    @property
    def end_us(self) -> int:
        """When it was over, as far as that was said."""
        until = self.body.get("until_us")
        if until is not None and until > self.at_us:
            return int(until)
        return self.at_us

    @property
    def what(self) -> str:
        """Its word: "coat", "session", "scuff", ..."""
        return str(self.body.get("what", self.kind))


@dataclass
class Lane:
    """Faces of a part that get the same course, and how far they have come."""

    part: str
    faces: tuple[str, ...]
    steps: list[Step]
    done: dict[int, int] = field(default_factory=dict)  # place in `steps` -> root of the event
    laid: int = 0
    last: Done | None = None
    last_step: Step | None = None

    @property
    def planned(self) -> int:
        """Coats and sessions planned."""
        return sum(1 for step in self.steps if step["lays"])

    @property
    def position(self) -> int:
        """Place behind the last step that was done."""
        return max(self.done, default=-1) + 1

    @property
    def left(self) -> int:
        """Coats and sessions still to lay."""
        return sum(1 for step in self.steps[self.position :] if step["lays"])

    @property
    def skipped(self) -> list[Step]:
        """Coats and sandings that were passed over."""
        return [step for n, step in enumerate(self.steps[: self.position])
                if n not in self.done and (step["lays"] or step["sands"])]  # fmt: skip

    @property
    def next(self) -> Step | None:
        """The next step that is work."""
        return next((s for s in self.steps[self.position :] if not _rests(s)), None)

    def next_to_lay(self, what: str | None = None) -> Step | None:
        """Return the next coat that is planned, of a kind if one is asked for."""
        n = self._meant(self.position, True, what)
        return None if n is None else self.steps[n]

    def earliest_us(self, zone: dt.tzinfo, usual_h: float) -> int | None:
        """Return when the next step may begin, None if nothing was done yet.

        Rests that stand between run beside the wait; the longer of the two holds. A rest of days
        ends with the beginning of its last day.
        """
        if self.last is None:
            return None
        end = self.last.end_us
        if self.last_step is None:
            return end + round(usual_h * 3600) * clock.SECOND
        ready = _after(end, self.last_step, zone)
        rest = end
        for step in self.steps[self.position :]:
            if not _rests(step):
                break
            rest = _after(rest, step, zone)
        return max(ready, rest)

    def take(self, event: Done) -> None:
        """Take an event of this lane into account; they come in the order of time."""
        if event.kind == STRIP:
            self.done.clear()
            self.laid, self.last, self.last_step = 0, None, None
            return
        self.laid += event.kind == COAT
        self.last = event
        n = self._meant(self.position, event.kind == COAT, event.what)
        self.last_step = None if n is None else self.steps[n]
        if n is not None:
            self.done[n] = event.root

    def _meant(self, start: int, lays: bool, what: str | None) -> int | None:
        """Return the planned step a coat or sanding is: the next of its word, else the next."""
        open_ = [n for n in range(start, len(self.steps))
                 if self.steps[n]["lays" if lays else "sands"]]  # fmt: skip
        alike = [n for n in open_ if what in (None, self.steps[n]["what"])]
        if not lays:
            # A sanding that is not planned is one more; it does not pass coats over.
            first = next((n for n in range(start, len(self.steps)) if self.steps[n]["lays"]), None)
            alike = [n for n in alike if first is None or n < first]
            return alike[0] if alike else None
        return alike[0] if alike else open_[0] if open_ else None


def lanes(
    plan: Mapping[str, Any] | None, parts: Iterable[str], events: Iterable[Done]
) -> list[Lane]:  # fmt: skip
    """Return how far every part of a job has come.

    Parameters
    ----------
    plan : mapping or None
        As kept with the job.
    parts : iterable of str
        Parts of the piece; those that events name are added.
    events : iterable of Done
        Coats, sandings and strippings of the job, in the order of time.
    """
    steps: Sequence[Step] = (plan or {}).get("steps", ())
    done = list(events)
    names = dict.fromkeys(part for step in steps for part in step["parts"])
    if not names:
        names = dict.fromkeys((*parts, *(p for e in done for p in e.body.get("parts", ()))))
    out: list[Lane] = []
    for part in names or {ONE: None}:
        mine = [s for s in steps if part in s["parts"]]
        groups = dict.fromkeys(tuple(s["faces"]) for s in mine if s["faces"]) or {(): None}
        out += [Lane(part, faces, [s for s in mine if not s["faces"] or tuple(s["faces"]) == faces])
                for faces in groups]  # fmt: skip
    zones = zones_of(plan)
    for event in done:
        for lane in out:
            if _concerns(event.body, lane, zones):
                lane.take(event)
    return out


def lanes_of(found: Iterable[Lane], body: Mapping[str, Any], zones: Iterable[Zone]) -> list[Lane]:
    """Return the lanes that what is said of an observation touches."""
    known = tuple(zones)
    return [lane for lane in found if _concerns(body, lane, known)]


def zones_of(plan: Mapping[str, Any] | None) -> tuple[Zone, ...]:
    """Return the finished zones of the plan of a job, none without a plan."""
    return tuple(
        Zone(z["part"], z["kind"], z["area_m2"], wood=z["wood"], face=z["face"])
        for z in (plan or {}).get("zones", ())
    )


def zones_meant(
    zones: Iterable[Zone], parts: Iterable[str], faces: Iterable[str]
) -> tuple[Zone, ...]:  # fmt: skip
    """Return the zones of some parts (all, if none is named) and faces."""
    wanted, names = tuple(parts), tuple(faces)
    return tuple(
        z for z in zones
        if (not wanted or z.part in wanted) and (not names or any(z.on(name) for name in names))
    )  # fmt: skip


def _concerns(body: Mapping[str, Any], lane: Lane, zones: tuple[Zone, ...]) -> bool:
    parts = body.get("parts") or ()
    if parts and lane.part not in parts:
        return False
    if not body.get("faces") or not lane.faces:
        return True
    return any(z.face in lane.faces for z in zones_meant(zones, [lane.part], body["faces"]))


def _rests(step: Step) -> bool:
    return table("steps")[step["what"]].text("counts") == "rest"


def _after(us: int, step: Step, zone: dt.tzinfo) -> int:
    """Return when the wait or rest after a step that ended at `us` is over."""
    out = us + round(float(step["wait_h"] or 0.0) * 3600) * clock.SECOND
    days = max(float(step["rest_days"] or 0.0), float(step["rest_working_days"] or 0))
    if days:
        day = clock.day_of(us, zone) + dt.timedelta(days=-(-days // 1))
        begin = dt.datetime.combine(day, dt.time(), zone)
        out = max(out, clock.to_us(begin))
    return out
