"""An hour table on the screen: when to lay it, hour by hour, what would help, what is odd."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from itertools import groupby
from typing import TYPE_CHECKING

from lacwright.cli.dry_common import AFTER_HAZE, duration
from lacwright.figures.spoken import counted, trimmed

if TYPE_CHECKING:
    import datetime as dt

    from lacwright.drying import Change, Hour, HourTable
    from lacwright.plan.judged import Wanted

WIDTH = 80
MOST_HOURS = 72
"""A longer table is told by runs of one verdict."""
TOLD_RUNS = 3
"""So many runs of hours that are no go are told with all their changes."""


def page(
    made: HourTable, wanted: Wanted, reports: Sequence[str], assumed: Sequence[str],
    plot_file: str | None,
) -> list[str]:  # fmt: skip
    """Return the answer as lines; the first is what to do."""
    from lacwright.drying import NO_STOP, UNCALIBRATED, WHITENS

    lines = [_first(made)]
    lines += _windows(made)
    lines += _table(made.hours) if len(made.hours) <= MOST_HOURS else _by_runs(made.hours)
    lines += _changes(made)
    judged = [h.worst for h in made.hours if h.worst.film_verdict]
    if judged:
        recoat = next((c for c in judged if c.values["recoat_s"] is not None
                       and c.film_verdict == NO_STOP), None)  # fmt: skip
        if recoat is not None:
            lines.append(f"Next coat: after {_span(recoat.values)} in the first hour that is "
                         f"fit ({recoat.name})")  # fmt: skip
        if made.calibrated == UNCALIBRATED:
            lines.append("Uncalibrated: a timed coat narrows the ranges, see `lacwright "
                         "calibrate-drying`")  # fmt: skip
        else:
            lines.append(f"{made.calibrated[0].upper()}{made.calibrated[1:]}")
    if made.rule.given:
        lines.append(_own_rule(made))
        if against := [h for h in made.hours if h.film_go
                       and h.worst.film_verdict not in ("", NO_STOP)]:  # fmt: skip
            lines.append(f"Against the model: of {counted(len(against), 'hour')} that your rule "
                         f"lets pass it says otherwise, first at {_clock(against[0].at)} on "
                         f"{_day(against[0].at)}: {against[0].worst.film_verdict}")  # fmt: skip
    if wanted.of_record:
        lines.append(f"From the record: your own {', '.join(wanted.of_record)}")
    lines += [f"Not judged: {name}: {why}" for name, why in wanted.silent]
    lines += [f"In the table: {told}" for told in reports]
    lines += [f"Assumed: {told}" for told in assumed]
    if any(c.film_verdict == WHITENS for c in judged):
        lines.append(AFTER_HAZE)
    if plot_file is not None:
        lines.append(f"Drawn: {plot_file}")
    return lines


def _first(made: HourTable) -> str:
    from lacwright.drying import FILM_ONLY
    from lacwright.drying.hour_table import runs

    if windows := made.windows():
        by = "go by your own rule" if made.rule.judges() else "go"
        return f"Lay it {_when(*windows[0])}: {by} ({FILM_ONLY})."
    if made.stops:
        film = runs(made.hours, [h.film_go for h in made.hours])
        if film:
            return f"The film alone would do {_when(*film[0])}; a stop stands."
        return "Nor is any hour of this table fit for the film as it is."
    first = next((h for h in made.hours if h.change), None)
    if first is None:
        return "No hour of this table is a go, and no single change makes it one."
    return (f"No hour of this table is a go as it is. At {_clock(first.at)} on {_day(first.at)}: "
            f"{first.change[0].words}.")  # fmt: skip


def _windows(made: HourTable) -> list[str]:
    rest = made.windows()[1:]
    if not rest:
        return []
    told = "; ".join(_when(*w) for w in rest[:4])
    more = f"; and {len(rest) - 4} more" if len(rest) > 4 else ""
    return textwrap.wrap(f"Also {told}{more}.", WIDTH)


def _table(hours: Sequence[Hour]) -> list[str]:
    slow = any(h.slow is not None for h in hours)
    head = " hour  room C  rh %  dew C  film C  margin K  haze  verdict"
    lines = []
    for day, each in groupby(hours, key=lambda h: h.at.date()):
        lines += ["", _day(next(h.at for h in hours if h.at.date() == day))]
        lines.append(head + (" " * 15 + "slow" if slow else ""))
        for hour in each:
            lines.append(_row(hour))
    return [*lines, ""]


def _row(hour: Hour) -> str:
    from lacwright.drying.moments import which_of_two

    values = hour.worst.values
    word = hour.verdict
    if which := which_of_two(hour.at):
        word = f"{which}, {word}"
    cheapest = next((c for c in hour.change if c.kind != "another_hour"), None)
    if cheapest is not None:
        word = f"{word}: {_short(cheapest)}"
    row = (f"{hour.at:%H:%M}  {hour.room_c:6.1f}  {100 * hour.rh:4.0f}  {hour.dew_point_c:5.1f}  "
           f"{_cell(values['film_min_c'], 6, 1)}  {_cell(values['dew_margin_k'], 8, 1)}  "
           f"{_cell(values['haze_index'], 4, 2)}  {word}")  # fmt: skip
    return row if hour.slow is None else f"{row:<73} {hour.slow.verdict}"


def _short(change: Change) -> str:
    from lacwright.drying.changes import YOUR_MIX, enough

    names = {"warm": "warm", "dry": "dry", "drier_alcohol": "drier alcohol",
             "slow_alcohol": "slow", "thinner_coat": "thinner"}  # fmt: skip
    if change.kind == "drier_alcohol":
        return change.alcohol
    if change.alcohol == YOUR_MIX:
        return YOUR_MIX
    return f"{names[change.kind]} {enough(change.amount, change.unit)} {change.unit}"


def _cell(value: float | None, width: int, digits: int) -> str:
    return f"{'-':>{width}}" if value is None else f"{value:{width}.{digits}f}"


def _by_runs(hours: Sequence[Hour]) -> list[str]:
    """Return a long table as runs of hours of one verdict."""
    lines = ["", f"{counted(len(hours), 'hour')}; --from and --until show each of a few days."]
    for _, each in groupby(hours, key=lambda h: (h.at.date(), h.verdict)):
        run = list(each)
        films = [v for h in run if (v := h.worst.values["dew_margin_k"]) is not None]
        least = f", dew margin from {min(films):.1f} K" if films else ""
        ends = _clock(run[0].at) + (f" to {_clock(run[-1].at)}" if len(run) > 1 else "")
        lines.append(f"{_day(run[0].at)}  {ends:<14} {run[0].verdict:<7}"
                     f"{run[0].room_c:.1f} C, {100 * run[0].rh:.0f} %{least}")  # fmt: skip
    return [*lines, ""]


def _changes(made: HourTable) -> list[str]:
    lines: list[str] = []
    told = 0
    before = None
    for hour in made.hours:
        if not hour.film_go and before != hour.verdict and told < TOLD_RUNS and hour.change:
            told += 1
            then = ". One of these makes it a go:" if hour.verdict == "change" else ":"
            lines += textwrap.wrap(f"{_day(hour.at)} {_clock(hour.at)}, {hour.verdict}: "
                                   f"{hour.reason}{then}", WIDTH)  # fmt: skip
            for change in hour.change:
                lines += textwrap.wrap(change.words, WIDTH, initial_indent="  - ",
                                       subsequent_indent="    ")  # fmt: skip
        before = hour.verdict
    return lines


def _own_rule(made: HourTable) -> str:
    rule, words = made.rule, []
    if rule.chill_k is not None:
        words.append(f"film {trimmed(rule.chill_k, 2)} K below the room")
    if rule.chill_slow_k is not None:
        words.append(f"{trimmed(rule.chill_slow_k, 2)} K with slow alcohol")
    words.append(f"dew point at least {trimmed(rule.least_k, 2)} K below the film")
    return f"Your own rule takes the model's place: {', '.join(words)}"


def _span(values: object) -> str:
    low, mid, high = (values[f"recoat_s{side}"] for side in ("_low", "", "_high"))  # type: ignore[index]
    if low is None or high is None:
        return duration(mid)
    return f"{duration(mid)}, {duration(low)} to {duration(high)},"


def _when(first: Hour, last: Hour) -> str:
    if first is last:
        return f"on {_day(first.at)} at {_clock(first.at)}, that hour alone"
    if first.at.date() == last.at.date():
        return f"on {_day(first.at)} from {_clock(first.at)} to {_clock(last.at)}"
    return (f"from {_day(first.at)} {_clock(first.at)} to {_day(last.at)} "
            f"{_clock(last.at)}")  # fmt: skip


def _day(at: dt.datetime) -> str:
    return f"{at:%a} {at.day} {at:%b}"


def _clock(at: dt.datetime) -> str:
    from lacwright.drying.moments import clock_of

    return clock_of(at)
