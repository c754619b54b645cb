"""The tables of a piece file about hours and prices, and about a class."""

from __future__ import annotations

from typing import Literal

from pydantic import model_validator

from lacwright.figures import Refusal
from lacwright.files import words as w
from lacwright.files.checks import MOST, MOST_PRICE, FileTable, entry


class HoursTable(FileTable):
    """Working hours of one kind of work."""

    what: w.Text = entry("which work", '"brushing"', needed=True)
    fixed: w.Hours | None = entry("once for the job", '"1.5 h"', unit="h", default="0")
    per_m2: w.Hours | None = entry("for each m2", '"0.25 h"', unit="h/m2", default="0")
    per_coat: w.Hours | None = entry("for each coat or session", '"10 min"', unit="h", default="0")
    per_m2_coat: w.Hours | None = entry("for each m2 of each coat", '"6 min"', unit="h/m2",
                                        default="0")  # fmt: skip
    faces: w.Texts = entry("faces whose area and coats count", '["top"]', many=True,
                           default="all finished faces")  # fmt: skip
    parts: w.Texts = entry("parts whose area and coats count", '["shelf"]', many=True,
                           default="all parts")  # fmt: skip

    @model_validator(mode="after")
    def _some_hours(self) -> HoursTable:
        if all(v is None for v in (self.fixed, self.per_m2, self.per_coat, self.per_m2_coat)):
            raise Refusal("fixed", "the line has no hours",
                          "give fixed, per_m2, per_coat or per_m2_coat")  # fmt: skip
        return self


class MaterialTable(FileTable):
    """A material that stands on no lot of the shelf."""

    what: w.Text = entry("which material", '"abrasive sheets"', needed=True)
    amount: float = entry("how many", "6", needed=True, ge=0)
    price: float = entry("price of one", "0.8", needed=True, ge=0, le=MOST_PRICE)
    per: w.Text | None = entry("what one is", '"sheet"', default="")


class QuoteTable(FileTable):
    """What a quote is made from; nothing is assumed."""

    currency: w.Text | None = entry("how prices are written", '"EUR"', default="money")
    rate: float | None = entry("price of a working hour", "45", unit="per h", ge=0, le=MOST_PRICE,
                               default="none, and labour is left out with the reason")  # fmt: skip
    contingency: w.Share | None = entry("share added for what nobody foresaw", '"10 %"', unit="1",
                                        default="none")  # fmt: skip
    contingency_on: Literal["labour", "materials", "labour and materials"] | None = entry(
        "what the share is taken of", '"labour"', default='"labour and materials"'
    )
    hours: list[HoursTable] = entry(
        "lines of hours, each a [[quote.hours]] table", '[{ what = "brushing", fixed = "1.5 h" }]',
        many=True, default="none",
    )  # fmt: skip
    material: list[MaterialTable] = entry(
        "lines of materials, each a [[quote.material]] table",
        '[{ what = "abrasive sheets", amount = 6, price = 0.8 }]', many=True, default="none",
    )  # fmt: skip


class ExerciseTable(FileTable):
    """An exercise of a class."""

    name: w.Text = entry("what it is called", '"first brushing"', needed=True)
    area: w.Area | None = entry("area of one item", '"0.06 m2"', unit="m2",
                                default="from size and count")  # fmt: skip
    size: w.Area | None = entry("length and width of one side, in place of area",
                                '"300x200 mm"', unit="m2", default="the area")  # fmt: skip
    count: int | None = entry("how many such sides one item has", "2", ge=1, le=MOST, default="1")
    coats: int = entry("coats on each item", "3", needed=True, ge=1, le=MOST)
    mix: w.Text = entry("mix that is laid", '"brushing"', needed=True)
    per_person: float | None = entry("items each person does", "1", gt=0, default="1")
    method: w.Method | None = entry("method of laying", '"brush"', default='"brush"')
    spread: w.Spread | None = entry("mix that leaves the jar for each m2 and coat", '"90 ml/m2"',
                                    unit="ml/m2", default="own figure spread.<method>")  # fmt: skip

    @model_validator(mode="after")
    def _one_area(self) -> ExerciseTable:
        if (self.area is None) == (self.size is None):
            raise Refusal("area, size", "one of the two says how large an item is",
                          'give area = "0.06 m2" or size = "300x200 mm"')  # fmt: skip
        return self


class ItemTable(FileTable):
    """A thing that each person of a class gets."""

    what: w.Text = entry("what it is", '"soft brush, 25 mm"', needed=True)
    per_person: float = entry("how many for each person", "1", needed=True, ge=0)
    price: float | None = entry("price of one", "6.5", ge=0, le=MOST_PRICE, default="not known")


class ClassTable(FileTable):
    """A class: who comes, what each does, what is lost."""

    students: int = entry("students", "6", needed=True, ge=1, le=MOST)
    demonstrators: int | None = entry("people who show it; they use material and do not pay", "1",
                                      ge=0, le=MOST, default="0")  # fmt: skip
    spare: w.Share | None = entry("spare on top of what everybody uses", '"15 %"', unit="1",
                                  default="own figure class.spare_share")  # fmt: skip
    cleaning: w.MlOrNone | None = entry("cleaning alcohol for each person", '"50 ml"', unit="ml",
                                        default="own figure class.cleaning_ml")  # fmt: skip
    exercise: list[ExerciseTable] = entry(
        "exercises, each a [[class.exercise]] table",
        '[{ name = "first brushing", area = "0.06 m2", coats = 3, mix = "brushing" }]', many=True,
        default="none",
    )  # fmt: skip
    lost: dict[str, w.MlOrNone] | None = entry(
        "table [class.lost]: what each person loses of each mix, by its name",
        '{ brushing = "15 ml" }', unit="ml", default="nothing",
    )  # fmt: skip
    item: list[ItemTable] = entry(
        "things for each person, each a [[class.item]] table",
        '[{ what = "soft brush, 25 mm", per_person = 1, price = 6.5 }]', many=True,
        default="none",
    )  # fmt: skip
