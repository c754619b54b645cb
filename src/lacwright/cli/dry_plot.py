"""The film of a wet coat against the dew point, over time, as SVG."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from lacwright.bench.charts.draw import WIDE, Scale, Sheet, ticks

if TYPE_CHECKING:
    from lacwright.drying import Drying

LEFT, RIGHT, TOP, HEIGHT, FOOT = 56.0, 150.0, 16.0, 300.0, 52.0
BACK_K = 0.2
"""The drawing ends when the film is that near to the room again."""
LEAST_MIN = 10.0
APART = 16.0
"""Least distance of two lines of words."""


def film_chart(made: Drying) -> str:
    """Return the film temperature over time, with room, dew point and touch-dry.

    Parameters
    ----------
    made : Drying
        A coat that was computed.
    """
    course, dew = made.course, made.dew_point_c.number()
    room = made.film_min_c.number() + made.chill_k.number()
    minutes = course.times_s / 60
    end = _end(minutes, course.film_c, room, made)
    seen = minutes <= end
    film = course.film_c[seen]
    low, high = min(float(film.min()), dew), max(float(film.max()), room)
    x = Scale(0.0, end, LEFT, WIDE - RIGHT)
    y = Scale(low - 1, high + 1, TOP + HEIGHT, TOP)
    coldest, at = made.film_min_c.number(), made.film_min_s.number() / 60
    told = (f"The film falls to {coldest:.1f} C after {at:.0f} minutes; the dew point is {dew:.1f} "
            f"C, the room {room:.1f} C. Verdict of the film: {made.verdict}.")  # fmt: skip
    sheet = Sheet(WIDE, TOP + HEIGHT + FOOT, "Film temperature of a wet coat over time", told)
    for mark in ticks(low - 1, high + 1):
        sheet.line([(LEFT, y(mark)), (WIDE - RIGHT, y(mark))], "axis")
        sheet.text(LEFT - 8, y(mark) + 5, f"{mark:g}", "n soft")
    for mark in ticks(0.0, end):
        sheet.text(x(mark), TOP + HEIGHT + 20, f"{mark:g}", "m soft")
    sheet.text(LEFT, TOP + HEIGHT + 42, "C over minutes since the coat was laid", "soft")
    for value, kind in ((dew, "limit"), (room, "rest")):
        sheet.line([(LEFT, y(value)), (WIDE - RIGHT, y(value))], kind)
    sheet.line([(x(float(m)), y(float(c))) for m, c in zip(minutes[seen], film, strict=True)])
    if made.touch_dry_s.value is not None and made.touch_dry_s.value / 60 <= end:
        dry = made.touch_dry_s.value / 60
        sheet.line([(x(dry), TOP), (x(dry), TOP + HEIGHT)], "second")
        sheet.text(x(dry) + 6, TOP + 14, "touch-dry", "soft")
    _name_lines(sheet, {f"room {room:.1f} C": y(room), f"film {film[-1]:.1f} C": y(film[-1]),
                        f"dew point {dew:.1f} C": y(dew)})  # fmt: skip
    return sheet.svg()


def _end(minutes: np.ndarray, film: np.ndarray, room: float, made: Drying) -> float:
    """Return when the film is as warm as the room again, twice touch-dry at least."""
    touch = made.touch_dry_s.value or made.film_min_s.number()
    off = np.flatnonzero(np.abs(film - room) > BACK_K)
    back = float(minutes[min(off[-1] + 1, len(minutes) - 1)]) if off.size else 0.0
    least = max(2 * touch / 60, LEAST_MIN)
    return float(min(max(back, least), max(6 * touch / 60, LEAST_MIN), minutes[-1]))


def _name_lines(sheet: Sheet, places: dict[str, float]) -> None:
    """Write each name beside its line, none over another."""
    last = -np.inf
    for words, place in sorted(places.items(), key=lambda item: item[1]):
        last = max(place + 5, last + APART)
        sheet.text(WIDE - RIGHT + 8, last, words)
