"""What is to be done now, each with the way to do it; the most pressing first."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, replace

from django.urls import reverse
from django.utils.http import urlencode

from lacwright.bench.pages.measures import When, days_words, spoken_day, when
from lacwright.bench.pages.wet import recoat_words, told_before
from lacwright.shop import clock
from lacwright.shop.queries.due import DISCARD, GO_ON, TEST_SOON, Due
from lacwright.shop.queries.jobs import step_words
from lacwright.shop.queries.now import LaneNow, Now, stands
from lacwright.shop.queries.progress import Step
from lacwright.shop.queries.remembered import remembered
from lacwright.shop.services.pieces import WHOLE
from lacwright.trade import table

SHOWN = 12
"""Lines of a group; the lists have them all."""


@dataclass(frozen=True)
class Act:
    """One thing to do, or to wait for.

    Parameters
    ----------
    words : str
        What is to be done; the text of the link.
    url : str
        Where it is done.
    detail : str
        Of what, and why.
    lead_in, at : str, When or None
        "since", "from", "look at", and the moment.
    also : tuple of (url, words)
        Other ways on.
    fact, press : str
        The same at the head of the page: what is the matter, and what the button says.
    """

    words: str
    url: str
    detail: str = ""
    lead_in: str = ""
    at: When | None = None
    also: tuple[tuple[str, str], ...] = ()
    fact: str = ""
    press: str = ""


@dataclass(frozen=True)
class Group:
    """Things of one kind."""

    name: str
    title: str
    acts: tuple[Act, ...]
    more: int
    all_url: str


@dataclass(frozen=True)
class NowPage:
    """The page.

    Parameters
    ----------
    first : Act or None
        What comes first, in large type.
    wait : Act or None
        What comes next where nothing is to be done yet.
    groups : tuple of Group
        Everything, by kind.
    more_jobs, more_jars : bool
        Whether others lie untouched for longer.
    """

    first: Act | None
    wait: Act | None
    groups: tuple[Group, ...]
    more_jobs: bool
    more_jars: bool


def now_page(*, now_us: int, zone: dt.tzinfo) -> NowPage:
    """Return what is to be done at a moment."""
    # Of a jar or lot the moment only tells its age in days.
    today = clock.day_of(now_us, zone)
    stand = remembered(("now", str(zone), today), lambda: stands(at_us=now_us, zone=zone))
    discard = [_discard(d) for d in stand.due if d.what == DISCARD]
    tests, looks = _tests(stand, zone, now_us)
    ready, waiting, over = _coats(stand.lanes, zone, now_us)
    first = next((act for acts in (discard, ready, tests, over) for act in acts), None)
    jobs, jars = reverse("jobs"), reverse("jars")

    def _group(name: str, title: str, acts: list[Act], url: str) -> Group:
        rest = [act for act in acts if act is not first]
        return Group(name, title, tuple(rest[:SHOWN]), max(len(rest) - SHOWN, 0), url)

    groups = (
        _group("discard", "To be discarded", discard, jars),
        _group("ready", "Coats ready", ready, jobs),
        _group("wet", "Wet or resting", waiting, jobs),
        _group("tests", "Tests due", tests, jars),
        _group("looks", "Tests running", looks, jars),
        _group("over", "All planned coats are laid", over, jobs),
    )
    return NowPage(first, waiting[0] if waiting else None, tuple(g for g in groups if g.acts),
                   stand.more_jobs, stand.more_jars)  # fmt: skip


def _discard(due: Due) -> Act:
    carries = (reverse(f"{'jars' if due.kind == 'jar' else 'shelf'}-recall", args=[due.name]),
               f"What carries {due.kind} {due.name}?")  # fmt: skip
    fact = f"{due.kind.capitalize()} {due.name} failed its test"
    if due.kind == "jar":
        words, url = f"Pour jar {due.name} away", reverse("jars-discard", args=[due.name])
    else:
        words, url = f"Take lot {due.name} off the shelf", reverse("shelf-one", args=[due.name])
    return Act(words, url, "it failed its test", also=(carries,), fact=fact, press=words)


def _tests(stand: Now, zone: dt.tzinfo, now_us: int) -> tuple[list[Act], list[Act]]:
    """Return the tests that are due, and those that only have to be looked at later."""
    due: list[tuple[int, Act]] = []
    later: list[tuple[int, Act]] = []
    for one in stand.due:
        if one.what == DISCARD:
            continue
        look = stand.looks.get((one.kind, one.name)) if one.what == GO_ON else None
        act = _test(one, None if look is None else when(look, zone, now_us))
        (later if look is not None and look > now_us else due).append((look or 0, act))
    return [act for _, act in due], [act for _, act in sorted(later, key=lambda a: a[0])]


def _test(due: Due, look: When | None) -> Act:
    room = "jars-test" if due.kind == "jar" else "shelf-test"
    url = reverse(room, args=[due.name])
    if due.what == GO_ON:
        seen = "the drops of jar" if due.kind == "jar" else "the flakes of lot"
        words = f"Look at {seen} {due.name} again"
        return Act(words, url, due.word, "look", look, fact=words, press="Write down what is seen")
    how = "on glass" if due.kind == "jar" else "in fresh alcohol"
    told = due.word if due.days is None else f"{due.word}; {days_words(due.days)} old"
    past = spoken_day(due.by) if due.by is not None and due.what != TEST_SOON else None
    words = f"Test {due.kind} {due.name} {how}"
    return Act(words, url, told, "due since" if past else "", past, fact=words,
               press="To the test")  # fmt: skip


def _coats(
    found: Iterable[LaneNow], zone: dt.tzinfo, now_us: int
) -> tuple[list[Act], list[Act], list[Act]]:  # fmt: skip
    """Return what can be laid or sanded, what has to wait, and what is done as planned."""
    alike: dict[tuple[str, str, str], list[LaneNow]] = defaultdict(list)
    unfinished: set[str] = set()
    for one in found:
        step, lane = one.lane.next, one.lane
        over = bool(lane.steps) and step is None
        if not over:
            unfinished.add(one.job.key)
        told = "" if over else _next(step, lane.laid)
        at = _said(one.earliest_us, zone, now_us)
        alike[one.job.key, told, at.words if at else ""].append(one)
    ready: list[tuple[int, Act]] = []
    waiting: list[tuple[int, Act]] = []
    finished: dict[str, tuple[int, Act]] = {}
    for (job, told, _), lanes in alike.items():
        one, until = lanes[0], max(lane.earliest_us or 0 for lane in lanes)
        if not told:
            if job not in unfinished:
                finished[job] = (until, _over(lanes[0]))
            continue
        act = _lay(told, lanes, zone, now_us)
        if until > now_us:
            waiting.append((until, _waits(act, one, zone, now_us)))
        else:
            ready.append((until, act))
    return (
        [act for _, act in sorted(ready, key=lambda r: -r[0])],
        [act for _, act in sorted(waiting, key=lambda r: r[0])],
        [act for _, act in finished.values()],
    )


def _next(step: Step | None, laid: int) -> str:
    """Return the next step in words; without a plan it is one more coat."""
    if step is not None:
        return step_words(step)
    return f"Coat {laid + 1}" if laid else "First coat"


def _lay(told: str, lanes: list[LaneNow], zone: dt.tzinfo, now_us: int) -> Act:
    job = lanes[0].job
    parts = ", ".join(dict.fromkeys(_part(one) for one in lanes if _part(one)))
    at = _said(max((o.earliest_us for o in lanes if o.earliest_us), default=None), zone, now_us)
    words = f"{told} on {parts}" if parts else told
    title = job.title or job.piece.title or job.piece.key
    return Act(words, _write_down(lanes), f"{job.key}, {title}", "since" if at else "", at,
               also=((reverse("jobs-one", args=[job.key]), f"Job {job.key}"),),
               fact=words, press="Write it down")  # fmt: skip


def _write_down(lanes: list[LaneNow]) -> str:
    """Return where the next step is written down, its parts filled in."""
    job, step = lanes[0].job, lanes[0].lane.next
    on = [
        ("on", part)
        for part in dict.fromkeys(one.lane.part for one in lanes)
        if part not in ("", WHOLE)
    ]
    if step is None or step["lays"]:
        jar = [("jar", step["jar"])] if step is not None and step["jar"] else []
        query = urlencode([*on, *jar])
        return f"{reverse('jobs-coat', args=[job.key])}?{query}" if query else (
            reverse("jobs-coat", args=[job.key])
        )  # fmt: skip
    if step["sands"]:
        query = urlencode([("what", step["what"]), *on])
        return f"{reverse('jobs-sand', args=[job.key])}?{query}"
    return reverse("jobs-one", args=[job.key])


def _waits(act: Act, one: LaneNow, zone: dt.tzinfo, now_us: int) -> Act:
    """Return the same as something to wait for: wet, or at rest."""
    lane = one.lane
    after = lane.steps[lane.position] if lane.position < len(lane.steps) else None
    rests = after is not None and table("steps")[after["what"]].text("counts") == "rest"
    state = "rests" if rests else "wet" if lane.last and lane.last.kind == "coat" else "settles"
    also: tuple[tuple[str, str], ...] = ()
    told = ""
    if state == "wet":
        also = ((reverse("jobs-wet", args=[one.job.key]), "What is it doing now?"),)
        told = recoat_words(told_before(one.job, now_us=now_us), lane.part, zone, now_us)
    return replace(act, detail=f"{act.detail}; {state}{told and f' ({told})'}", lead_in="until",
                   url=reverse("jobs-one", args=[one.job.key]), also=also,
                   press=f"To job {one.job.key}")  # fmt: skip


def _over(one: LaneNow) -> Act:
    job = one.job
    words = f"Hand {job.title or job.key} over, or close it"
    return Act(words, reverse("jobs-one", args=[job.key]), job.key, fact=words,
               press=f"To job {job.key}")  # fmt: skip


def _part(one: LaneNow) -> str:
    part, faces = one.lane.part, ", ".join(one.lane.faces)
    if part == WHOLE:
        return faces
    return f"{part} ({faces})" if faces else part


def _said(us: int | None, zone: dt.tzinfo, now_us: int) -> When | None:
    return None if us is None else when(us, zone, now_us)
