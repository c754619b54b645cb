"""The air of a plan: what coats, class and cleaning set free in the room that was said.

Without a room, an alcohol or a day there is no estimate, and the plan says without what.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from lacwright.drying import WetCoat
from lacwright.figures import Caution, Num, Refusal, Stop, central
from lacwright.plan.calendar import Entry
from lacwright.plan.cautions import not_estimated
from lacwright.plan.emission import Say, drying_curves, emission_of
from lacwright.plan.laying import Laying
from lacwright.plan.room_spec import DRYING, FIRST_ORDER, NO_VOLUME, RoomSpec
from lacwright.plan.vapour_class import class_sources, known, thinned
from lacwright.plan.wet import laid_coats
from lacwright.room import (
    Change,
    Emission,
    Estimate,
    Facts,
    Room,
    Source,
    estimate,
    smallest_changes,
    solvents_g,
)
from lacwright.solution import Mix
from lacwright.trade import table

if TYPE_CHECKING:
    from lacwright.plan.build import Plan

NOT_ESTIMATED = "air-not-estimated"
TOLD_HERE = (NOT_ESTIMATED, "alcohol-unknown", "methanol-present")
"""Codes of a plan that the estimate of the air takes the place of."""
OF_THE_JOB = ("ignition", "warm", "eyes-skin", "rags-alcohol", "rags-oily", "steel-wool",
              "children-not-said", "emergency-fire", "standing")  # fmt: skip
"""Cautions that a plan has of its own, by what is done in it."""
NO_STOP = "no-stop"
HOURS_A_DAY = 24.0


@dataclass(frozen=True, eq=False)
class Vapour:
    """The air of a plan.

    Parameters
    ----------
    estimate : Estimate
        Numbers, stops and cautions together.
    sources : tuple of Source
        What it was made from.
    changes : tuple of Change
        Each alone lifts the stops of the numbers.
    notes : tuple of str
        What was taken for what, before those of the estimate.
    spec : RoomSpec
        The room as it was said.
    """

    estimate: Estimate
    sources: tuple[Source, ...]
    changes: tuple[Change, ...]
    notes: tuple[str, ...]
    spec: RoomSpec

    @property
    def lowest(self) -> bool:
        """Whether the lowest limits on file count, since nobody named others."""
        return self.spec.jurisdiction is None and not self.spec.limits


def with_air(plan: Plan, say: Say | None = None) -> Plan:
    """Return a plan with its air: figures, stops and cautions of it join those of the plan.

    Parameters
    ----------
    plan : Plan
    say : callable, optional
        Is told a line before the model of the drying coat is compiled.
    """
    if not plan.coats and not (plan.piece.course and plan.piece.course.exercises):
        return plan
    try:
        air = vapour_of(plan, say)
    except Refusal as refusal:
        why = refusal.what if refusal is not NO_VOLUME else ""
        told = tuple(not_estimated(why) if c.code == NOT_ESTIMATED else c for c in plan.cautions)
        return replace(plan, no_air=refusal, cautions=told)
    cautions, stops = with_told(plan, air)
    named = {f"air.{name}": figure for name, figure in air.estimate.figures().items()}
    return replace(plan, air=air, cautions=cautions, stops=stops, figures=plan.figures | named)


def vapour_of(plan: Plan, say: Say | None = None) -> Vapour:
    """Return the air of a plan in the room that was said.

    Raises
    ------
    Refusal
        Without the volume of the room, the alcohol of a mix, a coat with a day, or the session of
        a class.
    """
    spec = plan.piece.room
    if spec is None or spec.volume_m3 is None:
        raise NO_VOLUME
    room, notes = spec.space()
    sources, taken = plan_sources(plan, spec, say)
    return vapour(sources, room, spec, _facts(plan, spec), (*notes, *taken))


def vapour(
    sources: tuple[Source, ...], room: Room, spec: RoomSpec, facts: Facts, notes: tuple[str, ...]
) -> Vapour:
    """Return the air of sources in a room, with the smallest changes."""
    how = spec.how(facts)
    made = estimate(sources, room, **how)
    return Vapour(made, sources, smallest_changes(sources, room, made, **how), notes, spec)


def plan_sources(
    plan: Plan, spec: RoomSpec, say: Say | None = None
) -> tuple[tuple[Source, ...], tuple[str, ...]]:
    """Return what a plan sets free, and what was taken for granted.

    Raises
    ------
    Refusal
        For a plan without coats, with a mix whose alcohol is not said, or a class without session.
    """
    laid = tuple(_laid(plan))
    if not laid and plan.piece.course is None:
        raise Refusal("[[step]]", "cannot estimate the air: no coat with a day is in it",
                      "name the coats with --coat")  # fmt: skip
    notes: list[str] = []
    out: list[Source] = []
    if laid:
        first = min(e.date for e, _ in laid)
        curves = _Curves(plan, spec, say) if spec.emission == DRYING else None
        out += [_source(entry, laying, first, spec, curves) for entry, laying in laid]
        out += _cleaning(plan, laid, first)
        notes += curves.notes if curves is not None else []
    if plan.piece.course is not None:
        taught, told = class_sources(plan.piece, plan.piece.course, spec, plan.own,
                                     tuple(a.spec for a in plan.mixes))  # fmt: skip
        out += taught
        notes += told
    if not out:
        raise Refusal("[class]", "cannot estimate the air: nothing is laid in it",
                      "add a [[class.exercise]]")  # fmt: skip
    if spec.emission == FIRST_ORDER:
        notes.append("a first-order drying of the coats")
    elif spec.emission != DRYING:
        notes.append(f"solvent set free {spec.emission.replace('-', ' ')}")
    return tuple(out), tuple(notes)


def with_told(plan: Plan, air: Vapour) -> tuple[tuple[Caution, ...], tuple[Stop, ...]]:
    """Return the words of the air with those of the plan, each code once, the standing line last.

    What the plan says for want of an estimate is left out; what is done in the job it knows best.
    """
    made = air.estimate
    mine = {s.code for s in made.stops}
    left_out = {*TOLD_HERE, *mine}
    if "people" in mine:
        left_out.add("children")
    if air.spec.facts.sharing is not None:
        left_out.add("children-not-said")
    stops = (*made.stops, *(s for s in plan.stops if s.code not in left_out))
    codes = {c.code for c in plan.cautions} - left_out
    told = [c for c in made.cautions if c.code not in codes and c.code not in OF_THE_JOB
            and not (c.code == NO_STOP and stops)]  # fmt: skip
    place = next((k for k, c in enumerate(plan.cautions) if c.code == NOT_ESTIMATED),
                 len(plan.cautions) - 1)  # fmt: skip
    before, after = ([c for c in part if c.code not in left_out]
                     for part in (plan.cautions[:place], plan.cautions[place:]))  # fmt: skip
    return (*before, *told, *after), stops


def _facts(plan: Plan, spec: RoomSpec) -> Facts:
    """Return what is true of the room, with what the piece file says of the shop."""
    shop, facts = plan.piece.shop, spec.facts
    sharing = facts.sharing
    if shop.children:
        sharing = (*(sharing or ()), "a child")
    return replace(facts, ignition=tuple(dict.fromkeys((*facts.ignition, *shop.ignition))),
                   sharing=sharing, rag_plan=facts.rag_plan or shop.rag_plan or "")  # fmt: skip


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


def _source(
    entry: Entry, laying: Laying, first: dt.date, spec: RoomSpec, curves: _Curves | None
) -> Source:
    each = {s: g / 1000.0 for s, g in solvents_g(known(laying.mix, laying.liquid)).items()}  # a ml
    over = laying.step.hours or None
    kind, way = spec.emission, None
    if curves is not None:
        way = curves.of(laying)
        kind = DRYING if way is not None else FIRST_ORDER
    return Source(
        what=f"{laying.step.what} {laying.number}, {laying.track}", start_h=_at(entry, first),
        grams={s: thinned(laying.used_draws) * thinned(g) for s, g in each.items()},
        emission=emission_of(kind, over, curves=way, where=f"coat {laying.key}"),
        over_h=over, liquid_ml=laying.used.number(),
        sprayed=table("methods")[laying.method].text("kind") == "spray",
    )  # fmt: skip


def _at(entry: Entry, first: dt.date) -> float:
    return HOURS_A_DAY * (entry.date - first).days + entry.hour


def _cleaning(
    plan: Plan, laid: tuple[tuple[Entry, Laying], ...], first: dt.date
) -> Iterator[Source]:
    """Return the alcohol that cleans, at the end of each day on which a method is used."""
    last: dict[tuple[str, dt.date], tuple[Entry, Laying]] = {}
    for entry, laying in laid:
        last[laying.method, entry.date] = (entry, laying)
    for (method, _), (entry, laying) in last.items():
        ml = plan.own.figure(f"cleaning.{method}").number()
        if ml <= 0:
            continue
        alcohol = max(laying.liquid.mix.solvent_g.items(), key=lambda x: central(x[1]))[0]
        grams: dict[str, Num] = solvents_g(Mix({}, {alcohol: ml * alcohol.density_g_ml()}))
        yield Source(
            what=f"cleaning, {method}", start_h=_at(entry, first) + (laying.step.hours or 0.0),
            grams=grams, emission=emission_of(FIRST_ORDER, None), liquid_ml=ml, takes_extra=False,
        )  # fmt: skip


class _Curves:
    """Emission curves of the coats of a plan, each wet coat dried once."""

    def __init__(self, plan: Plan, spec: RoomSpec, say: Say | None) -> None:
        shop = plan.piece.shop
        self.temp_c = shop.temp_c if spec.temp_c is None else spec.temp_c
        self.rh = shop.rh if spec.rh is None else spec.rh
        self.say = say
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
        for done, curves in self.done:
            if done == coat:
                return curves
        curves, notes = drying_curves(coat, temp_c=self.temp_c, rh=self.rh, say=self.say)
        for words in notes:
            self._note(words)
        self.done.append((coat, curves))
        return curves

    def _note(self, words: str) -> None:
        if words not in self.notes:
            self.notes.append(words)
