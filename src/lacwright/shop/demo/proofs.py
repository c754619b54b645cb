"""Tests of the invented shop: drops on glass, flakes in alcohol, drops of water, dried samples."""

from __future__ import annotations

import datetime as dt
from typing import Any

from lacwright.shop.demo.bench import Bench
from lacwright.shop.demo.diary import Diary
from lacwright.shop.services.jars import discard_jar, mix_jar
from lacwright.shop.services.proving import record_test
from lacwright.shop.verdict import Times
from lacwright.shop.writing import Entry

CONTROL_ML = 40.0
DISSOLVES = (
    ("garnet G2", -453, 20.0, True), ("blonde D2", -557, 18.0, True),
    ("extra pale S1", -637, 16.0, True), ("lemon L2", -377, 22.0, True),
    ("white W1", -340, 30.0, True), ("seedlac Q1", -252, 26.0, False),
    ("seedlac Q1", -248, 47.0, True), ("button lac B1", -606, 47.0, True),
    ("white W1", -70, 49.0, False), ("blonde D4", -72, 15.0, True),
)  # fmt: skip
"""Lot, day, hours in fresh alcohol, whether it was dissolved then."""
DROPS = (("panel 02", -660, 28.0, False), ("panel 05", -500, 27.0, False),
         ("panel 07", -300, 35.0, True), ("panel 09", -168, 31.0, False))  # fmt: skip
"""Panel, day, age of its film in days, whether the drop of water left a mark."""


class Proofs:
    """Tests of jars, lots and panels."""

    def __init__(self, diary: Diary, bench: Bench) -> None:
        self.diary, self.bench = diary, bench

    def passes(self, jar: str, date: dt.date, *, control: bool) -> None:
        """Plan a test that a new mix passes: laid the next day, written down the day after."""
        laid = self.diary.working(date + dt.timedelta(days=1))
        seen = self.diary.working(laid + dt.timedelta(days=1))
        temp_c, rh = self.bench.air(laid)
        self.drying(jar, self.diary.moment(seen, 10.0), self.good(),
                    self.good() if control else None, temp_c=temp_c, rh=rh)  # fmt: skip

    def drying(
        self, jar: str, at_us: int, times: Times, control: Times | None, **told: Any
    ) -> None:  # fmt: skip
        """Plan a drying test."""
        self.diary.add(at_us, record_test, of_kind="jar", of=jar, test="drying", jar=times,
                       control=control, **told)  # fmt: skip

    def good(self) -> Times:
        """Return the times of a drop as it should dry [min]."""
        draw = self.diary.random
        return Times(tack_free_min=float(draw.randrange(5, 13)),
                     nail_min=float(5 * draw.randrange(8, 21)),
                     powder_min=float(30 * draw.randrange(28, 44)))  # fmt: skip

    def fresh(self, name: str, date: dt.date, *, grade: str, cut: float) -> None:
        """Plan a little fresh mix to be laid beside a jar, thrown away when the test is over."""
        self.diary.add(self.diary.moment(date, 8.4), self._fresh, name=name, date=date,
                       grade=grade, cut=cut)  # fmt: skip
        away = self.diary.working(date + dt.timedelta(days=6))
        self.diary.add(self.diary.moment(away, 17.1), discard_jar, jar=name)

    def others(self) -> None:
        """Plan the tests that are not drops of a mix on glass."""
        add, on = self.diary.add, self.diary.on
        for lot, day, hours, dissolved in DISSOLVES:
            add(on(day, 11.0), record_test, of_kind="lot", of=lot, test="dissolve",
                result={"hours": hours, "dissolved": dissolved})  # fmt: skip
        for panel, day, film_days, white in DROPS:
            add(on(day, 15.0), record_test, of_kind="piece", of=panel, test="water-spot",
                result={"hours": 4.0, "white": white, "film_days": film_days})  # fmt: skip
        add(on(-515, 11.5), record_test, of_kind="jar", of="bought liquid", test="residue",
            result={"sample_g": 10.02, "dry_g": 2.84, "retained": 0.02})  # fmt: skip

    def _fresh(self, *, name: str, date: dt.date, grade: str, cut: float, entry: Entry) -> None:
        takes = self.bench.mix(name, grade=grade, cut=cut, ml=CONTROL_ML, date=date)
        mix_jar(jar=name, takes=takes, wished_cut=cut, wished_ml=CONTROL_ML,
                purpose="fresh mix beside a test", entry=entry)  # fmt: skip
