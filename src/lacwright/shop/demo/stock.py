"""What came into the invented shop and stands there: lots, counts, pads, customers, readings."""

from __future__ import annotations

from decimal import Decimal

from lacwright.climate import emc_percent
from lacwright.shop import clock
from lacwright.shop.demo.bench import Bench, Pad, amount, bag_of
from lacwright.shop.demo.diary import MINUTE, Diary
from lacwright.shop.demo.tables import rows
from lacwright.shop.models import Lot
from lacwright.shop.readings_csv import ReadingRow
from lacwright.shop.services.applicators import add_applicator
from lacwright.shop.services.lots import add_lot, count_lot, describe_lot
from lacwright.shop.services.people import add_customer
from lacwright.shop.services.readings import add_reading, import_readings
from lacwright.shop.writing import Entry

BEGIN = -730
PADS = {"pad 1": "pad", "pad 2": "pad", "pad 3": "pad", "pad 4": "pad", "pad 5": "pad",
        "flat brush": "brush", "small brush": "brush", "spray gun": "gun"}  # fmt: skip
LOGGER_DAYS = 100
"""How often the logger on the wall is read out; since the last time it was not."""
EVERY_DAYS = 2
"""How often it writes a line."""


class Stock:
    """Everything that comes into the shop."""

    def __init__(self, diary: Diary, bench: Bench) -> None:
        self.diary, self.bench = diary, bench

    def plan_all(self) -> None:
        """Plan all of it."""
        diary = self.diary
        for row in rows("customers.csv"):
            diary.add(diary.on(BEGIN, 8.2), add_customer, name=row["name"],
                      contact=row["contact"], note=row["note"])  # fmt: skip
        for name, kind in PADS.items():
            diary.add(diary.on(BEGIN, 8.4), self._pad, name=name, kind=kind)
        for row in rows("lots.csv"):
            diary.add(diary.on(int(row["day"]), 8.7 if row["opening"] else 10.3), self._lot,
                      row=row)  # fmt: skip
        for row in rows("counts.csv"):
            diary.add(diary.on(int(row["day"]), 17.2), self._count, row=row)
        diary.add(diary.on(-455, 16), describe_lot, reason="weighed", name="methylated M1",
                  changes={"density_g_ml": 0.812, "note": "weighed: 100 ml, 81.2 g"})  # fmt: skip
        self._logger()
        diary.add(diary.now_us - 40 * MINUTE, self.read_air, late_us=0)

    def read_air(self, *, job: str | None = None, entry: Entry) -> None:
        """Write down the air of the day; for a job the moisture of the board as well."""
        assert entry.at_us is not None
        temp_c, rh = self.bench.air(clock.day_of(entry.at_us, self.diary.zone))
        board = None
        if job is not None:
            settled = float(emc_percent(temp_c=temp_c, rh=rh))
            board = round((settled + self.diary.random.gauss(0, 0.4)) / 100, 3)
        add_reading(temp_c=temp_c, rh=rh, board_mc=board, where="bench", job=job, entry=entry)

    def _pad(self, *, name: str, kind: str, entry: Entry) -> None:
        add_applicator(name=name, kind=kind, entry=entry)
        self.bench.pads[name] = Pad(name)

    def _lot(self, *, row: dict[str, str], entry: Entry) -> None:
        kind, unit, opening = row["kind"], row["unit"], bool(row["opening"])
        comes = self.diary.working(self.diary.date(int(row["day"])))
        came = amount(row["amount"], kind=kind, unit=unit)
        add_lot(
            name=row["name"], kind=kind, amount=came, unit=unit, grade=row["grade"],
            waxed={"waxed": True, "dewaxed": False, "": None}[row["wax"]],
            bleached=True if row["bleached"] else None, alcohol=row["alcohol"],
            supplier=row["supplier"], batch=row["batch"], bought=None if opening else comes,
            price=Decimal(row["price"]) if row["price"] else None,
            order_below=amount(row["order_below"], kind=kind, unit=unit), note=row["note"],
            opening=opening, entry=entry,
        )  # fmt: skip
        lot = Lot.objects.get(key=row["name"])
        self.bench.bags[lot.key] = bag_of(lot, comes, came)

    def _count(self, *, row: dict[str, str], entry: Entry) -> None:
        lot = Lot.objects.get(key=row["name"])
        found = amount(row["amount"], kind=lot.kind, unit=lot.unit)
        count_lot(name=lot.key, amount=found, gone=row["gone"], entry=entry)
        self.bench.bags[lot.key] = bag_of(lot, self.bench.bags[lot.key].comes, found)

    def _logger(self) -> None:
        """Read the logger on the wall out every few months."""
        diary = self.diary
        for begin in range(BEGIN, 0, LOGGER_DAYS):
            lines = []
            for day in range(begin, min(begin + LOGGER_DAYS, 0), EVERY_DAYS):
                temp_c, rh = self.bench.air(diary.date(day))
                at_us = diary.moment(diary.date(day), 9.0)
                lines.append(ReadingRow(at_us, temp_c, rh, where="bench"))
            diary.add(diary.on(begin + LOGGER_DAYS, 17.8), import_readings,
                      reason="logger read out", rows=lines)  # fmt: skip
