"""What a form offers to choose from: jars with something in them, pads and brushes, customers."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Exists, OuterRef, Q

from lacwright.shop.models import (
    Applicator,
    Balance,
    Customer,
    Described,
    Event,
    Flow,
    Jar,
    Line,
    Lot,
    Piece,
)
from lacwright.shop.queries.contents import DUST_UG
from lacwright.shop.queries.remembered import remembered

MOST = 40
"""More than this nobody scrolls through; another name can be typed."""
LOOK = 400
"""How many of the last observations are looked through for what is in use."""


@dataclass(frozen=True)
class WeighedBefore:
    """The last weight of a jar, lid and all, after a coat."""

    jar: str
    g: float
    at_us: int


def jars_at_hand(*, first: tuple[str, ...] = (), most: int = MOST) -> list[str]:
    """Return jars that are not washed out and hold something, the last used first.

    Parameters
    ----------
    first : tuple of str
        Names that stand in front, if they are among them.
    most : int
        How many at the most.
    """
    return list(remembered(("jars at hand", first, most), lambda: _jars(first, most)))


def _jars(first: tuple[str, ...], most: int) -> list[str]:
    full = Balance.objects.filter(place=OuterRef("place"), ug__gt=DUST_UG)
    known = Line.objects.filter(about=OuterRef("event"), place=OuterRef("to"))
    unsaid = (
        Flow.objects.filter(to=OuterRef("place")).exclude(Exists(known)).exclude(source__kind="air")
    )
    gone = Event.objects.filter(jar=OuterRef("pk"), kind="discard", void=False)
    recent = _last_used("jar")
    rows = (
        Jar.objects.filter(Q(key__in=first) | Q(id__in=recent), opened__event__void=False)
        .exclude(Exists(gone)).filter(Exists(full) | Exists(unsaid))
    )  # fmt: skip
    order = {key: n for n, key in enumerate(reversed(first), 1)}
    at = {number: n for n, number in enumerate(recent)}
    found = sorted(rows.values_list("key", "id"),
                   key=lambda row: (-order.get(row[0], 0), at.get(row[1], LOOK)))  # fmt: skip
    return [key for key, _ in found[:most]]


def applicators_at_hand(*, most: int = MOST) -> list[tuple[str, str]]:
    """Return pads, brushes and guns with their kind, the last used first."""
    return list(remembered(("applicators at hand", most), lambda: _applicators(most)))


def _applicators(most: int) -> list[tuple[str, str]]:
    recent = {number: n for n, number in enumerate(_last_used("applicator"))}
    rows = Applicator.objects.filter(opened__event__void=False)
    found = sorted(rows.order_by("-id").values_list("key", "kind", "id")[:LOOK],
                   key=lambda row: recent.get(row[2], LOOK))  # fmt: skip
    return [(key, kind) for key, kind, _ in found[:most]]


def customers_at_hand(*, most: int = 200) -> list[str]:
    """Return the customers by name."""
    rows = Customer.objects.filter(opened__event__void=False).order_by("key")
    return list(rows.values_list("key", flat=True)[:most])


def panels_at_hand(*, most: int = MOST) -> list[str]:
    """Return the panels, the newest first."""
    rows = Piece.objects.filter(kind="panel", opened__event__void=False)
    return list(rows.order_by("-id").values_list("key", flat=True)[:most])


def lots_at_hand(kind: str, *, most: int = MOST) -> list[tuple[str, str]]:
    """Return lots of a kind of which something is left, with their grade, the newest first."""
    return list(remembered(("lots at hand", kind, most), lambda: _lots(kind, most)))


def _lots(kind: str, most: int) -> list[tuple[str, str]]:
    left = Balance.objects.filter(place=OuterRef("place"), ug__gt=0)
    rows = Lot.objects.filter(kind=kind, said=True, opened__event__void=False).filter(Exists(left))
    return list(rows.order_by("-id").values_list("key", "grade")[:most])


def last_coat(**on: object) -> Event | None:
    """Return the last coat on something: last_coat(piece=piece), last_coat(jar__key="J7").

    Which it is, is found here and not by the database: asked for the last of a few, SQLite would
    go through all events from the newest on.
    """
    rows = Event.objects.filter(**on, kind="coat", void=False).values_list("at_us", "root_id")
    last = max(rows, default=None)
    if last is None:
        return None
    return Event.objects.select_related("movement", "jar").get(root_id=last[1])


def weighed_before(jar: str) -> WeighedBefore | None:
    """Return what a jar weighed after the last coat for which it was weighed."""
    event = last_coat(jar__key=jar)
    if event is None or event.movement.body.get("after_g") is None:
        return None
    return WeighedBefore(jar, float(event.movement.body["after_g"]), event.at_us)


def next_name(table: type[Described], letter: str) -> str:
    """Return a name that is free: the letter (or word) and the next number."""
    return remembered(("next name", table.__name__, letter), lambda: _next_name(table, letter))


def _next_name(table: type[Described], letter: str) -> str:
    rows = table._default_manager.filter(key__startswith=letter)
    taken = rows.values_list("key", flat=True)
    numbers = [int(rest) for key in taken if (rest := key[len(letter) :]).isdecimal()]
    return f"{letter}{max(numbers, default=0) + 1}"


def _last_used(word: str) -> list[int]:
    """Return what was touched last, each once."""
    rows = Event.objects.filter(**{f"{word}__isnull": False}, void=False)
    found = rows.order_by("-at_us", "-root").values_list(word, flat=True)[:LOOK]
    return list(dict.fromkeys(number for number in found if number is not None))
