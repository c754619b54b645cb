"""The tables of a piece file: wish, shop, mix, step, lot. One class a table, one field a key.

The descriptions are the ones printed in the reference of the piece file.
"""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, model_validator

from lacwright.figures import Refusal
from lacwright.files import words as w
from lacwright.files.checks import MOST, MOST_PRICE, FileTable, entry
from lacwright.trade import table

MOST_TIMES = 200
"""More repeats of one step than anybody lays: a slip that would keep the planner busy for ever."""


class TopTable(FileTable):
    """What stands before the first heading."""

    title: w.Text | None = entry("what the piece is called", '"Side table"',
                                 default="the name of the file")  # fmt: skip
    resin_density: w.Density | None = entry(
        "density of the dry resin, for the film and the volume of a mix", '"1.14 g/ml"',
        unit="g/ml", default="1.14",
    )  # fmt: skip


class WishTable(FileTable):
    """What the customer wants, and what the piece must bear."""

    use: w.Uses = entry(
        "what the piece will meet: a word or a list of words", '["indoors", "drinks"]', many=True,
        default="not asked about",
    )  # fmt: skip
    under: w.Under = entry("what lies on the wood already", '"oil stain"', many=True,
                           default="bare wood")  # fmt: skip
    over: w.Over = entry("what will come over the shellac", '"wax"', many=True,
                          default="nothing")  # fmt: skip
    start: w.Date | None = entry("first day of work", "2027-03-01", default="the day of the plan")
    by: w.Date | None = entry("day by which it should be handed over", "2027-04-15",
                              default="no wish; the plan says the earliest day")  # fmt: skip
    sheen: w.Sheen | None = entry("wished sheen, a word or a class of gloss", '"satin"',
                                 default="as the last step leaves it")  # fmt: skip
    grade: w.Grade | None = entry("grade of lac", '"amber"', default="that of the mixes")
    wax: Literal["waxed", "dewaxed"] | None = entry(
        "whether the lac is to hold its wax", '"dewaxed"', default="as the grade usually is"
    )
    film_left: w.Um | None = entry(
        "film wanted on the flats when all is rubbed out; coats or sessions are computed from it",
        '"40 um"', unit="um", default="the usual film of the kind of piece",
    )  # fmt: skip

    @model_validator(mode="after")
    def _in_order(self) -> WishTable:
        if self.start and self.by and self.by < self.start:
            raise Refusal("by", f"{self.by} lies before the start, {self.start}",
                          "write a later day")  # fmt: skip
        return self


class ShopTable(FileTable):
    """The room and the week."""

    temp: w.Temperature | None = entry("usual air temperature", '"21 C"', unit="C",
                                       default="not known")  # fmt: skip
    rh: w.Humidity | None = entry('usual relative humidity: "45 %" or 0.45', '"45 %"', unit="1",
                                  default="not known")  # fmt: skip
    working_days: list[w.Weekday] = entry(
        "days of the week on which he works", '["mon", "tue", "wed", "thu", "fri"]', many=True,
        default="Monday to Friday",
    )  # fmt: skip
    closed: list[w.Dates] = entry(
        "days without work: single days, or the first and last day of a time away",
        '[2027-05-17, "2027-07-26 to 2027-08-06"]', many=True, default="none",
    )  # fmt: skip
    rag_plan: w.Text | None = entry(
        "where rags and pads with drying oil go; without it an oily step is stopped",
        '"spread flat on the fence outdoors until hard, then into the bin"',
        default="none, and that is said",
    )  # fmt: skip
    ignition: w.Texts = entry(
        "whatever flames, glows or sparks in the room", '["stove", "grinder"]', many=True,
        default="not asked about",
    )  # fmt: skip
    children: bool | None = entry("whether children come into the room", "true",
                                  default="not asked about")  # fmt: skip

    @model_validator(mode="after")
    def _each_day_once(self) -> ShopTable:
        if len(set(self.working_days)) < len(self.working_days):
            raise Refusal("working_days", "a day stands there twice", "write each day once")
        return self


class FlakesTable(FileTable):
    """One of several flakes of a mix."""

    lot: w.Text = entry("lot on the shelf, or a grade", '"amber 2026"', needed=True)
    share: w.Share | None = entry("its share of the resin by weight; all shares make 100 %",
                                  '"60 %"', unit="1", default="all, if it is alone")  # fmt: skip


class MixTable(FileTable):
    """A mix the job needs."""

    name: w.Text = entry("how the steps call it", '"body"', needed=True)
    cut: w.Cut | None = entry(
        "pounds of flakes per US gallon of alcohol, or with another unit", '"2-lb cut"',
        unit="lb/gal", default="that of the jar it is poured from",
    )  # fmt: skip
    grade: w.Grade | None = entry("grade of lac, if no lot is named", '"blonde"',
                                  default="that of the wish")  # fmt: skip
    alcohol: w.Text | None = entry(
        "a lot of alcohol on the shelf, an alcohol of the table, or a composition by weight",
        '"ethanol 85, methanol 10, water 5"', default="not known; masses are then left out",
    )  # fmt: skip
    lot: w.Text | None = entry("the one lot of flakes it is made from", '"amber 2026"',
                               default="any of the grade")  # fmt: skip
    flakes: list[FlakesTable] = entry(
        "several lots or grades and their shares, in place of lot",
        '[{ lot = "amber 2026", share = "60 %" }, { lot = "blonde", share = "40 %" }]', many=True,
    )  # fmt: skip
    reserve: w.ReserveOf | None = entry(
        "mixed on top of the need: a share, an amount, or 0", '"10 %"', unit="1 or ml",
        default="own figure reserve.share",
    )  # fmt: skip
    make: w.Ml | None = entry("a fixed batch of solution in place of the need", '"500 ml"',
                              unit="ml", default="what the job needs")  # fmt: skip
    new_applicators: int | None = entry(
        "new pads or brushes that are charged from it", "1", ge=0, le=MOST,
        default="own figure new_applicators",
    )  # fmt: skip
    dye: w.DyeShare | None = entry("dye concentrate in each litre of alcohol", '"10 ml/l"',
                                   unit="ml/l", default="0")  # fmt: skip
    jar: w.Text | None = entry("a ready jar on the shelf that is this mix", '"jar 12"',
                               default="it is mixed for the job")  # fmt: skip

    @model_validator(mode="after")
    def _flakes_once(self) -> MixTable:
        _only_one(self, "lot", "flakes")
        shares = [f.share for f in self.flakes]
        if len(shares) > 1 and None in shares:
            raise Refusal("flakes", "a share is missing", "give each its share, 100 % in all")
        total = sum(s for s in shares if s is not None)
        # Three thirds written as 33.3 % are meant to be a whole.
        if shares and None not in shares and abs(total - 1) > 0.005:
            raise Refusal("flakes", f"the shares make {total:.1%}", "make them 100 % in all")
        return self


class StepTable(FileTable):
    """One entry of the course of the job."""

    what: w.StepKind = entry("kind of step", '"coat"', needed=True)
    parts: w.Texts = entry("parts it is done on", '["top", "shelf"]', many=True,
                           default="all parts")  # fmt: skip
    faces: w.Texts = entry("faces it is done on", '["top"]', many=True,
                           default="all finished faces")  # fmt: skip
    times: int | None = entry(
        "how often it is done", "3", ge=1, le=MOST_TIMES,
        default="once; a coat or session as often as wish.film_left needs",
    )  # fmt: skip
    method: w.Method | None = entry("method of laying", '"brush"', default="that of the part")
    mix: w.Text | None = entry(
        "mix that is laid", '"body"',
        default='the one named like the step, then "body", then the first',
    )  # fmt: skip
    spread: w.Spreads = entry(
        "mix that leaves the jar for each m2: one for every coat, or a list from the first on",
        '["95 ml/m2", "85 ml/m2"]', unit="ml/m2", many=True, default="own figure spread.<method>",
    )  # fmt: skip
    uses: w.Ml | None = entry("mix that leaves the jar each time, all faces together", '"20 ml"',
                              unit="ml", default="own figure uses.<method>")  # fmt: skip
    wet: w.Um | None = entry("wet film that lies on the work", '"75 um"', unit="um",
                             default="from the spread")  # fmt: skip
    deposit: w.DepositOf | None = entry(
        "what stays for good each time, net: dry film or resin on a m2; nothing is deducted",
        '"4 um"', unit="um or g/m2", default="own figure deposit.<method>, else computed",
    )  # fmt: skip
    soaks_in: bool | None = entry("whether the whole of it soaks into the wood", "true",
                                  default="computed")  # fmt: skip
    lost: w.Share | None = entry("share of what leaves the jar that never reaches the work",
                                 '"5 %"', unit="1", default="own figure lost.<method>")  # fmt: skip
    removes: w.UmOrNone | None = entry("film that it takes off a flat", '"3 um"', unit="um",
                                       default="own figure removal.<step>")  # fmt: skip
    abrasive: w.Abrasive | None = entry("paper or powder, system and number", '"P400"',
                                        default="not said")  # fmt: skip
    edges: bool | None = entry("whether the edges get the sanding too", "false",
                               default="true")  # fmt: skip
    wait: w.Hours | None = entry(
        "time before the next step, and between repeats of this one", '"2 h"', unit="h",
        default="own figure wait.<method or step>",
    )  # fmt: skip
    rest: w.Rest | None = entry(
        "days before the next step, after the last repeat; calendar days unless written as "
        "working days", '"7 days"', unit="days", default="none",
    )  # fmt: skip
    working_day: bool | None = entry("whether it needs a working day", "true",
                                     default="as the kind of step does")  # fmt: skip
    hours: w.Hours | None = entry("working time each time it is done", '"30 min"', unit="h",
                                  default="not counted here")  # fmt: skip
    oil: w.Text | None = entry("oil on the pad or laid in this step", '"walnut"', default="none")
    note: w.Text | None = entry("anything he should read at the bench", '"with the grain"',
                                default="")  # fmt: skip

    @model_validator(mode="after")
    def _fits_its_kind(self) -> StepTable:
        row = table("steps")[self.what]
        _only_one(self, "spread", "uses", "wet")
        _only_one(self, "wet", "deposit")
        laying = ("method", "mix", "spread", "uses", "wet", "deposit", "soaks_in", "lost")
        if not row.yes("lays"):
            _none_of(self, laying, f"'{self.what}' lays no mix")
        if not row.yes("sands"):
            _none_of(self, ("removes", "edges"), f"'{self.what}' takes no film off")
        if self.lost == 1:
            raise Refusal("lost", "all of it is lost", "write the share that is lost, below 100 %")
        if self.wait is not None and self.rest is not None and (self.times or 2) < 2:
            raise Refusal("wait, rest", "both say when the next step is", "keep one of them")
        if self.what == "rest" and self.rest is None and self.wait is None:
            raise Refusal("rest", "a rest without its length", 'write e.g. rest = "7 days"')
        return self


class LotTable(FileTable):
    """Something on the shelf."""

    name: w.Text = entry("how the mixes and the shelf list call it", '"amber 2026"', needed=True)
    kind: Literal["flakes", "alcohol", "jar", "dye", "other"] = entry(
        "flakes, alcohol, jar (a mix), dye or other", '"flakes"', needed=True
    )
    have: w.Written | None = entry(
        "how much there is: flakes by weight, liquids by volume, other things by either or by "
        "number", '"400 g"', unit="g, ml or pieces", default="not known",
    )  # fmt: skip
    grade: w.Grade | None = entry("grade of flakes or of the jar", '"amber"', default="not known")
    wax: Literal["waxed", "dewaxed"] | None = entry("whether it holds its wax", '"waxed"',
                                                    default="not known")  # fmt: skip
    alcohol: w.Text | None = entry(
        "what the alcohol is, or the alcohol in the jar: a name or a composition by weight",
        '"ethanol-190"', default="not known",
    )  # fmt: skip
    cut: w.Cut | None = entry("cut of the jar", "2", unit="lb/gal", default="not known")
    date: w.Date | None = entry("day it was bought, a jar: mixed", "2027-01-10",
                                default="not known")  # fmt: skip
    tested: w.Date | None = entry("day of the last drying or dissolving test", "2027-02-20",
                                  default="not tested")  # fmt: skip
    passed: bool | None = entry("whether it passed the test", "true", default="not known")
    price: float | None = entry("price, in the currency of the quote", "30", ge=0, le=MOST_PRICE,
                                default="not known")  # fmt: skip
    price_for: w.Written | None = entry(
        "the amount that costs so much", '"1 kg"', unit="g, ml or pieces", alias="for",
        default="needed with a price",
    )  # fmt: skip

    @model_validator(mode="after")
    def _complete(self) -> LotTable:
        if self.have is not None:
            _stock(self, "have", self.have)
        if self.price_for is not None and _stock(self, "for", self.price_for)[0] == 0:
            raise Refusal("for", "an amount of zero", "write the amount that costs so much")
        if self.price is not None and self.price_for is None:
            raise Refusal("price", "nothing says for how much", 'add e.g. for = "1 kg"')
        if self.passed is not None and self.tested is None:
            raise Refusal("passed", "the day of the test is missing",
                          "add e.g. tested = 2027-02-20")  # fmt: skip
        if self.kind == "jar" and self.date and self.tested and self.tested < self.date:
            raise Refusal("tested", "it was tested before it was mixed", "mend one of the dates")
        if self.cut is not None and self.kind != "jar":
            raise Refusal("cut", f"{self.kind} has no cut", 'leave it out, or write kind = "jar"')
        if self.alcohol is not None and self.kind not in ("alcohol", "jar"):
            raise Refusal("alcohol", f"{self.kind} holds no alcohol", "leave it out")
        return self


def _stock(lot: LotTable, key: str, value: str | float) -> tuple[float, str]:
    try:
        return w.stock(value, lot.kind)
    except Refusal as refusal:
        raise refusal.at(key) from None


def _given(of: BaseModel, names: tuple[str, ...]) -> list[str]:
    return [n for n in names if getattr(of, n) not in (None, [])]


def _only_one(of: BaseModel, *names: str) -> None:
    given = _given(of, names)
    if len(given) > 1:
        raise Refusal(", ".join(given), "they say the same thing in different ways",
                      "keep one of them")  # fmt: skip


def _none_of(of: BaseModel, names: tuple[str, ...], why: str) -> None:
    given = _given(of, names)
    if given:
        raise Refusal(", ".join(given), why, "leave it out, or choose another kind of step")
