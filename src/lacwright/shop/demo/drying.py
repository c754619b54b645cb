"""The drying coat in the invented shop: two panels, a damp day, the air beside the last coats."""

from __future__ import annotations

import datetime as dt
from typing import Any

from lacwright.drying import compiled
from lacwright.shop import clock
from lacwright.shop.demo.diary import MINUTE, Diary, Do
from lacwright.shop.services.proving import record_test
from lacwright.shop.services.readings import add_reading

TIMED = {
    "method": "brush", "weighed": "0.86 g", "size": "100x100 mm", "cut": 2,
    "alcohol": "ethanol-190", "thickness": "20 mm", "touch_dry": "7 min", "print_free": "24 min",
}  # fmt: skip
PANEL, TIMED_DAY, TIMED_AIR = "panel 09", -11, (20.0, 0.45)
WHITENED = {
    "method": "brush", "wet": "95 um", "size": "150x200 mm", "cut": 2, "alcohol": "ethanol-190",
    "thickness": "12 mm", "whitened": True,
}  # fmt: skip
BOARD, WHITENED_DAY, WHITENED_AIR = "panel 08", -39, (19.0, 0.71)
AIR = ((-2, 20.1, 0.47), (-1, 19.6, 0.51))
"""Day, temperature [C] and humidity beside the coats that are wet when the story ends."""
DAMP, DAMP_DAY, DAMP_AIR = "T-17", 8, (19.0, 0.72)
"""The job whose coat whitens, the day after its start on which that is seen, the air of it."""


class Drying:
    """What is timed and read of wet coats.

    Nothing here draws a random number, so the rest of the story stays what it is.
    """

    def __init__(self, diary: Diary) -> None:
        self.diary = diary

    def plan_all(self) -> None:
        """Plan all of it, without the compiled model no test of a wet coat.

        A demo waits for no compiler. The damp day is planned when its job begins.
        """
        for day, temp_c, rh in AIR:
            self._read(self.diary.working(self.diary.date(day)), 11, temp_c, rh)
        if compiled():
            temp_c, rh = TIMED_AIR
            self._add(self.diary.working(self.diary.date(TIMED_DAY)), 14, record_test,
                      of_kind="piece", of=PANEL, test="timed-coat", temp_c=temp_c, rh=rh,
                      result=TIMED)  # fmt: skip
            temp_c, rh = WHITENED_AIR
            self._add(self.diary.working(self.diary.date(WHITENED_DAY)), 14, record_test,
                      of_kind="piece", of=BOARD, test="whitened", temp_c=temp_c, rh=rh,
                      result=WHITENED)  # fmt: skip

    def damp_day(self, work: Any) -> None:
        """Plan the readings of the damp days on which the coat that whitens is laid."""
        for day in (DAMP_DAY - 1, DAMP_DAY):
            date = self.diary.working(work.start + dt.timedelta(days=day))
            self._read(date, 8, *DAMP_AIR)

    def _read(self, date: dt.date, hour: int, temp_c: float, rh: float) -> None:
        self._add(date, hour, add_reading, temp_c=temp_c, rh=rh, where="bench")

    def _add(self, date: dt.date, hour: int, do: Do, **told: Any) -> None:
        at = dt.datetime.combine(date, dt.time(hour, 30), self.diary.zone)
        self.diary.add(clock.to_us(at), do, late_us=5 * MINUTE, **told)
