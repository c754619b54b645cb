"""The hour table: go, wait or change for every hour and coat, with what would make it a go.

"Go" speaks of the film alone. "Change": a single change makes this hour a go. "Wait": none does,
or a standing stop replaces the go.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import pairwise

import numpy as np

from lacwright.drying import changes as ch
from lacwright.drying.cases import Progress
from lacwright.drying.changes import Change, Search
from lacwright.drying.gate import VALUES, Judged, Rooms, Rule, judge, spoken
from lacwright.drying.hand import state
from lacwright.drying.many import Task
from lacwright.drying.moments import GAP, clock_of, seconds_between, usual_step_s
from lacwright.drying.params import Array, constant
from lacwright.figures import Hand, Refusal
from lacwright.solution import Alcohol
from lacwright.trade import table

Telling = Callable[[str, int, int], None]
GO, WAIT, CHANGE = "go", "wait", "change"
FILM_ONLY = "film only, air not estimated"
"""What a go says where the vapour in the room is not estimated."""
SILENT = "the model was not asked: no coat that it knows is given"


@dataclass(frozen=True)
class Planned:
    """A coat of the table.

    Parameters
    ----------
    name : str
    task : Task
    """

    name: str
    task: Task


@dataclass(frozen=True)
class CoatHour:
    """One coat in one hour.

    Parameters
    ----------
    name : str
    verdict, reason : str
    film_verdict : str
        The model's word; "" where it was not asked.
    values : mapping of str to float or None
        film_min_c, chill_k, dew_margin_k, haze_index, touch_dry_s, recoat_s, each also _low, _high.
    missing : mapping of str to str
        Why a value is None.
    change : tuple of Change
    """

    name: str
    verdict: str
    reason: str
    film_verdict: str
    values: Mapping[str, float | None]
    missing: Mapping[str, str]
    change: tuple[Change, ...] = ()


@dataclass(frozen=True)
class Hour:
    """One hour of the table: the worst coat decides.

    Parameters
    ----------
    at : datetime
    room_c, rh, dew_point_c, board_c : float
    verdict, reason : str
    film_go : bool
        Whether every film may be laid, standing stops left aside.
    worst : CoatHour
        The coat that decides.
    change : tuple of Change
        What makes all coats a go, by cost; another hour stands there too.
    coats : tuple of CoatHour
    slow : CoatHour or None
        The same with slow alcohol, the worst coat: go or wait alone.
    """

    at: dt.datetime
    room_c: float
    rh: float
    dew_point_c: float
    board_c: float
    verdict: str
    reason: str
    film_go: bool
    worst: CoatHour
    change: tuple[Change, ...]
    coats: tuple[CoatHour, ...]
    slow: CoatHour | None


@dataclass(frozen=True)
class HourTable:
    """Hours of a forecast or a log against planned coats.

    Parameters
    ----------
    hours : tuple of Hour
    calibrated : str
        "calibrated on ..." or "uncalibrated"; of the model.
    rule : Rule
    slow_share : float or None
        Share of slow alcohol by mass that the slow column is judged with; None by an own chill.
    stops : tuple of str
        Standing stops that replace every go.
    """

    hours: tuple[Hour, ...]
    calibrated: str
    rule: Rule
    slow_share: float | None
    stops: tuple[str, ...] = ()

    def windows(self) -> list[tuple[Hour, Hour]]:
        """Return first and last hour of every run of goes, gaps in the table ending a run."""
        return runs(self.hours, [h.verdict == GO for h in self.hours])


def hour_table(
    *, at: Sequence[dt.datetime], temp_c: Array, rh: Array, coats: Sequence[Planned],
    speed_m_s: Array | float | None = None, board_c: Array | float | None = None,
    vapour_pa: Mapping[str, float] | None = None, volume_m3: float | None = None,
    rule: Rule | None = None, slow_share: float | None = None, slow: str = ch.SLOW_ALCOHOL,
    hand: Hand | None = None, stops: Sequence[str] = (), with_changes: bool = True,
    parallel: bool = False, progress: Telling | None = None,
) -> HourTable:  # fmt: skip
    """Judge hours and coats, and find what would make each a go.

    Parameters
    ----------
    at : sequence of datetime
        Of every hour, with their zone, rising.
    temp_c, rh : array, shape (hours,)
        Air [C], [0-1].
    coats : sequence of Planned
        May be empty where the maker's own chill judges alone. Ages of coats below are those at
        the first hour.
    speed_m_s : float or array, optional
        Speed of the air over the work [m/s]; the model needs it.
    board_c : float or array, optional
        Temperature of the board [C]; the room's where left out or NaN.
    vapour_pa : mapping of str to float, optional
        Vapours already in the room [Pa].
    volume_m3 : float, optional
        Of the room, for the water to take out [m3]; told in g/m3 without it.
    rule : Rule, optional
        The maker's own.
    slow_share : float, optional
        Share by mass of slow alcohol of the column beside; a row of the table if left out.
    slow : str
        The slow alcohol.
    hand : Hand, optional
        Own figures, as in `dry`.
    stops : sequence of str
        Standing stops: every hour then waits, and no change is looked for.
    with_changes : bool
        Whether changes are looked for; without them the verdicts are go and wait.
    parallel : bool
        On all cores: never in a server.
    progress : callable, optional
        Is told now and then what is done, how much of it, and of how much.

    Returns
    -------
    HourTable

    Raises
    ------
    Refusal
        For times that do not rise, air out of range, air of unknown speed where the model is
        asked, a volume that cannot be.
    """
    rule, tasks = rule or Rule(), [c.task for c in coats]
    names = [c.name for c in coats] or [""]
    seconds = np.array([seconds_between(at[0], t) for t in at])
    if np.any(np.diff(seconds) <= 0):
        raise Refusal("hours", "they do not rise", "sort them, each once")
    if volume_m3 is not None and not 0 < volume_m3 < 1e6:
        raise Refusal("volume", f"{volume_m3:g} m3 is no room", "write e.g. 60 m3")
    rooms = Rooms.of(temp_c=temp_c, rh=rh, speed_m_s=speed_m_s, board_c=board_c, at_s=seconds,
                     vapour_pa=vapour_pa)  # fmt: skip
    if len(rooms) != len(seconds):
        raise Refusal("hours", "times and air differ in number", "give one value for each hour")
    share = _c("slow_share") if slow_share is None else slow_share
    tell = progress or (lambda what, done, whole: None)
    judged = judge(tasks=tasks, rooms=rooms, rule=rule, hand=hand, parallel=parallel,
                   progress=partial(tell, "judged"))  # fmt: skip
    beside = _slow(tasks, rooms, rule, share, slow, hand, parallel,
                   partial(tell, "judged with slow alcohol"))  # fmt: skip
    search = Search(tasks=tasks, rooms=rooms, rule=rule, judged=judged, judged_slow=beside,
                    hand=hand, slow=slow, parallel=parallel)  # fmt: skip
    listed = _Listing(search, at, volume_m3, share, names, blocked=bool(stops))
    # Nothing that is changed of the air or the coat lifts a standing stop.
    if with_changes and not stops:
        listed.find(partial(tell, "changes looked for"))
    hours = tuple(
        _hour(i, at[i], rooms, judged, beside, names, listed, stops) for i in range(len(rooms))
    )
    own_slow = rule.chill_slow_k is not None
    return HourTable(hours, state(hand or {}).words if tasks else SILENT, rule,
                     None if own_slow or beside is None else share, tuple(stops))  # fmt: skip


def runs(hours: Sequence[Hour], wanted: Sequence[bool]) -> list[tuple[Hour, Hour]]:
    """Return first and last of every run of hours that are wanted; a gap of the table ends one."""
    steps = [seconds_between(a.at, b.at) for a, b in pairwise(hours)]
    usual = usual_step_s(steps)
    found: list[tuple[Hour, Hour]] = []
    for k, (hour, yes) in enumerate(zip(hours, wanted, strict=True)):
        if not yes:
            continue
        if k and wanted[k - 1] and steps[k - 1] <= GAP * usual:
            found[-1] = found[-1][0], hour
        else:
            found.append((hour, hour))
    return found


def _slow(
    tasks: Sequence[Task], rooms: Rooms, rule: Rule, share: float, slow: str, hand: Hand | None,
    parallel: bool, progress: Progress,
) -> Judged | None:  # fmt: skip
    """Judge the slow alcohol: by the own slow chill, or by the model where there are coats."""
    if rule.chill_slow_k is None and (not tasks or rule.chill_k is not None):
        return None
    mixed = [replace(t, coat=ch.slowed(t.coat, share, slow)) for t in tasks]
    return judge(tasks=mixed, rooms=rooms, rule=rule, slow=True, hand=hand, parallel=parallel,
                 progress=progress)  # fmt: skip


class _Listing:
    """Changes of hours and coats as a person reads them."""

    def __init__(
        self, search: Search, at: Sequence[dt.datetime], volume_m3: float | None, share: float,
        names: Sequence[str], *, blocked: bool,
    ) -> None:  # fmt: skip
        self.search, self.at, self.volume, self.share = search, at, volume_m3, share
        self.names = names
        shape = search.judged.go.shape
        self.cells: list[list[list[Change]]] = [[[] for _ in range(shape[1])]
                                                for _ in range(shape[0])]  # fmt: skip
        self.hours: list[list[Change]] = [[] for _ in range(shape[0])]
        self.blocked = blocked

    def find(self, progress: Progress) -> None:
        """Look for all of them; say how many kinds are done."""
        if self.search.rule.chill_k is not None:
            self._closed()
        for levels in self.search.levels(progress):
            hour, coat = np.nonzero(levels.cells)
            self._add(levels, hour, coat, levels.cells[hour, coat], self._to_cell)
            rows = np.flatnonzero(levels.hours)
            if levels.cells.shape[1] == 1:
                for i in rows:
                    self.hours[i].append(self.cells[i][0][-1])
                continue
            worst = self.search.judged.worst[rows]
            self._add(levels, rows, worst, levels.hours[rows], self._to_hour, of_hour=True)
        self._wait()

    def _to_cell(self, i: int, j: int, change: Change) -> None:
        self.cells[i][j].append(change)

    def _to_hour(self, i: int, j: int, change: Change) -> None:
        self.hours[i].append(change)

    def _closed(self) -> None:
        search = self.search
        found = ch.by_rule(search.rooms, search.judged, judged_slow=search.judged_slow)
        for kind in (ch.WARM, ch.DRY, ch.SLOW):
            for i in np.flatnonzero(~np.isnan(found[kind][0])) if kind in found else ():
                amount, rh = float(found[kind][0][i]), float(found[kind][1][i])
                if kind == ch.WARM:
                    change = self._warm(amount, rh)
                elif kind == ch.DRY:
                    change = self._dry(amount, rh)
                else:  # what is in his mix, and how much of it, is not known here
                    change = Change(kind, 100.0, ch.OF_YOUR_MIX, None,
                                    f"use {ch.YOUR_MIX}, whose chill you measured; eyes and limits "
                                    "in air, see the cautions", ch.YOUR_MIX)  # fmt: skip
                for j in np.flatnonzero(search.helped(kind)[i]):
                    self.cells[i][j].append(change)
                if search.helped(kind)[i].all() and (search.judged.ready_in_s[i] <= 0).all():
                    self.hours[i].append(change)

    def _add(
        self, levels: ch.Levels, hour: ch.Ints, coat: ch.Ints, level: ch.Ints,
        to: Callable[[int, int, Change], None], *, of_hour: bool = False,
    ) -> None:  # fmt: skip
        """Add changes of one kind, each of an hour, a coat and a level."""
        kind, search = levels.kind, self.search
        rooms = search.changed_rooms(kind, hour, level)
        if kind == ch.WARM:
            told = [self._warm(float(k) * _c("warm_step"), float(rh))
                    for k, rh in zip(level, rooms.rh, strict=True)]  # fmt: skip
        elif kind == ch.DRY:
            water = ch.water_g_m3(search.rooms.chosen(hour), rooms.rh)
            told = [self._dry(float(g), float(rh)) for g, rh in zip(water, rooms.rh, strict=True)]
        elif kind == ch.DRIER:
            told = [_drier_change(search.drier[j][k - 1]) for j, k in zip(coat, level, strict=True)]
        elif kind == ch.SLOW:
            share = np.asarray(level * _c("slow_step"), dtype=np.float64)
            slow = ch.slow_recoat_s(search, hour, coat, share)
            plain = search.judged.values["recoat_s"][hour, coat]
            told = [_slow_change(100 * part, search.slow, with_, without) for part, with_, without
                    in zip(share.tolist(), slow.tolist(), plain.tolist(), strict=True)]  # fmt: skip
        else:
            wet = np.array([t.coat.wet_um for t in search.tasks])[coat]
            wet = wet * (1 - level * _c("thinner_step"))
            cap = search.thinnest(levels.cells)[hour] if of_hour else wet
            told = [_thinner_change(float(um)) for um in cap]
        for i, j, change in zip(hour.tolist(), coat.tolist(), told, strict=True):
            to(i, j, change)

    def _warm(self, by_k: float, rh: float) -> Change:
        return Change(ch.WARM, by_k, "K", rh,
                      f"warm room and board by {ch.enough(by_k, 'K')} K, to {100 * rh:.0f} %, "
                      "before alcohol is opened; no flame, glowing heater, hot-air gun or "
                      "lamp")  # fmt: skip

    def _dry(self, g_m3: float, rh: float) -> Change:
        if self.volume is None:
            return Change(
                ch.DRY,
                g_m3,
                "g/m3",
                rh,
                f"dry the air by {ch.enough(g_m3, 'g/m3')} g of water a m3, to {ch.at_most(rh)} %",
            )
        kg = g_m3 * self.volume / 1000
        return Change(ch.DRY, kg, "kg", rh,
                      f"take {ch.enough(kg, 'kg')} kg of water out of the air of this room, to "
                      f"{ch.at_most(rh)} %; more as the room gives it back")  # fmt: skip

    def _wait(self) -> None:
        """Add the next hour that is a go, for each coat and for all."""
        if self.blocked:
            return
        go = self.search.judged.go
        for column in range(-1, go.shape[1]):
            yes = np.all(go, axis=1) if column < 0 else go[:, column]
            following: int | None = None
            for i in range(len(yes) - 1, -1, -1):
                if yes[i]:
                    following = i
                elif following is not None:
                    hours = seconds_between(self.at[i], self.at[following]) / 3600
                    told = Change(
                        ch.HOUR, hours, "h", None, f"wait until {_spoken_at(self.at[following])}"
                    )
                    (self.hours[i] if column < 0 else self.cells[i][column]).append(told)


def _drier_change(alcohol: Alcohol) -> Change:
    share = 100 * (alcohol.share("water") or 0.0)
    return Change(ch.DRIER, share, "% water", None,
                  f"use {alcohol.lot} (known composition, {share:.1f} % water)",
                  alcohol.lot)  # fmt: skip


def _thinner_change(wet_um: float) -> Change:
    told = ch.enough(wet_um, "um")
    return Change(ch.THINNER, wet_um, "um", None,
                  f"lay it thinner, at most {told} um wet, and more coats")  # fmt: skip


def _slow_change(share: float, name: str, slow_s: float, plain_s: float) -> Change:
    words = f"{ch.enough(share, '%')} % {name} by mass in the alcohol; "
    if np.isnan(slow_s):
        words += "when the next coat may follow is not told: more than a day, or withheld"
    else:
        words += f"the next coat then after about {spoken(slow_s)}"
        if not np.isnan(plain_s):
            words += f" in place of {spoken(plain_s)}"
    words += "; eyes and limits in air, see the cautions"
    return Change(ch.SLOW, share, "%", None, words, name,
                  _known(slow_s), _known(plain_s))  # fmt: skip


def _hour(
    i: int, at: dt.datetime, rooms: Rooms, judged: Judged, beside: Judged | None,
    names: Sequence[str], listed: _Listing, stops: Sequence[str],
) -> Hour:  # fmt: skip
    back = listed.search.poisoned
    coats = tuple(_coat(i, j, judged, name, listed.cells[i][j], stops, kept_back=bool(back[j]))
                  for j, name in enumerate(names))  # fmt: skip
    worst = coats[int(judged.worst[i])]
    change = tuple(listed.hours[i])
    go = bool(judged.go[i].all())
    verdict = _verdict(go, change, stops)
    slow = None
    if beside is not None:
        slow = _coat(i, j := int(beside.worst[i]), beside, names[j], (), stops,
                     kept_back=bool(back[j]))  # fmt: skip
    return Hour(
        at,
        float(rooms.temp_c[i]),
        float(rooms.rh[i]),
        float(judged.dew_point_c[i]),
        float(rooms.board_c[i]),
        verdict,
        worst.reason,
        go,
        worst,
        change,
        coats,
        slow,
    )


def _verdict(go: bool, change: Sequence[Change], stops: Sequence[str]) -> str:
    if stops:
        return WAIT
    if go:
        return GO
    return CHANGE if any(c.kind != ch.HOUR for c in change) else WAIT


def _coat(
    i: int, j: int, judged: Judged, name: str, change: Sequence[Change], stops: Sequence[str],
    *, kept_back: bool = False,
) -> CoatHour:  # fmt: skip
    values: dict[str, float | None] = {}
    missing: dict[str, str] = {}
    asked = bool(judged.word[i, j])
    for key in VALUES:
        for side, table_ in (("", judged.values), ("_low", judged.low), ("_high", judged.high)):
            values[key + side] = _known(float(table_[key][i, j]))
            if values[key + side] is None:
                missing[key + side] = _why(key, asked, bool(judged.withheld[i, j]))
    go = bool(judged.go[i, j])
    reason = judged.reason(i, j)
    if stops:
        reason = f"standing stop: {stops[0]}"
    elif go:
        reason = f"{reason} ({FILM_ONLY})"
    elif kept_back:
        reason = f"{reason}; {ch.KEPT_BACK}"
    return CoatHour(name, _verdict(go, change, stops), reason, str(judged.word[i, j]), values,
                    missing, tuple(change))  # fmt: skip


def _why(key: str, asked: bool, withheld: bool) -> str:
    if not asked:
        return SILENT
    if key == "recoat_s" and withheld:
        return (f"withheld: the haze index is above {constant('haze_withheld'):g}, the film may "
                "be two-phase and the model does not hold for it")  # fmt: skip
    return "cannot estimate: not within a day"


def _spoken_at(at: dt.datetime) -> str:
    return f"{at:%a} {at.day} {at:%b} {clock_of(at)}"


def _known(value: float) -> float | None:
    return None if np.isnan(value) else value


def _c(key: str) -> float:
    return table("drying_changes")[key].number("value")
