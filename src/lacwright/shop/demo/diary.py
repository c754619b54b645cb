"""The days of the invented shop: what is done when, carried out in the order of writing down."""

from __future__ import annotations

import datetime as dt
import heapq
import random
from collections.abc import Callable
from typing import Any

from lacwright.shop import clock
from lacwright.shop.disk import Progress
from lacwright.shop.queries.own_figures import remembered
from lacwright.shop.writing import Entry

Do = Callable[..., Any]
"""A service, or a function like one: it gets what was told and the entry, by keyword."""
MINUTE = 60 * clock.SECOND
EXPECTED = 1200
"""Entries of two years, for the progress alone."""
AUTHORS = ("Linde", "Maro")


class Diary:
    """What is still to be written down, and when; nothing later than now is.

    Parameters
    ----------
    now_us : int
        When the story ends.
    zone : tzinfo
        Of the shop.
    seed : int
        Makes a run repeatable.
    """

    def __init__(self, *, now_us: int, zone: dt.tzinfo, seed: int) -> None:
        self.now_us, self.zone = now_us, zone
        self.today = clock.day_of(now_us, zone)
        self.random = random.Random(f"lacwright demo {seed} {self.today}")
        self.written = 0
        self._seed = seed
        self._told = 0
        self._waiting: list[tuple[int, int, int, Do, str, dict[str, Any]]] = []

    def date(self, day: int) -> dt.date:
        """Return the date so many days from today (past days are below 0)."""
        return self.today + dt.timedelta(days=day)

    def working(self, date: dt.date) -> dt.date:
        """Return the date, or the Monday after it."""
        return date + dt.timedelta(days=max(0, 7 - date.weekday()) if date.weekday() > 4 else 0)

    def moment(self, date: dt.date, hour: float) -> int:
        """Return an hour of a day, give or take some minutes."""
        minutes = round(hour * 60) + self.random.randrange(-9, 10)
        at = dt.datetime.combine(date, dt.time(), self.zone) + dt.timedelta(minutes=minutes)
        return clock.to_us(at)

    def on(self, day: int, hour: float = 9.0) -> int:
        """Return an hour of the working day that is so many days from today."""
        return self.moment(self.working(self.date(day)), hour)

    def add(
        self, at_us: int, do: Do, *, late_us: int | None = None, reason: str = "", **told: Any
    ) -> None:  # fmt: skip
        """Let something be written down: done at `at_us`, written soon after, or late.

        Parameters
        ----------
        at_us : int
            When it was done.
        do : callable
            A service, or something that calls one.
        late_us : int, optional
            How long after it was done it is written down; some minutes if not given.
        reason : str
            For the log.
        **told
            What the service is told.
        """
        if late_us is None:
            late_us = self.random.randrange(2, 25) * MINUTE
        self._told += 1
        if at_us + late_us <= self.now_us:
            heapq.heappush(self._waiting, (at_us + late_us, self._told, at_us, do, reason,
                                           told))  # fmt: skip

    def run(self, progress: Progress) -> None:
        """Write everything down, also what is added meanwhile."""
        season = None
        with remembered() as figures:
            while self._waiting:
                written_us, number, at_us, do, reason, told = heapq.heappop(self._waiting)
                if season != (season := clock.day_of(written_us, self.zone).month // 4):
                    figures.clear()  # own figures are looked at now and then
                entry = Entry(at_us=at_us, author=AUTHORS[number % 3 == 0], reason=reason,
                              token=f"demo-{self._seed}-{number}", now_us=written_us)  # fmt: skip
                do(entry=entry, **told)
                self.written += 1
                if self.written % 50 == 0:
                    progress("two years", min(self.written, EXPECTED), EXPECTED)
