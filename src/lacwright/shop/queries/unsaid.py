"""What came into a place without anybody saying how much: read off what was observed.

Most events leave lines where they took and where they brought; only the few that do not, and those
that were corrected, have their observation read.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from lacwright.shop.asked import body_of, chunks, rows
from lacwright.shop.ledger import SUPPLIER
from lacwright.shop.models import Flow
from lacwright.shop.queries.spread_on import BEGINNING, END, Moment


@dataclass(frozen=True, slots=True)
class Unsaid:
    """Something came from somewhere, nobody knows how much."""

    to: int
    moment: Moment
    source: str
    """Key of the place; of what was bought, of the store of the lot."""


def unsaid_in(
    places: Collection[int] = (), *, kinds: Collection[str] = (), until_us: int | None = None,
    ever: bool = False,
) -> dict[int, list[Unsaid]]:  # fmt: skip
    """Return what came without an amount, by place, in order.

    Parameters
    ----------
    places : collection of int
        The places.
    kinds : collection of str
        Instead of them, all places of some kinds.
    until_us : int, optional
        What came and what was washed by then; all if left out.
    ever : bool
        Also what was washed out since.
    """
    where = _ALIKE if kinds else _HERE
    last = END[0] if until_us is None else until_us
    untold = list(rows(_UNTOLD.format(where), kinds or places, also=[last]))
    silent = {root: set(_silent(body)) for root, body in _bodies({row[2] for row in untold})}
    found: dict[int, list[Unsaid]] = defaultdict(list)
    for to, at_us, event, step, source, key, lot in untold:
        if (source, key, lot) in silent[event]:
            found[to].append(Unsaid(to, (at_us, event, step),
                                    source if lot is None else f"store:{lot}"))  # fmt: skip
    return dict(found) if ever or not found else _since_washed(found, until_us)


def _since_washed(
    found: Mapping[int, list[Unsaid]], until_us: int | None
) -> dict[int, list[Unsaid]]:  # fmt: skip
    """Return what came since a place was washed out."""
    washed: dict[int, Moment] = {}
    for some in chunks(sorted(found)):
        flows = Flow.objects.filter(source__in=some, washed=True)
        if until_us is not None:
            flows = flows.filter(at_us__lte=until_us)
        for place, at_us, event, step in flows.values_list("source", "at_us", "event", "step"):
            washed[place] = max(washed.get(place, BEGINNING), (at_us, event, step))
    left = {place: [u for u in mine if u.moment > washed.get(place, BEGINNING)]
            for place, mine in found.items()}  # fmt: skip
    return {place: mine for place, mine in left.items() if mine}


def _bodies(roots: set[int]) -> Iterator[tuple[int, Mapping[str, Any]]]:
    for some in chunks(sorted(roots)):
        for root, body in rows(_BODIES, some):
            yield root, body_of(body)


def _silent(body: Mapping[str, Any]) -> Iterator[tuple[str, str, str | None]]:
    """Yield from where to where something went without an amount, with the lot that came."""
    for move in body["moves"]:
        if "amount" not in move or move["amount"] is not None:
            continue
        if move["op"] == "come":
            yield SUPPLIER, move["to"], move["lot"]
        elif move["op"] == "take":
            yield move["from"], move["to"], None
        elif move["op"] == "lay":
            through = move["through"]
            yield move["from"], through or move["on"], None
            if through:
                yield through, move["on"], None


# Plus nothing: lines are looked up by the event, which has few; a place may have very many.
_UNTOLD = """
SELECT f.to_id, f.at_us, f.event_id, f.step, s.key, t.key, k.key
FROM shop_flow f JOIN shop_event e ON e.root_id = f.event_id
JOIN shop_place s ON s.id = f.source_id JOIN shop_place t ON t.id = f.to_id
LEFT JOIN shop_lot k ON k.id = f.lot_id
WHERE {} AND f.at_us <= %s AND (
  e.movement_id <> f.event_id
  OR NOT EXISTS (SELECT 1 FROM shop_line n WHERE n.about_id = f.event_id
                 AND n.place_id + 0 = f.to_id)
  OR NOT EXISTS (SELECT 1 FROM shop_line n WHERE n.about_id = f.event_id
                 AND n.place_id + 0 = f.source_id))
ORDER BY f.at_us, f.event_id, f.step
"""
_HERE = "f.to_id IN ({})"
_ALIKE = "f.to_id IN (SELECT id FROM shop_place WHERE kind IN ({}))"

_BODIES = """
SELECT e.root_id, m.body FROM shop_event e JOIN shop_movement m ON m.id = e.movement_id
WHERE e.root_id IN ({})
"""
