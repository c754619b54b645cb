"""What failed its test and is in a jar, a pad or a brush: through blends, forward in time.

A failed jar taints what it was poured into from its last passed test on. A passed drying test of
the tainted jar itself proves it, which is told beside; on the list of the recall it stays.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Q

from lacwright.shop import clock
from lacwright.shop.facts import FLAKES
from lacwright.shop.models import Applicator, Jar, Lot, Place
from lacwright.shop.queries.contents import Contents, contents
from lacwright.shop.queries.poured import Step, pours_and_washings, with_sources
from lacwright.shop.queries.proving import NOTHING, Proof, Quarantine, proofs
from lacwright.shop.queries.spread_on import BEGINNING, END, Moment, reach
from lacwright.shop.verdict import PASSED

JAR, LOT = "jar", "lot"
Listed = dict[tuple[str, str], frozenset[int]]


@dataclass(frozen=True)
class Taint:
    """A jar or lot that failed its test and of which something is in a jar, a pad or a brush.

    Parameters
    ----------
    kind, name : str
        "jar" or "lot", and its name.
    since_us : int or None
        When it got there; None = from the beginning.
    failed : Quarantine
        The test.
    proved_us : int or None
        When the jar that holds it passed a drying test of its own since.
    """

    kind: str
    name: str
    since_us: int | None
    failed: Quarantine
    proved_us: int | None = None

    def words(self, zone: dt.tzinfo) -> str:
        """Return "something of jar 'J1', which failed its drying test of 2027-03-01"."""
        return f"something of {self.kind} '{self.name}', which {self.failed.words(zone)}"

    def holding(self, of: str, zone: dt.tzinfo) -> str:
        """Return what is to be said of a jar that holds it, as a sentence."""
        held = f"{_first(of)} holds {self.words(zone)}"
        if self.proved_us is not None:
            return f"{held}; {of} itself passed its test of {clock.day_of(self.proved_us, zone)}."
        return (
            f"{held}: test it beside a drop of a fresh mix before it goes on the work, or pour it "
            f"away ('{self.kind} recall {self.name}' lists all that carries it)."
        )

    def as_json(self, zone: dt.tzinfo) -> dict[str, Any]:
        """Return it as plain data with the reason for every null."""
        keys: dict[str, Any] = {
            "kind": self.kind, "name": self.name, "test": self.failed.test,
            "failed": clock.iso(self.failed.at_us, zone),
            "since": None if self.since_us is None else clock.iso(self.since_us, zone),
            "proved": None if self.proved_us is None else clock.iso(self.proved_us, zone),
        }  # fmt: skip
        why = {"since": "from the beginning", "proved": "no passed test of its own is on record"}
        return {**keys, "missing": {k: why[k] for k, v in keys.items() if v is None}}


@dataclass(frozen=True)
class _Shut:
    """A jar that is shut, and from when on it counts as bad."""

    name: str
    place: int
    start: Moment
    failed: Quarantine


def taints(jar: Jar) -> list[Taint]:
    """Return what failed its test and is in a jar."""
    places = with_sources({jar.place_id})
    tests = proofs("jar", places=places)
    found = list(poured_in(places, tests).get(jar.place_id, ()))
    mine = tests.get(jar.key, NOTHING)
    return [*with_proof(found, mine), *of_lots([contents(jar.place.key)]).get(jar.place.key, ())]


def poured_in(
    places: Collection[int] | None, tests: Mapping[str, Proof], *, at_us: int | None = None,
    itself: bool = False,
) -> dict[int, list[Taint]]:  # fmt: skip
    """Return the failed jars of which something is in places, by place.

    Parameters
    ----------
    places : collection of int, or None
        With all that anything in them may have come from: `with_sources`; None = all jars.
    tests : mapping of jar to Proof
        Of these jars at least.
    at_us : int, optional
        What was poured by then; now if not given.
    itself : bool
        Whether a failed jar is told of itself as well.
    """
    shut = _shut(places, tests)
    if not shut:
        return {}
    steps = pours_and_washings(places, at_us=at_us)
    out: dict[int, list[Taint]] = defaultdict(list)
    for place, since in _carried(steps, shut).items():
        for source, moment in since.items():
            out[place].append(Taint(JAR, shut[source].name, moment[0], shut[source].failed))
    if itself:
        gone = {s.source for s in steps if s.washed}
        for place, jar in shut.items():
            if place not in gone and (at_us is None or jar.start[0] <= at_us):
                out[place].append(Taint(JAR, jar.name, None, jar.failed))
    return out


def taints_at(jar: Jar, pad: Applicator | None, *, at_us: int) -> tuple[list[Taint], list[Taint]]:
    """Return what was in a jar, and in a pad or brush, that is known to have failed its test.

    Parameters
    ----------
    jar : Jar
        Which may have failed itself.
    pad : Applicator or None
        What the mix goes through.
    at_us : int
        When.
    """
    ends = {jar.place_id} | (set() if pad is None else {pad.place_id})
    places = with_sources(ends)
    tests = proofs("jar", places=places)
    found = poured_in(places, tests, at_us=at_us, itself=True)
    inside = with_proof(found.get(jar.place_id, ()), tests.get(jar.key, NOTHING))
    inside += of_lots([contents(jar.place.key, at_us=at_us)]).get(jar.place.key, ())
    if pad is None:
        return inside, []
    known = {t.name for t in inside}
    return inside, [t for t in found.get(pad.place_id, ()) if t.name not in known]


def of_lots(inside: Iterable[Contents]) -> dict[str, list[Taint]]:
    """Return the failed lots of flakes that are in places, by the name of the place."""
    places = list(inside)
    flakes = {h.lot.id for c in places for h in c.held if h.lot.kind == FLAKES and h.ug > 0}
    tests = proofs("lot", only=flakes) if flakes else {}
    shut = {key: why for key, proof in tests.items()
            if (why := proof.quarantine(key, LOT)) is not None}  # fmt: skip
    return {
        c.place: [Taint(LOT, h.lot.key, None, shut[h.lot.key]) for h in c.held
                  if h.lot.key in shut]
        for c in places
    }  # fmt: skip


def with_proof(found: Iterable[Taint], tests: Proof) -> list[Taint]:
    """Return taints of a jar with its own passed drying test since, where there is one."""
    passed = [t.at_us for t in tests.tests if t.test == "drying" and t.verdict == PASSED]
    if not passed:
        return list(found)
    return [
        Taint(t.kind, t.name, t.since_us, t.failed,
              passed[-1] if t.since_us is not None and passed[-1] >= t.since_us else None)
        for t in found
    ]  # fmt: skip


def listed_coats(places: Iterable[str]) -> Listed:
    """Return what is on the lists of the failed jars and lots from which places may hold something.

    Parameters
    ----------
    places : iterable of str
        Keys of places: "jar:J7", "applicator:pad 1", "store:garnet-b12"; others carry nothing on.

    Returns
    -------
    dict of (kind, name) to set
        Roots of the observations that laid something on a piece or panel.
    """
    rows = Place.objects.filter(key__in=set(places), kind__in=("jar", "applicator", "store"))
    numbers = with_sources(rows.values_list("id", flat=True))
    if not numbers:
        return {}
    starts = {(JAR, jar.name): (jar.place, jar.start)
              for jar in _shut(numbers, proofs("jar", places=numbers)).values()}  # fmt: skip
    stores = Place.objects.filter(Q(id__in=numbers) | Q(out__to__in=numbers), kind="store")
    lots = Lot.objects.filter(place__in=stores.distinct(), kind=FLAKES)
    rooms = dict(lots.values_list("key", "place"))
    for key, proof in proofs("lot", places=rooms.values()).items():
        if proof.quarantine(key, LOT) is not None:
            starts[LOT, key] = (rooms[key], BEGINNING)
    return {thing: _laid(start) for thing, start in starts.items()}


def _laid(start: tuple[int, Moment]) -> frozenset[int]:
    edges = reach([start]).edges.values()
    to = {edge.to for edge in edges}
    pieces = set(Place.objects.filter(id__in=to, kind="piece").values_list("id", flat=True))
    return frozenset(edge.event for edge in edges if edge.to in pieces and not edge.washed)


def bad_since(tests: Proof, failed: Quarantine | None) -> Moment:
    """Return from when on a jar counts as bad: its last passed test before it failed."""
    good = tests.last_good(failed)
    return BEGINNING if good is None else (good.at_us, good.movement, END[0])


def _shut(places: Collection[int] | None, tests: Mapping[str, Proof]) -> dict[int, _Shut]:
    failed = {key: why for key, proof in tests.items()
              if (why := proof.quarantine(key, JAR)) is not None}  # fmt: skip
    if not failed:
        return {}
    rows = Jar.objects.filter(key__in=failed, opened__event__void=False)
    return {
        place: _Shut(key, place, bad_since(tests[key], failed[key]), failed[key])
        for key, place in rows.values_list("key", "place") if places is None or place in places
    }  # fmt: skip


def _carried(
    steps: Sequence[Step], shut: Mapping[int, _Shut]
) -> dict[int, dict[int, Moment]]:  # fmt: skip
    """Return from which shut jars something is in a place, and since when: one pass in time."""
    held: dict[int, dict[int, Moment]] = defaultdict(dict)
    gone: set[int] = set()
    for step in steps:
        if step.washed:
            held.pop(step.source, None)
            gone.add(step.source)
            continue
        carried = set(held.get(step.source, ()))
        own = shut.get(step.source)
        if own is not None and own.start < step.moment and step.source not in gone:
            carried.add(step.source)
        for source in carried - {step.to}:
            held[step.to].setdefault(source, step.moment)
    return held


def _first(word: str) -> str:
    return f"{word[0].upper()}{word[1:]}"
