"""How the film grows and shrinks over the course of a plan."""

from __future__ import annotations

import math

from lacwright.bench.charts.draw import WIDE, Scale, Sheet, ticks
from lacwright.plan import Plan

LABEL, HEIGHT = 84.0, 360.0
LEFT, RIGHT, TOP, BOTTOM = 44.0, 16.0, 24.0, 44.0


def film_chart(plan: Plan, part: str, width: float = WIDE) -> str:
    """Return the film of a part after every coat and sanding: flats with their range, edges.

    Raises
    ------
    KeyError
        For a part on which nothing is laid.
    """
    assert plan.film is not None
    steps = [s for s in plan.film.run.steps if s.part == part]
    if not steps:
        raise KeyError(part)
    flats = [_three(s.flat_um) for s in steps]
    edges = [_three(s.edge_um)[0] for s in steps]
    top = max(max(high for _, _, high in flats), 1.0)
    marks = ticks(0.0, top * 1.05)
    x = Scale(0, len(steps), LEFT, width - RIGHT)
    y = Scale(0, max(marks[-1], top * 1.05), HEIGHT - BOTTOM, TOP)
    last, low, high = flats[-1]
    told = (
        f"Dry film on {part} after each of {len(steps)} steps. At the end {last:.0f} "
        f"micrometres on flats ({low:.0f} to {high:.0f}), {edges[-1]:.0f} on edges."
    )
    sheet = Sheet(width, HEIGHT, f"Film on {part}", told)
    for mark in marks:
        sheet.line([(LEFT, y(mark)), (width - RIGHT, y(mark))], "axis")
        sheet.text(LEFT - 8, y(mark) + 5, f"{mark:g}", "n soft")
    sheet.text(LEFT - 8, 15, "µm", "n soft")
    up = [(x(0), y(0)), *[(x(k), y(h)) for k, (_, _, h) in enumerate(flats, 1)]]
    down = [(x(k), y(low)) for k, (_, low, _) in reversed(list(enumerate(flats, 1)))]
    sheet.area([*up, *down])
    sheet.line([(x(0), y(0)), *[(x(k), y(v)) for k, (v, _, _) in enumerate(flats, 1)]])
    sheet.line([(x(0), y(0)), *[(x(k), y(v)) for k, v in enumerate(edges, 1)]], "second")
    every = math.ceil(len(steps) * LABEL / (width - LEFT - RIGHT))
    for k, step in enumerate(steps, 1):
        if (len(steps) - k) % every == 0:
            sheet.text(x(k), HEIGHT - BOTTOM + 18, step.what, "n soft")
    sheet.text((LEFT + width - RIGHT) / 2, HEIGHT - 6,
               "line: flats with range; dashed: edges", "m soft")  # fmt: skip
    return sheet.svg()


def _three(um: object) -> tuple[float, float, float]:
    import numpy as np

    rows = np.atleast_1d(np.asarray(um, dtype=float))
    if rows.size == 1:
        return float(rows[0]), float(rows[0]), float(rows[0])
    low, high = np.percentile(rows[1:], (5, 95))
    return float(rows[0]), float(low), float(high)
