"""The plan as a page to pin up: the action first, amounts to the step of the scale, one band."""

from __future__ import annotations

from itertools import groupby

from lacwright.plan import Plan, told
from lacwright.plan.keys import clock
from lacwright.plan.told import banded as banded
from lacwright.plan.told import day
from lacwright.plan.vapour_told import air_lines


def page(plan: Plan, *, scale_g: float = 0.1, measure_ml: float = 1.0) -> list[str]:
    """Return the lines of a plan.

    Parameters
    ----------
    plan : Plan
        What is shown.
    scale_g, measure_ml : float
        Step of the maker's scale and of his measure.
    """
    out = [told.sentence(plan), ""]
    suited = told.suitability_lines(plan)
    if suited:
        out += [*suited, ""]
    for title, lines in (
        (
            "Mix",
            [line for one in plan.mixes for line in told.mix_lines(one, plan, scale_g, measure_ml)],
        ),
        ("Coats", [row.words for row in told.coat_rows(plan)]),
        ("Film left", told.film_lines(plan)),
        ("Refused", told.refused_lines(plan)),
        ("Days", _days(plan)),
        ("Air", air_lines(plan)),
        ("Shelf", told.shelf_lines(plan, scale_g, measure_ml)),
        ("Class", told.class_lines(plan, measure_ml)),
        ("Quote", told.quote_lines(plan)),
        ("Notes", list(plan.notes)),
    ):
        if lines:
            out += [title, *(f"  {line}" for line in lines), ""]
    out.append("Every figure with band, basis, mark and source: --json; one with its formula: "
               "--working NAME.")  # fmt: skip
    return out


def _days(plan: Plan) -> list[str]:
    if plan.calendar is None:
        return []
    lines = []
    for date, group in groupby(plan.calendar.entries, lambda e: e.date):
        for k, entry in enumerate(group):
            when = day(date) if k == 0 else ""
            hour = "" if entry.counts == "rest" else clock(entry.hour)
            part = f" [{entry.part}]" if entry.part and not entry.part.startswith("mix ") else ""
            until = f", until {day(entry.until)}" if (entry.until - date).days > 1 else ""
            lines.append(f"{when:<15} {hour:>5}  {entry.what}{part}{until}")
    lines.append(f"{day(plan.calendar.finish):<15}        Done")
    return lines
