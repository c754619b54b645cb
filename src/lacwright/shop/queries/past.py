"""What stood in jars just before something was taken from them: for many events at once."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from lacwright.shop.asked import table_of
from lacwright.shop.models import Event, Lot
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
    keys = [(place, key) for place, mine in wanted.items() for key in sorted(mine)]
    changes = _changes(keys)
    lots = Lot.objects.select_related("opened").defer("opened__body").in_bulk(
        {lot for change in changes.values() for lot in change}
    )  # fmt: skip
    unsaid = _unsaid(list(wanted))
    out: dict[int, Contents] = {}
    held: dict[int, dict[int, int]] = defaultdict(lambda: defaultdict(int))
    for n, (place, key) in enumerate(keys):
        for lot, ug in changes.get(n, {}).items():
            held[place][lot] += ug
        found = sorted((Held(lots[lot], ug) for lot, ug in held[place].items() if ug),
                       key=lambda h: h.lot.key)  # fmt: skip
        before = tuple(dict.fromkeys(source for at, source in unsaid[place] if at < key))
        out[key[1]] = Contents(names[place], tuple(found), before)
    return out


def _changes(keys: list[tuple[int, Key]]) -> dict[int, dict[int, int]]:
    """Return what changed in a place up to each key since the one before it, by its number.

    The database adds up: a jug may have filled ten thousand coats, and a piece asks for three.
    """
    out: dict[int, dict[int, int]] = defaultdict(dict)
    asked = [(n, place, *key) for n, (place, key) in enumerate(keys)]
    for n, lot, ug in table_of(_BETWEEN, asked):
        out[n][lot] = int(ug)
    return out


def _unsaid(places: list[int]) -> dict[int, list[tuple[Key, str]]]:
    """Return, by place, when something came in without an amount, and from where."""
    out: dict[int, list[tuple[Key, str]]] = defaultdict(list)
    for place, mine in unsaid_in(places, ever=True).items():
        out[place] = [(u.moment[:2], u.source) for u in mine]
    return out


_BETWEEN = """
WITH asked(n, place, at_us, root) AS (VALUES {})
SELECT n, lot, SUM(ug) FROM (
    SELECT l.lot_id AS lot, l.ug AS ug, (
        SELECT MIN(a.n) FROM asked a WHERE a.place = l.place_id
        AND (a.at_us > e.at_us OR (a.at_us = e.at_us AND a.root > e.root_id))
    ) AS n
    FROM shop_line l JOIN shop_event e ON e.root_id = l.about_id
    WHERE l.place_id IN (SELECT place FROM asked)
) AS before WHERE n IS NOT NULL GROUP BY n, lot
"""
