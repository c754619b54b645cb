"""The film of a wet coat against the dew point: how cold it gets, and where it is now."""

from __future__ import annotations

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
from lacwright.drying import Drying

LEFT, TOP, HEIGHT, FOOT, LEGEND = 44.0, 40.0, 240.0, 48.0, 40.0
RIGHT, RIGHT_NARROW = 116.0, 12.0
BACK_K = 0.2
"""The drawing ends when the film is that near to the room again."""
LEAST_MIN = 10.0

Array = NDArray[np.float64]


def wet_chart(made: Drying, age_s: float | None = None, width: float = WIDE) -> str:
    """Return the film temperature over time, with room, dew point, touch-dry and now.

    Parameters
    ----------
    made : Drying
        A coat that was computed.
    age_s : float, optional
        How long ago it was laid [s]; without it there is no now.
    width : float
        Of the drawing; a narrow one has a legend in place of names beside the lines.
    """
    course, dew, narrow = made.course, made.dew_point_c.number(), width <= NARROW
    room = made.film_min_c.number() + made.chill_k.number()
    minutes, now = course.times_s / 60, None if age_s is None else age_s / 60
    end = _end(minutes, course.film_c, room, made)
    seen = minutes <= end
    film = course.film_c[seen]
    low, high = min(float(film.min()), dew) - 1, max(float(film.max()), room) + 1
    right = width - (RIGHT_NARROW if narrow else RIGHT)
    x, y = Scale(0.0, end, LEFT, right), Scale(low, high, TOP + HEIGHT, TOP)
    coldest, at = made.film_min_c.number(), made.film_min_s.number() / 60
    laid = "" if now is None else f"It was laid {now:.0f} minutes ago. "
    told = (f"The film falls to {coldest:.1f} C after {at:.0f} minutes; the dew point is {dew:.1f} "
            f"C, the room {room:.1f} C. {laid}Verdict of the film: {made.verdict}.")  # fmt: skip
    sheet = Sheet(width, TOP + HEIGHT + FOOT + (LEGEND if narrow else 0),
                  "Film temperature of a wet coat over time", told)  # fmt: skip
    sheet.text(0, TOP - 20, "°C over minutes since it was laid", "soft")
    for mark in ticks(low, high):
        sheet.line([(LEFT, y(mark)), (right, y(mark))], "axis")
        sheet.text(LEFT - 8, y(mark) + 5, f"{mark:g}", "n soft")
    for mark in ticks(0.0, end, 4 if narrow else 6):
        sheet.text(x(mark), TOP + HEIGHT + 20, f"{mark:g}", "m soft")
    sheet.line([(LEFT, y(room)), (right, y(room))], "rest")
    sheet.line([(LEFT, y(dew)), (right, y(dew))], "second")
    sheet.line([(x(float(m)), y(float(c))) for m, c in zip(minutes[seen], film, strict=True)])
    if made.touch_dry_s.value is not None and made.touch_dry_s.value / 60 <= end:
        _upright(sheet, x(made.touch_dry_s.value / 60), "touch-dry", TOP + 14, right)
    if now is not None and now <= end:
        _upright(sheet, x(now), "now", TOP + 32, right)
        here = y(float(np.interp(now, minutes[seen], film)))
        sheet.box(x(now) - 5, here - 5, 10, 10, "bar")
    if narrow:
        legend(sheet, LEFT, TOP + HEIGHT + FOOT,
               {"film": "line", "dew point": "second", "room": "rest"})  # fmt: skip
    else:
        name_lines(sheet, right + 8, {f"room {room:.1f}": y(room), "film": y(float(film[-1])),
                                      f"dew point {dew:.1f}": y(dew)})  # fmt: skip
    return sheet.svg()


def _end(minutes: Array, film: Array, room: float, made: Drying) -> float:
    """Return the minute with which the drawing ends: when the film is as warm as the room again."""
    after = minutes > made.film_min_s.number() / 60
    back = minutes[after & (np.abs(film - room) < BACK_K)]
    end = float(back[0]) if back.size else float(minutes[-1])
    if made.touch_dry_s.value is not None:
        end = max(end, 1.2 * made.touch_dry_s.value / 60)
    return max(min(end, float(minutes[-1])), LEAST_MIN)


def _upright(sheet: Sheet, place: float, words: str, down: float, right: float) -> None:
    sheet.line([(place, TOP), (place, TOP + HEIGHT)], "limit")
    over = place + 70 > right
    sheet.text(place - 6 if over else place + 6, down, words, "n" if over else "")
