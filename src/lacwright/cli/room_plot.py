"""Vapour over time against its limits, as SVG."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from lacwright.bench.charts.draw import WIDE, Scale, Sheet, ticks

if TYPE_CHECKING:
    from collections.abc import Sequence

    from lacwright.room import Curve, Source

LEFT, RIGHT, TOP, HEIGHT, FOOT = 64.0, 176.0, 16.0, 300.0, 52.0
APART = 16.0


def vapour_chart(curve: Curve, sources: Sequence[Source]) -> str:
    """Return the vapour over time, as times the 8-hour limits taken together.

    Parameters
    ----------
    curve : Curve
        The central case of an estimate.
    sources : sequence of Source
        Each laying is a line.
    """
    near, room = curve.index["near"], curve.index["room"]
    end = float(curve.times_h[-1])
    # What a single instant of cleaning makes near the work would press all else to the ground.
    high = float(max(np.quantile(near, 0.97), room.max(), 1.0)) * 1.08
    x = Scale(0.0, end, LEFT, WIDE - RIGHT)
    y = Scale(0.0, high, TOP + HEIGHT, TOP)
    told = (f"In the room at most {room.max():.2g}, near the work {near.max():.2g} times the "
            "8-hour limits taken together; the central case of a model that is good to a factor "
            "of three. Above a wet surface vapour can ignite whatever is drawn here.")  # fmt: skip
    sheet = Sheet(WIDE, TOP + HEIGHT + FOOT, "Vapour over time against its limits", told)
    for mark in ticks(0.0, high):
        sheet.line([(LEFT, y(mark)), (WIDE - RIGHT, y(mark))], "axis")
        sheet.text(LEFT - 8, y(mark) + 5, f"{mark:g}", "n soft")
    for mark in ticks(0.0, end):
        sheet.text(x(mark), TOP + HEIGHT + 20, f"{mark:g}", "m soft")
    sheet.text(LEFT, TOP + HEIGHT + 42, "times the 8-hour limits over hours", "soft")
    for source in sources:
        at = x(source.start_h)
        sheet.line([(at, TOP + HEIGHT), (at, TOP + HEIGHT - 12)], "rest")
    sheet.line([(LEFT, y(1.0)), (WIDE - RIGHT, y(1.0))], "limit")
    for rows, kind in ((room, "line"), (near, "second")):
        sheet.line([(x(float(t)), y(min(float(v), high)))
                    for t, v in zip(curve.times_h, rows, strict=True)], kind)  # fmt: skip
    last = -np.inf
    ends = {"near the work (dashed)": y(min(float(near[-1]), high)), "limits": y(1.0),
            "room": y(float(room[-1]))}  # fmt: skip
    for words, place in sorted(ends.items(), key=lambda item: item[1]):
        last = max(place + 5, last + APART)
        sheet.text(WIDE - RIGHT + 8, last, words)
    return sheet.svg()
