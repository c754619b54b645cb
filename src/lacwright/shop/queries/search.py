"""Searching the record: names, titles, suppliers, notes, and the words of what was written down."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import Case, IntegerField, Q, QuerySet, Value, When

from lacwright.shop.models import Applicator, Customer, Event, Jar, Job, Lot, Piece
from lacwright.shop.queries.movement_words import words_of
from lacwright.shop.queries.shut import shut_jars, shut_lots

MOST_WORDS = 6
MOST_HITS = 12
"""Of each kind; whoever finds more writes another word."""
LATEST_COATS = 500
"""Of so many coats the notes are looked through, unless all are asked for: there are many."""

LONGEST = 160
"""Characters that are said about a thing."""

_FIELDS: dict[str, tuple[type[Any], tuple[str, ...]]] = {
    "jar": (Jar, ("key", "purpose", "note")),
    "lot": (Lot, ("key", "grade", "supplier", "batch", "note")),
    "job": (Job, ("key", "title", "note", "piece__key", "piece__title")),
    "piece": (Piece, ("key", "title", "wood", "note", "customer__key")),
    "customer": (Customer, ("key", "contact", "note")),
    "applicator": (Applicator, ("key", "kind", "note")),
}
_WORDED = ("note", "rest", "clean", "wax", "fault", "spot", "spot-done", "agree", "strip",
           "abrade", "attach", "close")  # fmt: skip
_FACTS = ("text", "note", "where", "what", "cause", "how", "words", "name", "panel")
_OF_COATS = ("note", "in_spite")


@dataclass(frozen=True)
class Hit:
    """Something that was found.

    Parameters
    ----------
    kind : str
        "jar", "lot", "job", "piece", "panel", "customer", "applicator" or "entry".
    name : str
        Of a thing; of an entry what it says.
    words : str
        Of a thing what is said about it.
    number : int or None
        Of the movement of an entry.
    at_us : int or None
        When an entry was done.
    shut : bool
        Whether it is a jar or lot that failed its test.
    """

    kind: str
    name: str
    words: str = ""
    number: int | None = None
    at_us: int | None = None
    shut: bool = False


@dataclass(frozen=True)
class Hits:
    """What was found of a kind, and whether there is more of it."""

    kind: str
    found: tuple[Hit, ...]
    more: bool


@dataclass(frozen=True)
class Found:
    """What was found, by kind, and how many coats were looked through (None: all)."""

    groups: tuple[Hits, ...]
    coats: int | None


def search(text: str, *, all_coats: bool = False) -> Found:
    """Return what holds all words of a text, those of exactly this name first.

    Parameters
    ----------
    text : str
        At most six words; more are not looked at.
    all_coats : bool
        Look through the notes of all coats, however many there are.
    """
    words = text.split()[:MOST_WORDS]
    if not words:
        return Found((), None)
    groups = [_things(kind, words, " ".join(text.split())) for kind in _FIELDS]
    coats = Event.objects.filter(kind="coat", void=False)
    last = [] if all_coats else list(
        coats.order_by("-at_us").values_list("pk", flat=True)[: LATEST_COATS + 1]
    )  # fmt: skip
    shallow = len(last) > LATEST_COATS
    if shallow:  # by their numbers: left to find them itself, the database reads all coats
        coats = Event.objects.filter(pk__in=last[:LATEST_COATS])
    groups.append(_entries(words, coats))
    return Found(tuple(g for g in groups if g.found), LATEST_COATS if shallow else None)


def _things(kind: str, words: Iterable[str], whole: str) -> Hits:
    table, fields = _FIELDS[kind]
    best = (When(key__iexact=whole, then=Value(0)), When(key__istartswith=whole, then=Value(1)))
    first = Case(*best, default=Value(2), output_field=IntegerField())
    rows = table.objects.filter(_all(words, fields)).exclude(opened__event__void=True)
    if table is Lot:
        rows = rows.filter(said=True)
    if table is Job:
        rows = rows.select_related("piece")
    if table is Piece:
        rows = rows.select_related("customer")
    found = list(rows.order_by(first, "-id")[: MOST_HITS + 1])
    shut = _SHUT[kind]() if found and kind in _SHUT else {}
    hits = tuple(Hit(_kind(kind, row), row.key, _about(kind, row), shut=row.key in shut)
                 for row in found[:MOST_HITS])  # fmt: skip
    return Hits(kind, hits, len(found) > MOST_HITS)


_SHUT = {"jar": shut_jars, "lot": shut_lots}


def _entries(words: list[str], coats: QuerySet[Event]) -> Hits:
    said = Event.objects.filter(kind__in=_WORDED, void=False).filter(_all(words, _facts(_FACTS)))
    of_coats = coats.filter(_all(words, _facts(_OF_COATS)))
    rows = [event for query in (said, of_coats)
            for event in query.select_related("movement").order_by("-at_us", "-root")
            [: MOST_HITS + 1]]  # fmt: skip
    rows.sort(key=lambda e: (-e.at_us, -e.root_id))
    hits = tuple(
        Hit("entry", words_of(e.kind, e.movement.body), number=e.root_id, at_us=e.at_us)
        for e in rows[:MOST_HITS]
    )
    return Hits("entry", hits, len(rows) > MOST_HITS)


def _facts(names: Iterable[str]) -> tuple[str, ...]:
    return tuple(f"movement__body__{name}" for name in names)


def _all(words: Iterable[str], fields: tuple[str, ...]) -> Q:
    """Return the condition that every word occurs in one of the fields."""
    whole = Q()
    for word in words:
        one = Q()
        for field in fields:
            one |= Q(**{f"{field}__icontains": word})
        whole &= one
    return whole


def _kind(kind: str, row: Any) -> str:
    return "panel" if kind == "piece" and row.kind == "panel" else kind


def _about(kind: str, row: Any) -> str:
    fields = _TOLD[kind]
    told = [getattr(row, field) for field in fields]
    told += [row.piece.key] if kind == "job" else []
    told += [row.customer.key] if kind == "piece" and row.customer else []
    text = ", ".join(" ".join(part.split()) for part in told if part and part != row.key)
    return text if len(text) <= LONGEST else f"{text[: LONGEST - 3]}..."


_TOLD = {
    "jar": ("purpose", "note"), "job": ("title", "note"), "piece": ("title", "wood", "note"),
    "lot": ("kind", "grade", "supplier", "batch", "note"), "customer": ("contact", "note"),
    "applicator": ("kind", "note"),
}  # fmt: skip
