"""The plan as its page shows it: the sentence with the action, amounts, coats, film, days."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby

from lacwright.bench.pages.air import AirShown, of_plan
from lacwright.bench.pages.jobs import on_part
from lacwright.bench.plainly import plain
from lacwright.bench.plans import Made
from lacwright.figures import Figure
from lacwright.figures.spoken import to_step
from lacwright.figures.units import G_PER_L_PER_CUT
from lacwright.plan import Amount, Plan, told
from lacwright.plan.keys import clock


@dataclass(frozen=True)
class MixShown:
    """What to weigh and measure for a mix, or to take from a jar."""

    name: str
    jar: str
    cut: float
    g_per_l: float
    flakes: tuple[tuple[str, float], ...]  # lot or grade, and its grams
    alcohol: str
    figures: tuple[tuple[str, Figure], ...]
    resin: Figure
    alcohol_ml: Figure
    solution: Figure
    dye_ml: float
    ready: Figure | None
    short: str


@dataclass(frozen=True)
class Day:
    """What is done on a day, with the hour."""

    date: dt.date
    lines: tuple[tuple[str, str, dt.date | None], ...]


@dataclass(frozen=True)
class PlanPage:
    """A plan."""

    sentence: str
    suited: tuple[str, ...]
    mixes: tuple[MixShown, ...]
    coats: tuple[told.CoatRow, ...]
    coat_figures: tuple[tuple[str, Figure, Figure], ...]  # coat, mix it takes, film it adds
    film: tuple[tuple[str, Figure, Figure], ...]  # places, flats, edges
    film_parts: tuple[str, ...]  # that have a drawing of their film
    refused: tuple[str, ...]
    days: tuple[Day, ...]
    finish: dt.date | None
    shelf: tuple[str, ...]
    course: tuple[str, ...]
    quote: tuple[tuple[str, Figure, int], ...]  # what, how much, figures to show
    notes: tuple[str, ...]
    line: str
    begun_before: bool  # its first day has passed
    air: AirShown | None
    no_air: str  # why the air is not estimated


def plan_page(made: Made, today: dt.date) -> PlanPage:
    """Return a plan as its page shows it."""
    plan = made.plan
    days = _days(plan)
    return PlanPage(
        told.sentence(plan), tuple(told.suitability_lines(plan)),
        tuple(_mix(one, plan) for one in plan.mixes), tuple(told.coat_rows(plan)),
        _coat_figures(plan), _film(plan), film_parts(plan), tuple(told.refused_lines(plan)), days,
        None if plan.calendar is None else plan.calendar.finish,
        tuple(told.shelf_lines(plan, 0.1, 1.0)), tuple(told.class_lines(plan, 1.0)),
        _quote(plan), tuple(plain(note, {}) for note in plan.notes), made.line,
        bool(days) and days[0].date < today, of_plan(plan),
        "" if plan.no_air is None else plan.no_air.what,
    )  # fmt: skip


def film_parts(plan: Plan) -> tuple[str, ...]:
    """Return the parts on which something is laid; of parts that are alike, the first."""
    if plan.film is None:
        return ()
    seen: dict[object, str] = {}
    for part in dict.fromkeys(s.part for s in plan.film.run.steps):
        mine = [s for s in plan.film.run.steps if s.part == part]
        like = tuple((s.what, round(_central(s.flat_um), 3), round(_central(s.edge_um), 3))
                     for s in mine)  # fmt: skip
        seen.setdefault(like, part)
    return tuple(seen.values())


def alike(plan: Plan, part: str) -> tuple[str, ...]:
    """Return the parts whose film is that of a part."""
    flats, edges = f"film.{part}.flat_left", f"film.{part}.edge_left"
    if flats not in plan.figures:
        return (part,)
    mine = plan.figures[flats].value, plan.figures[edges].value
    return tuple(
        p.name for p in plan.piece.parts
        if (f := plan.figures.get(f"film.{p.name}.flat_left")) is not None
        and (f.value, plan.figures[f"film.{p.name}.edge_left"].value) == mine
    ) or (part,)  # fmt: skip


def _central(um: object) -> float:
    import numpy as np

    return float(np.atleast_1d(np.asarray(um, dtype=float))[0])


def _mix(one: Amount, plan: Plan) -> MixShown:
    spec, f = one.spec, one.figures
    short = ""
    if spec.jar is not None:
        left = next((r.left for r in plan.shelf if r.lot == spec.jar), None)
        if left is not None and left < 0:
            short = f"the jar holds {-left:.0f} ml less than that"
    elif spec.make_ml is not None and spec.make_ml < f["needed"].number():
        short = f"{f['needed'].number() - spec.make_ml:.0f} ml more are needed"
    lines = tuple((name, f[key]) for key, name in (
        ("coats", "coats"), ("applicators", "new pads and brushes"), ("for_class", "class"),
        ("reserve", "reserve"), ("needed", "the job takes in all"),
    ) if key in f and f[key].number() > 0)  # fmt: skip
    return MixShown(
        spec.name, spec.jar or "", spec.cut_lb_per_gal, spec.cut_lb_per_gal * G_PER_L_PER_CUT,
        tuple((name, share * f["resin"].number()) for name, share in one.per_lot),
        spec.alcohol.lot if spec.alcohol is not None else "", lines, f["resin"], f["alcohol"],
        f["solution"], f["dye"].number() if "dye" in f else 0.0,
        plan.figures.get(f"mix.{spec.name}.ready_after"), short,
    )  # fmt: skip


def _coat_figures(plan: Plan) -> tuple[tuple[str, Figure, Figure], ...]:
    return tuple(
        (f"{c.laying.step.what.capitalize()} {c.laying.number} on {c.part}", c.laying.used, c.film)
        for c in plan.coats
    )


def _film(plan: Plan) -> tuple[tuple[str, Figure, Figure], ...]:
    if plan.film is None:
        return ()
    out: dict[tuple[float | None, ...], tuple[list[str], Figure, Figure]] = {}
    for place in plan.film.places:
        name = f"{place.part} ({', '.join(place.faces)})" if place.faces else place.part
        flat, edge = (plan.figures[f"{place.prefix}.{k}_left"] for k in ("flat", "edge"))
        like = (flat.value, flat.low, flat.high, edge.value)
        out.setdefault(like, ([], flat, edge))[0].append(name)
    return tuple((", ".join(names), flat, edge) for names, flat, edge in out.values())


def _quote(plan: Plan) -> tuple[tuple[str, Figure, int], ...]:
    """Return the lines of the quote under the words of the maker, money to the hundredth."""
    spec, out = plan.piece.quote, []
    for name, figure in plan.figures.items() if spec is not None else ():
        head, _, rest = name.partition(".")
        kind, _, more = rest.partition(".")
        if head != "quote":
            continue
        if kind == "hours" and more.isdecimal() and spec is not None:
            rest = spec.hours[int(more) - 1].what
        elif kind in ("lot", "material"):
            rest = more
        places = 1 if figure.unit == "h" else 2
        digits = len(f"{abs(figure.value or 0):.0f}") + places
        out.append((rest.replace("_", " "), figure, digits))
    return tuple(out)


def _days(plan: Plan) -> tuple[Day, ...]:
    if plan.calendar is None:
        return ()
    out = []
    for date, group in groupby(plan.calendar.entries, lambda e: e.date):
        lines = tuple(
            ("" if e.counts == "rest" else clock(e.hour), on_part(e.what, e.part),
             e.until if (e.until - date).days > 1 else None)
            for e in group
        )  # fmt: skip
        out.append(Day(date, lines))
    return tuple(out)


def amounts_words(flakes: Iterable[tuple[str, float]]) -> str:
    """Return what is weighed: "114.7 g blonde + 12.0 g amber"."""
    return " + ".join(f"{to_step(g, 0.1)} g {name}" for name, g in flakes)
