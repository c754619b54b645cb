"""The log: every movement as it was written down, in plain sentences."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Q

from lacwright.figures import Refusal
from lacwright.shop import clock
from lacwright.shop.models import (
    Applicator,
    Customer,
    Event,
    Flow,
    Jar,
    Job,
    Lot,
    Movement,
    Piece,
)
from lacwright.shop.queries.movement_words import words_of
from lacwright.shop.queries.preferences import zone as shop_zone
from lacwright.shop.replay import VOID

Thing = Jar | Lot | Job | Piece | Applicator | Customer
PAGE = 50
_REFS: dict[type[Any], str] = {Jar: "jar", Lot: "lot", Job: "job", Piece: "piece",
                               Applicator: "applicator", Customer: "customer"}  # fmt: skip


@dataclass(frozen=True)
class LogLine:
    """A movement of the log.

    Parameters
    ----------
    number : int
        Of the movement.
    root : int
        Of the observation it is a version of.
    kind : str
        Its kind; "void" where it takes one back.
    at_us, written_us : int
        When it was done, when it was written down.
    author, reason : str
        Who says so, and why.
    replaces : int or None
        The version before it.
    counts : bool
        Whether it is the version that counts.
    state : str
        "counts", "replaced" by a later version, "taken back", or, of what takes one back, "undo"
        and, where it was brought back since, "undone".
    words : str
        What it says.
    facts : mapping
        What was written down, by the names under which it can be corrected.
    """

    number: int
    root: int
    kind: str
    at_us: int
    written_us: int
    author: str
    reason: str
    replaces: int | None
    counts: bool
    state: str
    words: str
    facts: Mapping[str, Any]

    def as_json(self, zone: dt.tzinfo) -> dict[str, Any]:
        """Return it as plain data with the reason for every null."""
        return {
            "movement": self.number, "observation": self.root, "kind": self.kind,
            "at": clock.iso(self.at_us, zone), "written": clock.iso(self.written_us, zone),
            "author": self.author, "reason": self.reason, "replaces": self.replaces,
            "counts": self.counts, "state": self.state, "words": self.words,
            "missing": {} if self.replaces else {"replaces": "it is the first version"},
        }  # fmt: skip


@dataclass(frozen=True)
class Page:
    """A page of the log, the last written first."""

    lines: tuple[LogLine, ...]
    before: int | None
    """Number for the next page; None where there is none."""
    zone: dt.tzinfo

    def as_json(self) -> dict[str, Any]:
        """Return it as plain data."""
        return {
            "movements": [line.as_json(self.zone) for line in self.lines],
            "next_before": self.before,
            "missing": {} if self.before else {"next_before": "this is the end of the log"},
        }


def log(
    *, kind: str = "", about: Thing | None = None, since_us: int | None = None,
    until_us: int | None = None, before: int | None = None, number: int | None = None,
    limit: int = PAGE,
) -> Page:  # fmt: skip
    """Return a page of the log.

    Parameters
    ----------
    kind : str
        This kind alone; "void" for what was taken back.
    about : Jar, Lot, Job, Piece, Applicator or Customer
        What concerns this thing: named in it, or something went in or out.
    since_us, until_us : int
        Done at this time or later, or before that time.
    before : int
        Movements written before this one: the next page.
    number : int
        All versions of this observation.
    limit : int
        Movements on a page.

    Raises
    ------
    Refusal
        For a page of nothing.
    """
    if not 1 <= limit <= 10_000:
        raise Refusal("--limit", f"{limit} lines are no page", "write e.g. 50")
    rows = Movement.objects.order_by("-id")
    if kind:
        rows = rows.filter(kind=kind)
    if about is not None:
        rows = rows.filter(_concerning(about))
    if since_us is not None:
        rows = rows.filter(at_us__gte=since_us)
    if until_us is not None:
        rows = rows.filter(at_us__lt=until_us)
    if before is not None:
        rows = rows.filter(id__lt=before)
    if number is not None:
        one = Movement.objects.filter(id=number).first()
        root = number if one is None else one.root_id or one.id
        rows = rows.filter(Q(id=root) | Q(root=root))
    found = list(rows[: limit + 1])
    shown = found[:limit]
    return Page(tuple(_lines(shown)), shown[-1].id if len(found) > limit else None, shop_zone())


def _concerning(thing: Thing) -> Q:
    """Return what a movement must be to concern a thing: the roots are asked for once."""
    named = Event.objects.filter(**{_REFS[type(thing)]: thing}).values("root")
    found = Q(id__in=named) | Q(root__in=named)
    place = getattr(thing, "place_id", None)
    if place is not None:
        moved = Flow.objects.filter(Q(source=place) | Q(to=place)).values("event")
        found |= Q(id__in=moved) | Q(root__in=moved)
    return found


def _lines(rows: Sequence[Movement]) -> Iterable[LogLine]:
    roots = {row.root_id or row.id for row in rows}
    versions: dict[int, list[int]] = {}
    voids: set[int] = set()
    chain = Movement.objects.filter(Q(id__in=roots) | Q(root__in=roots)).order_by("id")
    for number, root, kind in chain.values_list("id", "root", "kind"):
        versions.setdefault(root or number, []).append(number)
        if kind == VOID:
            voids.add(number)
    for row in rows:
        root = row.root_id or row.id
        mine = versions[root]
        earlier = [n for n in mine if n < row.id]
        later = [n for n in mine if n > row.id]
        yield LogLine(
            row.id, root, row.kind, row.at_us, row.written_us, row.author, row.reason,
            earlier[-1] if earlier else None, not later and row.kind != VOID,
            _state(row, later, voids), words_of(row.kind, row.body),
            {name: value for name, value in row.body.items() if name not in ("refs", "moves")},
        )  # fmt: skip


def _state(row: Movement, later: Sequence[int], voids: set[int]) -> str:
    """Return what became of a version, by the versions of its observation after it."""
    if row.kind == VOID:
        return "undone" if later else "undo"
    if not later:
        return "counts"
    # Taken back is the version that an undo took away and no correction stands in for.
    return "taken back" if set(later) <= voids else "replaced"
