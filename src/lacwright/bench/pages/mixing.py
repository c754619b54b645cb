"""The five-minute answer: amounts from volume, cut and grade; times from size, coats, method."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from lacwright.bench import plans
from lacwright.bench.toml_text import written
from lacwright.figures import Caution, Figure, Refusal, Stop
from lacwright.figures.draws import Draws
from lacwright.figures.units import G_PER_L_PER_CUT
from lacwright.plan import MixSpec, Tonight, tonight
from lacwright.plan.amounts import amount
from lacwright.plan.own import OwnFigures
from lacwright.plan.stock import ready_figure
from lacwright.shop import clock
from lacwright.shop.ledger import grams, millilitres
from lacwright.shop.queries.near import tested_jars
from lacwright.shop.queries.remembered import remembered
from lacwright.shop.services.jars import GRADE, LOT, SPIRIT, Take
from lacwright.solution import NOT_STATED, cautions_of, read_alcohol
from lacwright.surface.typed import part_typed


@dataclass(frozen=True)
class AmountsAnswer:
    """What to weigh and measure."""

    volume_ml: float
    cut: float
    grade: str
    resin: Figure
    alcohol: Figure
    ready: Figure | None
    g_per_l: float
    cautions: tuple[Caution, ...]


def amounts(*, volume: float, cut: float, grade: str, alcohol: str) -> AmountsAnswer:
    """Return flakes and alcohol for a volume [ml] of a cut [lb/gal]."""
    if volume <= 0:
        raise Refusal("make", "nothing is to be made", "write e.g. 200 ml")
    spec = _spec(volume, cut, grade, alcohol)
    own = OwnFigures((), Draws(500, 0))
    mixed = amount(spec, (), own, class_mix=None, temp_c=20.0)
    spirit = spec.alcohol or NOT_STATED
    return AmountsAnswer(volume, cut, grade.replace("-", " "), mixed.figures["resin"],
                         mixed.figures["alcohol"], ready_figure(spec, own), cut * G_PER_L_PER_CUT,
                         cautions_of([spirit], "warm-bath"))  # fmt: skip


@dataclass(frozen=True)
class TimesAnswer:
    """When to lay which coat."""

    made: Tonight
    film: Figure
    needed: Figure
    left: Figure
    cautions: tuple[Caution, ...]
    stops: tuple[Stop, ...]


def coat_times(
    *, volume: float, cut: float, grade: str, alcohol: str, what: str, size: str, coats: int,
    method: str, start: dt.time, now: dt.datetime,
) -> TimesAnswer:  # fmt: skip
    """Return the coats on the clock, by own figures and with tested jars where there are any."""
    own = plans.own_now()
    shelf = remembered(("tested jars", str(now.tzinfo), now.date()),
                       lambda: tested_jars(now_us=clock.to_us(now)))  # fmt: skip
    made = tonight(part=part_typed(what, size), mix=_spec(volume, cut, grade, alcohol),
                   coats=coats, method=method, begin=dt.datetime.combine(now.date(), start),
                   hand=(own,), shelf=shelf)  # fmt: skip
    f = made.figures
    return TimesAnswer(made, f["film.flat"], f["needed"], f["left_over"], made.cautions, made.stops)


def takes_of(
    answer: AmountsAnswer, *, grade: str, alcohol: str, flakes_lot: str, alcohol_lot: str
) -> list[Take]:  # fmt: skip
    """Return what goes into the jar; of what no lot is said, the grade and the alcohol."""
    resin, spirit = grams(answer.resin.number()), millilitres(answer.alcohol.number())
    return [
        Take(LOT, flakes_lot, resin) if flakes_lot else Take(GRADE, grade, resin),
        Take(LOT, alcohol_lot, spirit) if alcohol_lot else Take(SPIRIT, alcohol, spirit),
    ]


def piece_text(
    *, title: str, what: str, size: str, coats: int, method: str, mix: Mapping[str, Any]
) -> str:  # fmt: skip
    """Return the piece file of what was typed: one part, one mix, so many coats."""
    part = {"name": what if what != "area" else "piece", "shape": what, "wood": "unknown",
            "area" if what == "area" else "size": size, "method": method}  # fmt: skip
    return written({
        "title": title, "part": [part], "mix": [{"name": "body", **mix}],
        "step": [{"what": "coat", "times": coats, "mix": "body", "method": method}],
    })  # fmt: skip


def mix_table(
    *, cut: float, grade: str, alcohol: str, flakes_lot: str, alcohol_lot: str
) -> dict[str, Any]:  # fmt: skip
    """Return the mix as a piece file has it before it stands in a jar."""
    named = {"lot": flakes_lot} if flakes_lot else {"grade": grade}
    spirit = alcohol_lot or alcohol
    return {"cut": cut, **named, **({"alcohol": spirit} if spirit else {})}


def _spec(volume: float, cut: float, grade: str, alcohol: str) -> MixSpec:
    return MixSpec("tonight", cut, grade=grade, make_ml=volume, reserve_ml=0.0,
                   alcohol=read_alcohol(alcohol) if alcohol else None)  # fmt: skip
