"""The waits of a plan: of the model of the drying coat where it has authority, else of practice.

A wait that the maker gave stands. Of the usual wait and that of the model the longer is planned.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import partial

import numpy as np

from lacwright.drying import Many, Task, Under, dry_many, state, verdict
from lacwright.drying import compile_now as compile_model
from lacwright.drying.bands import bands, mark_of
from lacwright.drying.dry import HORIZON_S, MARGINAL, WHITENS
from lacwright.figures import Basis, Figure, Hand, Mark, Refusal, weakest
from lacwright.figures.spoken import brief, counted, trimmed
from lacwright.plan.course import Track, lays, sands
from lacwright.plan.laying import Laying, zones_of
from lacwright.plan.own import OwnFigures
from lacwright.plan.piece import Piece, Step
from lacwright.plan.tasks import Wait, waits_of_practice
from lacwright.plan.wet import UNKNOWN, LaidCoat, coats_of, hand_of
from lacwright.trade import table

At = tuple[str, int]
"""A step: name of its track, index in it."""
HOUR_S = 3600.0
HORIZON_H = HORIZON_S / HOUR_S
NO_AIR = ("the waits are those of practice: without temperature and humidity of the shop the model "
          "of the drying coat has no say")  # fmt: skip
OVER_UNKNOWN = "the composition of the alcohol of a coat below it is not known"
LATE = {"recoat": "before the next coat", "sandable": "before it is sanded"}
_RESTS = ("rest", "harden")


@dataclass(frozen=True)
class Waits:
    """The wait after every step, and what is to be told of them."""

    after: Mapping[At, Wait]
    notes: tuple[str, ...] = ()


def waits_of(
    course: tuple[Track, ...], coats: tuple[Laying, ...], piece: Piece, own: OwnFigures, *,
    refused: frozenset[tuple[str, int, str]] = frozenset(),
    say: Callable[[str], None] | None = None,
) -> Waits:  # fmt: skip
    """Return the wait after every step of a course.

    Parameters
    ----------
    course, coats, piece, own
        As planned.
    refused : frozenset of (track, index of step, part)
        Sandings that are not done.
    say : callable, optional
        Is told the line before the model is compiled, where that is due.

    Returns
    -------
    Waits
        Those of practice, with the reason, where the air of the shop is not known or nothing
        can be computed. A plan without that air loads no model.
    """
    practice = waits_of_practice(course, own)
    asked = _Asked(course, coats, piece, own, refused)
    if not any(stop.stage for stops in asked.stops.values() for stop in stops):
        return Waits(practice)
    if piece.shop.temp_c is None or piece.shop.rh is None:
        return Waits(practice, (NO_AIR,))
    try:
        silent = {w.why_not for w in asked.laid.values() if w.coat is None}
        if all(w.coat is None for w in asked.laid.values()):
            why = "; ".join(sorted(silent))
            return Waits(practice, (f"the waits are those of practice, the model of the drying "
                                    f"coat has no say: {why}",))  # fmt: skip
        compile_model(say or (lambda line: None))
        return _Resolved(asked, practice).waits()
    except Refusal as refusal:
        why = f"{refusal.where}: {refusal.what}"
    except Exception as broken:  # whatever the compiler or its cache may throw
        why = f"it cannot be computed here ({type(broken).__name__}: {broken})"
    return Waits(practice, (f"the waits are those of practice, the model of the drying coat has "
                            f"no say: {why}",))  # fmt: skip


@dataclass(frozen=True)
class _Stop:
    """What follows a coat on one part, and from when on the film must be ready for it."""

    part: str
    next: int | None  # index of the step
    stage: str  # "recoat", "sandable"; empty where the model has no word for it


class _Asked:
    """What a course asks of the model."""

    def __init__(
        self, course: tuple[Track, ...], coats: tuple[Laying, ...], piece: Piece, own: OwnFigures,
        refused: frozenset[tuple[str, int, str]],
    ) -> None:  # fmt: skip
        self.piece, self.own, self.refused = piece, own, refused
        self.tracks = {t.name: t for t in course}
        self.layings = {t.name: [c for c in coats if c.track == t.name] for t in course}
        self.laid = {(w.key, w.part): w for w in coats_of(coats, piece, own)}
        self.stops = {c.key: tuple(self._stops(c)) for c in coats}

    def _stops(self, laying: Laying) -> Iterable[_Stop]:
        track = self.tracks[laying.track]
        for part in dict.fromkeys(z.part for z in laying.zones):
            faces = {z.face for z in laying.zones if z.part == part}
            yield self._next(track, laying.index, part, faces)

    def _next(self, track: Track, index: int, part: str, faces: set[str]) -> _Stop:
        for later in range(index + 1, len(track.steps)):
            step = track.steps[later]
            if step.what in _RESTS or part not in (step.parts or track.parts):
                continue
            if (track.name, later, part) in self.refused:
                continue
            stage = _stage(step)
            if stage and step.faces and not any(
                z.part == part and z.face in faces for z in zones_of(step, track, self.piece)
            ):  # fmt: skip
                continue
            return _Stop(part, later, stage)
        return _Stop(part, None, "")

    def below(self, laying: Laying, part: str, hours: Callable[[int, int], float]) -> (
        tuple[Under, ...] | None
    ):  # fmt: skip
        """Return the coats below one, the oldest first; None where one of them is not known."""
        face = self.laid[laying.key, part].face
        out = []
        for older in self.layings[laying.track]:
            if older.index >= laying.index:
                break
            if not any(z.part == part and z.face == face for z in older.zones):
                continue
            wet = self.laid[older.key, part]
            if wet.why_not == UNKNOWN:
                return None
            if wet.below is not None:
                out.append(Under(wet.below, max(hours(older.index, laying.index), 1e-3) * HOUR_S))
        return tuple(out)


def _stage(step: Step) -> str:
    """Return how far a coat must be for the next step."""
    if lays(step) or table("steps")[step.what].yes("wet"):
        return "recoat"
    return "sandable" if sands(step) else ""


@dataclass(frozen=True)
class _Told:
    """What the model says of one coat on one part."""

    laying: Laying
    wet: LaidCoat
    stop: _Stop
    haze: float
    margin_k: float
    figure: Figure | None  # hours to the stage; None where none is asked for or it is withheld
    beyond: bool  # not within the horizon

    @property
    def verdict(self) -> tuple[str, str]:
        """The word for its film, and why."""
        return verdict(haze_index=self.haze, dew_margin_k=self.margin_k)


@dataclass
class _Resolved:
    """Coats one after the other: each with those below it as old as the waits planned so far."""

    asked: _Asked
    practice: Mapping[At, Wait]
    after: dict[At, Wait] = field(init=False)
    told: list[_Told] = field(default_factory=list)
    silent: dict[str, list[str]] = field(default_factory=dict)  # reason -> coats
    stands: dict[str, dict[str, list[_Told]]] = field(default_factory=dict)  # wait -> stage

    def __post_init__(self) -> None:
        self.after = dict(self.practice)
        self.hand: Hand = hand_of(self.asked.own)
        self.state = state(self.hand)
        self.speed = table("drying")["still_air"].number("value")

    def waits(self) -> Waits:
        """Resolve the k-th coats of all tracks together, k from the first to the last."""
        for k in range(max(map(len, self.asked.layings.values()))):
            pending = [row[k] for row in self.asked.layings.values() if k < len(row)]
            told = self._told(pending)
            self.told += told
            for laying in pending:
                self._settle(laying, [t for t in told if t.laying is laying])
        return Waits(self.after, self._notes())

    def _told(self, pending: list[Laying]) -> list[_Told]:
        tasks: dict[str, dict[str, tuple[Task, list[tuple[Laying, LaidCoat, _Stop]]]]] = {}
        for laying in pending:
            for stop in self.asked.stops[laying.key]:
                wet = self.asked.laid[laying.key, stop.part]
                under = self.asked.below(laying, stop.part, partial(self._hours, laying.track))
                if wet.coat is None or under is None:
                    name = f"{laying.step.what} {laying.number}"
                    names = self.silent.setdefault(wet.why_not or OVER_UNKNOWN, [])
                    if name not in names:
                        names.append(name)
                    continue
                task = Task(wet.coat, under, wet.board)
                # Like coats on like boards are computed once.
                alike = tasks.setdefault(stop.stage or "touch_dry", {})
                alike.setdefault(repr(task), (task, []))[1].append((laying, wet, stop))
        return [t for stage, alike in tasks.items() for t in self._computed(stage, alike)]

    def _computed(
        self, stage: str, alike: Mapping[str, tuple[Task, list[tuple[Laying, LaidCoat, _Stop]]]]
    ) -> Iterable[_Told]:
        shop = self.asked.piece.shop
        assert shop.temp_c is not None
        assert shop.rh is not None
        many = dry_many(
            tasks=[task for task, _ in alike.values()], temp_c=shop.temp_c, rh=shop.rh,
            speed_m_s=self.speed, hand=self.hand, until=stage, within_s=HORIZON_S,
        )  # fmt: skip
        low_high = bands(many, hand=self.hand)
        for k, (_, members) in enumerate(alike.values()):
            haze, margin = float(many.haze_index[0, k]), float(many.dew_margin_k[0, k])
            figure, beyond = self._figure(stage, many, low_high, k) if margin > 0 else (None, False)
            for laying, wet, stop in members:
                yield _Told(laying, wet, stop, haze, margin, figure, beyond)

    def _figure(
        self, stage: str, many: Many, low_high: Mapping[str, tuple[object, object]], k: int
    ) -> tuple[Figure | None, bool]:
        if stage not in LATE or many.withheld[0, k] or np.isnan(many.haze_index[0, k]):
            return None, False
        hours = float(getattr(many, f"{stage}_s")[0, k]) / HOUR_S
        beyond = bool(np.isnan(hours))
        low, high = (float(np.asarray(side)[0, k]) / HOUR_S for side in low_high[f"{stage}_s"])
        mark = weakest(Mark.REMEMBERED, mark_of(f"{stage}_s", self.hand))
        source = (f"the model of the drying coat (explanation, equations 1 to 16), "
                  f"{self.state.words}, {LATE[stage]}, in air of "
                  f"{self.speed:g} m/s, an assumption")  # fmt: skip
        if beyond:
            source += f"; not within {HORIZON_S / 86400:g} days, which are taken"
            hours, low, high = HORIZON_H, HORIZON_H, HORIZON_H
        return Figure(hours, low, high, "h", Basis.COMPUTED, mark, source), beyond

    def _settle(self, laying: Laying, told: list[_Told]) -> None:
        """Set the wait after a coat: the longest that any of its parts needs."""
        if any(t.verdict[0] == WHITENS for t in told):
            return  # it is not to be laid in that air, so there is no wait after it
        at = (laying.track, laying.index)
        known = [t for t in told if t.figure is not None and t.stop.next is not None]
        if not known:
            return
        usual = self.after[at]
        worst = max(known, key=lambda t: self._short(laying, t))
        model = worst.figure
        assert model is not None
        wait = replace(usual, model=model, stage=worst.stop.stage, beyond=worst.beyond)
        short = self._short(laying, worst)
        if short > 0:
            given = self._given(laying, worst)
            if given is not None:
                key = f"{trimmed(given.number(), 3)} h ({given.source})"
                by_stage = self.stands.setdefault(key, {})
                by_stage.setdefault(worst.stop.stage, []).append(worst)
            else:
                wait = replace(wait, hours=usual.hours + short, figure=model)
        self.after[at] = wait

    def _short(self, laying: Laying, told: _Told) -> float:
        """Return by how many hours the wait of a coat would have to be longer."""
        assert told.stop.next is not None
        assert told.figure is not None
        need, at = told.figure.number(), (laying.track, laying.index)
        here = self.after[at]
        after = laying.index + 1
        if all(s.what in _RESTS for s in self._steps(laying.track)[after : told.stop.next]):
            # Rests run beside the wait: the longer holds.
            has = self._hours(laying.track, laying.index, told.stop.next)
            return need - here.hours if need > has + 1e-9 else 0.0
        return max(need - self._hours(laying.track, laying.index, told.stop.next), 0.0)

    def _given(self, laying: Laying, told: _Told) -> Figure | None:
        """Return the maker's own wait or rest between a coat and what follows, None if usual."""
        assert told.stop.next is not None
        steps = self._steps(laying.track)
        between = [laying.index, *(k for k in range(laying.index + 1, told.stop.next)
                                   if steps[k].what in _RESTS)]  # fmt: skip
        own = [f for k in between if (f := self.after[laying.track, k].figure).value
               and f.basis in (Basis.GIVEN, Basis.LEARNED)]  # fmt: skip
        zero = self.after[laying.track, laying.index].figure
        if not own and zero.basis is Basis.GIVEN:
            return zero
        return max(own, key=lambda f: f.number(), default=None)

    def _steps(self, track: str) -> tuple[Step, ...]:
        return self.asked.tracks[track].steps

    def _hours(self, track: str, first: int, last: int) -> float:
        """Return the hours from one step to another, as the calendar counts at the least."""
        ready = anchor = 0.0
        for k in range(first, last):
            wait, step = self.after[track, k], self._steps(track)[k]
            lasts = max(wait.hours, 24.0 * wait.rest_days, 24.0 * wait.rest_working_days)
            if step.what in _RESTS:
                ready = anchor = max(ready, anchor + lasts)
            else:
                anchor, ready = ready, ready + lasts
        return ready

    def _notes(self) -> tuple[str, ...]:
        return (*self._air(), *self._maker(), *self._whitening(), *self._beyond())

    def _air(self) -> Iterable[str]:
        shop = self.asked.piece.shop
        yield (f"the model of the drying coat, {self.state.words}, counts air of {shop.temp_c:g} C "
               f"and {100 * (shop.rh or 0):.0f} % that moves at {self.speed:g} m/s (an assumption) "
               "and holds no vapour; of its wait and the usual one the longer is planned"
               )  # fmt: skip
        if self.silent:
            told = "; ".join(
                f"{', '.join(names) if len(names) < 4 else counted(len(names), 'coat')}: {why}"
                for why, names in self.silent.items()
            )
            yield f"there it has no say and the usual wait stands: {told}"

    def _maker(self) -> Iterable[str]:
        for wait, by_stage in self.stands.items():
            has = " and ".join(f"{_span(found)} {LATE[stage]}" for stage, found in by_stage.items())
            yield (f"your wait of {wait} stands; the model of the drying coat has {has}, longer: "
                   "try it with a nail first")  # fmt: skip

    def _whitening(self) -> Iterable[str]:
        coats: dict[str, _Told] = {}  # each at the part where it is worst
        for t in self.told:
            coats[t.laying.key] = max(coats.get(t.laying.key, t), t, key=_badness)
        for word in (WHITENS, MARGINAL):
            found = [t for t in coats.values() if t.verdict[0] == word]
            if not found:
                continue
            worst = max(found, key=_badness)
            does = "will whiten" if word == WHITENS else "is near whitening"
            yield (f"in the air of the shop the film of {_coats(found)} {does}, by the model of "
                   f"the drying coat: {worst.verdict[1]} ({worst.wet.part}); wait for drier air"
                   )  # fmt: skip

    def _beyond(self) -> Iterable[str]:
        late = [t for t in self.told if t.beyond]
        if late:
            yield (f"{_coats(late)}: by the model of the drying coat not ready within "
                   f"{trimmed(HORIZON_S / 86400)} days; lay fewer or thinner coats, or go by the "
                   "nail")  # fmt: skip


def _coats(told: Iterable[_Told]) -> str:
    return ", ".join(dict.fromkeys(f"{t.laying.step.what} {t.laying.number}" for t in told))


def _badness(told: _Told) -> tuple[float, float]:
    """Return how near a film is to whitening: below the dew point before all else."""
    return -min(told.margin_k, 0.0), float(np.nan_to_num(told.haze, nan=np.inf))


def _span(told: list[_Told]) -> str:
    """Return "5.3 h", "7.6 to 119 h", "119 h to more than 7 days"."""
    hours = sorted(t.figure.number() for t in told if t.figure is not None and not t.beyond)
    ends = [f"{brief(h, 2)}" for h in dict.fromkeys((*hours[:1], *hours[-1:]))]
    beyond = any(t.beyond for t in told)
    most = f"more than {trimmed(HORIZON_S / 86400)} days"
    if not ends:
        return most
    return f"{ends[0]} h to {most}" if beyond else f"{' to '.join(ends)} h"
