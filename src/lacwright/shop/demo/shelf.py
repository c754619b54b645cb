"""Jars of the invented shop that no single job was mixed for, and boards to try a finish on."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from decimal import Decimal
from functools import partial

from lacwright.shop.demo.bench import Bench, Glass, grade_key, parts
from lacwright.shop.demo.diary import Diary
from lacwright.shop.demo.jobs import Jobs
from lacwright.shop.demo.tables import rows
from lacwright.shop.demo.work import Work
from lacwright.shop.ledger import millilitres
from lacwright.shop.services.agreements import agree
from lacwright.shop.services.coats import lay_coat
from lacwright.shop.services.jars import Take, discard_jar, fill_jar, mix_jar, pour, weigh_jar
from lacwright.shop.services.pieces import add_piece
from lacwright.shop.writing import Entry

SAMPLE_ML = 100.0
LIQUID_CUT, REAL_CUT = 3.0, 2.6
"""What the label of a bought liquid claims, and what is in it."""
LEAST_ML = 15.0
SPREAD = {"brush": 85.0, "pad": 25.0}


class Shelf:
    """Bottles, class mixes, bought liquids and panels."""

    def __init__(self, diary: Diary, bench: Bench, jobs: Jobs) -> None:
        self.diary, self.bench, self.jobs = diary, bench, jobs

    def plan_all(self) -> None:
        """Plan all of it."""
        diary, bench = self.diary, self.bench
        for row in rows("mixes.csv"):
            day = int(row["day"])
            bench.kept |= {row["name"], *(self._source(of) for of in parts(row["from"]))}
            diary.add(diary.on(day, 10.9), self._bottle, row=row)
            if row["what"] == "class":
                diary.add(diary.on(day + 8, 21.0), self._after_class, jar=row["name"])
                diary.add(diary.on(day + 40, 17.5), discard_jar, jar=row["name"])
        bench.kept |= {"bought liquid", "old tin"}
        diary.add(diary.on(-730, 9.2), self._tin)
        diary.add(diary.on(-520, 12.1), self._liquid)
        for row in rows("panels.csv"):
            self._panel(row)
        diary.add(diary.on(-300, 17.0), pour, jar="sealer bottle", to_kind="applicator",
                  to_name="pad 5", amount=millilitres(12))  # fmt: skip
        for jar, day in (("brown bottle 1", -180), ("brown bottle 2", -180), ("pale bottle", -180),
                         ("sealer bottle", -180), ("sealer bottle", -45)):  # fmt: skip
            diary.add(diary.on(day, 16.8), self._weigh, jar=jar, gone="unaccounted")

    def _source(self, of: str) -> str:
        """Return the jar of "T-21 body"."""
        job, _, mix = of.rpartition(" ")
        return self.bench.jar_of[job, mix]

    def _bottle(self, *, row: Mapping[str, str], entry: Entry) -> None:
        """Mix it; what comes from other jars goes in as it is."""
        bench, name, cut = self.bench, row["name"], float(row["cut"])
        assert entry.at_us is not None
        takes = bench.mix(name, grade=grade_key(row["grade"]), cut=cut, ml=float(row["ml"]),
                          date=self.diary.working(self.diary.date(int(row["day"]))))  # fmt: skip
        if row["what"] == "toned":
            takes.append(Take("lot", "dye brown", millilitres(6)))
        for of, wished in parts(row["from"]).items():
            source = self._source(of)
            there = 10.0 * int(min(wished, 0.9 * bench.glasses[source].ml) / 10)
            if there >= LEAST_ML:
                takes.append(bench.pour(source, name, there))
        mix_jar(jar=name, takes=takes, wished_cut=cut, purpose=row["purpose"],
                mouth_mm=bench.glasses[name].mouth_mm, entry=entry)  # fmt: skip

    def _after_class(self, *, jar: str, entry: Entry) -> None:
        glass = self.bench.glasses[jar]
        glass.take(0.8 * glass.ml)
        self._weigh(jar=jar, gone="waste", entry=entry)

    def _weigh(self, *, jar: str, gone: str, entry: Entry) -> None:
        weigh_jar(jar=jar, net_g=round(self.bench.glasses[jar].g, 1), gone=gone, entry=entry)

    def _liquid(self, *, entry: Entry) -> None:
        """Buy a liquid that is weaker than its label claims."""
        name = "bought liquid"
        fill_jar(jar=name, amount=millilitres(1000), claimed_cut=LIQUID_CUT, grade="amber",
                 supplier="hardware shop", batch="see the lid", price=Decimal(34), mouth_mm=60.0,
                 bought=self.diary.working(self.diary.date(-520)), purpose="in a hurry",
                 entry=entry)  # fmt: skip
        self.bench.glasses[name] = Glass(name, REAL_CUT, "amber A2", "spirit E2", 252.0, 640.0,
                                         0.81, 280.0, 60.0)  # fmt: skip

    def _tin(self, *, entry: Entry) -> None:
        """Find an old tin of which nobody knows anything."""
        name = "old tin"
        fill_jar(jar=name, amount=millilitres(1500), opening=True,
                 note="no label, smells right", entry=entry)  # fmt: skip
        self.bench.glasses[name] = Glass(name, 1.0, "amber A1", "spirit E1", 150.0, 1100.0, 0.81,
                                         320.0, 82.0)  # fmt: skip

    def _panel(self, row: Mapping[str, str]) -> None:
        """Plan a board: what it is coated with, and for whom it was approved."""
        diary, day, name = self.diary, int(row["day"]), row["name"]
        date, jar = diary.working(diary.date(day)), row["jar"]
        diary.add(diary.moment(date, 8.9), add_piece, name=name, kind="panel", title=row["title"],
                  wood=row["wood"], areas_m2={"face": float(row["area"])})  # fmt: skip
        if jar not in self.bench.kept:
            diary.add(diary.moment(date, 9.3), self._sample, row=row, date=date)
            self.jobs.throw_away(jar, date)
        for n in range(int(row["coats"])):
            on = diary.working(date + dt.timedelta(days=2 + n // 2))
            diary.add(diary.moment(on, 9.9 + 4 * (n % 2)), self._coat, row=row)
        if row["says"]:
            after = self.jobs.wait_for.setdefault(row["job"], [])
            after.append(partial(self._approve, row))

    def _sample(self, *, row: Mapping[str, str], date: dt.date, entry: Entry) -> None:
        cut = float(row["cut"])
        takes = self.bench.mix(row["jar"], grade=grade_key(row["grade"]), cut=cut, ml=SAMPLE_ML,
                               date=date)  # fmt: skip
        mix_jar(jar=row["jar"], takes=takes, wished_cut=cut, wished_ml=SAMPLE_ML,
                purpose=row["name"], entry=entry)  # fmt: skip

    def _coat(self, *, row: Mapping[str, str], entry: Entry) -> None:
        self.bench.glasses[row["jar"]].take(SPREAD[row["method"]] * float(row["area"]))
        lay_coat(piece=row["name"], jar=row["jar"], method=row["method"],
                 applicator=row["with"] or None, entry=entry)  # fmt: skip

    def _approve(self, row: Mapping[str, str], work: Work) -> None:
        self.diary.add(self.diary.moment(work.start, 11.2), agree, job=work.name, what="panel",
                       panel=row["name"], text=row["says"])  # fmt: skip
