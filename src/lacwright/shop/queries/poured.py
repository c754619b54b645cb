"""What was poured from jar to jar: where a jar comes from, in the order of time."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Q

from lacwright.shop.asked import rows
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
        wave = {source for (source,) in rows(_SOURCES, wave)} - found
        found = found | wave
    return found


def pours(among: Iterable[int] | None = None) -> list[Step]:
    """Return what was poured from jar to jar, in order.

    Parameters
    ----------
    among : iterable of int, optional
        Places that it went into; all jars if left out.
    """
    return _steps(rows(_JARS) if among is None else rows(_INTO, list(among)))


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
    flows = Flow.objects.filter(poured | washed)
    if at_us is not None:
        flows = flows.filter(at_us__lte=at_us)
    return _steps(flows.values_list("at_us", "event", "step", "source", "to", "washed"))


def _steps(told: Iterable[tuple[int, int, int, int, int, bool]]) -> list[Step]:
    return sorted((Step((at, event, step), source, to, bool(washed))
                   for at, event, step, source, to, washed in told),
                  key=lambda s: s.moment)  # fmt: skip


_SOURCES = """
SELECT DISTINCT f.source_id FROM shop_flow f JOIN shop_place s ON s.id = f.source_id
WHERE f.to_id IN ({}) AND s.kind = 'jar'
"""

_JARS = """
SELECT f.at_us, f.event_id, f.step, f.source_id, f.to_id, f.washed
FROM shop_flow f JOIN shop_place s ON s.id = f.source_id JOIN shop_place t ON t.id = f.to_id
WHERE s.kind = 'jar' AND t.kind = 'jar'
"""

_INTO = """
SELECT f.at_us, f.event_id, f.step, f.source_id, f.to_id, f.washed
FROM shop_flow f JOIN shop_place s ON s.id = f.source_id
WHERE f.to_id IN ({}) AND s.kind = 'jar'
"""
