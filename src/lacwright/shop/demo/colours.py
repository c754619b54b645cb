"""Colour in the invented shop: a board read in bands, looks foretold of others and read later."""

from __future__ import annotations

import datetime as dt
from typing import Any

from lacwright.shop import clock
from lacwright.shop.demo.diary import MINUTE, Diary
from lacwright.shop.services.proving import record_test

READ, READ_DAY = "panel 04", -560
BANDS = {
    "grade": "garnet", "load_per_coat": "16.5 g/m2", "reader": "instrument",
    "band": [
        {"coats": "bare", "lab": [69.1, 6.6, 20.8]}, {"coats": 1, "lab": [54.9, 13.6, 30.8]},
        {"coats": 2, "lab": [51.1, 18.2, 35.0]}, {"coats": 3, "lab": [47.4, 20.5, 38.7]},
    ],
}  # fmt: skip
"""A strip of that board, masked while its coats were laid."""
LOOKS = (
    ("panel 05", -530, "garnet", 68.0, [51.5, 7.4, 16.2], -501, [30.2, 18.9, 32.2]),
    ("panel 06", -506, "amber", 50.0, [63.8, 11.2, 22.4], -478, [43.6, 19.4, 38.6]),
    ("panel 09", -202, "blonde", 68.0, [65.9, 10.1, 21.0], -170, [55.8, 13.1, 31.9]),
    ("panel 10", -24, "amber", 12.0, None, None, None),
)
"""Panel, day on which it is foretold, grade, its load [g/m2], bare board, day and what was read."""


class Colours:
    """What is foretold and read of colours.

    Nothing here draws a random number, so the rest of the story stays what it is.
    """

    def __init__(self, diary: Diary) -> None:
        self.diary = diary

    def plan_all(self) -> None:
        """Plan all of it."""
        for panel, day, grade, load, bare, read_day, read in LOOKS:
            told: dict[str, Any] = {"film": {grade: load}}
            if bare is not None:
                told["bare"] = bare
            self._add(day, panel, "colour-look", told, anew=True)
            if read_day is not None:
                self._add(read_day, panel, "colour-look", {"read": read})
        self._add(READ_DAY, READ, "colour-panel", BANDS)

    def _add(self, day: int, panel: str, test: str, result: dict[str, Any], **more: Any) -> None:
        date = self.diary.working(self.diary.date(day))
        at = dt.datetime.combine(date, dt.time(16, 20), self.diary.zone)
        self.diary.add(clock.to_us(at), record_test, late_us=5 * MINUTE, of_kind="piece",
                       of=panel, test=test, result=result, **more)  # fmt: skip
