"""The work of the invented shop: every job from its first day to its last, coat by coat."""

from __future__ import annotations

import datetime as dt
import math
import sys
import tomllib
from collections.abc import Callable
from typing import Any

from lacwright.files.piece import piece_of
from lacwright.plan import make_plan
from lacwright.shop.demo.bench import (
    FILL_ML,
    FIRST,
    HOURS_M2,
    LOST,
    Bench,
    Glass,
    Pad,
    grade_key,
)
from lacwright.shop.demo.diary import MINUTE, Diary
from lacwright.shop.demo.proofs import Proofs
from lacwright.shop.demo.stock import Stock
from lacwright.shop.demo.tables import rows, story, text
from lacwright.shop.demo.work import Slots, Step, Work, of_plan, work_of
from lacwright.shop.plan_link import areas_of, from_record, kept, wood_of
from lacwright.shop.services.amend import amend
from lacwright.shop.services.applicators import wash_applicator
from lacwright.shop.services.coats import lay_coat
from lacwright.shop.services.events import abrade, note
from lacwright.shop.services.jars import add_to_jar, discard_jar, mix_jar
from lacwright.shop.services.jobs import close_job, start_job
from lacwright.shop.writing import Entry

READY_DAYS = 3
"""Days from mixing to the first coat: the flakes dissolve, the wood is sanded."""
PROMISED_DAYS = 35
WEIGHED, MEASURED, NOT_SAID = "weighed", "measured", "not said"
KNOWN = {WEIGHED: 0.85, MEASURED: 0.9}
"""Share of the coats of a job that are really weighed, or measured."""
THROWN = 0.93
"""Share of the jars that are washed out in the end."""
LATE, LATE_US = "T-34", 3 * 24 * 60 * MINUTE
"""A coat of this job is written down three days late."""
MISREAD, SLIP_G = "T-41", 20.0
"""The scale is misread at a coat of this job, and put right the next day."""
DRAWS = 200


class Jobs:
    """All jobs of the story."""

    def __init__(self, diary: Diary, bench: Bench, stock: Stock, proofs: Proofs) -> None:
        self.diary, self.bench, self.stock, self.proofs = diary, bench, stock, proofs
        self.wait_for: dict[str, list[Callable[[Work], None]]] = {}
        """What else happens when a job has begun, by its name."""
        self._controls = 0
        self._slipped = False

    def plan_all(self) -> None:
        """Plan the first day of every job; the rest follows from it."""
        finishes, jars = story("finishes.toml"), 0
        for n, row in enumerate(rows("jobs.csv")):
            start = self.diary.working(self.diary.date(int(row["start"])))
            work = work_of(row, start, finishes[row["finish"]] if row["finish"] else None)
            for mix in work.cuts:
                if mix not in work.mixes:
                    jars += 1
                    self.bench.jar_of[work.name, mix] = f"J{jars}"
            self.diary.add(self.diary.moment(start, 8.6), self._begin, work=work, n=n)

    def throw_away(self, jar: str, date: dt.date) -> None:
        """Plan the day on which a jar is washed out, if it ever is."""
        draw = self.diary.random
        day = self.diary.working(date + dt.timedelta(days=draw.randrange(110, 230)))
        if draw.random() < THROWN:
            self.diary.add(self.diary.moment(day, 17.0), self._discard, jar=jar)

    # --- the first day ------------------------------------------------------------------------

    def _begin(self, *, work: Work, n: int, entry: Entry) -> None:
        row, promised = work.row, None
        if row["customer"]:
            promised = work.start + dt.timedelta(days=PROMISED_DAYS)
        told: dict[str, Any] = {
            "title": row["title"], "wood": row["wood"],
            "areas_m2": {} if row["amount"] == NOT_SAID else work.areas,
        }  # fmt: skip
        if row["plan"]:
            told = self._planned(work, entry)
        start_job(job=work.name, piece_name=row["piece"], customer=row["customer"] or None,
                  promised=promised, entry=entry, **told)  # fmt: skip
        self.diary.add(self.diary.moment(work.start, 9.4), self.stock.read_air, job=work.name)
        for after in self.wait_for.get(work.name, ()):
            after(work)
        self._mixes(work)
        self._course(work, self._with(work, n))

    def _planned(self, work: Work, entry: Entry) -> dict[str, Any]:
        """Make the plan of a piece file as `job start` does; return what is kept with the job."""
        assert entry.at_us is not None
        toml, record = text(work.row["plan"]), from_record(now_us=entry.at_us)
        asked = piece_of(tomllib.loads(toml), work.row["piece"], record.shelf)
        own = (record.own_beside(asked.own),)
        made = make_plan(record.with_air(asked), today=work.start, start=work.start, hand=own,
                         n=DRAWS, say=_say)  # fmt: skip
        work.plan, work.areas = kept(made, own), areas_of(asked)
        work.cuts = {s["mix"]: s["cut_lb_per_gal"] for s in work.plan["steps"] if s["lays"]}
        work.steps = of_plan(work.plan)
        return {"plan": work.plan, "piece_file": toml, "areas_m2": work.areas,
                "wood": wood_of(asked), "title": asked.title}  # fmt: skip

    def _mixes(self, work: Work) -> None:
        """Plan where the mixes of a job come from."""
        for n, mix in enumerate(work.cuts):
            work.left_ml[mix] = sum(work.need_ml(s) for s in work.steps if s.mix == mix)
            at = self.diary.moment(work.start, 10.2 + 0.4 * n)
            sign, of = work.mixes.get(mix, ("", ""))
            if sign == "=":
                self.bench.jar_of[work.name, mix] = of
            elif sign:
                jar = self.bench.jar_of[work.name, mix] = self.bench.jar_of[of, mix]
                if sign == "+":
                    self.diary.add(at, self._top_up, jar=jar, ml=work.left_ml[mix])
            else:
                self.diary.add(at, self._mix, work=work, mix=mix)
                self.throw_away(self.bench.jar_of[work.name, mix], work.start)
        if "body" not in work.mixes:
            self._prove(work)

    def _prove(self, work: Work) -> None:
        jar, control = self.bench.jar_of[work.name, "body"], work.row["test"] == "control"
        if control:
            self._controls += 1
            date = self.diary.working(work.start + dt.timedelta(days=1))
            self.proofs.fresh(f"control {self._controls}", date, cut=work.cuts["body"],
                              grade=grade_key(work.row["grade"]))  # fmt: skip
        if control or work.row["amount"] == WEIGHED:
            self.proofs.passes(jar, work.start, control=control)

    def _mix(self, *, work: Work, mix: str, entry: Entry) -> None:
        jar, cut = self.bench.jar_of[work.name, mix], work.cuts[mix]
        ml = max(50.0 * math.ceil(1.15 * (work.left_ml[mix] + 15) / 50), 100.0)
        flakes = spirit = None
        if work.plan is not None:
            planned = work.plan["keys"]["mixes"][mix]
            flakes, spirit = planned["per_lot"][0]["lot"], planned["alcohol"]
            ml = round(planned["solution_ml"])
        takes = self.bench.mix(jar, grade=grade_key(work.row["grade"]), cut=cut, ml=ml,
                               date=work.start, flakes=flakes, spirit=spirit)  # fmt: skip
        glass = self.bench.glasses[jar]
        tare_g = glass.tare_g if self.diary.random.random() < 0.6 else None
        mix_jar(jar=jar, takes=takes, wished_cut=cut, wished_ml=ml, tare_g=tare_g,
                purpose=f"{mix}, {work.row['piece']}", mouth_mm=glass.mouth_mm,
                entry=entry)  # fmt: skip

    def _with(self, work: Work, n: int) -> dict[str, str | None]:
        """Return the pad or brush for every method."""
        late = int(work.row["start"]) > -120  # three pads are then kept for the story of one jar
        pad = work.row["with"] or (f"pad {1 + 4 * (n % 2)}" if late else f"pad {1 + n % 5}")
        brush = "small brush" if sum(work.areas.values()) < 0.7 else "flat brush"
        return {"pad": pad, "french-polish": pad, "brush": brush, "wipe": None,
                "spray-hvlp": "spray gun"}  # fmt: skip

    # --- the course ---------------------------------------------------------------------------

    def _course(self, work: Work, applicators: dict[str, str | None]) -> None:
        """Lay the steps out over the days."""
        slots, used = Slots(self.diary, work.start + dt.timedelta(days=READY_DAYS)), set[str]()
        add, late = self.diary.add, work.name == LATE
        for step in work.steps:
            if step.kind == "rest":
                slots.rest(step.days)
            elif step.kind == "lay":
                through = applicators[step.method]
                used |= {through} if through else set()
                add(slots.next(step), self._coat, late_us=LATE_US if late else None, work=work,
                    step=step, through=through)  # fmt: skip
                late = False
            elif step.kind == "sand":
                add(slots.next(step), self._sand, work=work, step=step)
            else:
                add(slots.next(step), note, job=work.name, kind=step.what, text=step.text)
        if work.row["wash"] != "no":
            for name in sorted(used):
                add(self.diary.moment(slots.day, 17.3), self._wash, name=name)
        done = self.diary.working(slots.day + dt.timedelta(days=self.diary.random.randrange(1, 5)))
        add(self.diary.moment(done, 16.4), close_job, job=work.name,
            delivered=done if work.row["customer"] else None)  # fmt: skip

    # --- single entries -----------------------------------------------------------------------

    def _coat(self, *, work: Work, step: Step, through: str | None, entry: Entry) -> None:
        draw, bench, how = self.diary.random, self.bench, work.row["amount"]
        jar = bench.jar_of[work.name, step.mix]
        glass, pad = bench.glasses[jar], bench.pads[through] if through else None
        ml = work.need_ml(step) * draw.lognormvariate(0, 0.1)
        work.left_ml[step.mix] -= ml
        if step.parts not in work.laid:
            work.laid.add(step.parts)
            ml *= FIRST
        g_ml = glass.resin_g / glass.ml
        new = pad is not None and pad.resin_g is None and step.method in FILL_ML
        if pad is not None and new:
            fill_ml = FILL_ML[step.method] * draw.lognormvariate(0, 0.15)
            pad.resin_g, ml = fill_ml * g_ml, ml + fill_ml
        before_g = glass.tare_g + 24.0 + glass.g  # with its lid
        used_g, resin_g = glass.take(ml)
        if pad is not None and pad.resin_g is not None:
            pad.resin_g += LOST[step.method] * resin_g * draw.lognormvariate(0, 0.2)
        minutes = HOURS_M2[step.method] * work.area_m2(step) * 60 * draw.lognormvariate(0, 0.18) + 4
        told: dict[str, Any] = {"method": step.method, "minutes": 5 * math.ceil(minutes / 5)}
        known = draw.random() < KNOWN.get(how, 1.0)
        if how == WEIGHED and known:
            told |= self._weighed(glass, before_g, used_g, minutes)
            if pad is not None and pad.resin_g is not None:
                # Who did not weigh what a new pad took up cannot tell later what it lost.
                pad.told = pad.told or new
                if new or (pad.told and draw.random() < 0.5):
                    told["left_g"] = round(pad.resin_g, 2)
        elif how == MEASURED and known:
            told["used_ml"] = max(5.0 * round(ml / 5), 5.0)
        elif how == NOT_SAID:
            told = {}
        right_g = self._misread(work, told)
        answer = lay_coat(job=work.name, jar=jar, what=step.what, applicator=through,
                          parts=step.parts, faces=step.faces, entry=entry, **told)  # fmt: skip
        assert entry.at_us is not None
        if right_g is not None:
            self.diary.add(entry.at_us + 23 * 60 * MINUTE, amend, reason="misread the scale",
                           movement=answer.movement, changes={"after_g": right_g})  # fmt: skip
        if glass.ml < 1.4 * ml and work.left_ml[step.mix] > 0.3 * ml:
            self.diary.add(entry.at_us + 50 * MINUTE, self._top_up, jar=jar,
                           ml=max(work.left_ml[step.mix], ml))  # fmt: skip

    def _weighed(
        self, glass: Glass, before_g: float, used_g: float, minutes: float
    ) -> dict[str, float]:  # fmt: skip
        """Return what the scale shows, to its tenth of a gram."""
        draw = self.diary.random
        open_min = round(minutes + draw.uniform(2, 12))
        gone_g = self.bench.evaporated(glass, open_min)
        glass.dry(gone_g)
        loss_g = max(round(used_g + gone_g, 1), 0.1)
        out = {"before_g": round(before_g, 1), "after_g": round(before_g - loss_g, 1)}
        if gone_g < 0.3 * loss_g and draw.random() < 0.55:
            out["open_min"] = float(open_min)
            if draw.random() < 0.3:
                out["evaporated_g"] = round(gone_g, 1)
        return out

    def _misread(self, work: Work, told: dict[str, Any]) -> float | None:
        """Let the scale be misread once; return what it really showed."""
        if work.name != MISREAD or self._slipped or told.get("after_g", 0.0) <= SLIP_G:
            return None
        self._slipped = True
        right_g = float(told["after_g"])
        told["after_g"] = round(right_g - SLIP_G, 1)
        return right_g

    def _sand(self, *, work: Work, step: Step, entry: Entry) -> None:
        abrade(job=work.name, what=step.what, abrasive=step.abrasive, parts=step.parts,
               faces=step.faces, minutes=5 * math.ceil(5 * work.area_m2(step)),
               entry=entry)  # fmt: skip

    def _top_up(self, *, jar: str, ml: float, entry: Entry) -> None:
        takes = self.bench.top_up(self.bench.glasses[jar], 10.0 * math.ceil(ml / 10 + 2))
        add_to_jar(jar=jar, takes=takes, why="top-up", entry=entry)

    def _wash(self, *, name: str, entry: Entry) -> None:
        wash_applicator(name=name, entry=entry)
        self.bench.pads[name] = Pad(name)

    def _discard(self, *, jar: str, entry: Entry) -> None:
        if jar not in self.bench.kept:
            discard_jar(jar=jar, entry=entry)


def _say(line: str) -> None:
    """Say that the model of the drying coat is compiled before the work goes on."""
    print(f"{line} ...", file=sys.stderr, flush=True)
