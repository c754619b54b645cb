"""Readings of air and board."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import Q

from lacwright.shop import clock
from lacwright.shop.models import Event

KIND = "reading"
AIR = ("temp_c", "rh")


@dataclass(frozen=True)
class Reading:
    """One reading."""

    movement: int
    at_us: int
    temp_c: float | None
    rh: float | None
    board_mc: float | None
    board_temp_c: float | None
    where: str
    job: str | None

    @property
    def words(self) -> str:
        """The air as a person reads it: "21 C, 48 %"."""
        parts = [] if self.temp_c is None else [f"{self.temp_c:.3g} C"]
        parts += [] if self.rh is None else [f"{100 * self.rh:.0f} %"]
        return ", ".join(parts) or "not read"

    def as_json(self, zone: dt.tzinfo) -> dict[str, Any]:
        """Return it as plain data with the reason for every null."""
        keys = {
            "movement": self.movement,
            "at": clock.iso(self.at_us, zone),
            "temp_c": self.temp_c,
            "rh": self.rh,
            "board_mc": self.board_mc,
            "board_temp_c": self.board_temp_c,
            "where": self.where,
            "job": self.job,
        }
        why = {"job": "for no job"}
        return {**keys, "missing": {k: why.get(k, "not read") for k, v in keys.items()
                                    if v is None}}  # fmt: skip


def readings(
    *, since_us: int | None = None, until_us: int | None = None, job: str | None = None,
    most: int = 100,
) -> list[Reading]:  # fmt: skip
    """Return the last readings, the newest first.

    Parameters
    ----------
    since_us, until_us : int, optional
        Between which moments.
    job : str, optional
        Of one job.
    most : int
        How many at most.
    """
    rows = Event.objects.filter(kind=KIND, void=False)
    if since_us is not None:
        rows = rows.filter(at_us__gte=since_us)
    if until_us is not None:
        rows = rows.filter(at_us__lte=until_us)
    if job is not None:
        rows = rows.filter(job__key=job)
    found = rows.order_by("-at_us", "-root").values_list(
        "root_id", "at_us", "movement__body", "job__key"
    )
    return [_reading(root, at, body, name) for root, at, body, name in found[:most]]


def latest(*, at_us: int, within_us: int) -> Reading | None:
    """Return the air as it was last read before a moment, None if that is too long ago.

    Temperature and humidity may stand in two readings, each as fresh as it must be.
    """
    rows = Event.objects.filter(kind=KIND, void=False, at_us__lte=at_us,
                                at_us__gte=at_us - within_us)  # fmt: skip
    return _joined(rows.order_by("-at_us", "-root").filter(_HAS_AIR))


def nearest(*, at_us: int, within_us: int) -> Reading | None:
    """Return the reading of both temperature and humidity nearest to a moment, before or after.

    None if none was made within so long. Where one reading tells the one and another the other,
    they count together, as in `latest`.
    """
    near = Event.objects.filter(kind=KIND, void=False).filter(_HAS_AIR)
    before = _joined(near.filter(at_us__lte=at_us, at_us__gte=at_us - within_us)
                     .order_by("-at_us", "-root"))  # fmt: skip
    after = _joined(near.filter(at_us__gt=at_us, at_us__lte=at_us + within_us)
                    .order_by("at_us", "root"))  # fmt: skip
    found = [r for r in (before, after)
             if r is not None and r.temp_c is not None and r.rh is not None]  # fmt: skip
    return min(found, key=lambda r: abs(r.at_us - at_us), default=None)


def of_day(day: dt.date, zone: dt.tzinfo) -> Reading | None:
    """Return the air as it was last read on a day."""
    begin = clock.to_us(dt.datetime.combine(day, dt.time(), zone))
    end = clock.to_us(dt.datetime.combine(day + dt.timedelta(days=1), dt.time(), zone))
    rows = Event.objects.filter(kind=KIND, void=False, at_us__gte=begin, at_us__lt=end)
    return _joined(rows.order_by("-at_us", "-root").filter(_HAS_AIR))


_HAS_AIR = ~Q(movement__body__temp_c=None) | ~Q(movement__body__rh=None)


def _joined(rows: Any) -> Reading | None:
    found = [_reading(root, at, body, job) for root, at, body, job in
             rows.values_list("root_id", "at_us", "movement__body", "job__key")[:50]]  # fmt: skip
    if not any(r.temp_c is not None or r.rh is not None for r in found):
        return None
    first = next(r for r in found if r.temp_c is not None or r.rh is not None)
    return Reading(
        first.movement, first.at_us, _first(r.temp_c for r in found),
        _first(r.rh for r in found), first.board_mc, first.board_temp_c, first.where, first.job,
    )  # fmt: skip


def _first(values: Iterable[float | None]) -> float | None:
    return next((v for v in values if v is not None), None)


def _reading(root: int, at_us: int, body: dict[str, Any], job: str | None) -> Reading:
    return Reading(root, at_us, body["temp_c"], body["rh"], body["board_mc"],
                   body["board_temp_c"], body["where"], job)  # fmt: skip
