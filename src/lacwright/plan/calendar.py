"""From tasks with waits and rests to dates: forward from a start, backward from a wished day.

The model keeps no clock of its own; every date comes from the caller. Hours are counted in whole
minutes, waits rounded up, so that no wait is ever shortened by the arithmetic.

The rules, all of them:

- The tasks of a track (a part, a mix) follow each other; tracks share the days, but do not wait
  for each other, except where a task names others in `after`.
- A task begins within the hours of a working day. What does not fit into what is left of a day
  moves to the start of the next one; only a task longer than a whole working day is spread out.
- A wait in hours counts from the end of the task and runs over nights and weekends.
- A rest of n days ends on the n-th calendar day after the task (Monday and 7 days: the next
  Monday), a rest of n working days on the n-th working day after it.
- A task that counts as a rest begins when the task before it ends, so that the wait of that task
  runs beside it and the longer of the two holds; two rests one after the other add up.
- Coats and sessions of one method are capped per day, on each part of a track by itself.
- After so many sessions in a row on a part there must be so many days without one. A longer wait
  or rest that is written into the course starts the count again; idle days only if `weekend_rests`.
- The end is the day on which the last wait or rest is over. Rests are never shortened.
"""

from __future__ import annotations

import datetime as dt
import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from lacwright.figures import Refusal, nearest

COUNTS = ("coat", "session", "work", "rest")
HORIZON_DAYS = 5 * 366
"""Beyond this many days from the start the calendar gives up: a mistyped rest, most likely."""

_LAID = ("coat", "session")
_HOUR = 60
_DAY = 24 * _HOUR


@dataclass(frozen=True)
class Task:
    """One entry of a track.

    Attributes
    ----------
    what, part : str
        In words, as they are shown.
    counts : str
        "coat", "session", "work" or "rest".
    method : str
        What the coats per day are capped by.
    needs_working_day : bool
        Must it lie on a working day? A rest that does not is bound to no hours either.
    wait_h : float
        Hours from its end to the next task of the track. [h]
    rest_days : float
        Calendar days to the next task; a part of a day counts as a whole one. [d]
    rest_working_days : int
        The same in working days.
    hours : float
        How long it takes. [h]
    index : int
        For the caller, to find his own step again.
    name : str
        What others wait for in `after`; several tasks may share it, all must then be over.
    after : tuple of str
        Names of tasks, of any track, that must be over with their waits and rests.
    """

    what: str
    part: str = ""
    counts: str = "work"
    method: str = ""
    needs_working_day: bool = True
    wait_h: float = 0.0
    rest_days: float = 0.0
    rest_working_days: int = 0
    hours: float = 0.0
    index: int = 0
    name: str = ""
    after: tuple[str, ...] = ()


Track = Sequence[Task]


@dataclass(frozen=True)
class Settings:
    """The week and the limits of a day.

    Attributes
    ----------
    working_days : frozenset of int
        0 = Monday.
    closed : frozenset of datetime.date
        Holidays and days away.
    day_start_h, day_hours : float
        Hour at which work begins and how long it lasts, to midnight at the most. [h]
    coats_per_day : mapping
        Most coats or sessions of a method in a day on one part; a method not named has no limit.
    sessions_before_rest : int
        Sessions in a row before a rest, 0 for no such rule.
    rest_days_after_sessions : int
        Days without a session after them: with 1, Thursday's session is followed by Saturday's.
    weekend_rests : bool
        Do as many idle days between two sessions (a weekend) count as that rest? If not, only
        working days without a session do.
    """

    working_days: frozenset[int]
    day_start_h: float
    day_hours: float
    closed: frozenset[dt.date] = frozenset()
    coats_per_day: Mapping[str, int] = field(default_factory=dict)
    sessions_before_rest: int = 0
    rest_days_after_sessions: int = 0
    weekend_rests: bool = True


@dataclass(frozen=True)
class Entry:
    """A task with its date.

    `until` is the day on which its wait or rest is over. `index` is None for a rest that the
    calendar itself put in after a run of sessions. `hour` and `until_hour` count from midnight.
    """

    date: dt.date
    hour: float
    what: str
    part: str
    counts: str
    index: int | None
    track: int
    until: dt.date
    until_hour: float


@dataclass(frozen=True)
class Calendar:
    """Entries in order of time, and the day on which the last of them is over."""

    start: dt.date
    entries: tuple[Entry, ...]
    finish: dt.date


@dataclass(frozen=True)
class Finish:
    """The end against the wish.

    `days_late` is 0 when the wished day can be met, None without a wish. `latest_start` is None
    without a wish, and when no start within the horizon meets it. `too_late_to_start` says that
    the latest start lies before today; None when today or the latest start is not known.
    """

    earliest: dt.date
    wished: dt.date | None
    days_late: int | None
    latest_start: dt.date | None
    too_late_to_start: bool | None


def forward(tracks: Sequence[Track], settings: Settings, start: dt.date) -> Calendar:
    """Lay the tracks out from a start date on.

    Parameters
    ----------
    tracks : sequence of sequence of Task
        The tasks, each track in its own order.
    settings : Settings
        The week and the limits of a day.
    start : datetime.date
        The first day on which anything may be done.

    Returns
    -------
    Calendar
        The one that ends first. Where weekends serve as rests it may begin later than it could.

    Raises
    ------
    Refusal
        For a week without working days, a negative or unreadable time, a task that waits for a
        name that is not there or for itself, or work that does not end within five years.
    """
    _check(tracks, settings)
    limit = min(start.toordinal() + HORIZON_DAYS, dt.date.max.toordinal())
    try:
        best = _Run(tracks, settings, start.toordinal(), limit).calendar()
    except _BeyondLimit as beyond:
        raise Refusal(
            "the calendar",
            f"{beyond.task} does not come to an end within five years of {start.isoformat()}",
            "check the waits, the rests and the closed days",
        ) from None
    if not (settings.weekend_rests and settings.sessions_before_rest):
        return best
    # Only here can beginning later end earlier: a weekend that falls better saves a rest.
    later = start.toordinal() + 1
    while later < best.finish.toordinal():
        try:
            run = _Run(tracks, settings, later, best.finish.toordinal() - 1).calendar()
            best = replace(run, start=start)
        except _BeyondLimit:
            pass
        later += 1
    return best


def latest_start(tracks: Sequence[Track], settings: Settings, by: dt.date) -> dt.date | None:
    """Return the last start date from which `forward` is finished by a wished day.

    Found by trying one day after the other backward from the wished day, so it agrees with
    `forward` whatever the rules.

    Returns
    -------
    datetime.date or None
        None when no start within five years before the wished day is early enough.

    Raises
    ------
    Refusal
        As `forward`, except for work that is too long.
    """
    _check(tracks, settings)
    limit = by.toordinal()
    for start in range(limit, max(limit - HORIZON_DAYS, dt.date.min.toordinal()) - 1, -1):
        try:
            _Run(tracks, settings, start, limit).calendar()
        except _BeyondLimit:
            continue
        return dt.date.fromordinal(start)
    return None


def finish(
    tracks: Sequence[Track], settings: Settings, start: dt.date,
    by: dt.date | None = None, today: dt.date | None = None,
) -> Finish:  # fmt: skip
    """Return the earliest end from `start` on, and how it stands to the wished day `by`.

    Raises
    ------
    Refusal
        As `forward`.
    """
    earliest = forward(tracks, settings, start).finish
    if by is None:
        return Finish(earliest, None, None, None, None)
    latest = latest_start(tracks, settings, by)
    past = None if today is None or latest is None else latest < today
    return Finish(earliest, by, max((earliest - by).days, 0), latest, past)


class _BeyondLimit(Exception):
    """A task lies, or its rest ends, beyond the last day that is looked at."""

    def __init__(self, task: Task) -> None:
        super().__init__(task)
        self.task = f"'{task.what}'" + (f" ({task.part})" if task.part else "")


@dataclass
class _Lane:
    """How far a track has come. Times are minutes, days ordinals, of one common count."""

    number: int
    track: Track
    ready: int  # when its next task may begin
    anchor: int  # when a rest that comes next would begin
    next: int = 0
    laid: Counter[tuple[int, str, str]] = field(default_factory=Counter)  # by day, part, method
    sessions: Counter[str] = field(default_factory=Counter)  # in a row, by part
    last_session: dict[str, int] = field(default_factory=dict)  # day, by part
    last_work: int | None = None  # day


class _Run:
    """One walk through all tracks from a start day, up to the day `limit`."""

    def __init__(self, tracks: Sequence[Track], settings: Settings, start: int, limit: int) -> None:
        self.settings = settings
        self.start, self.limit = start, limit
        self.open = _minutes(settings.day_start_h)
        # A minute before midnight at the latest: what ends a day's work ends on that day.
        self.close = min(self.open + math.floor(settings.day_hours * _HOUR + 1e-6), _DAY - 1)
        self.lanes = [_Lane(n, t, start * _DAY, start * _DAY) for n, t in enumerate(tracks)]
        self.left = Counter(task.name for track in tracks for task in track)
        self.over: dict[str, int] = {}  # when the tasks of a name are over
        self.placed: list[tuple[int, int, int, Entry]] = []

    def calendar(self) -> Calendar:
        """Place every task; raise _BeyondLimit or, for tasks that wait in a circle, Refusal."""
        while unfinished := [lane for lane in self.lanes if lane.next < len(lane.track)]:
            moved = False
            for lane in unfinished:
                while lane.next < len(lane.track) and self._may_begin(lane.track[lane.next]):
                    self._place(lane, lane.track[lane.next])
                    lane.next += 1
                    moved = True
            if not moved:
                task = unfinished[0].track[unfinished[0].next]
                raise Refusal(
                    "the calendar",
                    f"'{task.what}' waits for {', '.join(task.after)}, which in turn waits for it",
                    "take one of the two waits out",
                )
        end = max((lane.ready for lane in self.lanes), default=self.start * _DAY)
        self.placed.sort(key=lambda p: p[:3])
        entries = tuple(p[3] for p in self.placed)
        return Calendar(dt.date.fromordinal(self.start), entries, dt.date.fromordinal(end // _DAY))

    def _may_begin(self, task: Task) -> bool:
        return all(self.left[name] == 0 for name in task.after)

    def _place(self, lane: _Lane, task: Task) -> None:
        called = max((self.over[name] for name in task.after), default=0)
        if task.counts == "rest" and not task.needs_working_day:
            begin = max(lane.anchor, called)
            end = begin + _minutes(task.hours)
            lane.ready = max(lane.ready, self._ready(task, end))
            lane.anchor = lane.ready
        else:
            begin = self._begin(lane, task, max(lane.ready, called))
            end = self._end(task, begin)
            self._count(lane, task, begin // _DAY, end // _DAY)
            lane.anchor = end
            lane.ready = self._ready(task, end)
        if self._forced_days(task) > self.settings.rest_days_after_sessions:
            lane.sessions.clear()
        self.left[task.name] -= 1
        self.over[task.name] = max(self.over.get(task.name, 0), lane.ready)
        self._note(lane, begin, lane.ready, task.what, task.part, task.counts, task.index)

    def _begin(self, lane: _Lane, task: Task, ready: int) -> int:
        """Return when the task begins; before a session, put in the rest that is due."""
        begin = self._slot(lane, task, ready)
        if self._idle(lane, begin // _DAY):
            lane.sessions.clear()
        run, free = self.settings.sessions_before_rest, self.settings.rest_days_after_sessions
        done = lane.sessions[task.part]
        if task.counts == "session" and run and free and done >= run:
            rest = (lane.last_session[task.part] + 1) * _DAY
            until = self._rest_over(task, lane.last_session[task.part], free)
            begin = self._slot(lane, task, max(ready, until))
            what = f"Rest after {done} sessions" if done > 1 else "Rest after the session"
            self._note(lane, rest, until, what, task.part, "rest", None)
            lane.sessions[task.part] = 0
        return begin

    def _rest_over(self, task: Task, last: int, free: int) -> int:
        """Return when `free` days of rest are over that begin the day after `last`.

        Where a weekend does not serve as a rest, only working days without a session do.
        """
        day = last + free
        if not self.settings.weekend_rests:
            day = last
            for _ in range(free):
                day = self._next_day(task, day, working=True)
        return (day + 1) * _DAY

    def _idle(self, lane: _Lane, day: int) -> bool:
        """Return whether enough idle days lie before `day`, if they count as a rest at all."""
        if not self.settings.weekend_rests or lane.last_work is None:
            return False
        return day - lane.last_work - 1 >= self.settings.rest_days_after_sessions

    def _count(self, lane: _Lane, task: Task, first: int, last: int) -> None:
        if task.counts in _LAID:
            lane.laid[first, task.part, task.method] += 1
        if task.counts == "session":
            lane.sessions[task.part] += 1
            lane.last_session[task.part] = last
        lane.last_work = last

    def _slot(self, lane: _Lane, task: Task, ready: int) -> int:
        """Return the first minute from `ready` on at which the task fits into a day."""
        length = _minutes(task.hours)
        for day in range(ready // _DAY, self.limit + 1):
            if not self._is_day(task, day) or self._is_full(lane, task, day):
                continue
            begin = max(ready, day * _DAY + self.open)
            room = day * _DAY + self.close - begin
            if room > 0 and (length <= room or length > self.close - self.open):
                return begin
        raise _BeyondLimit(task)

    def _is_full(self, lane: _Lane, task: Task, day: int) -> bool:
        most = self.settings.coats_per_day.get(task.method)
        if most is None or task.counts not in _LAID:
            return False
        return lane.laid[day, task.part, task.method] >= most

    def _end(self, task: Task, begin: int) -> int:
        """Return when the task ends; one longer than a working day goes on on the next ones."""
        left, day = _minutes(task.hours), begin // _DAY
        room = day * _DAY + self.close - begin
        while left > room:
            left -= room
            day = self._next_day(task, day, working=task.needs_working_day)
            begin, room = day * _DAY + self.open, self.close - self.open
        return begin + left

    def _ready(self, task: Task, end: int) -> int:
        """Return when the wait and the rest of a task are over that ended at `end`."""
        day = end // _DAY
        ready = end + _minutes(task.wait_h)
        if task.rest_days:
            ready = max(ready, (day + math.ceil(task.rest_days)) * _DAY)
        for _ in range(task.rest_working_days):
            day = self._next_day(task, day, working=True)
        if task.rest_working_days:
            ready = max(ready, day * _DAY)
        if ready // _DAY > self.limit:
            raise _BeyondLimit(task)
        return ready

    def _next_day(self, task: Task, day: int, *, working: bool) -> int:
        for later in range(day + 1, self.limit + 1):
            if not working or self._is_working_day(later):
                return later
        raise _BeyondLimit(task)

    def _forced_days(self, task: Task) -> int:
        """Return by how many days at least the task puts off what follows it."""
        waits = _minutes(task.wait_h) // _DAY
        return max(math.ceil(task.rest_days), task.rest_working_days, waits)

    def _is_day(self, task: Task, day: int) -> bool:
        return not task.needs_working_day or self._is_working_day(day)

    def _is_working_day(self, day: int) -> bool:
        date = dt.date.fromordinal(day)
        return date.weekday() in self.settings.working_days and date not in self.settings.closed

    def _note(
        self, lane: _Lane, begin: int, until: int,
        what: str, part: str, counts: str, index: int | None,
    ) -> None:  # fmt: skip
        entry = Entry(
            dt.date.fromordinal(begin // _DAY), begin % _DAY / _HOUR, what, part, counts, index,
            lane.number, dt.date.fromordinal(until // _DAY), until % _DAY / _HOUR,
        )  # fmt: skip
        self.placed.append((begin, lane.number, len(self.placed), entry))


def _minutes(hours: float) -> int:
    """Return hours as whole minutes, rounded up; a millionth of a minute is float noise."""
    return math.ceil(hours * _HOUR - 1e-6)


def _check(tracks: Sequence[Track], settings: Settings) -> None:
    if not settings.working_days & frozenset(range(7)):
        raise Refusal("working_days", "no day of the week is a working day", "name at least one")
    if odd := settings.working_days - frozenset(range(7)):
        raise Refusal("working_days", f"{min(odd)} is no day of the week",
                      "write 0 for Monday to 6 for Sunday")  # fmt: skip
    _number("day.start", settings.day_start_h)
    _number("day.hours", settings.day_hours)
    if settings.day_start_h * _HOUR > _DAY - 2 or settings.day_hours * _HOUR < 1:
        raise Refusal("day.hours", "the working day has no hours",
                      "let it begin before 24 h and last a while")  # fmt: skip
    for method, most in settings.coats_per_day.items():
        if most < 1:
            raise Refusal(f"coats_per_day.{method}", f"{most} coats a day never end",
                          "write 1 or more")  # fmt: skip
    names = {task.name for track in tracks for task in track if task.name}
    for track in tracks:
        for task in track:
            _check_task(task, names)


def _check_task(task: Task, names: set[str]) -> None:
    where = f"{task.what} ({task.part})" if task.part else task.what
    if task.counts not in COUNTS:
        raise Refusal(where, f"'{task.counts}' is not a way to count", nearest(task.counts, COUNTS))
    for value in (task.wait_h, task.rest_days, task.rest_working_days, task.hours):
        _number(where, value)
    for name in task.after:
        if name not in names:
            raise Refusal(where, f"it waits for '{name}', which is not in the course",
                          nearest(name, names) if names else "take it out")  # fmt: skip


def _number(where: str, value: float) -> None:
    if not math.isfinite(value) or value < 0:
        raise Refusal(where, f"{value} is not a time", "write a number of hours or days from 0 up")
