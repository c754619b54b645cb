"""What stood in jars just before something was taken from them: for many events at once."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping

from django.db.models import Sum

from lacwright.shop.models import Event, Line, Lot
from lacwright.shop.queries.contents import Contents, Held
from lacwright.shop.queries.unsaid import unsaid_in

Key = tuple[int, int]
"""When it was done, and the root: the order of events."""


def contents_before(events: Iterable[Event]) -> dict[int, Contents]:
    """Return what the jar of each event held just before it, by the root of the event.

    Parameters
    ----------
    events : iterable of Event
        With their jars (`select_related("jar__place")`); one without a jar is left out.

    Returns
    -------
    dict of root to Contents
        In three queries, however many events there are.
    """
    wanted: dict[int, list[Key]] = defaultdict(list)
    names: dict[int, str] = {}
    for event in events:
        if event.jar is not None:
            wanted[event.jar.place_id].append((event.at_us, event.root_id))
            names[event.jar.place_id] = event.jar.place.key
    if not wanted:
        return {}
    rows = (
        Line.objects.filter(place__in=list(wanted))
        .values_list("place", "about__event__at_us", "about", "lot").annotate(ug=Sum("ug"))
    )  # fmt: skip
    changes: dict[int, dict[Key, dict[int, int]]] = defaultdict(lambda: defaultdict(dict))
    for place, at_us, root, lot, ug in rows:
        changes[place][at_us, root][lot] = ug
    lots = Lot.objects.select_related("opened").defer("opened__body").in_bulk(
        {lot for by_key in changes.values() for change in by_key.values() for lot in change}
    )  # fmt: skip
    unsaid = _unsaid(list(wanted))
    out: dict[int, Contents] = {}
    for place, keys in wanted.items():
        for key, held in _read(changes[place], sorted(keys)):
            found = sorted((Held(lots[lot], ug) for lot, ug in held.items()),
                           key=lambda h: h.lot.key)  # fmt: skip
            before = tuple(dict.fromkeys(source for at, source in unsaid[place] if at < key))
            out[key[1]] = Contents(names[place], tuple(found), before)
    return out


def _read(
    changes: Mapping[Key, Mapping[int, int]], keys: list[Key]
) -> Iterator[tuple[Key, dict[int, int]]]:
    """Yield what is held before each key, reading the changes once."""
    held: dict[int, int] = defaultdict(int)
    order = sorted(changes)
    n = 0
    for key in keys:
        while n < len(order) and order[n] < key:
            for lot, ug in changes[order[n]].items():
                held[lot] += ug
            n += 1
        yield key, {lot: ug for lot, ug in held.items() if ug}


def _unsaid(places: list[int]) -> dict[int, list[tuple[Key, str]]]:
    """Return, by place, when something came in without an amount, and from where."""
    out: dict[int, list[tuple[Key, str]]] = defaultdict(list)
    for place, mine in unsaid_in(places, ever=True).items():
        out[place] = [(u.moment[:2], u.source) for u in mine]
    return out
