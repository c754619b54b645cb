"""Usable hours as their page shows them: the answer in words, then hour by hour."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from lacwright.bench import airs
from lacwright.bench.hours import JOB, PIECE, Made
from lacwright.bench.pages.measures import When, when
from lacwright.drying import (
    CHANGE,
    CHILL_FORMULA,
    FILM_ONLY,
    GO,
    MARGIN_FORMULA,
    UNCALIBRATED,
    WHITENS,
    Change,
    CoatHour,
    Hour,
    HourTable,
)
from lacwright.drying.gate import spoken
from lacwright.drying.hand import constants_of
from lacwright.drying.hour_table import runs
from lacwright.drying.moments import clock_of
from lacwright.figures import (
    Basis,
    Caution,
    Figure,
    Hand,
    Mark,
    Refusal,
    Refusals,
    computed,
    given,
    weakest,
)
from lacwright.figures.spoken import trimmed
from lacwright.files.air_table import AirTable
from lacwright.shop import clock
from lacwright.shop.queries.job_list import job_page
from lacwright.shop.queries.piece_list import piece_page
from lacwright.shop.queries.remembered import remembered
from lacwright.shop.queries.wet_now import AFTER_HAZE
from lacwright.trade import table as table_of

FIRST_ROWS = 8
SHOWN = 6
"""Tables that are kept: so many are offered."""
SHORT = 20_000
"""A faulty table of so many characters is put back to be mended on the page."""


@dataclass(frozen=True)
class KeptTable:
    """A table of air that was read in."""

    sha: str
    name: str
    at: When


@dataclass(frozen=True)
class Preview:
    """What a table of air says, as it was understood."""

    many: int
    span: str
    air: str
    rows: tuple[tuple[str, str, str, str], ...]  # when, room, humidity, board
    reports: tuple[str, ...]
    board: bool


@dataclass(frozen=True)
class Row:
    """One hour."""

    at: str
    iso: str
    verdict: str
    room: str
    dew: str
    chill: str
    margin: str
    haze: str
    ready: str
    slow: str
    reason: str
    coat: str  # which coat decides, where there are several
    ranges: tuple[tuple[str, str], ...]
    changes: tuple[str, ...]
    slow_reason: str


@dataclass(frozen=True)
class Day:
    """The hours of a day, and what they come to."""

    words: str
    says: str
    opened: bool
    rows: tuple[Row, ...]


@dataclass(frozen=True)
class HoursPage:
    """The answer.

    Parameters
    ----------
    big, answer : str
        The first words, large, and what belongs to them.
    also : tuple of str
        Other windows.
    changes : tuple of str
        Where no hour is usable as it is: what would help the first that can be helped.
    hour : str
        The hour that the figures are of.
    figures : tuple of (str, Figure, int)
        Of that hour: their words, the figures, how many digits.
    calibrated : str
        What the model rests on.
    rule : str
        The maker's own rule, "" where he gave none.
    """

    big: str
    answer: str
    also: tuple[str, ...]
    changes: tuple[str, ...]
    hour: str
    figures: tuple[tuple[str, Figure, int], ...]
    days: tuple[Day, ...]
    slow: bool
    slow_words: str
    calibrated: str
    uncalibrated: bool
    rule: str
    coats: tuple[str, ...]
    silent: tuple[tuple[str, str], ...]
    reports: tuple[str, ...]
    assumed: tuple[str, ...]
    after_haze: str
    more: dt.date | None
    cautions: tuple[Caution, ...]


def kept_tables(zone: dt.tzinfo) -> tuple[KeptTable, ...]:
    """Return the last tables that were read in."""
    return tuple(KeptTable(one.sha, one.sent.name, when(round(one.at_s * clock.SECOND), zone))
                 for one in airs.known()[:SHOWN])  # fmt: skip


def faults(refusal: Refusal) -> list[str]:
    """Return what is wrong with a table, line by line."""
    return [str(one) for one in (refusal.each if isinstance(refusal, Refusals) else (refusal,))]


def preview(air: AirTable) -> Preview:
    """Return what a table says."""
    boards = air.board_c
    rows = tuple(
        (_when(at), f"{air.temp_c[i]:.1f} °C", f"{100 * air.rh[i]:.0f} %",
         "" if boards is None or boards[i] != boards[i] else f"{boards[i]:.1f} °C")
        for i, at in enumerate(air.at[:FIRST_ROWS])
    )  # fmt: skip
    low, high, dry, damp = (float(f(v)) for v in (air.temp_c, air.rh) for f in (min, max))
    return Preview(
        len(air.at), f"{_when(air.at[0])} to {_when(air.at[-1])}",
        f"{low:.1f} to {high:.1f} °C ({low * 1.8 + 32:.0f} to {high * 1.8 + 32:.0f} °F), "
        f"{100 * dry:.0f} to {100 * damp:.0f} %", rows, air.reports, boards is not None,
    )  # fmt: skip


def coat_choices(asked: str) -> list[tuple[str, str]]:
    """Return open jobs and pieces as choices; one that is asked for stands there in any case."""
    jobs, pieces = remembered("coats of hours", lambda: (job_page()[0], piece_page()[0]))
    out = [(f"{JOB}:{one.key}", f"job {one.key}, {one.title or one.piece}") for one in jobs]
    out += [(f"{PIECE}:{one.key}", f"piece {one.key}{f', {one.title}' if one.title else ''}")
            for one in pieces]  # fmt: skip
    kind, _, name = asked.partition(":")
    if kind in (JOB, PIECE) and name and asked not in dict(out):
        out.insert(0, (asked, f"{kind} {name}"))
    return out


def hours_page(made: Made) -> HoursPage:
    """Return the answer as its page shows it."""
    table = made.table
    windows = table.windows()
    big, answer = _first(table)
    helped = None if windows or table.stops else next((h for h in table.hours if h.change), None)
    hour = windows[0][0] if windows else helped or table.hours[0]
    judged = [h.worst for h in table.hours if h.worst.film_verdict]
    several = len(made.wanted.coats) > 1
    return HoursPage(
        big, answer, _also(windows[1:]),
        () if helped is None else tuple(_sentence(c) for c in helped.change),
        f"{_day(hour.at)}, {_clock(hour.at)}{f', {hour.worst.name}' if several else ''}",
        _figures(hour, made), _days(table, several=several),
        any(h.slow is not None for h in table.hours), _slow_words(table),
        table.calibrated, table.calibrated == UNCALIBRATED and bool(made.wanted.coats),
        _rule(table), tuple(c.name for c in made.wanted.coats), _silent(made.wanted.silent),
        made.reports, made.assumed,
        AFTER_HAZE if any(c.film_verdict == WHITENS for c in judged) else "",
        made.more, made.wanted.cautions,
    )  # fmt: skip


def _first(table: HourTable) -> tuple[str, str]:
    windows = table.windows()
    if windows:
        by = "Go by your own rule" if table.rule.judges() else "Go"
        return f"Lay it {_window(*windows[0])}", f"{by}: {FILM_ONLY}."
    if table.stops:
        film = runs(table.hours, [h.film_go for h in table.hours])
        if film:
            return "A stop stands", f"The film alone would do {_window(*film[0])}: {FILM_ONLY}."
        return "A stop stands", "Nor is any of these hours fit for the film as it is."
    first = next((h for h in table.hours if h.verdict == CHANGE), None)
    if first is None:
        return "No hour is usable", "And no single change makes one usable."
    return (
        "No hour is usable as it is",
        f"{_day(first.at)} at {_clock(first.at)} would be, with one of these changes:",
    )


def _silent(found: Sequence[tuple[str, str]]) -> tuple[tuple[str, str], ...]:
    """Return the coats that are not judged, those with one reason together."""
    by_reason: dict[str, list[str]] = {}
    for name, why in found:
        by_reason.setdefault(why, []).append(name)
    return tuple((", ".join(names), why) for why, names in by_reason.items())


def _also(windows: Sequence[tuple[Hour, Hour]]) -> tuple[str, ...]:
    told = tuple(_window(*w) for w in windows[:4])
    return (*told, f"{len(windows) - 4} more") if len(windows) > 4 else told


def _days(table: HourTable, *, several: bool) -> tuple[Day, ...]:
    out, opened = [], False
    for _, group in groupby(table.hours, key=lambda h: h.at.date()):
        hours = list(group)
        open_it = not opened and any(h.verdict == GO for h in hours)
        opened |= open_it
        out.append(Day(_day(hours[0].at), _says(hours), open_it,
                       tuple(_row(h, several=several) for h in hours)))  # fmt: skip
    if not opened:
        out[0] = Day(out[0].words, out[0].says, True, out[0].rows)
    return tuple(out)


def _says(hours: Sequence[Hour]) -> str:
    """Return a day in words: "go 12:00 to 18:00, else change or wait"."""
    words = [h.verdict for h in hours]
    found = [f"{_clock(a.at)}{'' if a is b else f' to {_clock(b.at)}'}"
             for a, b in runs(hours, [w == GO for w in words])]  # fmt: skip
    rest = list(dict.fromkeys(w for w in words if w != GO))
    if not found:
        return " or ".join(rest)
    return f"go {', '.join(found)}" + (f", else {' or '.join(rest)}" if rest else "")


def _row(hour: Hour, *, several: bool) -> Row:
    worst = hour.worst
    return Row(
        _clock(hour.at), hour.at.isoformat(timespec="minutes"), hour.verdict,
        f"{hour.room_c:.1f} °C, {100 * hour.rh:.0f} %", f"{hour.dew_point_c:.1f} °C",
        _number(worst.values, "chill_k", 1), _number(worst.values, "dew_margin_k", 1),
        _number(worst.values, "haze_index", 2), _time(worst, "recoat_s"),
        hour.slow.verdict if hour.slow is not None else "", hour.reason,
        worst.name if several else "", _ranges(worst),
        tuple(_sentence(c) for c in hour.change) if hour.verdict != GO else (),
        hour.slow.reason if hour.slow is not None else "",
    )  # fmt: skip


def _ranges(coat: CoatHour) -> tuple[tuple[str, str], ...]:
    told = []
    for key, words, unit, digits in (
        ("film_min_c", "Film down to", "°C", 1), ("chill_k", "Chill", "K", 1),
        ("dew_margin_k", "Dew margin", "K", 1), ("haze_index", "Haze index", "", 2),
    ):  # fmt: skip
        if coat.values[key] is not None:
            told.append((words, _banded(coat.values, key, unit, digits)))
    for key, words in (("touch_dry_s", "Touch-dry after"), ("recoat_s", "Next coat after")):
        value, low, high = (coat.values[f"{key}{side}"] for side in ("", "_low", "_high"))
        if value is None:
            told.append((words, coat.missing[key]))
        elif low is None or high is None:
            told.append((words, spoken(value)))
        else:
            told.append((words, f"{spoken(value)} ({spoken(low)} to {spoken(high)})"))
    return tuple(told)


def _banded(values: Mapping[str, float | None], key: str, unit: str, digits: int) -> str:
    value, low, high = (values[f"{key}{side}"] for side in ("", "_low", "_high"))
    text = f"{value:.{digits}f} {unit}".strip()
    if low is None or high is None or high <= low:
        return text
    return f"{text} ({low:.{digits}f} to {high:.{digits}f})"


def _number(values: Mapping[str, float | None], key: str, digits: int) -> str:
    value = values[key]
    return "not told" if value is None else f"{value:.{digits}f}"


def _time(coat: CoatHour, key: str) -> str:
    value = coat.values[key]
    return "not told" if value is None else spoken(value)


def _figures(hour: Hour, made: Made) -> tuple[tuple[str, Figure, int], ...]:
    """Return the figures of one hour with range, basis and working."""
    table = made.table
    coat, own, mark = hour.worst, table.rule.chill_k is not None, _mark(made.wanted.hand)
    source = ("room less your own measured chill" if own
              else f"the model of the drying coat, {table.calibrated}")  # fmt: skip
    model = f"the model of the drying coat, {table.calibrated}"

    def figure(key: str, unit: str, whose: str, mark: Mark) -> Figure | None:
        value, low, high = (coat.values[f"{key}{side}"] for side in ("", "_low", "_high"))
        if value is None:
            return None
        return Figure(value, low, high, unit, Basis.COMPUTED, mark, whose)

    film = figure("film_min_c", "C", source, Mark.OWN if own else mark)
    out: list[tuple[str, Figure, int]] = []
    if film is not None:
        room = given(hour.room_c, "C", "the table of air")
        dew = given(hour.dew_point_c, "C", "from temperature and humidity of the table of air")
        out.append(("Film down to", film, 3))
        for words, key, formula, others in (
            ("Chill below the room", "chill_k", CHILL_FORMULA, {"room_c": room}),
            ("Dew margin", "dew_margin_k", MARGIN_FORMULA, {"dew_point_c": dew}),
        ):
            one = computed(formula, "K", {**others, "film_min_c": film})
            low, high = coat.values[f"{key}_low"], coat.values[f"{key}_high"]
            if low is not None and high is not None:
                one = one.with_band(low, high)
            out.append((words, one, 2))
    for words, key, unit, share in (
        ("Haze index", "haze_index", "1", 1.0), ("Touch-dry after", "touch_dry_s", "min", 60.0),
        ("Next coat after", "recoat_s", "min", 60.0),
    ):  # fmt: skip
        found = figure(key, unit, model, mark)
        if found is not None:
            out.append((words, _divided(found, share), 2))
    return tuple(out)


def _mark(hand: Hand) -> Mark:
    """Return how well the model's figures are known: as well as the weakest of its inputs."""
    rows = table_of("drying")
    inputs = (*(one.figure() for one in constants_of(hand).values()), rows["nu_flat"].figure(),
              rows["board_factor"].figure())  # fmt: skip
    return weakest(Mark.REMEMBERED, *(one.mark for one in inputs))


def _divided(figure: Figure, by: float) -> Figure:
    low, high = (None if v is None else v / by for v in (figure.low, figure.high))
    return Figure(figure.number() / by, low, high, figure.unit, figure.basis, figure.mark,
                  figure.source)  # fmt: skip


def _rule(table: HourTable) -> str:
    rule = table.rule
    if not rule.given:
        return ""
    words = []
    if rule.chill_k is not None:
        words.append(f"film {_kelvins(rule.chill_k)} below the room")
    if rule.chill_slow_k is not None:
        words.append(f"{_kelvins(rule.chill_slow_k)} with slow alcohol")
    words.append(f"dew point at least {_kelvins(rule.least_k)} below the film")
    return f"Your own rule takes the model's place: {', '.join(words)}."


def _kelvins(difference_k: float) -> str:
    """Return a difference of temperature in both scales: "5 K (9 °F)"."""
    return f"{trimmed(difference_k, 2)} K ({trimmed(difference_k * 1.8, 2)} °F)"


def _slow_words(table: HourTable) -> str:
    if table.slow_share is not None:
        return f"{100 * table.slow_share:g} % of n-butanol by mass in its alcohol"
    return "your own slow mix" if table.rule.chill_slow_k is not None else ""


def _sentence(change: Change) -> str:
    return f"{change.words[:1].upper()}{change.words[1:]}."


def _window(first: Hour, last: Hour) -> str:
    if first is last:
        return f"on {_day(first.at)} at {_clock(first.at)}, that hour alone"
    if first.at.date() == last.at.date():
        return f"on {_day(first.at)} from {_clock(first.at)} to {_clock(last.at)}"
    return (f"from {_day(first.at)} {_clock(first.at)} to {_day(last.at)} "
            f"{_clock(last.at)}")  # fmt: skip


def _when(at: dt.datetime) -> str:
    return f"{_day(at)} {_clock(at)}"


def _day(at: dt.datetime) -> str:
    return f"{at:%a} {at.day} {at:%b}"


def _clock(at: dt.datetime) -> str:
    return clock_of(at)
