"""The hours of a table as SVG: film minimum against dew point, usable hours hatched at the foot."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

import numpy as np

from lacwright.bench.charts.draw import WIDE, Scale, Sheet, ticks
from lacwright.drying.moments import GAP, clock_of, usual_step_s

if TYPE_CHECKING:
    from collections.abc import Sequence

    from lacwright.drying import Hour, HourTable

LEFT, RIGHT, TOP, HEIGHT = 56.0, 116.0, 40.0, 260.0
STRIP, FOOT = 22.0, 60.0
HATCH = 7.0
"""Distance of the strokes of a hatching."""
APART = 16.0
LABEL = 46.0
"""Room that a word takes."""


def hours_chart(made: HourTable) -> str:
    """Return film minimum and dew point over time; the film that decides where there are several.

    Parameters
    ----------
    made : HourTable
        With at least one hour.
    """
    hours = made.hours
    at = np.array([h.at.timestamp() for h in hours])
    film = np.array([np.nan if (v := h.worst.values["film_min_c"]) is None else v for h in hours])
    dew = np.array([h.dew_point_c for h in hours])
    room = np.array([h.room_c for h in hours])
    step = usual_step_s(np.diff(at).tolist())
    x = Scale(at[0] - step / 2, at[-1] + step / 2, LEFT, WIDE - RIGHT)
    low = float(np.nanmin(np.concatenate([film, dew]))) - 1
    high = float(np.nanmax(np.concatenate([film, dew, room]))) + 1
    y = Scale(low, high, TOP + HEIGHT, TOP)
    sheet = Sheet(WIDE, TOP + HEIGHT + STRIP + FOOT, "Usable hours: film minimum and dew point",
                  _told(made))  # fmt: skip
    for mark in ticks(low, high):
        sheet.line([(LEFT, y(mark)), (WIDE - RIGHT, y(mark))], "axis")
        sheet.text(LEFT - 8, y(mark) + 5, f"{mark:g}", "n soft")
    sheet.text(LEFT, TOP - 20, "C: how cold the film gets, against the dew point", "soft")
    _days(sheet, x, hours)
    for values, kind in ((room, "rest"), (dew, "second"), (film, "line")):
        _broken(sheet, x, y, at, values, kind, step)
    _usable(sheet, x, made, step)
    _names(sheet, {"room": y(room[-1]), "dew point": y(dew[-1]),
                   "film minimum": y(_last(film))})  # fmt: skip
    return sheet.svg()


def _last(values: np.ndarray) -> float:
    known = values[~np.isnan(values)]
    return float(known[-1]) if known.size else 0.0


def _broken(
    sheet: Sheet, x: Scale, y: Scale, at: np.ndarray, values: np.ndarray, kind: str, step: float
) -> None:  # fmt: skip
    """Draw a line that stops at gaps of the table."""
    run: list[tuple[float, float]] = []
    for k, (second, value) in enumerate(zip(at, values, strict=True)):
        if run and (np.isnan(value) or second - at[k - 1] > GAP * step):
            sheet.line(run, kind)
            run = []
        if not np.isnan(value):
            run.append((x(float(second)), y(float(value))))
    if run:
        sheet.line(run, kind)


def _usable(sheet: Sheet, x: Scale, made: HourTable, step: float) -> None:
    """Hatch the runs of goes at the foot, with the word where there is room for it."""
    top, foot = TOP + HEIGHT + 6, TOP + HEIGHT + 6 + STRIP
    sheet.line([(LEFT, foot), (WIDE - RIGHT, foot)], "axis")
    for first, last in made.windows():
        left = x(first.at.timestamp() - step / 2)
        right = x(last.at.timestamp() + step / 2)
        sheet.box(left, top, right - left, STRIP, "shape")
        place = left - STRIP
        while place < right:
            begin, end = max(place, left), min(place + STRIP, right)
            if end > begin:
                sheet.line([(begin, foot - (begin - place)), (end, foot - (end - place))], "hidden")
            place += HATCH
    sheet.text(WIDE - RIGHT + 8, foot - 6, "hatched: go")


def _days(sheet: Sheet, x: Scale, hours: Sequence[Hour]) -> None:
    """Draw midnights with their days, and hours of the day where there is room."""
    foot = TOP + HEIGHT + STRIP + 24
    span = x(hours[-1].at.timestamp()) - x(hours[0].at.timestamp())
    days = max((hours[-1].at.timestamp() - hours[0].at.timestamp()) / 86400, 1 / 24)
    every = next((n for n in (1, 2, 3, 6, 12, 24) if span / days / 24 * n >= LABEL), 24)
    skip = max(1, round(LABEL * 1.4 / (span / days))) if span else 1
    zone = hours[0].at.tzinfo
    day = hours[0].at.date()
    count = 0
    labelled = False
    while day <= hours[-1].at.date():
        for hour in range(0, 24, every):
            moment = dt.datetime(day.year, day.month, day.day, hour, tzinfo=zone)
            if not hours[0].at.timestamp() <= moment.timestamp() <= hours[-1].at.timestamp():
                continue
            place = x(moment.timestamp())
            if hour == 0:
                sheet.line([(place, TOP), (place, TOP + HEIGHT)], "axis")
            if every < 24:
                sheet.text(place, foot, f"{hour}", "m soft")
            if hour == 0 and count % skip == 0:
                sheet.text(place, foot + 20, f"{moment:%a} {day.day} {moment:%b}", "m soft")
                labelled = True
        count += 1
        day += dt.timedelta(days=1)
    if not labelled:
        first = hours[0].at
        sheet.text(LEFT, foot + 20, f"{first:%a} {first.day} {first:%b}", "soft")


def _names(sheet: Sheet, places: dict[str, float]) -> None:
    """Write each name beside the end of its line, none over another."""
    last = -np.inf
    for words, place in sorted(places.items(), key=lambda item: item[1]):
        last = max(place + 5, last + APART)
        sheet.text(WIDE - RIGHT + 8, last, words)


def _told(made: HourTable) -> str:
    margins = [v for h in made.hours if (v := h.worst.values["dew_margin_k"]) is not None]
    ends = f"From {made.hours[0].at:%Y-%m-%d %H:%M} to {made.hours[-1].at:%Y-%m-%d %H:%M}. "
    if margins:
        ends += f"The film is {min(margins):.1f} to {max(margins):.1f} K above the dew point. "
    windows = made.windows()
    if not windows:
        return ends + "No hour is a go."
    told = [f"{a.at:%a} {clock_of(a.at)} to {b.at:%a} {clock_of(b.at)}" for a, b in windows]
    return f"{ends}Go: {'; '.join(told)}."
