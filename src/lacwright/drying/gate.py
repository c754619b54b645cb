"""The gate: which coat may be laid in which hour, by the model or by the maker's own rule.

"Go" speaks of the film alone. It is said where the model's verdict is "no stop" and the coat below
is ready; a maker's own rule takes the model's place and is shown as his.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from lacwright.climate import dew_point_c
from lacwright.drying.bands import bands
from lacwright.drying.cases import Progress
from lacwright.drying.coat import Under
from lacwright.drying.dry import HORIZON_S, NO_STOP, verdict
from lacwright.drying.many import Many, Task, dry_many
from lacwright.drying.params import Array, constant
from lacwright.figures import Hand, Num, Refusal
from lacwright.figures.spoken import trimmed
from lacwright.trade import table

Bools = NDArray[np.bool_]
VALUES = ("film_min_c", "chill_k", "dew_margin_k", "haze_index", "touch_dry_s", "recoat_s")
RECOAT_WITHIN_S = 86400.0
"""A recoat time beyond that is not told in an hour table."""
HAIR_K = 1e-9
MOST_CHILL_K, MOST_MARGIN_K = 25.0, 20.0


@dataclass(frozen=True, eq=False)
class Rooms:
    """The air of every hour.

    Parameters
    ----------
    at_s : array, shape (hours,)
        Seconds from the first hour, rising.
    temp_c, rh : array, shape (hours,)
        Air [C], [0-1].
    speed_m_s : array, shape (hours,), or None
        Speed of the air over the work [m/s]; None where it is not known, which the model refuses.
    board_c : array, shape (hours,)
        Temperature of the board [C].
    vapour_pa : mapping of str to float
        Vapours already in the room, the same in every hour [Pa].

    Raises
    ------
    Refusal
        For no hour at all.
    """

    at_s: Array
    temp_c: Array
    rh: Array
    speed_m_s: Array | None
    board_c: Array
    vapour_pa: Mapping[str, float] = field(default_factory=dict)

    @classmethod
    def of(
        cls, *, temp_c: Num, rh: Num, speed_m_s: Num | None = None, board_c: Num | None = None,
        at_s: Num | None = None, vapour_pa: Mapping[str, float] | None = None,
    ) -> Rooms:  # fmt: skip
        """Return rooms of numbers or arrays that broadcast; the board's is the room's by default.

        Where `board_c` is not a number, the board is as warm as the room.
        """
        given = (np.asarray(temp_c, dtype=np.float64), np.asarray(rh, dtype=np.float64))
        temp: Array = np.zeros(np.broadcast_shapes(given[0].shape, given[1].shape, (1,))) + given[0]
        humid: Array = np.zeros(temp.shape) + given[1]
        if temp.ndim != 1 or not temp.size:
            raise Refusal("hours", "there are none", "give one value for each hour")
        hours: Array = np.linspace(0.0, 3600.0 * (temp.size - 1), temp.size)
        if at_s is not None:
            hours = np.asarray(at_s, dtype=np.float64)
        board = temp
        if board_c is not None:
            said = np.broadcast_to(np.asarray(board_c, dtype=float), temp.shape)
            board = np.asarray(np.where(np.isnan(said), temp, said), dtype=np.float64)
        speed = None
        if speed_m_s is not None:
            speed = np.zeros(temp.shape) + np.asarray(speed_m_s, dtype=np.float64)
        return cls(hours, temp, humid, speed, board, dict(vapour_pa or {}))

    def __len__(self) -> int:
        return len(self.temp_c)

    @property
    def dew_point_c(self) -> Array:
        """Dew point of every hour [C]."""
        return np.asarray(dew_point_c(temp_c=self.temp_c, rh=self.rh))

    def chosen(self, which: NDArray[np.int64] | Bools) -> Rooms:
        """Return some of the hours; one may stand there several times."""
        speed = None if self.speed_m_s is None else self.speed_m_s[which]
        return Rooms(self.at_s[which], self.temp_c[which], self.rh[which], speed,
                     self.board_c[which], self.vapour_pa)  # fmt: skip


@dataclass(frozen=True)
class Rule:
    """The maker's own rule: it takes the model's place.

    Parameters
    ----------
    chill_k : float, optional
        By how much the film of his coat gets colder than the room, as he measured it [K]; with it
        the film is reckoned as room less chill (from the board where that is the colder).
    chill_slow_k : float, optional
        The same with his slow alcohol [K].
    margin_k : float, optional
        Least distance from the dew point up to the chilled film [K]; a row of the table where
        only a chill is given. Alone it is held against the film minimum of the model.

    Raises
    ------
    Refusal
        For a chill of more than 25 K, a margin of more than 20 K, or one below 0.
    """

    chill_k: float | None = None
    chill_slow_k: float | None = None
    margin_k: float | None = None

    def __post_init__(self) -> None:
        for value, most, where in ((self.chill_k, MOST_CHILL_K, "own chill"),
                                   (self.chill_slow_k, MOST_CHILL_K, "own chill, slow alcohol"),
                                   (self.margin_k, MOST_MARGIN_K, "own margin")):  # fmt: skip
            if value is not None and not 0 <= value <= most:
                raise Refusal(where, f"{value:g} K is outside 0 to {most:g} K", "write e.g. 2")

    @property
    def given(self) -> bool:
        """Whether there is one."""
        return (self.chill_k, self.chill_slow_k, self.margin_k) != (None, None, None)

    @property
    def least_k(self) -> float:
        """The margin that is asked for [K]."""
        if self.margin_k is not None:
            return self.margin_k
        return table("drying_changes")["own_margin"].number("value")

    def chill(self, *, slow: bool = False) -> float | None:
        """Return his chill of the plain or the slow alcohol."""
        return self.chill_slow_k if slow else self.chill_k

    def judges(self, *, slow: bool = False) -> bool:
        """Return whether it decides about the plain, or the slow, alcohol."""
        return self.margin_k is not None or self.chill(slow=slow) is not None


@dataclass(frozen=True, eq=False)
class Judged:
    """What the gate says of every hour and coat; arrays of shape (hours, coats).

    Parameters
    ----------
    values, low, high : dict of str to array
        film_min_c, chill_k, dew_margin_k, haze_index, touch_dry_s, recoat_s with 5 and 95 %; NaN
        where not reached, withheld, or where the model was not asked.
    dew_point_c : array, shape (hours,)
    word : array of str
        The model's verdict; "" where it was not asked.
    withheld : array of bool
        Where the recoat time is withheld for the haze index.
    own : bool
        Whether the maker's own rule decided.
    kept : array of bool
        Whether the film may be laid, by the model or by the rule.
    ready_in_s : array
        Seconds until the coat below is ready for this one; 0 where it is.
    """

    values: dict[str, Array]
    low: dict[str, Array]
    high: dict[str, Array]
    dew_point_c: Array
    word: NDArray[np.str_]
    withheld: Bools
    own: bool
    kept: Bools
    ready_in_s: Array
    rule: Rule

    @cached_property
    def go(self) -> Bools:
        """Where it is a go."""
        return np.asarray(self.kept & (self.ready_in_s <= 0))

    @cached_property
    def worst(self) -> NDArray[np.int64]:
        """The coat of each hour that decides: one that is no go before one that is."""
        severity = np.where(self.go, 0.0, 1000.0)
        haze, margin = self.values["haze_index"], self.values["dew_margin_k"]
        if self.own:
            return np.asarray(np.argmax(severity - margin, axis=1))
        by = np.where(np.isnan(haze), 50.0, np.clip(haze, 0, 50)) + np.where(margin <= 0, 100, 0)
        return np.asarray(np.argmax(severity + by, axis=1))

    def reason(self, hour: int, coat: int) -> str:
        """Return why, in one sentence without its full stop: the first reason where several are."""
        margin = float(self.values["dew_margin_k"][hour, coat])
        film = float(self.values["film_min_c"][hour, coat])
        word, haze = str(self.word[hour, coat]), float(self.values["haze_index"][hour, coat])
        told = verdict(haze_index=haze, dew_margin_k=margin)[1]
        if self.own:
            least = trimmed(self.rule.least_k, 2)
            side = f"{margin:.1f} K above" if margin >= 0 else f"{-margin:.1f} K below"
            told_own = (f"your own rule: film at {film:.1f} C, {side} the dew point, "
                        f"at least {least} K is asked")  # fmt: skip
            if word not in ("", NO_STOP):
                told_own += f"; the model: {word}, {told}"
            told = told_own
        waits = float(self.ready_in_s[hour, coat])
        if waits > 0 and self.kept[hour, coat]:
            if np.isinf(waits):
                return "when the coat below is ready is not told in this air"
            return f"the coat below is not ready yet, in about {spoken(waits)}"
        return told


def judge(
    *, tasks: Sequence[Task], rooms: Rooms, rule: Rule | None = None, slow: bool = False,
    hand: Hand | None = None, parallel: bool = False, progress: Progress | None = None,
) -> Judged:  # fmt: skip
    """Judge every coat in every hour.

    Parameters
    ----------
    tasks : sequence of Task
        Coats; the ages of those below are their ages at the first hour. None at all where the
        maker's own chill judges alone.
    rooms : Rooms
    rule : Rule, optional
        The maker's own.
    slow : bool
        Whether the tasks are those with slow alcohol, for which the rule has its own chill.
    hand : Hand, optional
        Own figures, as in `dry`.
    parallel : bool
        On all cores: never in a server.
    progress : callable, optional
        Is told now and then how many coats are dried, of how many.

    Returns
    -------
    Judged

    Raises
    ------
    Refusal
        For no coat where no own chill stands in for the model; air whose speed is not known.

    Notes
    -----
    A coat below is ready when its recoat time is over, in the air of the first hour in which the
    model tells one; where it never does, it counts as not ready.
    """
    rule = rule or Rule()
    chill = rule.chill(slow=slow)
    if not tasks and chill is None:
        raise Refusal("coats", "there are none", "name one, or give your own measured chill")
    dew = rooms.dew_point_c
    shape = (len(rooms), max(1, len(tasks)))
    values = {name: np.full(shape, np.nan) for name in VALUES}
    low, high = ({k: v.copy() for k, v in values.items()} for _ in range(2))
    word = np.full(shape, "", dtype="<U12")
    withheld = np.zeros(shape, dtype=bool)
    ready = np.zeros(shape)
    if tasks:
        many = dry_hours(tasks=tasks, rooms=rooms, hand=hand, until="recoat",
                         within_s=RECOAT_WITHIN_S, parallel=parallel,
                         progress=progress)  # fmt: skip
        edges = bands(many, hand=hand)
        for name in VALUES:
            values[name] = getattr(many, name)
            low[name], high[name] = edges[name]
        word, withheld = many.verdict, many.withheld
        ready = _ready_in(tasks, rooms, hand)
    if chill is not None:
        start = np.minimum(rooms.temp_c, rooms.board_c)[:, None]
        film = np.broadcast_to(start - chill, shape)
        own = {"film_min_c": film, "chill_k": rooms.temp_c[:, None] - film,
               "dew_margin_k": film - dew[:, None]}  # fmt: skip
        for told in (values, low, high):
            told.update(own)
    kept = passes(word=word, margin_k=values["dew_margin_k"], rule=rule, slow=slow)
    return Judged(values, low, high, dew, word, withheld, rule.judges(slow=slow), kept, ready,
                  rule)  # fmt: skip


def passes(*, word: NDArray[np.str_], margin_k: Array, rule: Rule, slow: bool = False) -> Bools:
    """Return where the film may be laid: by the maker's own rule if he has one, else the model.

    Parameters
    ----------
    word : array of str
        The model's verdict.
    margin_k : array
        Film minimum less dew point [K].
    rule : Rule
    slow : bool
        Whether it is the slow alcohol.
    """
    if rule.judges(slow=slow):
        return np.asarray(margin_k >= rule.least_k - HAIR_K)
    return np.asarray(word == NO_STOP)


def lacks(
    *, word: NDArray[np.str_], haze_index: Array, margin_k: Array, rule: Rule
) -> Array:  # fmt: skip
    """Return how far a film is from what may be laid: 0 or less where it may, else above 0.

    A number to search with: kelvins, or the logarithm of the haze index over what is marginal.
    """
    if rule.judges():
        lack = np.nan_to_num(rule.least_k - margin_k, nan=np.inf)
    else:
        with np.errstate(divide="ignore"):
            haze = np.log(haze_index / constant("haze_marginal"))
        lack = np.nan_to_num(np.maximum(haze, -margin_k), nan=np.inf, posinf=np.inf)
    # The gate decides; the number only says how near.
    kept = passes(word=word, margin_k=margin_k, rule=rule)
    return np.asarray(np.where(kept, np.minimum(lack, 0.0), np.maximum(lack, HAIR_K)))


def dry_hours(
    *, tasks: Sequence[Task], rooms: Rooms, hand: Hand | None = None, until: str = "touch_dry",
    within_s: float = 86400.0, parallel: bool = False, progress: Progress | None = None,
) -> Many:  # fmt: skip
    """Dry every task in every hour, the coats below older by each hour; see `dry_many`.

    Raises
    ------
    Refusal
        As `dry_many`; for air whose speed is not known.
    """
    return dry_many(
        tasks=tasks, temp_c=rooms.temp_c, rh=rooms.rh, speed_m_s=_speed(rooms),
        board_c=rooms.board_c, vapour_pa=rooms.vapour_pa, hand=hand, until=until,
        within_s=within_s, parallel=parallel, progress=progress,
        older_s=rooms.at_s if any(t.under for t in tasks) else None,
    )  # fmt: skip


def spoken(seconds: float) -> str:
    """Return a time as a person says it: "9 min", "2.5 h", "3 days"."""
    if seconds < 90:
        return f"{seconds:.0f} s"
    if seconds < 5400:
        return f"{seconds / 60:.0f} min"
    if seconds < 36 * 3600:
        return f"{seconds / 3600:.1f} h"
    return f"{seconds / 86400:.1f} days"


def _ready_in(tasks: Sequence[Task], rooms: Rooms, hand: Hand | None) -> Array:
    """Return seconds until the coat below is ready: see the notes of `judge`."""
    out = np.zeros((len(rooms), len(tasks)))
    for j, task in enumerate(tasks):
        if not task.under:
            continue
        *older, last = task.under
        below = tuple(Under(u.coat, u.age_s - last.age_s) for u in older)
        # The ages among the coats below do not change from hour to hour.
        many = dry_many(
            tasks=[Task(last.coat, below, task.board)], temp_c=rooms.temp_c, rh=rooms.rh,
            speed_m_s=_speed(rooms), board_c=rooms.board_c, vapour_pa=rooms.vapour_pa, hand=hand,
            within_s=HORIZON_S,
        )  # fmt: skip
        told = many.recoat_s[~np.isnan(many.recoat_s[:, 0]), 0]
        recoat = float(told[0]) if told.size else np.inf
        out[:, j] = recoat - last.age_s - rooms.at_s
    return np.maximum(out, 0.0)


def _speed(rooms: Rooms) -> Array:
    if rooms.speed_m_s is None:
        raise Refusal("air speed", "it is not known, and touch-dry hangs on it",
                      "give it; in a closed room people often count with 0.1 m/s")  # fmt: skip
    return rooms.speed_m_s
