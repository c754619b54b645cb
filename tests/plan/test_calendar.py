import datetime as dt
import math
from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lacwright.figures import Refusal
from lacwright.plan.calendar import (
    HORIZON_DAYS,
    Calendar,
    Settings,
    Task,
    finish,
    forward,
    latest_start,
)

MONDAY = dt.date(2027, 3, 1)
DAY = dt.timedelta(days=1)
WEEK = Settings(frozenset(range(5)), 9.0, 8.0, coats_per_day={"brush": 3, "french-polish": 1})


def march(day: int) -> dt.date:
    return dt.date(2027, 3, day)


def brush(**more: object) -> Task:
    return replace(Task("Coat", "top", "coat", "brush", wait_h=2), **more)


def session(**more: object) -> Task:
    return replace(Task("Session", "body", "session", "french-polish", wait_h=20), **more)


def dates(calendar: Calendar, what: str) -> list[int]:
    """Days of March 2027 on which something is done."""
    return [(e.date - march(1)).days + 1 for e in calendar.entries if e.what == what]


def test_the_anchor_of_all_examples_is_a_monday():
    assert MONDAY.weekday() == 0


# Hand-worked examples


def test_a_brush_course_by_hand():
    """Mix on Monday, strained next morning; six coats at three a day; level; ten days to harden."""
    mix = (
        Task("Dissolve", wait_h=16),
        Task("Strain", wait_h=0.25, name="body"),
    )
    top = (
        Task("Raise the grain", "top", wait_h=12),
        brush(after=("body",)),
        *(brush() for _ in range(5)),
        Task("Rest", "top", "rest", needs_working_day=False, rest_days=3),
        Task("Rub out", "top"),
        Task("Harden", "top", "rest", needs_working_day=False, rest_days=10),
    )
    got = forward([mix, top], WEEK, MONDAY)
    assert [(e.what, e.date.day, e.hour) for e in got.entries] == [
        ("Dissolve", 1, 9.0),
        ("Raise the grain", 1, 9.0),
        ("Strain", 2, 9.0),  # 01:00 at night is over, but work begins at 9
        ("Coat", 2, 9.25),  # the grain was dry at 21:00 on Monday, the mix is strained at 9:15
        ("Coat", 2, 11.25),
        ("Coat", 2, 13.25),
        ("Coat", 3, 9.0),  # 15:15 would be the fourth of the day
        ("Coat", 3, 11.0),
        ("Coat", 3, 13.0),
        ("Rest", 3, 13.0),
        ("Rub out", 8, 9.0),  # three days end on Saturday the 6th
        ("Harden", 8, 9.0),
    ]
    assert got.finish == march(18)


def test_eight_sessions_from_monday_rest_over_friday_and_the_weekend():
    """Four sessions, Friday is the day of rest, Saturday would do but is no working day."""
    rules = replace(WEEK, sessions_before_rest=4, rest_days_after_sessions=1)
    for weekend in (True, False):
        got = forward([[session()] * 8], replace(rules, weekend_rests=weekend), MONDAY)
        assert dates(got, "Session") == [1, 2, 3, 4, 8, 9, 10, 11]
        assert dates(got, "Rest after 4 sessions") == [5]
        assert got.finish == march(12)  # the last wait of 20 h ends on Friday at 5


@pytest.mark.parametrize(
    ("weekend", "sessions", "rests"),
    [
        (True, [3, 4, 5, 8, 9, 10, 11, 15], [12]),  # the weekend of the 6th starts the count again
        (False, [3, 4, 5, 8, 10, 11, 12, 15], [9]),  # the weekend is not counted as a rest
    ],
)
def test_eight_sessions_from_wednesday(weekend, sessions, rests):
    rules = replace(WEEK, sessions_before_rest=4, rest_days_after_sessions=1, weekend_rests=weekend)
    got = forward([[session()] * 8], rules, march(3))
    assert dates(got, "Session") == sessions
    assert dates(got, "Rest after 4 sessions") == rests


def test_a_weekend_of_two_days_is_no_rest_of_three():
    rules = replace(WEEK, sessions_before_rest=4, rest_days_after_sessions=3)
    got = forward([[session()] * 5], rules, march(3))
    assert dates(got, "Session") == [3, 4, 5, 8, 12]


def test_a_rest_written_into_the_course_starts_the_count_again_even_without_weekends():
    rules = replace(WEEK, sessions_before_rest=4, rest_days_after_sessions=1, weekend_rests=False)
    week = Task("Rest", "body", "rest", needs_working_day=False, rest_days=7)
    got = forward([[session(), session(), session(), week, *[session()] * 4]], rules, MONDAY)
    assert dates(got, "Session") == [1, 2, 3, 10, 11, 12, 15]
    assert not dates(got, "Rest after 4 sessions")


def test_two_parts_share_the_days_and_rest_each_by_itself():
    rules = replace(WEEK, sessions_before_rest=4, rest_days_after_sessions=1)
    sides = [session(part="sides") for _ in range(3)]
    got = forward([[session()] * 5, sides], rules, MONDAY)
    assert [e.date.day for e in got.entries if e.part == "sides"] == [1, 2, 3]
    assert [e.date.day for e in got.entries if e.what == "Session" and e.part == "body"] == [
        1, 2, 3, 4, 8,
    ]  # fmt: skip


def test_the_cap_counts_each_part_of_a_track_by_itself():
    two = [brush(wait_h=0), brush(part="legs")] * 3
    assert {e.date.day for e in forward([two], WEEK, MONDAY).entries} == {1}


def test_a_rest_of_seven_days_after_monday_is_over_on_monday():
    got = forward([[Task("Pumice", rest_days=7), Task("Body")]], WEEK, MONDAY)
    assert [e.date for e in got.entries] == [MONDAY, march(8)]
    assert got.entries[0].until == march(8)


def test_a_rest_that_ends_on_a_weekend_waits_for_the_working_day():
    got = forward([[Task("Pumice", rest_days=5), Task("Body")]], WEEK, MONDAY)
    assert [e.date for e in got.entries] == [MONDAY, march(8)]


def test_a_rest_in_working_days_skips_weekends_and_closed_days():
    tasks = [Task("Level", rest_working_days=3), Task("Glaze")]
    assert forward([tasks], WEEK, march(4)).entries[1].date == march(9)
    closed = replace(WEEK, closed=frozenset([march(8)]))
    assert forward([tasks], closed, march(4)).entries[1].date == march(10)


def test_a_rest_runs_beside_the_wait_of_the_step_and_two_rests_add_up():
    rest = Task("Rest", counts="rest", needs_working_day=False, rest_days=3)
    one = forward([[session(wait_h=20), rest, Task("Level")]], WEEK, MONDAY)
    assert one.entries[-1].date == march(4)
    assert one.entries[1].date == MONDAY
    two = forward([[session(wait_h=20), rest, rest, Task("Level")]], WEEK, MONDAY)
    assert two.entries[-1].date == march(8)  # the 7th is a Sunday
    long_wait = forward([[session(wait_h=100), rest, Task("Level")]], WEEK, MONDAY)
    assert (long_wait.entries[-1].date, long_wait.entries[-1].hour) == (march(5), 13.0)


def test_waits_run_over_nights_and_weekends():
    got = forward([[Task("Fill pores", wait_h=72), Task("Seal")]], WEEK, march(5))
    assert (got.entries[1].date, got.entries[1].hour) == (march(8), 9.0)


def test_a_wait_that_is_not_over_within_the_day_moves_the_coat_to_the_next_morning():
    got = forward([[brush(wait_h=3)] * 4], replace(WEEK, coats_per_day={}), march(5))
    assert [(e.date.day, e.hour) for e in got.entries] == [
        (5, 9.0), (5, 12.0), (5, 15.0), (8, 9.0),
    ]  # fmt: skip


def test_work_that_does_not_fit_into_the_day_moves_and_longer_work_is_spread():
    got = forward([[Task("Prepare", hours=6), Task("Stain", hours=3)]], WEEK, march(5))
    assert [(e.date.day, e.hour) for e in got.entries] == [(5, 9.0), (8, 9.0)]
    # 20 h at 8 h a day from Friday on: Friday, Monday, and 4 h of Tuesday
    got = forward([[Task("Prepare", hours=20), Task("Stain")]], WEEK, march(5))
    assert (got.entries[1].date, got.entries[1].hour) == (march(9), 13.0)


def test_what_needs_no_working_day_is_done_on_a_sunday_within_the_hours():
    turn = Task("Turn the piece", needs_working_day=False)
    got = forward([[Task("Coat", wait_h=30), turn]], WEEK, march(5))
    assert (got.entries[1].date, got.entries[1].hour) == (march(6), 15.0)


def test_the_finish_need_not_be_a_working_day_unless_the_hand_over_needs_one():
    harden = Task("Harden", counts="rest", needs_working_day=False, rest_days=5)
    assert forward([[Task("Rub out"), harden]], WEEK, MONDAY).finish == march(6)
    assert forward([[Task("Rub out"), harden, Task("Deliver")]], WEEK, MONDAY).finish == march(8)


def test_a_task_waits_for_all_of_a_name_with_their_waits():
    mixes = [[Task("Strain", name="body", wait_h=1)], [Task("Strain", name="body", wait_h=24)]]
    got = forward([[brush(after=("body",))], *mixes], WEEK, MONDAY)
    assert (got.entries[-1].what, got.entries[-1].date, got.entries[-1].hour) == (
        "Coat", march(2), 9.0,
    )  # fmt: skip


def test_entries_carry_the_callers_index_and_an_inserted_rest_none():
    rules = replace(WEEK, sessions_before_rest=1, rest_days_after_sessions=2)
    got = forward([[session(index=7), session(index=8)]], rules, MONDAY)
    assert [(e.index, e.date.day) for e in got.entries] == [(7, 1), (None, 2), (8, 4)]
    assert got.entries[1].what == "Rest after the session"
    assert got.entries[1].until == march(4)


def test_an_empty_course_ends_on_the_day_it_starts():
    assert forward([], WEEK, march(6)).finish == march(6)
    assert latest_start([[]], WEEK, march(6)) == march(6)


def test_beginning_a_day_later_is_taken_where_it_ends_earlier():
    """Five sessions 30 h apart, three days of rest after four in a row.

    From Tuesday 2: 2, 3 (at 15), 5, 8, that is four, rest 9 to 11, the fifth on 12, over on 13.
    From Wednesday 3: 3, 4 (at 15), then idle from Friday to Sunday, which is a rest of three
    days; 8, 9, 11, over on 12.
    """
    rules = replace(WEEK, sessions_before_rest=4, rest_days_after_sessions=3)
    track = [[session(wait_h=30)] * 5]
    got = forward(track, rules, march(2))
    assert dates(got, "Session") == [3, 4, 8, 9, 11]
    assert (got.start, got.finish) == (march(2), march(12))
    strict = forward(track, replace(rules, weekend_rests=False), march(2))
    assert dates(strict, "Session") == [2, 3, 5, 8, 12]


# Backward


def test_latest_start_by_hand():
    """Two coats a day apart and five days to harden by Friday the 19th: start on the 12th."""
    tasks = [[brush(wait_h=20), brush(rest_days=4)]]
    # Friday 12 and Monday 15, hard on Friday 19; from Monday 15 it would be Saturday 20.
    assert latest_start(tasks, WEEK, march(19)) == march(12)
    got = finish(tasks, WEEK, march(15), by=march(19), today=march(15))
    assert (got.earliest, got.days_late, got.latest_start, got.too_late_to_start) == (
        march(20), 1, march(12), True,
    )  # fmt: skip
    got = finish(tasks, WEEK, march(8), by=march(19), today=march(8))
    assert (got.days_late, got.too_late_to_start) == (0, False)


def test_without_a_wish_nothing_is_said_about_being_late():
    got = finish([[brush()]], WEEK, MONDAY)
    assert (got.wished, got.days_late, got.latest_start, got.too_late_to_start) == (None,) * 4


def test_no_start_within_the_horizon_is_none():
    assert latest_start([[Task("Rest", rest_days=HORIZON_DAYS + 1)]], WEEK, MONDAY) is None


# Refusals


@pytest.mark.parametrize(
    ("tasks", "rules", "words"),
    [
        ([[brush()]], replace(WEEK, working_days=frozenset()), "working day"),
        ([[brush()]], replace(WEEK, working_days=frozenset([7])), "working day"),
        ([[brush()]], replace(WEEK, working_days=frozenset([0, 7])), "day of the week"),
        ([[brush()]], replace(WEEK, day_hours=0.0), "no hours"),
        ([[brush()]], replace(WEEK, day_start_h=24.0), "no hours"),
        ([[brush()]], replace(WEEK, coats_per_day={"brush": 0}), "coats_per_day.brush"),
        ([[brush(wait_h=-1)]], WEEK, "not a time"),
        ([[brush(wait_h=math.nan)]], WEEK, "not a time"),
        ([[brush(rest_days=math.inf)]], WEEK, "not a time"),
        ([[brush(counts="coats")]], WEEK, "did you mean 'coat'"),
        ([[brush(after=("bodi",)), brush(name="body")]], WEEK, "did you mean 'body'"),
        ([[brush(after=("body",)), brush(name="body")]], WEEK, "in turn waits for it"),
        ([[brush(name="a", after=("b",))], [brush(name="b", after=("a",))]], WEEK, "waits for"),
        ([[brush(wait_h=1e9)]], WEEK, "five years"),
        ([[brush(rest_working_days=10**9)]], WEEK, "five years"),
        ([[brush(hours=1e6)]], WEEK, "five years"),
    ],
)
def test_what_cannot_be_laid_out_is_refused(tasks, rules, words):
    with pytest.raises(Refusal, match=words):
        forward(tasks, rules, MONDAY)


def test_a_shop_closed_for_years_is_refused_and_the_last_day_of_time_is_no_trap():
    shut = frozenset(MONDAY + n * DAY for n in range(HORIZON_DAYS + 2))
    with pytest.raises(Refusal, match="five years"):
        forward([[brush()]], replace(WEEK, closed=shut), MONDAY)
    with pytest.raises(Refusal, match="five years"):
        forward([[session(wait_h=99)] * 3], WEEK, dt.date.max - DAY)
    assert latest_start([[brush(rest_days=3)]], WEEK, dt.date.min) is None


# Properties

TASKS = st.builds(
    Task,
    what=st.just("step"),
    counts=st.sampled_from(["coat", "session", "session", "work", "rest"]),
    method=st.sampled_from(["brush", "french-polish"]),
    needs_working_day=st.sampled_from([True, True, True, False]),
    wait_h=st.sampled_from([0.0, 0.25, 2.0, 20.0, 30.0]),
    rest_days=st.sampled_from([0.0, 0.0, 0.0, 1.0, 2.5, 7.0]),
    rest_working_days=st.sampled_from([0, 0, 0, 2]),
    hours=st.sampled_from([0.0, 0.0, 1.0, 5.0, 19.0]),
)
TRACKS = st.lists(st.lists(TASKS, min_size=1, max_size=9), min_size=1, max_size=2).map(
    lambda tracks: [
        [replace(t, index=n, name=f"{k}.{n}") for n, t in enumerate(track)]
        for k, track in enumerate(tracks)
    ]
)
RULES = st.builds(
    Settings,
    working_days=st.frozensets(st.integers(0, 6), min_size=1),
    day_start_h=st.sampled_from([9.0, 19.0]),
    day_hours=st.sampled_from([2.0, 8.0]),
    closed=st.frozensets(st.integers(0, 30).map(lambda n: MONDAY + n * DAY), max_size=4),
    coats_per_day=st.fixed_dictionaries(
        {"brush": st.integers(1, 3), "french-polish": st.integers(1, 2)}
    ),
    sessions_before_rest=st.integers(0, 4),
    rest_days_after_sessions=st.integers(0, 3),
    weekend_rests=st.booleans(),
)
STARTS = st.integers(0, 13).map(lambda n: MONDAY + n * DAY)


def minutes(date: dt.date, hour: float) -> float:
    return date.toordinal() * 1440 + hour * 60


@given(TRACKS, RULES, STARTS)
@settings(max_examples=150, deadline=None)
def test_order_waits_rests_days_and_caps_are_kept(tracks, rules, start):
    got = forward(tracks, rules, start)
    for k, track in enumerate(tracks):
        own = [e for e in got.entries if e.track == k and e.index is not None]
        assert [e.index for e in sorted(own, key=lambda e: e.index)] == list(range(len(track)))
        own.sort(key=lambda e: e.index)
        caps = Counter()
        for n, (task, entry) in enumerate(zip(track, own, strict=True)):
            begin = minutes(entry.date, entry.hour)
            assert entry.date >= start
            rests = task.counts == "rest" and not task.needs_working_day
            if task.needs_working_day:
                assert entry.date.weekday() in rules.working_days
                assert entry.date not in rules.closed
            if not rests:
                assert rules.day_start_h <= entry.hour < rules.day_start_h + rules.day_hours
            if task.counts in ("coat", "session"):
                caps[entry.date, task.method] += 1
            later = [minutes(e.date, e.hour) for e in own[n + 1 :]]
            assert all(begin <= b for b in later)
            followers = [
                e for e, t in zip(own[n + 1 :], track[n + 1 :], strict=True)
                if t.counts != "rest" or t.needs_working_day
            ]  # fmt: skip
            for e in followers[:1]:
                assert minutes(e.date, e.hour) >= begin + 60 * (task.hours + task.wait_h) - 1e-3
                assert (e.date - entry.date).days >= math.ceil(task.rest_days)
                between = [entry.date + n * DAY for n in range(1, (e.date - entry.date).days + 1)]
                working = [
                    d for d in between
                    if d.weekday() in rules.working_days and d not in rules.closed
                ]  # fmt: skip
                assert len(working) >= task.rest_working_days
        assert all(n <= rules.coats_per_day[method] for (_, method), n in caps.items())
    assert got.finish == max(e.until for e in got.entries)


@given(
    st.lists(st.just(session()), min_size=1, max_size=14), RULES, STARTS,
    st.sampled_from([0.0, 20.0, 70.0]),
)  # fmt: skip
@settings(max_examples=150, deadline=None)
def test_a_run_of_sessions_is_followed_by_its_free_days(track, rules, start, wait_h):
    rules = replace(rules, weekend_rests=False)
    got = forward([[replace(s, wait_h=wait_h) for s in track]], rules, start)
    days = [e.date for e in got.entries if e.counts == "session"]
    run, free = rules.sessions_before_rest, rules.rest_days_after_sessions
    if run and free and wait_h < 24:
        for n in range(run, len(days), run):
            assert (days[n] - days[n - 1]).days > free


@given(TRACKS, RULES, STARTS)
@settings(max_examples=100, deadline=None)
def test_a_later_start_never_finishes_earlier(tracks, rules, start):
    assert forward(tracks, rules, start).finish <= forward(tracks, rules, start + DAY).finish


@given(TRACKS, RULES, STARTS, st.data())
@settings(max_examples=150, deadline=None)
def test_more_rest_never_finishes_earlier(tracks, rules, start, data):
    # A longer rest in the middle of a run of sessions may stand in for the rest after the run,
    # so the rule of runs is left out here.
    rules = replace(rules, sessions_before_rest=0)
    k = data.draw(st.integers(0, len(tracks) - 1))
    n = data.draw(st.integers(0, len(tracks[k]) - 1))
    longer = [list(t) for t in tracks]
    longer[k][n] = replace(longer[k][n], rest_days=longer[k][n].rest_days + 1)
    assert forward(tracks, rules, start).finish <= forward(longer, rules, start).finish


@given(TRACKS, RULES, STARTS, st.integers(0, 12))
@settings(max_examples=20, deadline=None)
def test_latest_start_is_the_latest(tracks, rules, start, spare):
    by = forward(tracks, rules, start).finish + spare * DAY
    latest = latest_start(tracks, rules, by)
    assert latest is not None
    assert latest >= start
    assert forward(tracks, rules, latest).finish <= by
    for n in range(1, (by - latest).days + 1):
        assert forward(tracks, rules, latest + n * DAY).finish > by
