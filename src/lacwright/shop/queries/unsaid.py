"""What came into a place without anybody saying how much: read off what was observed.

Most events leave lines where they took and where they brought; only the few that do not, and those
that were corrected, have their observation read.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.db.models import Exists, F, OuterRef, Q, QuerySet

from lacwright.shop.ledger import SUPPLIER
from lacwright.shop.models import Event, Flow, Line
from lacwright.shop.queries.spread_on import BEGINNING, Moment, chunks


@dataclass(frozen=True, slots=True)
class Unsaid:
    """Something came from somewhere, nobody knows how much."""

    to: int
    moment: Moment
    source: str
    """Key of the place; of what was bought, of the store of the lot."""


def unsaid_in(
    flows: QuerySet[Flow], *, until_us: int | None = None, ever: bool = False
) -> dict[int, list[Unsaid]]:  # fmt: skip
    """Return what came without an amount, by place, in order.

    Parameters
    ----------
    flows : QuerySet of Flow
        What came into the places.
    until_us : int, optional
        The moment that is looked at: washings by then count; all if left out.
    ever : bool
        Also what was washed out since.
    """
    # Plus nothing: to be looked up by the event, of which there are few lines; a place may have
    # very many.
    lines = Line.objects.annotate(where=F("place_id") + 0).filter(about=OuterRef("event"))
    told = Exists(lines.filter(where=OuterRef("to_id"))) & Exists(
        lines.filter(where=OuterRef("source_id"))
    )
    corrected = ~Q(event__movement=F("event"))
    rows = list(
        flows.filter(~told | corrected).order_by("at_us", "event", "step")
        .values_list("to", "at_us", "event", "step", "source__key", "to__key", "lot__key")
    )  # fmt: skip
    silent = {root: set(_silent(body)) for root, body in _bodies({row[2] for row in rows})}
    found: dict[int, list[Unsaid]] = defaultdict(list)
    for to, at_us, event, step, source, key, lot in rows:
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
        rows = Flow.objects.filter(source__in=some, washed=True)
        if until_us is not None:
            rows = rows.filter(at_us__lte=until_us)
        for place, at_us, event, step in rows.values_list("source", "at_us", "event", "step"):
            washed[place] = max(washed.get(place, BEGINNING), (at_us, event, step))
    left = {place: [u for u in mine if u.moment > washed.get(place, BEGINNING)]
            for place, mine in found.items()}  # fmt: skip
    return {place: mine for place, mine in left.items() if mine}


def _bodies(roots: set[int]) -> Iterator[tuple[int, Mapping[str, Any]]]:
    for some in chunks(sorted(roots)):
        yield from Event.objects.filter(root__in=some).values_list("root_id", "movement__body")


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
