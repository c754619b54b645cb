"""What the invented shop really has and does: the truth that its people write down in part.

The record knows only what is written down. So that what is written down fits together (weights
before and after, jars that run low), the bench keeps the true amounts beside it.
"""

from __future__ import annotations

import datetime as dt
import math
import random
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from lacwright.shop.amounts import read_amount
from lacwright.shop.demo.diary import Diary
from lacwright.shop.demo.tables import rows
from lacwright.shop.facts import ALCOHOL, density_of
from lacwright.shop.ledger import grams, millilitres
from lacwright.shop.models import Lot
from lacwright.shop.services.jar_sums import takes_for
from lacwright.shop.services.jars import Take
from lacwright.solution import default_resin_density, read_grade

LOST = {"brush": 0.05, "pad": 0.08, "french-polish": 0.08, "wipe": 0.11, "spray-hvlp": 0.34}
"""Share of the resin taken that does not reach the work, in the hands of this shop."""
FILL_ML = {"brush": 6.0, "pad": 9.0, "french-polish": 9.0}
"""Mix that a new or washed pad or brush takes up."""
VAPOUR_G_M2_S = 0.15
FIRST = 1.3
"""How much more bare wood takes."""
HOURS_M2 = {"brush": 0.32, "pad": 0.25, "french-polish": 0.9, "wipe": 0.2, "spray-hvlp": 0.12}
PALE = ("bleached", "super-blonde")
"""Grades that want alcohol without water."""


@dataclass
class Bag:
    """A lot, and what is left of it [g]."""

    name: str
    kind: str
    grade: str
    comes: dt.date
    left_g: float
    density_g_ml: float


@dataclass
class Glass:
    """A jar, and what is in it."""

    name: str
    cut: float
    flakes: str
    spirit: str
    resin_g: float
    spirit_g: float
    spirit_g_ml: float
    tare_g: float
    mouth_mm: float

    @property
    def ml(self) -> float:
        """Volume of the mix."""
        return self.resin_g / default_resin_density() + self.spirit_g / self.spirit_g_ml

    @property
    def g(self) -> float:
        """Weight of the mix."""
        return self.resin_g + self.spirit_g

    def take(self, ml: float) -> tuple[float, float]:
        """Take some of the mix out; return its weight, and the resin in it [g]."""
        share = min(1.0, ml / self.ml) if self.ml > 0 else 0.0
        resin, spirit = share * self.resin_g, share * self.spirit_g
        self.resin_g -= resin
        self.spirit_g -= spirit
        return resin + spirit, resin

    def dry(self, g: float) -> None:
        """Let alcohol evaporate."""
        self.spirit_g = max(self.spirit_g - g, 0.0)


@dataclass
class Pad:
    """A pad, brush or gun, and the dry resin in it [g]."""

    name: str
    resin_g: float | None = None  # None: new, or washed
    told: bool = False  # whether somebody weighed what it took up when it was new


@dataclass
class Bench:
    """Everything the people of the shop see in front of them."""

    diary: Diary
    bags: dict[str, Bag] = field(default_factory=dict)
    glasses: dict[str, Glass] = field(default_factory=dict)
    pads: dict[str, Pad] = field(default_factory=dict)
    jar_of: dict[tuple[str, str], str] = field(default_factory=dict)
    """The jar of a mix of a job."""
    kept: set[str] = field(default_factory=set)
    """Jars that are not washed out."""

    def pick(self, grade: str, date: dt.date, need_g: float) -> str:
        """Return the oldest bag of a grade with enough in it, else the fullest.

        Raises
        ------
        LookupError
            If there is none at all: a fault of the story.
        """
        fits = [b for b in self.bags.values() if b.grade == grade and b.comes < date]
        if not fits:
            raise LookupError(f"no {grade} on {date}")
        enough = [b for b in fits if b.left_g > 1.03 * need_g + 5]
        if enough:
            return min(enough, key=lambda b: (b.comes, b.name)).name
        return max(fits, key=lambda b: b.left_g).name

    def spirit(self, grade: str, date: dt.date, need_g: float, pale: bool) -> str:
        """Return a can of alcohol that suits a grade."""
        fits = [
            b
            for b in self.bags.values()
            if b.kind == ALCOHOL and b.comes < date and b.name.startswith("spirit")
        ]
        absolute = self.bags.get("absolute H1")
        if pale and absolute is not None and absolute.comes < date and absolute.left_g > need_g:
            return absolute.name
        enough = [b for b in fits if b.left_g > 1.03 * need_g + 50]
        if not enough:
            return max(fits, key=lambda b: b.left_g).name
        return min(enough, key=lambda b: (b.comes, b.name)).name

    def mix(
        self, name: str, *, grade: str, cut: float, ml: float, date: dt.date,
        flakes: str | None = None, spirit: str | None = None,
    ) -> list[Take]:  # fmt: skip
        """Weigh a new mix out, as a scale and a measure show it; return what is taken."""
        need_g = cut * 120.0 * ml / 1000.0
        lot = flakes or self.pick(grade, date, need_g)
        can = spirit or self.spirit(grade, date, ml * 0.8, grade in PALE)
        exact = takes_for(cut=cut, flakes=[(lot, 1.0)], alcohol=can, solution_ml=ml)
        resin_g = round(_of(exact[0]) / 1e6 * self.diary.random.uniform(0.99, 1.01), 1)
        alcohol_ml = max(5.0 * round(_of(exact[1]) / 1e3 / 5), 5.0)
        bag = self.bags[can]
        self.glasses[name] = Glass(
            name, cut, lot, can, resin_g, alcohol_ml * bag.density_g_ml,
            bag.density_g_ml, float(self.diary.random.choice([186, 214, 243, 305])),
            60.0 if ml < 900 else 82.0,
        )  # fmt: skip
        return [self.out(lot, resin_g), self.out_ml(can, alcohol_ml)]

    def top_up(self, glass: Glass, ml: float) -> list[Take]:
        """Add fresh mix of the same cut to a jar; return what is taken."""
        lot = glass.flakes
        exact = takes_for(cut=glass.cut, flakes=[(lot, 1.0)], alcohol=glass.spirit, solution_ml=ml)
        resin_g, alcohol_ml = round(_of(exact[0]) / 1e6, 1), round(_of(exact[1]) / 1e3)
        glass.resin_g += resin_g
        glass.spirit_g += alcohol_ml * self.bags[glass.spirit].density_g_ml
        return [self.out(lot, resin_g), self.out_ml(glass.spirit, alcohol_ml)]

    def out(self, lot: str, g: float) -> Take:
        """Take grams of a lot."""
        self.bags[lot].left_g -= g
        return Take("lot", lot, grams(g))

    def out_ml(self, lot: str, ml: float) -> Take:
        """Take millilitres of a lot."""
        self.bags[lot].left_g -= ml * self.bags[lot].density_g_ml
        return Take("lot", lot, millilitres(ml))

    def pour(self, source: str, to: str, ml: float) -> Take:
        """Pour from a jar into another."""
        glass, other = self.glasses[source], self.glasses[to]
        g, resin = glass.take(ml)
        other.resin_g += resin
        other.spirit_g += g - resin
        return Take("jar", source, millilitres(ml))

    def evaporated(self, glass: Glass, open_min: float) -> float:
        """Return what an open jar loses [g]."""
        mouth = math.pi / 4 * (glass.mouth_mm / 1000) ** 2
        return VAPOUR_G_M2_S * mouth * 60 * open_min * self.diary.random.lognormvariate(0, 0.15)

    def air(self, date: dt.date) -> tuple[float, float]:
        """Return temperature [C] and relative humidity of a day."""
        row = _seasons()[date.month]
        draw = random.Random(f"air of {date}")  # the same however often it is asked
        return (round(row[0] + draw.gauss(0, 0.7), 1),
                round(min(max(row[1] + draw.gauss(0, 0.035), 0.25), 0.8), 2))  # fmt: skip


def bag_of(lot: Lot, comes: dt.date, amount: Any) -> Bag:
    """Return the true bag of a lot that was just written down."""
    density = density_of(lot)
    per = {"ug": 1e-6, "up": 1e-6, "ul": 1e-3 * density}
    left = 0.0 if amount is None else amount["n"] * per[amount["u"]]
    return Bag(lot.key, lot.kind, lot.grade, comes, left, density)


def parts(said: str) -> dict[str, float]:
    """Read "top: 0.55; frame: 0.80" into areas [m2], and the like."""
    pairs = (item.rpartition(":") for item in said.split(";") if item.strip())
    return {name.strip(): float(value) for name, _, value in pairs}


def amount(said: str, *, kind: str, unit: str) -> Any:
    """Read an amount; empty = not said."""
    return read_amount(said, "amount", of=kind, unit=unit) if said else None


def grade_key(said: str) -> str:
    """Return the grade as the record keeps it."""
    return read_grade(said, where="grade")[0].key


def _of(take: Take) -> float:
    assert take.amount is not None
    return float(take.amount["n"])


@cache
def _seasons() -> dict[int, tuple[float, float]]:
    return {int(r["month"]): (float(r["temp_c"]), float(r["rh"])) for r in rows("seasons.csv")}
