"""The days of a plan: what is done when, and where it rests."""

from __future__ import annotations

import datetime as dt

from lacwright.bench.charts.draw import WIDE, Scale, Sheet
from lacwright.plan import Plan

LEFT, RIGHT, TOP, ROW = 110.0, 16.0, 46.0, 34.0
DAY = 60.0
LABEL = 52.0
"""Room that a day takes: "24 May"."""


def calendar_chart(plan: Plan, width: float = WIDE) -> str:
    """Return a row for every part and mix: work as a mark, what it waits for as an empty box.

    Raises
    ------
    KeyError
        For a plan without days.
    """
    if plan.calendar is None or not plan.calendar.entries:
        raise KeyError("calendar")
    entries = plan.calendar.entries
    first, last = plan.calendar.start, plan.calendar.finish
    days = (last - first).days + 1
    names = list(dict.fromkeys(e.part or "piece" for e in entries))
    height = TOP + ROW * len(names) + 16
    told = (f"From {_day(first)} to {_day(last)}, {days} days. " + " ".join(
        f"{name}: {sum(1 for e in entries if (e.part or 'piece') == name)} steps, the last on "
        f"{_day(max(e.date for e in entries if (e.part or 'piece') == name))}." for name in names
    ))  # fmt: skip
    sheet = Sheet(width, height, "Days of the plan", told)
    x = Scale(0, days, LEFT, width - RIGHT)
    every = next(n for n in (1, 2, 3, 7, 14, 28, 10_000) if days / n * DAY <= width - LEFT)
    for n in range(0, days, every):
        day = first + dt.timedelta(days=n)
        sheet.line([(x(n), TOP - 8), (x(n), height - 12)], "axis")
        if x(n) + LABEL < width:
            sheet.text(x(n) + 3, TOP - 26, f"{day:%a}", "soft")
            sheet.text(x(n) + 3, TOP - 11, f"{day.day} {day:%b}", "soft")
    for row, name in enumerate(names):
        y = TOP + ROW * row
        sheet.text(0, y + 20, name if len(name) <= 14 else name[:13] + "…")
        for e in entries:
            if (e.part or "piece") != name:
                continue
            begin = (e.date - first).days + e.hour / 24
            end = (e.until - first).days + e.until_hour / 24
            if end - begin > 0.2:
                sheet.box(x(begin), y + 9, x(end) - x(begin), 12, "rest")
            if e.counts != "rest":
                sheet.box(x(begin) - 1, y + 5, 5, 20, "bar")
    return sheet.svg()


def _day(date: dt.date) -> str:
    return f"{date:%a} {date.day} {date:%b %Y}"
