"""How long dry lac takes to dissolve, by grade and form."""

from __future__ import annotations

from collections.abc import Iterable

from lacwright.figures import Figure, Refusal, exact
from lacwright.solution.resin import Resin
from lacwright.trade import table


def ready_after_h(*, grade: str = "", form: str | None = None) -> Figure:
    """Return the time until flakes are dissolved, with its band [h].

    Stirred or shaken now and then at about 20 C in strong alcohol; cold and slow alcohols take
    longer.

    Parameters
    ----------
    grade : str
        A grade of the table, "" where nobody said.
    form : str, optional
        "powder" for flakes ground fine; else the grade's usual form.

    Raises
    ------
    Refusal
        For an unknown grade or form.
    """
    rows = table("dissolving")
    if form is not None:
        if form not in rows:
            raise Refusal("form", f"'{form}' is not a form of lac", "write powder or leave it out")
        return rows[form].figure()
    if not grade:
        return rows["unstated"].figure()
    return rows[table("grades")[grade].text("dissolving")].figure()


def slowest_ready(resins: Iterable[Resin], form: str | None = None) -> Figure:
    """Return the longest of the times of several flakes [h]; 0 where nothing is to dissolve."""
    times = [ready_after_h(grade=r.grade, form=form) for r in resins]
    if not times:
        return exact(0.0, "h", "nothing is to dissolve")
    return max(times, key=Figure.number)
