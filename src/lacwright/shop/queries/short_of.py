"""What is short for the coming jobs, asked of what these jobs need alone, however large the shelf.

It answers what `short.needs` answers, and reads only the lots that a plan names or that have a
least amount, and the jars that hold something of them.
"""

from __future__ import annotations

from lacwright.shop.models import Balance, Jar, Lot
from lacwright.shop.queries import shelf
from lacwright.shop.queries.short import (
    ENOUGH,
    LOW,
    NOT_THERE,
    ORDER,
    UNKNOWN,
    Need,
    _against_stock,
    _gone,
    _open_jobs,
    _taken,
)
from lacwright.shop.reading import snapshot

_FIRST = (ORDER, NOT_THERE, UNKNOWN, LOW)


def needs_of_plans() -> list[Need]:
    """Return what open jobs still need and what is below its least amount, the short ones first."""
    with snapshot():
        return _needs()


def is_short(need: Need) -> bool:
    """Return whether something has to be seen to."""
    return need.word != ENOUGH


def _needs() -> list[Need]:
    jobs = _open_jobs()
    rows = [(job, row) for job in jobs for row in (job.plan or {}).get("keys", {}).get("shelf", ())]
    named = {row["lot"] for _, row in rows}
    least = set(Lot.objects.filter(order_below_u__isnull=False).values_list("key", flat=True))
    if not named | least:
        return []
    stock = _stock(named | least)
    by_name: dict[str, shelf.LotLine | shelf.JarLine] = {line.lot.key: line for line in stock.lots}
    by_name |= {line.jar.key: line for line in stock.jars if line.discarded_us is None}
    taken = _taken([job.pk for job in jobs]) if rows else {}
    found: dict[str, Need] = {}
    for job, row in rows:
        name, unit = row["lot"], row["unit"]
        one, of = found.setdefault(name, Need(name, unit)), by_name.get(name)
        gone = 0.0 if of is None else _gone(of, unit, taken.get(job.pk, {}))
        one.jobs[job.key] = one.jobs.get(job.key, 0.0) + max(float(row["need"]) - gone, 0.0)
    _against_stock(found, stock, by_name)
    order = {word: n for n, word in enumerate((*_FIRST, ENOUGH))}
    return sorted(found.values(), key=lambda need: (order.get(need.word, 3), need.lot))


def _stock(names: set[str]) -> shelf.Stock:
    """Return the lots and jars of these names, and the jars that hold something of the lots."""
    lots = shelf.lots(only={"key__in": sorted(names)})
    ids = [line.lot.id for line in lots]
    held = Balance.objects.filter(lot__in=ids, place__kind="jar", ug__gt=0)
    places = set(held.values_list("place", flat=True))
    jars = set(Jar.objects.filter(place__in=places).values_list("id", flat=True))
    jars |= set(Jar.objects.filter(key__in=sorted(names)).values_list("id", flat=True))
    return shelf.Stock(lots, shelf.jars(only=sorted(jars)) if jars else ())
