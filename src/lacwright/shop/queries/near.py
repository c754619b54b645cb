"""What a plan takes from the record, of what is near at hand.

As `plan_link.from_record`, but of the jars and lots that were touched last and those that are
named, so that it takes no longer however large the record is.
"""

from __future__ import annotations

from collections.abc import Iterable

from lacwright.plan import Lot, Own
from lacwright.shop import clock
from lacwright.shop.models import Event, Jar
from lacwright.shop.models import Lot as LotRow
from lacwright.shop.plan_link import FromRecord, plan_jar, plan_lot
from lacwright.shop.queries import shelf
from lacwright.shop.queries.at_hand import jars_at_hand
from lacwright.shop.queries.preferences import zone
from lacwright.shop.queries.readings import latest
from lacwright.trade import table

LOTS = 80
"""So many of the newest lots are looked at."""


def near_record(*, now_us: int, own: Own, named: Iterable[str] = ()) -> FromRecord:
    """Return what the record offers to a plan.

    Parameters
    ----------
    now_us : int
        The time now.
    own : mapping
        Own figures, as `own_figures.for_plans` gives them: they take long to gather.
    named : iterable of str
        Lots and jars that a piece file names.
    """
    names = tuple(named)
    all_lots = LotRow.objects.filter(said=True).order_by("-id")
    newest = list(all_lots.values_list("id", flat=True)[:LOTS])
    asked = list(LotRow.objects.filter(key__in=names).values_list("id", flat=True))
    fresh = round(table("practice")["reading.fresh"].number("value") * 3600) * clock.SECOND
    return FromRecord(
        (*_lots({*newest, *asked}, now_us), *_jars(jars_at_hand(first=names), now_us)),
        own, latest(at_us=now_us, within_us=fresh), zone(),
    )  # fmt: skip


def named_shelf(*, now_us: int, named: Iterable[str]) -> tuple[Lot, ...]:
    """Return the lots and jars of some names."""
    names = tuple(named)
    if not names:
        return ()
    asked = LotRow.objects.filter(key__in=names).values_list("id", flat=True)
    return (*_lots(asked, now_us), *_jars(names, now_us))


def tested_jars(*, now_us: int) -> tuple[Lot, ...]:
    """Return the jars at hand that were tested."""
    tested = Event.objects.filter(kind="test", void=False, jar__key__in=jars_at_hand())
    return _jars(set(tested.values_list("jar__key", flat=True)), now_us)


def _lots(numbers: Iterable[int], now_us: int) -> tuple[Lot, ...]:
    only = {"id__in": list(numbers)}
    return tuple(plan_lot(line) for line in shelf.lots(at_us=now_us, only=only))


def _jars(names: Iterable[str], now_us: int) -> tuple[Lot, ...]:
    rows = list(Jar.objects.filter(key__in=list(names)).values_list("id", flat=True))
    if not rows:
        return ()
    return tuple(
        plan_jar(line) for line in shelf.jars(at_us=now_us, only=rows)
        if line.word not in (shelf.EMPTY, shelf.DISCARDED)
    )  # fmt: skip
