"""Grades whose colour is on file and of which there are flakes at hand, from pale to dark."""

from __future__ import annotations

from lacwright.colour import find_grade_colour
from lacwright.figures import Refusal
from lacwright.shop.queries.at_hand import lots_at_hand
from lacwright.shop.queries.shut import shut_lots
from lacwright.trade import table

USUAL = ("blonde", "amber", "garnet")
"""Where nothing is on the shelf."""


def grades_on_shelf() -> list[str]:
    """Return the grades that lie there; a lot that failed its test does not count."""
    shut, found = shut_lots(), set()
    for name, grade in lots_at_hand("flakes"):
        if grade and name not in shut:
            try:
                found.add(find_grade_colour(grade).name)
            except Refusal:
                continue  # of a grade without a colour nothing can be shown
    return [row.key for row in table("colour_grades") if row.key in found]


def grades_of_shelf() -> list[str]:
    """Return the same, and the usual ones where there are none."""
    return grades_on_shelf() or list(USUAL)
