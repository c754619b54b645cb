"""What goes wrong in the invented shop, what is said, and how it is written down wrong at first."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from decimal import Decimal
from functools import partial
from io import BytesIO
from typing import Any

from lacwright.shop import clock
from lacwright.shop.demo.bench import Bench
from lacwright.shop.demo.diary import MINUTE, Diary, Do
from lacwright.shop.demo.jobs import Jobs
from lacwright.shop.demo.proofs import Proofs
from lacwright.shop.demo.tables import story, text
from lacwright.shop.demo.work import Work
from lacwright.shop.ledger import millilitres
from lacwright.shop.models import Event
from lacwright.shop.services.agreements import agree
from lacwright.shop.services.amend import undo
from lacwright.shop.services.attachments import attach
from lacwright.shop.services.coats import ARGUMENTS, lay_coat
from lacwright.shop.services.events import fault, note, spot, spot_done, strip
from lacwright.shop.services.jars import (
    add_to_jar,
    correct_jar,
    discard_jar,
    pour,
    weigh_jar,
)
from lacwright.shop.services.own_settings import set_own
from lacwright.shop.verdict import Times
from lacwright.shop.writing import Entry

BAD = ("T-55", "body")
"""The mix that goes bad: it is topped up from a tin of which nobody knows what is in it."""
COLD = ("T-16", "body")
"""A test in a cold, damp room, where the control is late too."""
AGED = ("T-36", "body")
"""Bleached flakes keep badly in solution."""
OPEN = ("T-23", "body")
"""A jar that stood open over night."""
GOES_ON = ("T-54", "body")
"""A test that is still running."""
TWICE = "T-38"
"""A coat of this job is typed twice."""
ALCOHOL_LOST_G = 70.0
CONTROL = Times(tack_free_min=9.0, nail_min=75.0, seen_min=400.0)
"""A fresh mix as it should dry."""


class Trouble:
    """Faults, slips, and the jar that is to be recalled."""

    def __init__(self, diary: Diary, bench: Bench, jobs: Jobs, proofs: Proofs) -> None:
        self.diary, self.bench, self.jobs, self.proofs = diary, bench, jobs, proofs

    def plan_all(self) -> None:
        """Plan all of it."""
        diary = self.diary
        self._said()
        self._bad_jar()
        self._other_tests()
        self.jobs.wait_for.setdefault(OPEN[0], []).append(self._left_open)
        self.jobs.wait_for.setdefault(TWICE, []).append(self._typed_twice)
        diary.add(diary.on(-598, 12.0), set_own, name="test.tack_free", value="20 min")
        diary.add(diary.on(-401, 12.0), set_own, name="wait.brush", value="2.5 h")

    # --- what is said of jobs -----------------------------------------------------------------

    def _said(self) -> None:
        """Plan faults, spots, notes, agreements and papers, counted from the first day of a job."""
        for kind, items in story("words.toml").items():
            for item in items:
                after = self.jobs.wait_for.setdefault(item["job"], [])
                after.append(partial(self._say, kind, item))

    def _say(self, kind: str, item: Mapping[str, Any], work: Work) -> None:
        date = self.diary.working(work.start + dt.timedelta(days=item["day"]))
        told = {k: v for k, v in item.items() if k != "day"}
        if kind == "agree":
            told["price"] = Decimal(told["price"])
        do: dict[str, Do] = {"fault": fault, "note": note, "strip": strip, "agree": agree,
                             "attach": self._attach, "spot": self._spot}  # fmt: skip
        self.diary.add(self.diary.moment(date, 16.1), do[kind], **told)

    def _attach(self, *, job: str, file: str, words: str, entry: Entry) -> None:
        attach(to="job", name=job, source=BytesIO(text(file).encode()), file_name=file,
               words=words, entry=entry)  # fmt: skip

    def _spot(
        self, *, job: str, part: str, where: str, text: str, done: int | None = None, entry: Entry
    ) -> None:  # fmt: skip
        found = spot(job=job, parts=(part,) if part else (), where=where, text=text, entry=entry)
        if done is not None:
            assert entry.at_us is not None
            self.diary.add(entry.at_us + done * clock.DAY, spot_done, spot=found.movement,
                           text="seen to")  # fmt: skip

    # --- jars and tests -----------------------------------------------------------------------

    def _bad_jar(self) -> None:
        """Plan the recall: a good test, a bad top-up, a test that fails.

        Which pieces carry it follows from the table of jobs: one is laid from the jar, one from
        the bottle it was poured into, one through the pad that was not washed out.
        """
        diary, jar = self.diary, self.bench.jar_of[BAD]
        self.bench.kept |= {jar, "brown bottle 3"}
        self.proofs.drying(jar, diary.on(-48, 10.4), self.proofs.good(), self.proofs.good(),
                           temp_c=20.5, rh=0.45)  # fmt: skip
        diary.add(diary.on(-44, 11.0), self._bad_top_up, jar=jar)
        day = diary.working(diary.date(-6))
        self.proofs.fresh("control 20", day, grade="amber", cut=1.5)
        self.proofs.drying(jar, diary.moment(day, 16.0), Times(tack_free_min=70.0, seen_min=400.0),
                           CONTROL, temp_c=20.1, rh=0.47)  # fmt: skip
        diary.add(
            diary.on(-3, 14.0),
            strip,
            job="T-57",
            how="washed off with alcohol and cloths, the cloths spread out to dry",
        )

    def _bad_top_up(self, *, jar: str, entry: Entry) -> None:
        flakes, tin = self.bench.out("amber A3", 40.0), self.bench.out_ml("tin U1", 260.0)
        self.bench.glasses[jar].resin_g += 40.0
        self.bench.glasses[jar].spirit_g += 208.0
        add_to_jar(jar=jar, takes=[flakes, tin], why="top-up", entry=entry)

    def _other_tests(self) -> None:
        """Plan a test whose control fails too, one of an aged jar, and one that is running."""
        diary, proofs = self.diary, self.proofs
        cold, aged, on = (self.bench.jar_of[key] for key in (COLD, AGED, GOES_ON))
        self.bench.kept |= {cold, aged, on}

        day = diary.working(diary.date(-566))
        proofs.fresh("control 19", day, grade="garnet", cut=1.5)
        proofs.drying(cold, diary.moment(day, 17.4), Times(34.0, 260.0, seen_min=480.0),
                      Times(31.0, 230.0, seen_min=480.0), temp_c=12.5, rh=0.71,
                      reason="the stove was out")  # fmt: skip
        diary.add(diary.moment(day + dt.timedelta(days=60), 17.2), discard_jar, jar=cold)

        day = diary.working(diary.date(-122))
        proofs.fresh("control 21", day, grade="blonde", cut=2.0)
        proofs.drying(aged, diary.moment(day, 17.4), Times(26.0, 300.0, seen_min=480.0), CONTROL,
                      temp_c=19.5, rh=0.5)  # fmt: skip
        diary.add(diary.on(-115, 17.2), pour, jar=aged, to_kind="waste", amount=millilitres(30))
        diary.add(diary.on(-112, 17.2), discard_jar, jar=aged)

        proofs.drying(on, diary.now_us - 280 * MINUTE, Times(8.0, 95.0, seen_min=270.0),
                      Times(7.0, 80.0, seen_min=270.0), late_us=275 * MINUTE)  # fmt: skip

    # --- slips --------------------------------------------------------------------------------

    def _left_open(self, work: Work) -> None:
        jar = self.bench.jar_of[OPEN]
        day = self.diary.working(work.start + dt.timedelta(days=6))
        self.diary.add(self.diary.moment(day, 8.2), self._weigh_open, jar=jar)
        self.diary.add(self.diary.moment(day, 9.0), self._correct, jar=jar)

    def _weigh_open(self, *, jar: str, entry: Entry) -> None:
        glass = self.bench.glasses[jar]
        glass.dry(ALCOHOL_LOST_G)
        weigh_jar(jar=jar, net_g=round(glass.g, 1), gone="air", entry=entry)

    def _correct(self, *, jar: str, entry: Entry) -> None:
        glass = self.bench.glasses[jar]
        made = correct_jar(jar=jar, to_cut=glass.cut, lot=glass.spirit, entry=entry)
        self.bench.out_ml(glass.spirit, made.data["add_alcohol_ml"])
        glass.spirit_g += made.data["add_alcohol_ml"] * glass.spirit_g_ml

    def _typed_twice(self, work: Work) -> None:
        day = self.diary.working(work.start + dt.timedelta(days=11))
        self.diary.add(self.diary.moment(day, 18.2), self._again, job=work.name)

    def _again(self, *, job: str, entry: Entry) -> None:
        """Type the last coat of a job once more; it is taken back the next morning."""
        last = Event.objects.filter(kind="coat", job__key=job, void=False).latest("at_us")
        body = last.movement.body
        told = {name: body[name] for name in ARGUMENTS if body.get(name) is not None}
        told |= {"jar": body["refs"]["jar"], "applicator": body["refs"].get("applicator")}
        if "evaporated_g" not in body["given"]:
            told.pop("evaporated_g", None)
        twice = lay_coat(job=job, entry=entry, **told)
        assert entry.at_us is not None
        self.diary.add(entry.at_us + 14 * 60 * MINUTE, undo, reason="typed twice",
                       movement=twice.movement)  # fmt: skip
