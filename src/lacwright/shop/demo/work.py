"""A job of the invented shop: its row, its steps, and what its coats still need."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from lacwright.shop.demo.bench import parts
from lacwright.shop.demo.diary import Diary
from lacwright.shop.queries.progress import zones_meant, zones_of

HOURS = {1: (9.5,), 2: (9.2, 14.1), 3: (9.0, 11.7, 15.1)}
"""When things are done if there are so many in a day."""
LAST_HOUR = 14.5
LOAD_SHARE = 0.92
"""What this shop takes of what a plan reckons with."""


@dataclass(frozen=True)
class Step:
    """Something that is done on a piece.

    Parameters
    ----------
    kind : str
        "lay", "sand", "note" or "rest".
    what : str
        "coat", "session", "scuff", "wax", ...
    mix, method, ml_m2
        Of what is laid.
    abrasive, text
        Of a sanding, a note.
    days : int
        Of a rest.
    a_day : int
        How many of them are done in a day.
    wait_h : float, optional
        Planned wait behind it.
    """

    kind: str
    what: str = ""
    mix: str = ""
    method: str = ""
    ml_m2: float = 0.0
    abrasive: str = ""
    text: str = ""
    days: int = 0
    a_day: int = 3
    wait_h: float | None = None
    parts: tuple[str, ...] = ()
    faces: tuple[str, ...] = ()


@dataclass
class Work:
    """A job as it goes on."""

    row: Mapping[str, str]
    start: dt.date
    areas: dict[str, float]
    steps: list[Step]
    cuts: dict[str, float]
    plan: Mapping[str, Any] | None = None
    laid: set[tuple[str, ...]] = field(default_factory=set)
    left_ml: dict[str, float] = field(default_factory=dict)
    """Mix that the coats to come still need."""

    @property
    def name(self) -> str:
        """The job."""
        return self.row["job"]

    @property
    def mixes(self) -> dict[str, tuple[str, str]]:
        """Where its mixes come from if they are not new: ("<", job), ("+", job), ("=", jar)."""
        out: dict[str, tuple[str, str]] = {}
        for said in self.row["mixes"].split(";"):
            for sign in "<+=":
                mix, found, of = said.strip().partition(sign)
                if found:
                    out[mix] = (sign, of)
                    break
        return out

    def area_m2(self, step: Step) -> float:
        """Return what a step covers."""
        if self.plan is None:
            return sum(self.areas.values())
        zones = zones_meant(zones_of(self.plan), step.parts, step.faces)
        return float(sum(z.area_m2 for z in zones))

    def need_ml(self, step: Step) -> float:
        """Return what a step usually takes."""
        return step.ml_m2 * self.area_m2(step)


def work_of(row: Mapping[str, str], start: dt.date, finish: Mapping[str, Any] | None) -> Work:
    """Return a job as it begins, by its row and its finish."""
    if finish is None:
        return Work(row, start, {}, [], {"body": 0.0})
    return Work(row, start, parts(row["parts"]), list(_of_finish(finish)), dict(finish["mixes"]))


def _of_finish(finish: Mapping[str, Any]) -> Iterator[Step]:
    for told in finish["steps"]:
        if "lay" in told:
            step = Step("lay", told["lay"], told["mix"], told["method"], float(told["spread"]),
                        a_day=told.get("a_day", 1))  # fmt: skip
            yield from [step] * told.get("times", 1)
        elif "sand" in told:
            yield Step("sand", told["sand"], abrasive=told["abrasive"])
        elif "rest" in told:
            yield Step("rest", days=told["rest"])
        else:
            yield Step("note", told["note"], text=told["text"])


def of_plan(plan: Mapping[str, Any]) -> list[Step]:
    """Return the steps of a kept plan."""
    out = []
    for s in sorted(plan["steps"], key=lambda s: (s["index"], s["track"])):
        where: dict[str, Any] = {"parts": tuple(s["parts"]), "faces": tuple(s["faces"]),
                                 "wait_h": float(s["wait_h"] or 0.0)}  # fmt: skip
        if s["lays"]:
            out.append(Step("lay", s["what"], s["mix"], s["method"],
                            LOAD_SHARE * s["load_ml_m2"], **where))  # fmt: skip
        elif s["sands"]:
            out.append(Step("sand", s["what"], abrasive=s["abrasive"], **where))
        if s["rest_days"] or s["rest_working_days"]:
            out.append(Step("rest", days=int(s["rest_days"] or s["rest_working_days"])))
    return out


class Slots:
    """Hours at which things are done, one after the other."""

    def __init__(self, diary: Diary, day: dt.date) -> None:
        self.diary, self.day = diary, diary.working(day)
        self._done = 0
        self._hour = HOURS[1][0]

    def next(self, step: Step) -> int:
        """Return the next hour for a step, and keep the day."""
        if step.wait_h is not None:
            if self._hour > LAST_HOUR:
                self.rest(1)
            hour = self._hour
            self._hour += step.wait_h + 0.5
            return self.diary.moment(self.day, hour)
        hours = HOURS[step.a_day]
        if self._done >= len(hours):
            self.rest(1)
        self._done += 1
        return self.diary.moment(self.day, hours[self._done - 1])

    def rest(self, days: float) -> None:
        """Go on so many days later, on a working day."""
        self.day = self.diary.working(self.day + dt.timedelta(days=math.ceil(days)))
        self._done, self._hour = 0, HOURS[1][0]
