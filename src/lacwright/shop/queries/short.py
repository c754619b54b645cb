"""What is short for the coming jobs: what their plans still need against what is there.

Only the lots and jars are read that a plan names or that have a least amount, and the jars that
hold something of these lots, however large the shelf.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from django.db.models import Exists, OuterRef, Q, Sum

from lacwright.shop.facts import ALCOHOL, DYE, density_of
from lacwright.shop.models import Balance, Event, Jar, Job, Line, Lot
from lacwright.shop.queries.shelf import JarLine, LotLine, Stock, jars, lots
from lacwright.shop.reading import snapshot

ENOUGH, ORDER, NOT_THERE, UNKNOWN, LOW = (
    "enough", "order", "not on the shelf", "amount not said", "below what should be there",
)  # fmt: skip


@dataclass
class Need:
    """One thing that open jobs need.

    Parameters
    ----------
    lot : str
        Name of the lot or jar, or what the plan calls it where it is on no shelf.
    unit : str
        "g", "ml" or "pc".
    jobs : dict of str to float
        What each open job still takes.
    mixed : float
        Of a lot, what of it stands in jars that can be used.
    have : float or None
        What is in the store (or jar); None = not said, or not there.
    order_below : float or None
        What should be there at least.
    word : str
        In a word.
    """

    lot: str
    unit: str
    jobs: dict[str, float] = field(default_factory=dict)
    mixed: float = 0.0
    have: float | None = None
    order_below: float | None = None
    word: str = NOT_THERE

    @property
    def need(self) -> float:
        """What all open jobs still take."""
        return sum(self.jobs.values())

    @property
    def left(self) -> float | None:
        """What is then left in the store, below 0 where it falls short."""
        return None if self.have is None else self.have - max(self.need - self.mixed, 0.0)

    @property
    def short(self) -> bool:
        """Whether something has to be seen to."""
        return self.word != ENOUGH

    def as_json(self) -> dict[str, Any]:
        """Return it as plain data with the reason for every null."""
        keys = {
            "lot": self.lot,
            "unit": self.unit,
            "need": self.need,
            "mixed": self.mixed,
            "have": self.have,
            "left": self.left,
            "order_below": self.order_below,
            "word": self.word,
            "jobs": [{"job": k, "need": v} for k, v in self.jobs.items()],
        }
        why = {"have": self.word, "left": self.word, "order_below": "no least amount is set"}
        return {**keys, "missing": {k: why[k] for k, v in keys.items() if v is None}}


def needs() -> list[Need]:
    """Return what open jobs still need, the short ones first, in a fixed number of queries.

    What a plan needs of a lot, less what the coats of its job have taken of it, is still needed;
    of that, what stands mixed in jars that can be used need not come out of the store. Lots below
    what should be there are listed even if no job needs them.
    """
    with snapshot():
        return _needs()


def _needs() -> list[Need]:
    jobs = _open_jobs()
    rows = [(job, row) for job in jobs for row in (job.plan or {}).get("keys", {}).get("shelf", ())]
    least = Lot.objects.filter(order_below_u__isnull=False).values_list("key", flat=True)
    names = {row["lot"] for _, row in rows} | set(least)
    if not names:
        return []
    shelf = _stock(names)
    by_name: dict[str, LotLine | JarLine] = {line.lot.key: line for line in shelf.lots}
    by_name |= {line.jar.key: line for line in shelf.jars if line.discarded_us is None}
    taken = _taken([job.pk for job in jobs]) if rows else {}
    found: dict[str, Need] = {}
    for job, row in rows:
        name, unit = row["lot"], row["unit"]
        one, of = found.setdefault(name, Need(name, unit)), by_name.get(name)
        gone = 0.0 if of is None else _gone(of, unit, taken.get(job.pk, {}))
        one.jobs[job.key] = one.jobs.get(job.key, 0.0) + max(float(row["need"]) - gone, 0.0)
    _against_stock(found, shelf, by_name)
    order = {ORDER: 0, NOT_THERE: 1, UNKNOWN: 2, LOW: 3, ENOUGH: 4}
    return sorted(found.values(), key=lambda n: (order.get(n.word, 3), n.lot))


def _stock(names: set[str]) -> Stock:
    """Return the lots and jars of these names, and the jars that hold something of the lots."""
    found = lots(only={"key__in": sorted(names)})
    held = Balance.objects.filter(lot__in=[line.lot.id for line in found], place__kind="jar",
                                  ug__gt=0)  # fmt: skip
    rows = Jar.objects.filter(Q(place__in=held.values("place")) | Q(key__in=sorted(names)))
    ids = sorted(rows.values_list("id", flat=True))
    return Stock(found, jars(only=ids) if ids else ())


def _open_jobs() -> list[Job]:
    closed = Event.objects.filter(job=OuterRef("pk"), kind="close", void=False)
    rows = Job.objects.filter(opened__event__void=False, plan__isnull=False)
    return list(rows.exclude(Exists(closed)).order_by("promised", "key"))


def _taken(jobs: list[int]) -> dict[int, dict[tuple[str, str], int]]:
    """Return what the coats of each job took, by jar and lot [ug]."""
    out: dict[int, dict[tuple[str, str], int]] = defaultdict(dict)
    rows = (
        Line.objects.filter(about__event__job__in=jobs, about__event__kind="coat",
                            about__event__void=False, place__kind="jar")
        .values_list("about__event__job", "place__jar__key", "lot__key").annotate(ug=Sum("ug"))
    )  # fmt: skip
    for job, jar, lot, ug in rows:
        out[job][jar, lot] = -ug
    return out


def _gone(of: LotLine | JarLine, unit: str, taken: Mapping[tuple[str, str], int]) -> float:
    """Return what was taken of a lot through any jar, or out of a jar, in a unit."""
    if isinstance(of, LotLine):
        ug = sum(u for (_, lot), u in taken.items() if lot == of.lot.key)
        return _in(of.lot, ug, unit)
    ug = sum(u for (jar, _), u in taken.items() if jar == of.jar.key)
    volume = of.contents.figures.keys
    per_ml = (volume["solution_g"] or 0.0) / volume["solution_ml"] if volume["solution_ml"] else 0.0
    return ug / 1e6 / per_ml if unit == "ml" and per_ml else 0.0 if unit == "ml" else ug / 1e6


def _in(lot: Lot, ug: int, unit: str) -> float:
    return ug / 1e6 / density_of(lot) if unit == "ml" and lot.kind in (ALCOHOL, DYE) else ug / 1e6


def _against_stock(
    found: dict[str, Need], shelf: Stock, by_name: Mapping[str, LotLine | JarLine]
) -> None:
    mixed = _mixed(shelf.jars)
    for line in shelf.lots:
        low = line.lot.order_below_u
        if low is not None and line.left_u is not None and line.left_u < low:
            liquid = line.left_ml is not None
            found.setdefault(line.lot.key, Need(line.lot.key, "ml" if liquid else line.lot.unit))
    for name, one in found.items():
        of = by_name.get(name)
        if of is None:
            continue
        if isinstance(of, JarLine):
            one.have = of.contents.figures.keys["solution_ml"]
            one.word = of.word or _word(one)
            continue
        one.mixed = _in(of.lot, mixed.get(of.lot.id, 0), one.unit)
        one.have = of.left_ml if one.unit == "ml" else of.left
        if of.lot.order_below_u is not None:
            one.order_below = _in(of.lot, of.lot.order_below_u, one.unit)
        one.word = of.word if of.failed else _word(one)


def _word(one: Need) -> str:
    if one.left is None:
        return UNKNOWN
    if one.left < 0:
        return ORDER
    if one.order_below is not None and one.left < one.order_below:
        return LOW
    return ENOUGH


def _mixed(jars: Iterable[JarLine]) -> dict[int, int]:
    """Return what of every lot stands in jars that can be used [ug]."""
    usable = {line.jar.place_id for line in jars if not line.failed and line.discarded_us is None}
    out: dict[int, int] = defaultdict(int)
    rows = Balance.objects.filter(place__in=usable).values_list("lot", "ug")
    for lot, ug in rows:
        out[lot] += ug
    return out
