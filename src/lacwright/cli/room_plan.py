"""The coats and the cleaning of a plan as sources of vapour, on the hours of its calendar."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from lacwright.cli.room_coats import drying_curves, emission_of
from lacwright.cli.room_options import DRYING, FIRST_ORDER
from lacwright.figures import Caution, Refusal, Stop, central

if TYPE_CHECKING:
    from lacwright.drying import WetCoat
    from lacwright.figures import Num
    from lacwright.plan import Plan
    from lacwright.plan.calendar import Entry
    from lacwright.plan.laying import Laying
    from lacwright.room import Emission, Source

MOST_DRAWS = 257
TOLD_HERE = ("air-not-estimated", "alcohol-unknown", "methanol-present")
"""Codes of a plan that the estimate of the air takes the place of."""
HOURS_A_DAY = 24.0


def plan_sources(
    plan: Plan, *, emission: str, temp_c: float | None, rh: float | None
) -> tuple[tuple[Source, ...], tuple[str, ...]]:
    """Return what a plan sets free, and what was taken for granted.

    Parameters
    ----------
    plan : Plan
        With a calendar.
    emission : str
        One of the choices of --emission.
    temp_c, rh : float or None
        Of the room, for the model of the drying coat; the plan's shop where None.

    Raises
    ------
    Refusal
        For a plan without coats, or with a mix whose alcohol is not said.
    """
    from lacwright.room import Source, solvents_g
    from lacwright.trade import table

    laid = tuple(_laid(plan))
    if not laid:
        raise Refusal("--plan", "no coat with a day is in it", "name the coats with --coat")
    first = min((e.date for e, _ in laid))
    notes: list[str] = []
    curves = _Curves(plan, temp_c, rh) if emission == DRYING else None
    out = []
    for entry, laying in laid:
        each = {s: g / 1000.0 for s, g in solvents_g(_known(laying)).items()}  # g for each ml
        over = laying.step.hours or None
        kind = emission
        way: dict[str, Emission] | None = None
        if curves is not None:
            way = curves.of(laying)
            kind = DRYING if way is not None else FIRST_ORDER
        out.append(Source(
            what=f"{laying.step.what} {laying.number}, {laying.track}", start_h=_at(entry, first),
            grams={s: _thinned(laying.used_draws) * _thinned(g) for s, g in each.items()},
            emission=emission_of(kind, over, curves=way, where=f"--plan, {laying.key}"),
            over_h=over, liquid_ml=laying.used.number(),
            sprayed=table("methods")[laying.method].text("kind") == "spray",
        ))  # fmt: skip
    out += _cleaning(plan, laid, first)
    if curves is not None:
        notes += curves.notes
    elif emission == FIRST_ORDER:
        notes.append("a first-order drying of the coats")
    else:
        notes.append(f"solvent set free {emission.replace('-', ' ')}")
    return tuple(out), tuple(notes)


def with_plan(
    plan: Plan, cautions: tuple[Caution, ...], stops: tuple[Stop, ...]
) -> tuple[tuple[Caution, ...], tuple[Stop, ...]]:
    """Return the words of the air with those of the plan, each code once, the standing line last.

    What the plan says for want of an estimate is left out.
    """
    have = {c.code for c in cautions} | {s.code for s in stops} | set(TOLD_HERE)
    more = tuple(c for c in plan.cautions if c.code not in have)
    also = tuple(s for s in plan.stops if s.code not in have)
    stops = (*stops, *also)
    said = tuple(c for c in cautions if c.code != "no-stop" or not stops)
    return (*said[:-1], *more, said[-1]), stops


def _laid(plan: Plan) -> Iterator[tuple[Entry, Laying]]:
    """Return each coat with its entry in the calendar, in order of time."""
    if plan.calendar is None:
        return
    layings = {(c.laying.track, c.laying.index): c.laying for c in plan.coats}
    names = [t.name for t in plan.course if t.steps]
    entries = plan.calendar.entries
    mixes = max((e.track for e in entries), default=0) + 1 - len(names)
    for entry in entries:
        if entry.index is None or entry.track < mixes:
            continue
        laying = layings.get((names[entry.track - mixes], entry.index))
        if laying is not None:
            yield entry, laying


def _at(entry: Entry, first: dt.date) -> float:
    return HOURS_A_DAY * (entry.date - first).days + entry.hour


def _known(laying: Laying) -> Any:
    from lacwright.solution import NOT_STATED

    mix = laying.liquid.mix
    if NOT_STATED in mix.solvent_g:
        raise Refusal(f"--plan, mix {laying.mix.name}", "cannot estimate without its alcohol: "
                      "nothing is assumed about it",
                      'name it, or write alcohol = "unknown"')  # fmt: skip
    return mix


def _thinned(value: Num) -> Num:
    return value if isinstance(value, int | float) else value[..., :MOST_DRAWS]


def _cleaning(
    plan: Plan, laid: tuple[tuple[Entry, Laying], ...], first: dt.date
) -> Iterator[Source]:
    """Return the alcohol that cleans, at the end of each day on which a method is used."""
    from lacwright.room import Source, solvents_g
    from lacwright.solution import Mix

    last: dict[tuple[str, dt.date], tuple[Entry, Laying]] = {}
    for entry, laying in laid:
        last[laying.method, entry.date] = (entry, laying)
    for (method, _), (entry, laying) in last.items():
        ml = plan.own.figure(f"cleaning.{method}").number()
        if ml <= 0:
            continue
        alcohol = max(laying.liquid.mix.solvent_g.items(), key=lambda x: central(x[1]))[0]
        grams = solvents_g(Mix({}, {alcohol: ml * alcohol.density_g_ml()}))
        yield Source(
            what=f"cleaning, {method}", start_h=_at(entry, first) + (laying.step.hours or 0.0),
            grams=grams, emission=emission_of(FIRST_ORDER, None), liquid_ml=ml, takes_extra=False,
        )  # fmt: skip


class _Curves:
    """Emission curves of the coats of a plan, each wet coat dried once."""

    def __init__(self, plan: Plan, temp_c: float | None, rh: float | None) -> None:
        from lacwright.plan.wet import laid_coats

        shop = plan.piece.shop
        self.temp_c = shop.temp_c if temp_c is None else temp_c
        self.rh = shop.rh if rh is None else rh
        self.coats: dict[str, WetCoat] = {}
        self.why: dict[str, str] = {}
        for one in laid_coats(plan):
            if one.coat is not None:
                self.coats.setdefault(one.key, one.coat)
            else:
                self.why.setdefault(one.key, one.why_not)
        self.done: list[tuple[WetCoat, dict[str, Emission]]] = []
        self.notes: list[str] = []

    def of(self, laying: Laying) -> dict[str, Emission] | None:
        """Return the curves of a coat, None where the model of the drying coat has no say."""
        coat = self.coats.get(laying.key)
        if coat is None:
            self._note(f"{laying.key}: a first-order drying, since {self.why.get(laying.key, '')}")
            return None
        for known, curves in self.done:
            if known == coat:
                return curves
        curves, notes = drying_curves(coat, temp_c=self.temp_c, rh=self.rh)
        for words in notes:
            self._note(words)
        self.done.append((coat, curves))
        return curves

    def _note(self, words: str) -> None:
        if words not in self.notes:
            self.notes.append(words)
