"""What was poured from jar to jar: where a jar comes from, in the order of time."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Q, QuerySet

from lacwright.shop.models import Flow
from lacwright.shop.queries.spread_on import Moment


@dataclass(frozen=True, slots=True)
class Step:
    """Something went from a jar into another jar, a pad or brush; or a place was washed out."""

    moment: Moment
    source: int
    to: int
    washed: bool = False


def with_sources(places: Iterable[int]) -> set[int]:
    """Return places with all jars from which something of what was in them may have come."""
    found = set(places)
    wave = found
    while wave:
        into = Flow.objects.filter(to__in=wave, source__kind="jar")
        wave = set(into.values_list("source", flat=True).distinct()) - found
        found = found | wave
    return found


def pours(among: Iterable[int] | None = None) -> list[Step]:
    """Return what was poured from jar to jar, in order.

    Parameters
    ----------
    among : iterable of int, optional
        Places that it went into; all jars if left out.
    """
    rows = Flow.objects.filter(source__kind="jar")
    rows = rows.filter(to__kind="jar") if among is None else rows.filter(to__in=list(among))
    return _steps(rows)


def pours_and_washings(
    among: Iterable[int] | None, *, at_us: int | None = None
) -> list[Step]:  # fmt: skip
    """Return the same with the washings of the places (of all jars), up to a moment."""
    poured, washed = Q(source__kind="jar"), Q(washed=True)
    if among is None:
        poured, washed = poured & Q(to__kind="jar"), washed & Q(source__kind="jar")
    else:
        numbers = list(among)
        poured, washed = poured & Q(to__in=numbers), washed & Q(source__in=numbers)
    rows = Flow.objects.filter(poured | washed)
    if at_us is not None:
        rows = rows.filter(at_us__lte=at_us)
    return _steps(rows)


def _steps(rows: QuerySet[Flow]) -> list[Step]:
    told = rows.values_list("at_us", "event", "step", "source", "to", "washed")
    return sorted((Step((at, event, step), source, to, washed)
                   for at, event, step, source, to, washed in told),
                  key=lambda s: s.moment)  # fmt: skip
