"""Jars: the list, and what is in one."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from django.urls import reverse

from lacwright.bench.pages.measures import When, days_words, spoken_day, volume, weight, when
from lacwright.bench.plainly import plain
from lacwright.bench.words import amount
from lacwright.figures import Caution, Figure
from lacwright.shop import clock, names
from lacwright.shop.facts import ALCOHOL, DYE, FLAKES, density_of
from lacwright.shop.models import Jar
from lacwright.shop.queries import shelf
from lacwright.shop.queries.contents import Contents, Held
from lacwright.shop.queries.found import (
    ALL,
    STANDING,
    WASHED_OUT,
    find_jars,
    reached,
    taints,
    told_of,
)
from lacwright.shop.queries.proving import Tested, quarantine
from lacwright.shop.queries.remembered import remembered
from lacwright.shop.queries.shut import shut_jars
from lacwright.shop.services.jar_answers import cautions
from lacwright.shop.verdict import FAILED, Times, minutes
from lacwright.solution import resin_shares

SHOWN = ((STANDING, "standing"), (WASHED_OUT, "washed out"), (ALL, "all"))
TRACE_G = 0.05
"""Less than a scale of a tenth of a gram shows."""
WORTH = 0.02
"""A grade of less than this share of the resin is not named in a line."""


@dataclass(frozen=True)
class JarRow:
    """A jar of the list."""

    name: str
    url: str
    what: str
    purpose: str
    age: str
    word: str
    shut: bool


def jar_rows(
    *, words: str, show: str, skip: int, most: int, zone: dt.tzinfo
) -> tuple[list[JarRow], int]:
    """Return a page of jars, and how many there are; ages tell days."""
    return remembered(("jars", words, show, skip, most, str(zone), day_now(zone)),
                      lambda: _jar_rows(words, show, skip, most))  # fmt: skip


def _jar_rows(words: str, show: str, skip: int, most: int) -> tuple[list[JarRow], int]:
    found = find_jars(words=words, show=show, skip=skip, most=most)
    by_id = {line.jar.id: line for line in shelf.jars(only=found.ids)}
    return [_row(by_id[number]) for number in found.ids], found.total


def _row(line: shelf.JarLine) -> JarRow:
    age = "" if line.age is None else days_words(line.age.calendar_days)
    gone = line.discarded_us is not None
    word = f"{line.word}, {shelf.FAILED}" if gone and line.failed else line.word
    return JarRow(line.jar.key, reverse("jars-one", args=[line.jar.key]), in_words(line.contents),
                  line.jar.purpose, age, word, line.failed)  # fmt: skip


def in_words(inside: Contents) -> str:
    """Return what is in a jar in a line: "about 230 ml (7.8 fl oz) of a 2-lb cut, garnet"."""
    if inside.empty and not inside.unsaid:
        return "nothing"
    of = grades_in(inside)
    if 0 < inside.total_g < TRACE_G and not inside.unsaid:
        return f"a trace of {of}"
    if inside.no_cut is not None:
        unknown = inside.unknown_g > 0 or inside.unsaid
        if not unknown:
            return f"{weight(inside.total_g)} of {of}"
        return "make-up not known" if inside.unsaid else (
            f"about {weight(inside.total_g)} of unknown make-up"
        )  # fmt: skip
    mix = inside.mix
    claimed = ", as its label claims" if inside.claimed_share > 0.5 else ""
    cut = amount(float(mix.cut_lb_per_gal), 2)
    return f"about {volume(float(mix.solution_ml))} of a {cut}-lb cut of {of}{claimed}"


def grades_in(inside: Contents) -> str:
    """Return the grades in a jar, the most of it first: "garnet, blonde"."""
    shares = sorted(resin_shares(inside.mix).items(), key=lambda s: -s[1])
    told = [name for name, share in shares if share >= WORTH]
    return ", ".join(told) if told else "flakes that nobody named" if shares else "no flakes"


@dataclass(frozen=True)
class Part:
    """Something that is in a jar.

    Parameters
    ----------
    lot, url : str
        The lot; "" as address where it has no page.
    what : str
        Its grade, or what kind of thing it is.
    how_much : str
        By weight or volume.
    share : str
        Of the resin, or of the alcohol.
    claimed : bool
        Whether its amount rests on the label of a bought liquid.
    """

    lot: str
    url: str
    what: str
    how_much: str
    share: str
    claimed: bool


@dataclass(frozen=True)
class TestRow:
    """A test that was written down."""

    when: When
    test: str
    verdict: str
    says: tuple[str, ...]
    times: str
    failed: bool


@dataclass(frozen=True)
class Line:
    """A sentence of the log."""

    when: When
    words: str
    movement: int


@dataclass(frozen=True)
class Carrier:
    """Things of one kind that got something of a jar."""

    word: str
    things: tuple[tuple[str, str, str], ...]  # name, address, a word against it


@dataclass(frozen=True)
class JarPage:
    """One jar."""

    name: str
    purpose: str
    note: str
    word: str
    shut: str
    says: tuple[str, ...]
    taints: tuple[tuple[str, str], ...]
    """What failed its test and is in it, as a sentence, and the page of its recall."""
    gone: When | None
    empty: bool
    lead: str
    figures: tuple[tuple[str, Figure], ...]
    parts: tuple[Part, ...]
    unsaid: tuple[str, ...]
    mixed: When
    age: str
    oldest: When | None
    ageless: bool
    """Whether nobody knows how long it has stood there."""
    test_by: When | None
    time_to_test: Figure | None
    good_until: When | None
    tests: tuple[TestRow, ...]
    looks: tuple[When, ...]
    carriers: tuple[Carrier, ...]
    log: tuple[Line, ...]
    tare: str
    mouth: str
    cautions: tuple[Caution, ...]
    next: str
    """What the large button does: "test", "look", "recall", ""."""


def jar_page(jar: Jar, zone: dt.tzinfo) -> JarPage:
    """Return what is to be seen of a jar."""
    # Of a jar the moment only tells its age in days.
    line = remembered(("jar", jar.key, str(zone), day_now(zone)), lambda: shelf.jar_line(jar))
    inside, age = line.contents, line.age
    shut = line.proof.quarantine(jar.key, "jar")
    looks = tuple(when(t.look_us, zone) for t in line.proof.running if t.look_us is not None)
    gone = line.discarded_us
    return JarPage(
        jar.key, jar.purpose, jar.note, line.word,
        "" if shut is None else f"Jar {jar.key} {shut.words(zone)}: nothing of it goes on the work",
        () if shut is None else shut.says, () if line.empty else tuple(_taints(jar, zone)),
        None if gone is None else when(gone, zone), line.empty,
        in_words(inside), tuple(_figures(inside)), tuple(parts_of(inside)),
        tuple(key.partition(":")[2] for key in inside.unsaid), when(line.opened_us, zone),
        "" if age is None else days_words(age.calendar_days),
        _oldest(line, zone), line.since is None,
        None if age is None or gone is not None else spoken_day(age.test_by),
        None if age is None else age.time_to_test,
        None if age is None or age.good_until is None else spoken_day(age.good_until),
        tuple(test_rows(line.proof.tests, zone)), looks, tuple(_carriers(jar)),

        tuple(Line(when(t.at_us, zone), t.words, t.movement)
              for t in remembered(("told", jar.key), lambda: told_of(jar))),
        weight(jar.tare_g) if jar.tare_g else "", f"{jar.mouth_mm:g} mm" if jar.mouth_mm else "",
        () if line.empty or gone is not None else cautions(inside),
        _next(line, bool(shut), bool(looks)),
    )  # fmt: skip


def stop_of(jar: Jar, zone: dt.tzinfo) -> str:
    """Return why nothing should go into a jar any more, "" where nothing is known against it."""
    shut = quarantine(jar)
    return "" if shut is None else (
        f"Jar {jar.key} {shut.words(zone)}: what is put into it is lost with it. Mix a new jar, "
        "and pour this one away."
    )  # fmt: skip


def _taints(jar: Jar, zone: dt.tzinfo) -> Iterable[tuple[str, str]]:
    for taint in remembered(("taints", jar.key), lambda: taints(jar)):
        room = "jars" if taint.kind == "jar" else "shelf"
        yield (plain(taint.holding("this jar", zone), {}),
               reverse(f"{room}-recall", args=[taint.name]))  # fmt: skip


def _oldest(line: shelf.JarLine, zone: dt.tzinfo) -> When | None:
    """Return the day from which it ages, where that is not the day it was mixed."""
    if line.since is None or line.since == clock.day_of(line.opened_us, zone):
        return None
    return spoken_day(line.since)


def _next(line: shelf.JarLine, shut: bool, looks: bool) -> str:
    if line.discarded_us is not None or line.empty:
        return ""
    if shut:
        return "recall"
    if looks:
        return "look"
    return "test" if line.word in (shelf.TEST_FIRST, shelf.TOO_OLD) else ""


_TOLD = (
    ("Mix", "solution_ml"), ("Cut, flakes on alcohol", "cut_lb_per_gal"),
    ("Flakes on a litre of alcohol", "resin_g_per_l_alcohol"), ("Flakes", "resin_g"),
    ("Alcohol", "alcohol_ml"), ("Solids by weight", "solids_mass_fraction"),
)  # fmt: skip


def _figures(inside: Contents) -> Iterable[tuple[str, Figure]]:
    figures = inside.figures.figures
    for words, key in _TOLD:
        if key in figures:
            yield words, figures[key]


def parts_of(inside: Contents) -> Iterable[Part]:
    """Return what a place holds, flakes first, each with its share of its kind."""
    order = {FLAKES: 0, ALCOHOL: 1, DYE: 2}
    totals: dict[str, int] = {}
    for held in inside.held:
        totals[held.lot.kind] = totals.get(held.lot.kind, 0) + held.ug
    for held in sorted(inside.held, key=lambda h: (order.get(h.lot.kind, 3), -h.ug)):
        lot = held.lot
        share = held.ug / totals[lot.kind] if totals[lot.kind] > 0 else 0.0
        url = reverse("shelf-one", args=[lot.key]) if lot.said else ""
        wax = {None: "", True: ", waxed", False: ", dewaxed"}[lot.waxed]
        what = f"{lot.grade.replace('-', ' ')}{wax}" if lot.grade else lot.kind
        yield Part(lot.key, url, what, _how_much(held), f"{share:.0%}", held.claimed)


def _how_much(held: Held) -> str:
    if held.lot.kind == ALCOHOL:
        return volume(held.g / density_of(held.lot))
    return weight(held.g)


def test_rows(tests: Iterable[Tested], zone: dt.tzinfo) -> Iterable[TestRow]:
    """Return tests, the last first."""
    for test in reversed(list(tests)):
        yield TestRow(when(test.at_us, zone), test.test.replace("-", " "), test.verdict, test.says,
                      _times(test), test.verdict == FAILED)  # fmt: skip


def _times(test: Tested) -> str:
    drop, control = test.body.get("jar"), test.body.get("control")
    told = [f"drop of the jar: {drop_words(Times(**drop))}"] if drop else []
    if control:
        told.append(f"control: {drop_words(Times(**control))}")
    temp, rh = test.body.get("temp_c"), test.body.get("rh")
    if temp is not None:
        told.append(f"{temp:g} °C")
    if rh is not None:
        told.append(f"{rh:.0%} humidity")
    return "; ".join(told)


def drop_words(times: Times) -> str:
    """Return what was seen of a drop: "tack-free 12 min, no mark of a nail 90 min"."""
    names_ = {"tack_free_min": "tack-free", "nail_min": "no mark of a nail",
              "powder_min": "powder"}  # fmt: skip
    told = [f"{names_[k]} {minutes(v)}" for k, v in times.stages().items() if v is not None]
    if times.seen_min is not None:
        told.append(f"looked at last after {minutes(times.seen_min)}")
    return ", ".join(told) or "nothing seen yet"


def _carriers(jar: Jar) -> Iterable[Carrier]:
    rooms = {"piece": "pieces-one", "panel": "panels-one", "jar": "jars-one"}
    found = remembered(("reached", jar.key), lambda: reached(jar))
    shut = shut_jars()
    for word in ("piece", "panel", "jar", "pad or brush"):
        if word in found:
            room = rooms.get(word)
            yield Carrier(word, tuple(
                (name, reverse(room, args=[name]) if room else reverse("jars-pads"),
                 shelf.FAILED if word == "jar" and name in shut else "")
                for name in found[word]
            ))  # fmt: skip


def jar_named(name: str) -> Jar:
    """Return a jar by its name.

    Raises
    ------
    Refusal
        If there is none.
    """
    return names.find(Jar, name, "jar")


def day_now(zone: dt.tzinfo) -> dt.date:
    """Return the day in the shop."""
    return clock.day_of(clock.now_us(), zone)
