"""Single changes that make an hour a go, each the least of its kind.

They are listed by cost. First what leaves mix and coat as they are: warm room and board, dry the
air. Then the mix: a drier alcohol, a share of slow alcohol (which is paid with waiting). Then the
coat: thinner, so more of them. Last the day: another hour.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from lacwright.climate import absolute_humidity_g_m3, saturation_pa
from lacwright.drying.cases import Progress
from lacwright.drying.coat import WetCoat
from lacwright.drying.gate import RECOAT_WITHIN_S, Judged, Rooms, Rule, dry_hours, lacks
from lacwright.drying.many import Task
from lacwright.drying.params import WATER, Array
from lacwright.figures import Hand, Refusal
from lacwright.solution import Alcohol, alcohol_named, suits
from lacwright.trade import table

WARM, DRY, DRIER, SLOW, THINNER = "warm", "dry", "drier_alcohol", "slow_alcohol", "thinner_coat"
HOUR = "another_hour"
ORDER = (WARM, DRY, DRIER, SLOW, THINNER, HOUR)
"""Kinds of change, the cheapest first."""
SLOW_ALCOHOL = "n-butanol"
METHANOL = "methanol"
YOUR_MIX, OF_YOUR_MIX = "your slow mix", "% of your slow mix"
KEPT_BACK = "no change that keeps an alcohol with methanol is proposed"
DIGITS = {"K": 1, "g/m3": 1, "kg": 2, "%": 0, "um": 0}
"""How many digits of an amount are shown."""

HAIR = 1e-6
BY_LINE = 4
"""Tries along a straight line before a search halves."""
Ints = NDArray[np.int64]


@dataclass(frozen=True)
class Change:
    """One change that alone makes a go.

    Parameters
    ----------
    kind : str
        One of `ORDER`.
    amount : float
        How much, in `unit`.
    unit : str
        "K", "kg" (of water, in this room) or "g/m3", "% water" (what the drier alcohol holds by
        mass), "%" (slow alcohol by mass of the alcohol), "% of your slow mix", "um" (wet film at
        most), "h".
    rh_after : float or None
        Relative humidity of the room afterwards; None where the air is not changed.
    words : str
        As a sentence without its full stop.
    alcohol : str
        Which, where it is about one.
    recoat_s, recoat_plain_s : float or None
        Of a slow alcohol: when the next coat may follow with it and, in the same air, without it.
    """

    kind: str
    amount: float
    unit: str
    rh_after: float | None
    words: str
    alcohol: str = ""
    recoat_s: float | None = None
    recoat_plain_s: float | None = None


@dataclass(frozen=True, eq=False)
class Levels:
    """The least level of one kind of change for every hour and coat; 0 where none helps.

    Parameters
    ----------
    kind : str
    cells : array of int, shape (hours, coats)
        For each coat by itself.
    hours : array of int, shape (hours,)
        For all coats at once.
    """

    kind: str
    cells: Ints
    hours: Ints


def enough(amount: float, unit: str) -> str:
    """Return an amount as it is shown, rounded so that what is shown suffices.

    Up, but for a wet film, which is at most so thick.
    """
    digits = DIGITS[unit]
    scaled = amount * 10**digits
    # A hair for what a binary number is off the decimal that is meant.
    whole = math.floor(scaled + HAIR) if unit == "um" else math.ceil(scaled - HAIR)
    return f"{whole / 10**digits:.{digits}f}"


def at_most(rh: float) -> str:
    """Return a humidity to come down to as it is shown, in whole per cent."""
    return f"{math.floor(100 * rh + HAIR):d}"


def slowed(coat: WetCoat, share: float, slow: str = SLOW_ALCOHOL) -> WetCoat:
    """Return a coat in whose alcohol a share by mass is replaced by a slow one.

    Raises
    ------
    Refusal
        For methanol, or an alcohol that the table does not call slow.
    """
    row = table("alcohols").find(slow, "slow alcohol")
    if not row.text("words").startswith("slow alcohol"):
        raise Refusal("slow alcohol", f"'{slow}' is none", "use n-butanol or isobutanol")
    parts = {name: part * (1 - share) for name, part in coat.parts.items()}
    return replace(coat, alcohol={**parts, row.key: parts.get(row.key, 0.0) + share})


def drier(coat: WetCoat) -> tuple[Alcohol, ...]:
    """Return alcohols of the table that hold less water than the coat's, the wettest first.

    Of known composition, of the same chief alcohol, that suit lac, without methanol and without
    an unnamed rest: nothing else is ever proposed.
    """
    here = coat.parts
    chief = max((k for k in here if k != WATER), key=lambda k: here[k])
    least = table("drying_changes")["drier_least"].number("value")
    found: dict[float, Alcohol] = {}
    for row in table("alcohols"):
        one = alcohol_named(row.key)
        if one.parts is None or suits(one)[0] != "yes":
            continue
        parts = dict(one.parts)
        if set(parts) - {chief, WATER} or METHANOL in parts or chief not in parts:
            continue
        if here.get(WATER, 0.0) - parts.get(WATER, 0.0) >= least:
            found.setdefault(round(parts.get(WATER, 0.0), 6), one)
    return tuple(found[water] for water in sorted(found, reverse=True))


class Search:
    """Looks for the least changes of the hours and coats that are no go.

    Parameters
    ----------
    tasks, rooms, rule, hand, parallel
        As they were judged.
    judged : Judged
        What was said of them.
    judged_slow : Judged, optional
        Of the slow alcohol, for a rule with its own slow chill.
    slow : str
        The slow alcohol that is proposed.
    """

    def __init__(
        self, *, tasks: Sequence[Task], rooms: Rooms, rule: Rule, judged: Judged,
        judged_slow: Judged | None = None, hand: Hand | None = None, slow: str = SLOW_ALCOHOL,
        parallel: bool = False,
    ) -> None:  # fmt: skip
        self.tasks, self.rooms, self.rule, self.hand = tuple(tasks), rooms, rule, hand
        self.judged, self.judged_slow = judged, judged_slow
        self.slow, self.parallel = slow, parallel
        self.drier = [drier(t.coat) for t in tasks]
        # Waiting alone helps a coat that lies on one that is not ready.
        self.asked = ~judged.kept & (judged.ready_in_s <= 0)
        # Warmed, dried or thinned, an alcohol with methanol is one still: only another will do.
        self.poisoned = np.zeros(judged.kept.shape[1], dtype=bool)
        for j, task in enumerate(tasks):
            self.poisoned[j] = METHANOL in task.coat.parts
        self.now = lacks(word=judged.word, haze_index=judged.values["haze_index"],
                         margin_k=judged.values["dew_margin_k"], rule=rule)  # fmt: skip

    def levels(self, progress: Progress = lambda done, whole: None) -> Iterator[Levels]:
        """Yield what helps, kind by kind; an own chill is answered in closed form: `by_rule`."""
        if not self.tasks or self.rule.chill_k is not None:
            return
        kinds = (WARM, DRY, DRIER, SLOW, THINNER)
        for done, kind in enumerate(kinds):
            progress(done, len(kinds))
            yield self._found(kind)

    def helped(self, kind: str) -> NDArray[np.bool_]:
        """Return the hours and coats for which a change of this kind may be proposed."""
        return self.asked if kind == DRIER else self.asked & ~self.poisoned

    def most(self, kind: str, hour: Ints, coat: Ints) -> Ints:
        """Return the highest level of a kind that is tried."""
        if kind == WARM:
            room = (_c("warm_to") - self.rooms.temp_c[hour]) / _c("warm_step")
            most = np.minimum(room, _c("warm_most") / _c("warm_step"))
        elif kind == DRY:
            most = (self.rooms.rh[hour] - _c("dry_least")) / _c("dry_step")
        elif kind == DRIER:
            return np.array([len(self.drier[j]) for j in coat], dtype=np.int64)
        elif kind == SLOW:
            most = np.full(len(hour), _c("slow_most") / _c("slow_step"))
        else:
            most = np.full(len(hour), (1 - _c("thinner_least")) / _c("thinner_step"))
        return np.maximum(np.floor(most + 1e-9), 0).astype(np.int64)

    def lacking(self, kind: str, hour: Ints, coat: Ints, level: Ints) -> Array:
        """Return what each hour and coat lacks at a level of a change; 0 or less: a go."""
        rooms = self.changed_rooms(kind, hour, level)
        out = np.full(len(hour), np.inf)
        for j, step, rows in _groups(kind, coat, level):
            try:
                task = self.changed_task(kind, self.tasks[j], j, step)
                told = dry_hours(tasks=[task], rooms=rooms.chosen(rows), hand=self.hand,
                                 parallel=self.parallel)  # fmt: skip
            except Refusal:  # a mix that the model does not take is no way out
                continue
            out[rows] = lacks(word=told.verdict[:, 0], haze_index=told.haze_index[:, 0],
                              margin_k=told.dew_margin_k[:, 0], rule=self.rule)  # fmt: skip
        return out

    def changed_rooms(self, kind: str, hour: Ints, level: Ints) -> Rooms:
        """Return the rooms of some hours after a change."""
        rooms = self.rooms.chosen(hour)
        if kind == WARM:
            return warmed(rooms, np.asarray(level * _c("warm_step"), dtype=np.float64))
        return replace(rooms, rh=rooms.rh - level * _c("dry_step")) if kind == DRY else rooms

    def changed_task(self, kind: str, task: Task, coat: int, level: int) -> Task:
        """Return a coat after a change."""
        if kind == DRIER:
            parts = self.drier[coat][level - 1].parts
            assert parts is not None
            return replace(task, coat=replace(task.coat, alcohol=dict(parts)))
        if kind == SLOW:
            return replace(task, coat=slowed(task.coat, level * _c("slow_step"), self.slow))
        if kind == THINNER:
            wet = task.coat.wet_um * (1 - level * _c("thinner_step"))
            return replace(task, coat=replace(task.coat, wet_um=wet))
        return task

    def _found(self, kind: str) -> Levels:
        hour, coat = np.nonzero(self.helped(kind))
        found = least(
            lambda rows, level: self.lacking(kind, hour[rows], coat[rows], level),
            self.most(kind, hour, coat), self.now[hour, coat],
        )  # fmt: skip
        cells = np.zeros(self.asked.shape, dtype=np.int64)
        cells[hour, coat] = found
        return Levels(kind, cells, self._all_at_once(kind, cells))

    def _all_at_once(self, kind: str, cells: Ints) -> Ints:
        """Return the level at which one change serves all coats of an hour, tried on all."""
        needed = self.asked.any(axis=1) & (self.judged.ready_in_s <= 0).all(axis=1)
        helps = needed & ((cells > 0) | ~self.asked).all(axis=1)
        level = np.where(helps, cells.max(axis=1), 0)
        if cells.shape[1] == 1 or not level.any():
            return level
        rows = np.flatnonzero(level)
        ok = np.ones(len(rows), dtype=bool)
        cap = self.thinnest(cells) if kind == THINNER else None
        for j, task in enumerate(self.tasks):
            step = np.minimum(level[rows], len(self.drier[j])) if kind == DRIER else level[rows]
            if cap is not None:
                step = np.ceil((1 - cap[rows] / task.coat.wet_um) / _c("thinner_step") - 1e-9)
                step = np.maximum(step, 0).astype(np.int64)
            # What was found good for the coat by itself need not be tried again.
            new = np.flatnonzero(ok & (step != cells[rows, j]) & (step > 0))
            tried = np.full(len(new), j), step[new].astype(np.int64)
            ok[new] = self.lacking(kind, rows[new], *tried) <= 0
        level[rows[~ok]] = 0
        return level

    def thinnest(self, cells: Ints) -> Array:
        """Return the wet film [um] that no coat of an hour may exceed, by their own levels."""
        wet = np.array([t.coat.wet_um for t in self.tasks])
        film = np.where(cells > 0, wet * (1 - cells * _c("thinner_step")), np.inf)
        return np.asarray(film.min(axis=1))


def least(lacking: Callable[[Ints, Ints], Array], most: Ints, now: Array) -> Ints:
    """Return the least whole level from 1 that is enough for each case, 0 where `most` is not.

    The level that is returned was tried and is enough, the one below it was tried and is not
    (level 0 is what is there now). Levels between are tried where a straight line says, and in
    the middle where that does not end it soon.

    Parameters
    ----------
    lacking : callable
        Of the numbers of the cases and a level for each: what they lack; 0 or less is enough.
    most : array of int, shape (cases,)
        Highest level of each; 0 where there is none.
    now : array, shape (cases,)
        What they lack at level 0, above 0.
    """
    low, high = np.zeros(len(most), dtype=np.int64), most.copy()
    at_low, at_high = now.astype(np.float64), np.full(len(most), np.inf)
    rows = np.flatnonzero(most > 0)
    at_high[rows] = lacking(rows, most[rows])
    high[at_high > 0] = 0
    turn = 0
    while len(rows := np.flatnonzero(high - low > 1)):
        span = high[rows] - low[rows]
        step = span // 2
        if turn < BY_LINE:
            whole = at_low[rows] - at_high[rows]
            fine = np.isfinite(whole) & (whole > 0)
            share = np.divide(at_low[rows], whole, out=np.full(len(rows), 0.5), where=fine)
            step = np.clip(np.ceil(span * share), 1, span - 1).astype(np.int64)
        level = low[rows] + step
        value = lacking(rows, level)
        enough = value <= 0
        high[rows[enough]], at_high[rows[enough]] = level[enough], value[enough]
        low[rows[~enough]], at_low[rows[~enough]] = level[~enough], value[~enough]
        turn += 1
    return high


def warmed(rooms: Rooms, by_k: Array) -> Rooms:
    """Return rooms and boards so much warmer, the vapour in the air kept."""
    warm = rooms.temp_c + by_k
    rh = rooms.rh * np.asarray(saturation_pa(temp_c=rooms.temp_c))
    rh = np.minimum(rh / np.asarray(saturation_pa(temp_c=warm)), 1.0)
    return replace(rooms, temp_c=warm, rh=rh, board_c=rooms.board_c + by_k)


def water_g_m3(rooms: Rooms, rh_after: Array) -> Array:
    """Return the water to take out of the air to come to a humidity [g/m3]."""
    held, left = (np.asarray(absolute_humidity_g_m3(temp_c=rooms.temp_c, rh=rh))
                  for rh in (rooms.rh, rh_after))  # fmt: skip
    return np.asarray(held - left)


def by_rule(
    rooms: Rooms, judged: Judged, *, judged_slow: Judged | None = None
) -> dict[str, tuple[Array, Array]]:  # fmt: skip
    """Return the changes that meet an own rule with an own chill, in closed form.

    Parameters
    ----------
    rooms : Rooms
    judged : Judged
        By the rule.
    judged_slow : Judged, optional
        Of the slow alcohol by the rule.

    Returns
    -------
    dict of str to (array, array), shape (hours,)
        Amount and rh_after, NaN where it is kept already or the change is not to be had: warm [K],
        dry [g/m3]; slow_alcohol is 1 where the slow chill keeps the rule.

    Notes
    -----
    The dew point stays when room and board are warmed and the vapour is kept, so the film must
    rise by what it lacks: x = margin - (film - dew point). Dried, the dew point must come down
    to film - margin: rh = p(film - margin) / p(room).
    """
    short = judged.rule.least_k - judged.values["dew_margin_k"][:, 0]
    lacks = short > 0
    warm = np.where(lacks & (rooms.temp_c + short <= _c("warm_to")) & (short <= _c("warm_most")),
                    short, np.nan)  # fmt: skip
    after = warmed(rooms, np.nan_to_num(warm)).rh
    dew = np.maximum(rooms.dew_point_c - short, -20.0)
    rh = np.asarray(saturation_pa(temp_c=np.minimum(dew, rooms.temp_c)))
    rh = rh / np.asarray(saturation_pa(temp_c=rooms.temp_c))
    rh = np.where(lacks & (rh >= _c("dry_least")), rh, np.nan)
    water = np.where(np.isnan(rh), np.nan, water_g_m3(rooms, np.where(np.isnan(rh), rooms.rh, rh)))
    found = {WARM: (warm, np.where(np.isnan(warm), np.nan, after)), DRY: (water, rh)}
    if judged_slow is not None and judged_slow.own:
        slow = np.where(lacks & judged_slow.kept[:, 0], 1.0, np.nan)
        found[SLOW] = (slow, np.full(len(rooms), np.nan))
    return found


def slow_recoat_s(search: Search, hour: Ints, coat: Ints, share: Array) -> Array:
    """Return when the next coat may follow with a share of slow alcohol [s].

    NaN where that is withheld or beyond a day.
    """
    told = np.full(len(hour), np.nan)
    rooms = search.rooms.chosen(hour)
    for j, part in sorted(set(zip(coat.tolist(), share.tolist(), strict=True))):
        rows = np.flatnonzero((coat == j) & (share == part))
        task = search.tasks[j]
        mixed = replace(task, coat=slowed(task.coat, part, search.slow))
        told[rows] = dry_hours(
            tasks=[mixed], rooms=rooms.chosen(rows), hand=search.hand, until="recoat",
            within_s=RECOAT_WITHIN_S, parallel=search.parallel,
        ).recoat_s[:, 0]  # fmt: skip
    return told


def _groups(kind: str, coat: Ints, level: Ints) -> list[tuple[int, int, Ints]]:
    """Return coat, level and rows of the cases that are one task."""
    steps = level if kind in (DRIER, SLOW, THINNER) else np.zeros_like(level)
    pairs = sorted({(int(j), int(k)) for j, k in zip(coat, steps, strict=True)})
    return [(j, k, np.flatnonzero((coat == j) & (steps == k))) for j, k in pairs]


def _c(key: str) -> float:
    return table("drying_changes")[key].number("value")
