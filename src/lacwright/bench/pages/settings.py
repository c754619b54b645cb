"""Settings, and the own figures: the usual one, what the log says, what holds."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass

from django.template.defaultfilters import capfirst

from lacwright.bench.pages.measures import When, when
from lacwright.figures import Figure
from lacwright.files.own import example
from lacwright.plan.own import default_figure
from lacwright.shop import clock
from lacwright.shop.queries.own_figures import IN_PLANS, OwnLine, learns, own_figures
from lacwright.shop.queries.own_said import own_said
from lacwright.shop.queries.own_words import all_words, keys_by_name
from lacwright.shop.queries.preferences import currency, own_given
from lacwright.shop.queries.remembered import remembered

LOG, SET, ALL = "log", "set", "all"
WHICH = (("", "what is known"), (LOG, "from your log"), (SET, "set by you"),
         (ALL, "all that can be set"))  # fmt: skip


@dataclass(frozen=True)
class GivenLine:
    """A figure that was set."""

    name: str
    words: str
    figure: Figure
    said: str


@dataclass(frozen=True)
class SettingsPage:
    """What is set."""

    zone: str
    now: str
    currency: str
    given: tuple[GivenLine, ...]


def settings_page(zone: dt.tzinfo) -> SettingsPage:
    """Return what is set."""
    given, said = own_given(), own_said()
    words = all_words()
    return SettingsPage(
        str(zone), f"{clock.from_us(clock.now_us(), zone):%H:%M}", currency(),
        tuple(GivenLine(n, words.get(n, n), f, said.get(n, "")) for n, f in sorted(given.items())),
    )  # fmt: skip


@dataclass(frozen=True)
class FigureLine:
    """An own figure in the list."""

    name: str
    words: str
    figure: Figure
    n: int
    given: str | None
    odd: int


def figure_lines(*, text: str, which: str) -> list[FigureLine]:
    """Return the own figures: what is known of this shop, then, if asked for, all others.

    Parameters
    ----------
    text : str
        All words of it must occur in name or words.
    which : str
        "" what is known, "log" what the log says, "set" what was set, "all".
    """
    lines = remembered("own figures", own_figures)
    words, said = all_words(), own_said()
    rows = [
        FigureLine(name, _words_of(line, words), line.figure, line.n,
                   said.get(name), _odd(line))
        for name, line in lines.items() if line.given is not None or line.left_out or line.seen
    ]  # fmt: skip
    if which == LOG:
        rows = [row for row in rows if row.n]
    elif which == SET:
        rows = [row for row in rows if row.given is not None]
    elif which == ALL:
        there = {row.name for row in rows}
        rows += [FigureLine(name, told, _usual(name), 0, None, 0)
                 for name, told in words.items() if name not in there]  # fmt: skip
    asked = text.lower().split()
    return [row for row in rows
            if all(word in f"{row.name} {row.words}".lower() for word in asked)]  # fmt: skip


@dataclass(frozen=True)
class SeenLine:
    """What one coat tells."""

    movement: int
    at: When
    value: float | None
    why: str


@dataclass(frozen=True)
class FigurePage:
    """One own figure."""

    name: str
    words: str
    figure: Figure
    prior: Figure
    given: Figure | None
    said: str
    learned: Figure | None
    n: int
    last: When | None
    learns: bool
    in_plans: bool
    seen: tuple[SeenLine, ...]
    left_out: tuple[SeenLine, ...]
    reasons: tuple[tuple[str, int], ...]
    example: str
    settable: bool


SHOWN = 60
"""Coats that a page shows of each kind, the last ones."""


def figure_page(name: str, zone: dt.tzinfo) -> FigurePage:
    """Return everything about an own figure.

    Raises
    ------
    Refusal
        If there is none of that name.
    """
    line = remembered(("own figure", name), lambda: own_figures(only=[name]))[name]
    key = keys_by_name().get(name)

    def rows(told: tuple[object, ...]) -> tuple[SeenLine, ...]:
        return tuple(
            SeenLine(t.movement, when(t.at_us, zone), t.value, t.why)  # type: ignore[attr-defined]
            for t in reversed(told[-SHOWN:])
        )

    return FigurePage(
        name, _words_of(line, all_words()), line.figure, line.prior, line.given,
        own_said().get(name, ""), _without_given(line), line.n,
        None if line.last_us is None else when(line.last_us, zone),
        learns(name), name.partition(".")[0] in IN_PLANS, rows(line.seen), rows(line.left_out),
        tuple(sorted(line.reasons.items(), key=lambda r: -r[1])),
        "" if key is None else example(key).strip("[").partition(",")[0].strip('"'),
        key is not None,
    )  # fmt: skip


def typed(text: str) -> str | float | bool:
    """Return what was typed as a hand file would hold it: numbers and yes or no as such."""
    plain = text.strip().lower()
    if plain in ("true", "yes", "false", "no"):
        return plain in ("true", "yes")
    try:
        return float(plain)
    except ValueError:
        return text.strip()


def _without_given(line: OwnLine) -> Figure | None:
    if not line.seen:
        return None
    return OwnLine(line.name, line.unit, line.words, line.prior, None, line.learned, line.seen,
                   line.left_out).figure  # fmt: skip


def _usual(name: str) -> Figure:
    try:
        return default_figure(name)
    except KeyError:
        from lacwright.figures import unknown

        return unknown("1", "asked for, never assumed")


def _odd(line: OwnLine) -> int:
    return sum(1 for told in line.left_out if told.value is not None)


def _words_of(line: OwnLine, words: Mapping[str, str]) -> str:
    return capfirst(_told_of(line, words))


def _told_of(line: OwnLine, words: Mapping[str, str]) -> str:
    of = line.name.partition(".")[2].replace("-", " ")
    if learns(line.name) and line.words:
        return f"{line.words} ({of})" if "." in line.name and of != "evaporation" else line.words
    return words.get(line.name) or line.words or line.name
