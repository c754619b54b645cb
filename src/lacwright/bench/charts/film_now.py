"""The film on a piece now, part by part, beside what the plan wants at the end."""

from __future__ import annotations

from collections.abc import Sequence

from lacwright.bench.charts.draw import WIDE, Scale, Sheet, ticks
from lacwright.figures import Figure

LEFT, RIGHT, TOP, ROW = 120.0, 24.0, 12.0, 44.0

Row = tuple[str, Figure, Figure | None]
"""Part, film now, film planned at the end."""


def film_now_chart(rows: Sequence[Row], width: float = WIDE) -> str:
    """Return a bar for every part, its range as a thin line, the planned film as an empty box.

    Raises
    ------
    KeyError
        Where no film is known.
    """
    known = [r for r in rows if r[1].value is not None]
    if not known:
        raise KeyError("film")
    tops = [f.high or f.number() for _, now, plan in known for f in (now, plan) if f is not None]
    marks = ticks(0.0, max(*tops, 1.0) * 1.05, 5 if width > 500 else 3)
    height = TOP + ROW * len(known) + 52
    told = " ".join(
        f"{part or 'The piece'}: {now.number():.0f} micrometres"
        + (f", planned {plan.number():.0f}." if plan is not None else ".")
        for part, now, plan in known
    )
    sheet = Sheet(width, height, "Film on the piece now", told)
    x = Scale(0, max(marks[-1], *tops), LEFT, width - RIGHT)
    bottom = TOP + ROW * len(known)
    for mark in marks:
        sheet.line([(x(mark), TOP), (x(mark), bottom)], "axis")
        sheet.text(x(mark), bottom + 18, f"{mark:g}", "m soft")
    key = "µm; bar: now, with its range"
    if any(plan is not None for _, _, plan in known):
        key += "; empty: planned"
    sheet.text(width - RIGHT, bottom + 40, key, "n soft")
    for k, (part, now, plan) in enumerate(known):
        y = TOP + ROW * k
        name = part or "the piece"
        sheet.text(0, y + 23, name if len(name) <= 16 else name[:15] + "…")
        if plan is not None:
            sheet.box(x(0), y + 4, x(plan.number()) - x(0), 28, "rest")
        sheet.box(x(0), y + 9, max(x(now.number()) - x(0), 1), 18, "bar")
        if now.low is not None and now.high is not None and now.high > now.low:
            low, high = x(max(now.low, 0.0)), x(now.high)
            sheet.line([(low, y + 36), (low, y + 40), (high, y + 40), (high, y + 36)], "line")
    return sheet.svg()
