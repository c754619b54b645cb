"""The hours of a table of air: film minimum against dew point, the usable hours hatched below."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from lacwright.bench.charts.draw import (
    NARROW,
    WIDE,
    Scale,
    Sheet,
    legend,
    name_lines,
    ticks,
)
from lacwright.drying import Hour, HourTable
from lacwright.drying.moments import GAP, clock_of, usual_step_s

LEFT, TOP, HEIGHT = 44.0, 40.0, 260.0
RIGHT, RIGHT_NARROW = 116.0, 12.0
STRIP, FOOT, LEGEND = 22.0, 60.0, 44.0
HATCH = 7.0
"""Distance of the strokes of a hatching."""
LABEL = 46.0
"""Room that a word takes."""

Array = NDArray[np.float64]


def hours_chart(made: HourTable, width: float = WIDE) -> str:
    """Return film minimum and dew point over time; of several coats the film that decides.

    Parameters
    ----------
    made : HourTable
        With at least one hour.
    width : float
        Of the drawing; a narrow one has a legend in place of names beside the lines.
    """
    hours, narrow = made.hours, width <= NARROW
    at = np.array([h.at.timestamp() for h in hours])
    film = np.array([np.nan if (v := h.worst.values["film_min_c"]) is None else v for h in hours])
    dew, room = (np.array([getattr(h, k) for h in hours]) for k in ("dew_point_c", "room_c"))
    step = usual_step_s(np.diff(at).tolist())
    right = width - (RIGHT_NARROW if narrow else RIGHT)
    x = Scale(at[0] - step / 2, at[-1] + step / 2, LEFT, right)
    low = float(np.nanmin(np.concatenate([film, dew]))) - 1
    high = float(np.nanmax(np.concatenate([film, dew, room]))) + 1
    y = Scale(low, high, TOP + HEIGHT, TOP)
    sheet = Sheet(width, TOP + HEIGHT + STRIP + FOOT + (LEGEND if narrow else 0),
                  "Usable hours: film minimum and dew point", _told(made))  # fmt: skip
    for mark in ticks(low, high):
        sheet.line([(LEFT, y(mark)), (right, y(mark))], "axis")
        sheet.text(LEFT - 8, y(mark) + 5, f"{mark:g}", "n soft")
    sheet.text(0, TOP - 20, "°C: how cold the film gets, against the dew point", "soft")
    _days(sheet, x, hours)
    for values, kind in ((room, "rest"), (dew, "second"), (film, "line")):
        _broken(sheet, x, y, at, values, kind, step)
    _usable(sheet, x, made, step)
    if narrow:
        legend(
            sheet,
            LEFT,
            TOP + HEIGHT + STRIP + FOOT,
            {"film minimum": "line", "dew point": "second", "room": "rest", "hatched: go": ""},
        )
    else:
        sheet.text(right + 8, TOP + HEIGHT + STRIP, "hatched: go")
        name_lines(sheet, right + 8, {"room": y(room[-1]), "dew point": y(dew[-1]),
                                      "film minimum": y(_last(film, dew[-1]))})  # fmt: skip
    return sheet.svg()


def _last(values: Array, other: float) -> float:
    known = values[~np.isnan(values)]
    return float(known[-1]) if known.size else other


def _broken(
    sheet: Sheet, x: Scale, y: Scale, at: Array, values: Array, kind: str, step: float
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
    """Hatch the runs of goes at the foot."""
    top, foot = TOP + HEIGHT + 6, TOP + HEIGHT + 6 + STRIP
    sheet.line([(x.at_low, foot), (x.at_high, foot)], "axis")
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


def _days(sheet: Sheet, x: Scale, hours: Sequence[Hour]) -> None:
    """Draw midnights with their days, and hours of the day where there is room."""
    foot = TOP + HEIGHT + STRIP + 24
    first, last = hours[0].at, hours[-1].at
    span = x(last.timestamp()) - x(first.timestamp())
    days = max((last.timestamp() - first.timestamp()) / 86400, 1 / 24)
    every = next((n for n in (1, 2, 3, 6, 12) if span / days / 24 * n >= LABEL), 24)
    skip = max(1, math.ceil(LABEL * 1.9 / (span / days))) if span else 1
    labelled = False
    for count in range((last.date() - first.date()).days + 1):
        day = first.date() + dt.timedelta(days=count)
        for hour in range(0, 24, every):
            moment = dt.datetime(day.year, day.month, day.day, hour, tzinfo=first.tzinfo)
            if not first.timestamp() <= moment.timestamp() <= last.timestamp():
                continue
            place = x(moment.timestamp())
            if hour == 0:
                sheet.line([(place, TOP), (place, TOP + HEIGHT)], "axis")
            if every < 24:
                sheet.text(place, foot, f"{hour}", "m soft")
            if hour == 0 and count % skip == 0 and place + LABEL / 2 < sheet.width:
                sheet.text(place, foot + 20, f"{moment:%a} {day.day} {moment:%b}", "m soft")
                labelled = True
    if not labelled:
        sheet.text(LEFT, foot + 20, f"{first:%a} {first.day} {first:%b}", "soft")


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
