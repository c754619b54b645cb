"""What is short for the coming jobs, in words."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from django.urls import reverse

from lacwright.bench.pages.measures import volume, weight
from lacwright.figures.spoken import trimmed
from lacwright.shop import clock
from lacwright.shop.models import Jar, Lot
from lacwright.shop.queries.remembered import remembered
from lacwright.shop.queries.shelf import FAILED
from lacwright.shop.queries.short import LOW, NOT_THERE, ORDER, UNKNOWN, Need, needs

NAMED = 3
"""So many are named on the first page."""
WORDS = {ORDER: "to be ordered", NOT_THERE: "not on the shelf", UNKNOWN: "not known how much",
         LOW: "running low"}  # fmt: skip


@dataclass(frozen=True)
class Row:
    """One thing that open jobs need, or that runs low."""

    name: str
    url: str
    word: str
    short: bool
    says: tuple[str, ...]
    jobs: tuple[tuple[str, str, str], ...]  # name, address, amount


@dataclass(frozen=True)
class ShortPage:
    """What is short, and what is enough."""

    short: tuple[Row, ...]
    enough: tuple[Row, ...]

    @property
    def count(self) -> str:
        """How many are short, in words."""
        n = len(self.short)
        return "1 thing is short" if n == 1 else f"{n} things are short"


@dataclass(frozen=True)
class ShortLine:
    """The same in a line."""

    names: tuple[str, ...]
    more: int


def short_page(zone: dt.tzinfo) -> ShortPage:
    """Return what is short for the coming jobs."""
    rows = _rows(_needs(zone))
    return ShortPage(tuple(r for r in rows if r.short), tuple(r for r in rows if not r.short))


def short_line(zone: dt.tzinfo) -> ShortLine | None:
    """Return what is short in a line, None where nothing is."""
    names = [f"{need.lot} ({FAILED})" if need.word == FAILED else need.lot
             for need in _needs(zone) if need.short]  # fmt: skip
    return ShortLine(tuple(names[:NAMED]), max(len(names) - NAMED, 0)) if names else None


def _needs(zone: dt.tzinfo) -> list[Need]:
    """Return what is needed, worked out once for as long as nothing is written.

    Ages tell days, those of the shop.
    """
    return remembered(("needs of plans", str(zone), clock.day_of(clock.now_us(), zone)), needs)


def _rows(found: list[Need]) -> list[Row]:
    names = [need.lot for need in found]
    lots = set(Lot.objects.filter(key__in=names, said=True).values_list("key", flat=True))
    jars = set(Jar.objects.filter(key__in=names).values_list("key", flat=True))
    return [_row(need, "shelf-one" if need.lot in lots else "jars-one" if need.lot in jars else "")
            for need in found]  # fmt: skip


def _row(need: Need, room: str) -> Row:
    jobs = tuple((job, reverse("jobs-one", args=[job]), _amount(much, need.unit))
                 for job, much in need.jobs.items())  # fmt: skip
    return Row(need.lot, reverse(room, args=[need.lot]) if room else "",
               WORDS.get(need.word, need.word), need.short, tuple(_says(need)),
               jobs)  # fmt: skip


def _says(need: Need) -> Iterable[str]:
    have, left, unit = need.have, need.left, need.unit
    if need.word == NOT_THERE:
        yield "nothing of that name is on the shelf"
    elif have is None:
        yield "how much is there, nobody said"
    else:
        yield f"{_amount(have, unit)} there"
        if need.mixed:
            yield f"{_amount(need.mixed, unit)} mixed"
    if left is not None and left < 0:
        yield f"{_amount(-left, unit)} missing"
    elif left is not None and need.need:
        yield f"{_amount(left, unit)} left then"
    if need.order_below is not None and need.short:
        yield f"at least {_amount(need.order_below, unit)} wanted"


def _amount(value: float, unit: str) -> str:
    if unit == "pc":
        return f"{trimmed(value, 4)} piece{'' if value == 1 else 's'}"
    return volume(value) if unit == "ml" else weight(value)
