"""Vapour over time against its limits."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from lacwright.bench.charts.draw import (
    NARROW,
    WIDE,
    Scale,
    Sheet,
    legend,
    name_lines,
    ticks,
)
from lacwright.room import NEAR, ROOM, Curve, Source

LEFT, TOP, HEIGHT, FOOT, LEGEND = 44.0, 40.0, 260.0, 48.0, 40.0
RIGHT, RIGHT_NARROW = 130.0, 12.0
DAY_H = 24.0


def vapour_chart(curve: Curve, sources: Sequence[Source], width: float = WIDE) -> str:
    """Return the vapour over time, as times the 8-hour limits taken together.

    Parameters
    ----------
    curve : Curve
        The central case of an estimate; of several days the worst one is drawn.
    sources : sequence of Source
        Each laying is a short line.
    width : float
        Of the drawing; a narrow one has a legend in place of names beside the lines.
    """
    near, room = curve.index[NEAR], curve.index[ROOM]
    begin, end = _span(curve)
    seen = (curve.times_h >= begin) & (curve.times_h <= end)
    hours, near, room = curve.times_h[seen], near[seen], room[seen]
    # What a single instant of cleaning makes near the work would press all else to the ground.
    high = float(max(np.quantile(near, 0.97), room.max(), 1.0)) * 1.08
    narrow = width <= NARROW
    right = width - (RIGHT_NARROW if narrow else RIGHT)
    x, y = Scale(begin, end, LEFT, right), Scale(0.0, high, TOP + HEIGHT, TOP)
    several = float(curve.times_h[-1]) > end or begin > 0
    told = (f"In the room at most {room.max():.2g}, near the work {near.max():.2g} times the "
            f"8-hour limits taken together{', on the worst day' if several else ''}; the central "
            "case of a model that is good to a factor of three. Above a wet surface vapour can "
            "ignite whatever is drawn here.")  # fmt: skip
    sheet = Sheet(width, TOP + HEIGHT + FOOT + (LEGEND if narrow else 0),
                  "Vapour over time against its limits", told)  # fmt: skip
    words = "times the 8-hour limits, over hours"
    sheet.text(0, TOP - 20, f"{words} of the worst day" if several else words, "soft")
    for mark in ticks(0.0, high):
        sheet.line([(LEFT, y(mark)), (right, y(mark))], "axis")
        sheet.text(LEFT - 8, y(mark) + 5, f"{mark:g}", "n soft")
    for mark in _hours(begin, end) if several else ticks(begin, end, 4 if narrow else 8):
        sheet.text(x(mark), TOP + HEIGHT + 20, f"{mark - begin:g}", "m soft")
    for source in sources:
        if begin <= source.start_h <= end:
            at = x(source.start_h)
            sheet.line([(at, TOP + HEIGHT), (at, TOP + HEIGHT - 12)], "rest")
    sheet.line([(LEFT, y(1.0)), (right, y(1.0))], "limit")
    for rows, kind in ((room, "line"), (near, "second")):
        sheet.line([(x(float(t)), y(min(float(v), high)))
                    for t, v in zip(hours, rows, strict=True)], kind)  # fmt: skip
    if narrow:
        legend(sheet, LEFT, TOP + HEIGHT + FOOT,
               {"room": "line", "near the work": "second", "limits": "limit"})  # fmt: skip
    else:
        name_lines(sheet, right + 8, {"near the work": y(min(float(near[-1]), high)),
                                      "limits": y(1.0), "room": y(float(room[-1]))})  # fmt: skip
    return sheet.svg()


def _hours(begin: float, end: float) -> list[float]:
    """Return every fourth hour of a day."""
    return [begin + h for h in range(0, int(end - begin) + 1, 4)]


def _span(curve: Curve) -> tuple[float, float]:
    """Return from when to when it is drawn: the whole, or of several days the worst."""
    end = float(curve.times_h[-1])
    if end <= 2 * DAY_H:
        return 0.0, end
    worst = float(curve.times_h[int(np.argmax(curve.index[ROOM]))])
    begin = DAY_H * (worst // DAY_H)
    return begin, min(begin + DAY_H, end)
