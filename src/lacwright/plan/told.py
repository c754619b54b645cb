"""What a plan says, in words: the sentence with the action, amounts to the step of a scale, notes.

Commands and pages show the same words.
"""

from __future__ import annotations

import datetime as dt
from collections import Counter
from dataclasses import dataclass, replace
from itertools import groupby

from lacwright.figures import Figure
from lacwright.figures.spoken import brief, to_step
from lacwright.figures.units import G_PER_L_PER_CUT
from lacwright.plan.amounts import Amount
from lacwright.plan.build import Plan
from lacwright.plan.tasks import Wait


@dataclass(frozen=True)
class CoatRow:
    """Like coats that follow each other.

    Parameters
    ----------
    n : int
        How many.
    what, parts, method, ml, mix, after : str
        What each of them is, in words.
    adds : str
        Dry film each of them adds [um], "3.1" or "3.1 to 3.4".
    """

    n: int
    what: str
    parts: str
    method: str
    ml: str
    mix: str
    after: str
    adds: str

    @property
    def words(self) -> str:
        """It in a line."""
        n = f"{self.n} x " if self.n > 1 else ""
        return (f"{n}{self.what} on {self.parts}, {self.method}: {self.ml} ml of {self.mix}, adds "
                f"{self.adds} um; {self.after}")  # fmt: skip


def banded(figure: Figure, unit: str, digits: int = 2) -> str:
    """Return "38 um (26 to 55)", the band left out where there is none."""
    if figure.value is None:
        return f"not known ({figure.missing})"
    low, high = figure.low or 0.0, figure.high or 0.0
    text = f"{brief(figure.value, digits)} {unit}"
    if high - low > 0.02 * abs(figure.value):
        text += f" ({brief(low, digits)} to {brief(high, digits)})"
    return text


def day(date: dt.date) -> str:
    """Return "Mon 1 Mar 2027"."""
    return f"{date:%a} {date.day} {date:%b %Y}"


def sentence(plan: Plan) -> str:
    """Return the first sentence: what to do, and when it is done."""
    what = what_is_laid(plan)
    if plan.suitability.verdict == "unsuited":
        what = f"Shellac alone is unsuited here, see below. As wished: {what[0].lower()}{what[1:]}"
    if plan.film is not None and (n := len(plan.film.run.refused)):
        what += f" ({n} sanding{'s' if n > 1 else ''} refused, see below)"
    if plan.finish is None or plan.calendar is None:
        return f"{what}."
    finish = plan.finish
    done = "done" if plan.coats else "ready"
    when = f"start {day(plan.calendar.entries[0].date)}, {done} {day(finish.earliest)}"
    if finish.wished is None:
        return f"{what}: {when}."
    if not finish.days_late:
        return f"{what}: {when}, in time for {day(finish.wished)}."
    late = f"{finish.days_late} day" + ("s" if finish.days_late > 1 else "")
    start = (
        f"it would have had to start by {day(finish.latest_start)}" if finish.latest_start
        else "no start within five years is early enough"
    )  # fmt: skip
    return f"Not by {day(finish.wished)}. {what}: {when}, {late} late; {start}."


def suitability_lines(plan: Plan) -> list[str]:
    """Return whether shellac is right for it, with the reasons; nothing where it simply is."""
    suit = plan.suitability
    if suit.verdict == "suited":
        return []
    lines = [
        f"{g.verdict.capitalize()}, {g.about}: {g.reason}." for g in suit.grounds
        if g.verdict != "suited" or g.reason in suit.reasons
    ]  # fmt: skip
    lines += [f"  Heed: {condition}." for condition in suit.conditions]
    if suit.alternative:
        lines.append(f"  Instead: {suit.alternative}.")
    return lines


def what_is_laid(plan: Plan) -> str:
    """Return what is to be done: "Lay 5 coats by brush on Side table"."""
    if not plan.coats:
        if plan.piece.course is not None:
            heads = plan.figures["class.heads"].number()
            mixes = ", ".join(
                f"{to_step(a.figures['solution'].number(), 1)} ml {a.spec.name}" for a in plan.mixes
            )
            return f"Mix {mixes} for a class of {heads:.0f} at work"
        return f"Nothing is laid on {plan.piece.title}"
    layings = {c.laying.key: c.laying for c in plan.coats}.values()
    counts = Counter((c.step.what, c.method) for c in layings)
    words = []
    for (what, method), n in counts.items():
        noun = {"seal": "seal coat", "glaze": "glaze session"}.get(what, what)
        by = {"brush": "by brush", "pad": "by pad", "wipe": "by cloth"}.get(method, "")
        words.append(f"{n} {noun}{'s' if n > 1 else ''} {by}".strip())
    return f"Lay {', '.join(words)} on {plan.piece.title}"


def mix_lines(one: Amount, plan: Plan, scale_g: float, measure_ml: float) -> list[str]:
    """Return what to weigh and measure for a mix; the first line is the action."""
    spec, f = one.spec, one.figures
    solution = f["solution"]
    per_l = spec.cut_lb_per_gal * G_PER_L_PER_CUT
    head = f"{spec.name}: {spec.cut_lb_per_gal:g}-lb cut ({per_l:.0f} g per litre of alcohol)"
    if spec.jar is not None:
        lines = [f"{head} from jar '{spec.jar}': {to_step(solution.number(), measure_ml)} ml"]
        left = next((r.left for r in plan.shelf if r.lot == spec.jar), None)
        if left is not None and left < 0:
            lines.append(f"  SHORT: the jar holds {-left:.0f} ml less than that")
        return lines
    alcohol = spec.alcohol.lot if spec.alcohol is not None else "alcohol (not said which)"
    flakes = " + ".join(
        f"{to_step(share * f['resin'].number(), scale_g)} g {name}" for name, share in one.per_lot
    )
    dye = f" and {to_step(f['dye'].number(), 0.1)} ml of dye" if "dye" in f else ""
    lines = [
        f"{head}: {flakes} into {to_step(f['alcohol'].number(), measure_ml)} ml {alcohol}{dye}"
    ]
    parts = [
        f"{name} {to_step(f[key].number(), measure_ml)}"
        for key, name in (("coats", "coats"), ("applicators", "new pads and brushes"),
                          ("for_class", "class"), ("reserve", "reserve"))
        if key in f and f[key].number() > 0
    ]  # fmt: skip
    needed = f["needed"]
    lines.append(f"  makes {to_step(solution.number(), measure_ml)} ml = {', '.join(parts)} ml; "
                 f"the job takes {banded(needed, 'ml')}")  # fmt: skip
    if spec.make_ml is not None and spec.make_ml < needed.number():
        lines.append(f"  SHORT: {needed.number() - spec.make_ml:.0f} ml more are needed")
    ready = plan.figures.get(f"mix.{spec.name}.ready_after")
    if ready is not None:
        lines.append(f"  dissolved after about {banded(ready, 'h')}; strain it then")
    return lines


def coat_rows(plan: Plan) -> list[CoatRow]:
    """Return the coats in order, like ones together: the spread of a single coat is left out."""
    rows = []
    for _, group in groupby(plan.coats, lambda c: c.laying.key):
        members = list(group)
        first = members[0]
        wait = first.wait
        after = _after(wait)
        laying = first.laying
        parts = ", ".join(m.part for m in members)
        if laying.step.faces:
            parts += f" ({', '.join(laying.step.faces)})"
        used = laying.used.number()
        ml = to_step(used, 1) if used >= 10 else brief(used, 2)
        row = CoatRow(1, laying.step.what, parts, laying.method, ml, laying.mix.name, after, "")
        rows.append((row, first.film.number()))
    out = []
    for row, like in groupby(rows, lambda r: r[0]):
        films = [f"{um:.1f}" for _, um in like]
        adds = films[0] if len(set(films)) == 1 else f"{films[0]} to {films[-1]}"
        out.append(replace(row, n=len(films), adds=adds))
    return out


def _after(wait: Wait) -> str:
    """Return the wait after a coat, with what the model has beside the usual one."""
    rests = (
        f"rest {wait.rest_days:g} days" if wait.rest_days
        else f"rest {wait.rest_working_days} working days" if wait.rest_working_days else ""
    )  # fmt: skip
    if wait.model is None:
        return rests or f"wait {brief(wait.hours, 2)} h"
    days = f"more than {brief(wait.model.number() / 24, 1)} days"
    model = days if wait.beyond else banded(wait.model, "h")
    if wait.figure is wait.model:
        usual = rests.removeprefix("rest ") or f"{brief(wait.practice.number(), 2)} h"
        return f"wait {model} by the model, usual {usual}"
    return f"{rests or f'wait {brief(wait.hours, 2)} h'}, model {model}"


def film_lines(plan: Plan) -> list[str]:
    """Return a line for each part, or for faces with a course of their own; like ones together."""
    if plan.film is None:
        return []
    places: dict[str, list[str]] = {}
    for place in plan.film.places:
        name = f"{place.part} ({', '.join(place.faces)})" if place.faces else place.part
        flat, edge = (plan.figures[f"{place.prefix}.{k}_left"] for k in ("flat", "edge"))
        told = f"flats {banded(flat, 'um')}, edges {banded(edge, 'um')}"
        places.setdefault(told, []).append(name)
    return [f"{', '.join(names)}: {told}" for told, names in places.items()]


def refused_lines(plan: Plan) -> list[str]:
    """Return the sandings that are refused, with the reason."""
    return [r.text for r in plan.film.run.refused] if plan.film else []


def shelf_lines(plan: Plan, scale_g: float, measure_ml: float) -> list[str]:
    """Return what the shelf must hold."""
    lines = []
    for row in plan.shelf:
        step = scale_g if row.unit == "g" else measure_ml
        need = to_step(row.need.number(), step)
        have = "not said" if row.have is None else f"{to_step(row.have, step)} {row.unit}"
        left = "" if row.left is None else f", left {to_step(row.left, step)} {row.unit}"
        lines.append(f"{row.lot}: need {need} {row.unit}, have {have}{left}: {row.word}")
    return lines


def class_lines(plan: Plan, measure_ml: float) -> list[str]:
    """Return what a class takes, a head and in all."""
    if plan.piece.course is None:
        return []
    f = plan.figures
    lines = [
        f"{name.removeprefix('class.per_head.')}: {to_step(f[name].number(), 1)} ml a head, "
        f"{to_step(f[name.replace('per_head', 'total')].number(), measure_ml)} ml in all "
        f"(with {f['class.spare'].number():.0%} spare)"
        for name in f if name.startswith("class.per_head.")
    ]  # fmt: skip
    lines.append(f"cleaning alcohol: {to_step(f['class.cleaning'].number(), measure_ml)} ml")
    lines += [
        f"{name.removeprefix('class.item.')}: {f[name].number():g}"
        for name in f if name.startswith("class.item.")
    ]  # fmt: skip
    cost = f.get("quote.per_student")
    if cost is not None:
        told = str(cost.missing) if cost.value is None else f"{cost.value:.2f} {cost.unit}"
        lines.append(f"materials and items for each student: {told}")
    return lines


def quote_lines(plan: Plan) -> list[str]:
    """Return the lines of the quote."""
    if plan.piece.quote is None:
        return []
    lines = []
    for name in ("hours", "labour", "materials", "contingency", "total"):
        figure = plan.figures[f"quote.{name}"]
        if figure.value is None:
            lines.append(f"{name}: {figure.missing}")
        elif name == "hours":
            lines.append(f"hours: {figure.value:.1f} h")
        else:
            low, high = figure.low or 0.0, figure.high or 0.0
            spread = f" ({low:.0f} to {high:.0f})" if high - low > 0.5 else ""
            lines.append(f"{name}: {figure.value:.2f} {figure.unit}{spread}")
    return lines
