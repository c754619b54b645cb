"""What the lists show: things found by words, a page at a time, whatever the record holds."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import Exists, F, Max, OuterRef, Q, QuerySet

from lacwright.shop.asked import rows as asked
from lacwright.shop.facts import FLAKES, density_of
from lacwright.shop.models import Applicator, Balance, Event, Flow, Jar, Lot, Piece
from lacwright.shop.queries import shelf
from lacwright.shop.queries.movement_words import words_of
from lacwright.shop.queries.proving import proofs
from lacwright.shop.queries.remembered import remembered
from lacwright.shop.queries.tainted import Taint, taints

__all__ = [
    "ALL", "STANDING", "THERE", "WASHED_OUT", "Choosable", "Found", "PadLine", "Taint", "Told",
    "agreed_on", "applicators_to_take", "find_jars", "find_lots", "find_pads", "jars_that_failed",
    "jars_to_take", "lots_to_take", "next_name", "reached", "taints", "told_of",
]  # fmt: skip

STANDING, WASHED_OUT, THERE, ALL = "standing", "washed out", "there", "all"
MOST_CHOICES = 60
"""Lots or jars that are offered to choose from: those that came last."""


@dataclass(frozen=True)
class Found:
    """A page of a list."""

    ids: tuple[int, ...]
    total: int


def find_jars(*, words: str = "", show: str = STANDING, skip: int = 0, most: int = 30) -> Found:
    """Return jars by name, purpose, note, or what is in them; the last written down first.

    Parameters
    ----------
    words : str
        Every word must be found.
    show : str
        "standing", "washed out" or "all".
    skip, most : int
        Which page.
    """
    rows = Jar.objects.filter(_in_the_record())
    if show != ALL:
        gone = Q(id__in=_washed_out())
        rows = rows.filter(gone if show == WASHED_OUT else ~gone)
    for word in words.split():
        inside = Balance.objects.filter(_of_lot(word), place=OuterRef("place"), ug__gt=0)
        rows = rows.filter(Q(key__icontains=word) | Q(purpose__icontains=word)
                           | Q(note__icontains=word) | Exists(inside))  # fmt: skip
    return _page(rows.order_by("-id"), skip, most)


def find_lots(
    *, words: str = "", kind: str = "", show: str = THERE, skip: int = 0, most: int = 30
) -> Found:
    """Return lots by name, grade, supplier, number on the bag or note; the last to come first.

    Parameters
    ----------
    words : str
        Every word must be found.
    kind : str
        "flakes", "alcohol", ...; "" for every kind.
    show : str
        "there" or "all": also those of which nothing is left.
    skip, most : int
        Which page.
    """
    rows = Lot.objects.filter(Exists(Event.objects.filter(
        root=OuterRef("opened"), kind="receive", void=False)), said=True)  # fmt: skip
    if kind:
        rows = rows.filter(kind=kind)
    if show == THERE:
        rows = rows.filter(_there())
    for word in words.split():
        rows = rows.filter(Q(key__icontains=word) | Q(grade__icontains=word)
                           | Q(supplier__icontains=word) | Q(batch__icontains=word)
                           | Q(note__icontains=word))  # fmt: skip
    return _page(rows.order_by("-id"), skip, most)


@dataclass(frozen=True)
class Choosable:
    """A lot that can be taken from."""

    name: str
    kind: str
    grade: str
    unit: str
    left_u: int | None
    left_ml: float | None
    known: bool
    """Of an alcohol: whether it is known what it is."""


def lots_to_take(*kinds: str, also: Iterable[str] = ()) -> list[Choosable]:
    """Return lots that can be taken from, the last to come first; none that failed its test.

    Parameters
    ----------
    *kinds : str
        "flakes", "alcohol", ...
    also : iterable of str
        Names of some that are offered whatever is left of them.
    """
    names = tuple(sorted({name for name in also if name}))
    return list(remembered(("to take", kinds, names), lambda: _to_take(kinds, names)))


def _to_take(kinds: tuple[str, ...], names: tuple[str, ...]) -> list[Choosable]:
    rows = Lot.objects.filter(_in_the_record(), said=True, kind__in=kinds)
    shown = [
        lot
        for kind in kinds
        for lot in rows.filter(_there(), kind=kind).order_by("-id")[:MOST_CHOICES]
    ]
    more = set(names) - {lot.key for lot in shown}
    if more:
        shown += list(rows.filter(key__in=more))
    shut = {
        key for key, proof in proofs("lot", only=[x.id for x in shown if x.kind == FLAKES]).items()
        if proof.quarantine(key, "lot") is not None
    }  # fmt: skip
    held = dict(Balance.objects.filter(place__in=[x.place_id for x in shown], lot=F("place__lot"))
                .values_list("lot", "ug"))  # fmt: skip
    return [Choosable(x.key, x.kind, x.grade, x.unit, held.get(x.id), _ml(x, held.get(x.id)),
                      x.parts is not None or x.density_g_ml is not None)
            for x in shown if x.key not in shut]  # fmt: skip


def _ml(lot: Lot, left_u: int | None) -> float | None:
    if left_u is None or lot.kind not in shelf.LIQUIDS:
        return None
    return left_u / 1e6 / density_of(lot)


def jars_to_take(*, but: str = "") -> list[str]:
    """Return the names of jars that stand and are not shut, the last to come first."""
    return [key for key, shut in _jars_standing(but) if not shut]


def jars_that_failed(*, but: str = "") -> list[str]:
    """Return the names of jars that stand and are shut, the last to come first."""
    return [key for key, shut in _jars_standing(but) if shut]


def _jars_standing(but: str) -> list[tuple[str, bool]]:
    return remembered(("jars standing", but), lambda: _standing(but))


def _standing(but: str) -> list[tuple[str, bool]]:
    rows = Jar.objects.filter(_in_the_record()).exclude(id__in=_washed_out()).exclude(key=but)
    found = list(rows.order_by("-id").values_list("id", "key")[:MOST_CHOICES])
    tests = proofs("jar", only=[number for number, _ in found])
    return [(key, key in tests and tests[key].quarantine(key, "jar") is not None)
            for _, key in found]  # fmt: skip


def applicators_to_take() -> list[str]:
    """Return the names of pads and brushes."""
    rows = Applicator.objects.filter(opened__event__void=False)
    return list(rows.order_by("key").values_list("key", flat=True)[:MOST_CHOICES])


def next_name(table: type[Jar] | type[Piece], *, start: str) -> str:
    """Return a name that is free, one number on from the last one given; `start` at first."""
    return remembered(("next name", table.__name__, "", start), lambda: _next_name(table, start))


def _next_name(table: type[Jar] | type[Piece], start: str) -> str:
    rows: QuerySet[Any] = table._default_manager.all()
    if table is Piece:
        rows = Piece.objects.filter(kind="panel")
    last = list(rows.order_by("-id").values_list("key", flat=True)[:MOST_CHOICES])
    match = next((m for m in (re.fullmatch(r"(.*?)(\d{1,9})", key) for key in last) if m), None)
    stem, number = (start, 1) if match is None else (match[1], int(match[2]) + 1)
    taken = set(table._default_manager.filter(key__startswith=stem).values_list("key", flat=True))
    while f"{stem}{number}" in taken:
        number += 1
    return f"{stem}{number}"


@dataclass(frozen=True)
class Told:
    """Something that was written down about a thing, in a sentence."""

    movement: int
    at_us: int
    words: str


def told_of(thing: Jar | Lot, *, most: int = 8) -> list[Told]:
    """Return what was last observed of a jar or lot, or moved out of it or into it."""
    word = "jar" if isinstance(thing, Jar) else "lot"
    moved = Flow.objects.filter(Q(source=thing.place_id) | Q(to=thing.place_id))
    about = Event.objects.filter(**{word: thing}).values("pk")
    rows = (
        Event.objects.filter(Q(pk__in=moved.values("event")) | Q(pk__in=about), void=False)
        .select_related("movement").order_by("-at_us", "-root")[:most]
    )  # fmt: skip
    return [Told(e.movement_id, e.at_us, words_of(e.kind, e.movement.body)) for e in rows]


def reached(jar: Jar, *, most: int = 20) -> dict[str, list[str]]:
    """Return where something of a jar went at once, the last first, by the word for it.

    The words are "piece", "panel", "jar" and "pad or brush". What it reached through others
    stands in the recall.
    """
    out: dict[str, dict[str, None]] = {}
    coats = Event.objects.filter(jar=jar, kind="coat", void=False, piece__isnull=False)
    # Sorted here: with a limit the database would walk all observations in the order of time.
    rows = sorted(coats.values_list("at_us", "piece__key", "piece__kind"), reverse=True)
    for _, key, kind in rows:
        out.setdefault("panel" if kind == "panel" else "piece", {})[str(key)] = None
    flows = Flow.objects.filter(source=jar.place_id, to__kind__in=("jar", "applicator"))
    for _, kind, key in sorted(flows.values_list("at_us", "to__kind", "to__key"), reverse=True):
        word = "jar" if kind == "jar" else "pad or brush"
        out.setdefault(word, {})[key.partition(":")[2]] = None
    return {word: list(names)[:most] for word, names in out.items()}


def agreed_on(panel: Piece) -> list[str]:
    """Return the jobs for which a panel was agreed on, the last first."""
    rows = Event.objects.filter(kind="agree", void=False, job__isnull=False,
                                movement__body__panel=panel.key)  # fmt: skip
    keys = rows.order_by("-at_us", "-root").values_list("job__key", flat=True)
    return [key for key in dict.fromkeys(keys) if key is not None]


@dataclass(frozen=True)
class PadLine:
    """A pad or brush, what dried in it, when it was used and washed out last."""

    applicator: Applicator
    dry_ug: int
    lots: tuple[str, ...]
    used_us: int | None
    washed_us: int | None

    @property
    def clean(self) -> bool:
        """Whether nothing went into it since it was washed out (or ever)."""
        if self.used_us is None:
            return True
        return self.washed_us is not None and self.washed_us >= self.used_us


def find_pads(words: str = "") -> list[PadLine]:
    """Return the pads and brushes in which all words are found, those that carry something first.

    As `carriers.applicators` does, without asking of every coat whether its amount was said.
    """
    rows = Applicator.objects.filter(opened__event__void=False)
    for word in words.split():
        rows = rows.filter(Q(key__icontains=word) | Q(kind__icontains=word)
                           | Q(note__icontains=word))  # fmt: skip
    found = list(rows.order_by("key"))
    places = [row.place_id for row in found]
    held: dict[int, list[tuple[str, int]]] = {}
    inside = Balance.objects.filter(place__in=places, ug__gt=0).order_by("lot__key")
    for place, lot, ug in inside.values_list("place", "lot__key", "ug"):
        held.setdefault(place, []).append((lot, ug))
    used = dict(asked(_LAST_INTO, places))
    # Of all: washings are few, what is written down of a pad is not.
    rows_ = Event.objects.filter(kind="wash", void=False, applicator__isnull=False)
    washed = dict(rows_.values_list("applicator").annotate(last=Max("at_us")))
    lines = [
        PadLine(row, sum(ug for _, ug in held.get(row.place_id, ())),
                tuple(lot for lot, _ in held.get(row.place_id, ())),
                used.get(row.place_id), washed.get(row.id))
        for row in found
    ]  # fmt: skip
    return sorted(lines, key=lambda line: line.clean)


# From the end of an index for each of them: a pad has thousands of contacts.
_LAST_INTO = """
SELECT p.id, (
    SELECT f.at_us FROM shop_flow f WHERE f.to_id = p.id ORDER BY f.at_us DESC LIMIT 1
) FROM shop_place p WHERE p.id IN ({})
"""


def _in_the_record() -> Exists:
    """Return the things that nobody took back."""
    return Exists(Event.objects.filter(root=OuterRef("opened"), void=False))


def _washed_out() -> QuerySet[Any]:
    gone = Event.objects.filter(kind="discard", void=False, jar__isnull=False)
    return gone.values("jar")


def _there() -> Q:
    """Return the lots of which something is left, or of which nobody said how much there was."""
    left = Balance.objects.filter(lot=OuterRef("pk"), place=OuterRef("place"), ug__gt=0)
    known = Balance.objects.filter(lot=OuterRef("pk"), place=OuterRef("place"))
    counted = Event.objects.filter(lot=OuterRef("pk"), kind="count", void=False)
    unsaid = Q(opened__event__movement__body__amount=None) & ~Exists(known) & ~Exists(counted)
    return Q(Exists(left)) | unsaid


def _of_lot(word: str) -> Q:
    return Q(lot__key__icontains=word) | Q(lot__grade__icontains=word)


def _page(rows: QuerySet[Any], skip: int, most: int) -> Found:
    return Found(tuple(rows.values_list("id", flat=True)[skip : skip + most]), rows.count())
