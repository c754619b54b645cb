"""What is worth a remark about the lots that were taken of: before they came, more than was there.

Of a lot of which nobody said how much there was, any amount may go; so may it from a jar with
something in it whose amount was not said.
"""

from __future__ import annotations

from collections.abc import Iterable

from django.db.models import Sum

from lacwright.shop import clock
from lacwright.shop.asked import things
from lacwright.shop.ledger import NOT_SAID, UNACCOUNTED
from lacwright.shop.models import Event, Flow, Line, Lot, Movement
from lacwright.shop.queries.contents import came_into, contents
from lacwright.shop.queries.preferences import zone


def short(made: Movement) -> dict[str, float]:
    """Return, by lot, what was taken that the book did not have, where it had an amount [g]."""
    rows = (
        Line.objects.filter(about=made.root_id or made.id, place__key=UNACCOUNTED)
        .values("lot__key").annotate(u=Sum("ug")).order_by("lot__key").values_list("lot__key", "u")
    )  # fmt: skip
    missing = {key: -ug / 1e6 for key, ug in rows if ug < 0}
    if not missing:
        return {}
    free = _unsaid(made)
    return {key: g for key, g in missing.items() if key not in free}


def early_lots(made: Movement) -> list[str]:
    """Return which lots came only after something was taken of them, in a sentence each."""
    there, out = zone(), []
    for lot in _taken(made):
        event = _came(lot)
        if event is None or event.void or event.at_us <= made.at_us:
            continue
        when, body = clock.plain(event.at_us, there), event.movement.body
        if not body.get("opening"):
            out.append(
                f"Lot '{lot.key}' came only at {when} (movement {event.root_id}), after this: "
                f"nothing is taken off it. If it was there, put that right: 'record amend "
                f"{event.root_id}' with --at or --set opening=yes."
            )
        elif body["amount"] is not None:
            out.append(f"Lot '{lot.key}' is on record as it was at {when} (movement "
                       f"{event.root_id}): what went before is not taken off it.")  # fmt: skip
    return out


def taken_before(made: Movement) -> list[str]:
    """Return whether something was taken of a lot before it came, in a sentence."""
    lot = Lot.objects.get(key=made.body["refs"]["lot"])
    rows = Flow.objects.filter(source=lot.place_id, at_us__lt=made.at_us)
    events = sorted(set(rows.values_list("event", flat=True)))
    if not events or made.body.get("opening"):
        return []
    named = ", ".join(str(n) for n in events[:5]) + (", ..." if len(events) > 5 else "")
    return [
        f"Something was taken of lot '{lot.key}' before it came (movement {named}): that is not "
        "taken off it. Check the times, or say with --set opening=yes that it was there."
    ]


def _unsaid(made: Movement) -> set[str]:
    """Return the lots of which more may go than the book has: nobody said how much there was."""
    out = {lot.key for lot in _taken(made) if _never_said(lot, made.at_us)}
    for move in made.body["moves"]:
        place = str(move.get("from", ""))
        if place.startswith("jar:") and contents(place, at_us=made.at_us).unsaid:
            out |= {NOT_SAID, *(h.lot.key for h in came_into(place).held)}
    return out


def _never_said(lot: Lot, at_us: int) -> bool:
    event = _came(lot)
    if event is not None and event.movement.body["amount"] is not None and event.at_us <= at_us:
        return False
    counts = Event.objects.filter(kind="count", void=False, lot=lot, at_us__lte=at_us)
    return not counts.exists()


def _taken(made: Movement) -> Iterable[Lot]:
    stores = {m["from"] for m in made.body["moves"] if str(m.get("from", "")).startswith("store:")}
    return Lot.objects.filter(place__key__in=stores).order_by("key") if stores else ()


def _came(lot: Lot) -> Event | None:
    if lot.opened_id is None:
        return None
    for event in things(Event, "WHERE t.root_id IN ({})", [lot.opened_id]):
        event.movement = things(Movement, "WHERE t.id IN ({})", [event.movement_id])[0]
        return event
    return None
