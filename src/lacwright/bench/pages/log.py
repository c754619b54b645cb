"""The log: what was written down, by whom, and what was put right later."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any
from urllib.parse import urlencode

from django.db import transaction
from django.urls import reverse

from lacwright.bench.pages.measures import When, when
from lacwright.bench.pages.where import LISTS, Link, link
from lacwright.figures import Refusal
from lacwright.shop import clock, names
from lacwright.shop.queries.movements import LogLine, log
from lacwright.shop.queries.named import named, panels_among
from lacwright.shop.queries.written import counting, written_by
from lacwright.shop.services.amend import amend, undo
from lacwright.shop.writing import Answer, Entry

VOID = "void"
ROWS = 40
SHOWN = 12
"""Of what is taken back together, so much is told one by one."""
MOST_TOKENS = 4
AT_ONCE = 150
"""More than so many are taken back by a process of its own."""
KINDS = {
    "": "everything", "receive": "bought or found", "count": "counted", "mix": "jars mixed",
    "fill": "jars filled", "add": "added to jars", "pour": "poured", "weigh": "weighed",
    "discard": "jars washed out", "test": "tests", "coat": "coats and sessions",
    "abrade": "sanded", "strip": "stripped", "rest": "rests", "clean": "cleaned", "wax": "waxed",
    "note": "notes", "fault": "faults", "spot": "spots to come back to",
    "spot-done": "spots seen to", "reading": "readings of the air", "start": "jobs begun",
    "close": "jobs closed", "agree": "agreements", "attach": "photos and papers",
    "open": "new names", "wash": "pads and brushes washed", "describe": "descriptions changed",
    VOID: "taken back",
}  # fmt: skip
_WORDED = ("text", "note")
"""Facts in a person's words, which may be put right."""


@dataclass(frozen=True)
class Line:
    """A movement as the list shows it."""

    number: int
    words: str
    at: When
    written: When
    late: bool
    author: str
    reason: str
    stands: str
    """"" where it counts, else what became of it."""


@dataclass(frozen=True)
class LogPage:
    """Some lines of the log, and the way to older ones."""

    lines: tuple[Line, ...]
    older: str
    newest: str
    about: tuple[Link, ...]
    """Things of the name that was asked for."""
    unknown: bool


def log_page(
    *, kind: str, name: str, since: dt.date | None, until: dt.date | None, before: int | None,
    zone: dt.tzinfo, of: str = "",
) -> LogPage:  # fmt: skip
    """Return a page of the log.

    Parameters
    ----------
    kind, name : str
        Of this kind alone, and about what has this name.
    since, until : date, optional
        First and last day on which it was done.
    before : int, optional
        Written before this movement.
    of : str
        Of several things of the name the one of this kind: "jar", "job", ...
    """
    things = sorted(named(name), key=lambda thing: thing[0] != of) if name else []
    told: dict[str, Any] = {"kind": kind, "q": name, "of": of, "since": since or "",
                            "until": until or ""}  # fmt: skip
    query = urlencode({k: v for k, v in told.items() if v})
    newest = f"?{query}" if before is not None else ""
    about = tuple(link(_room(word, thing), thing.key) for word, thing in things)
    if name and not things:
        return LogPage((), "", newest, (), unknown=True)
    page = log(
        kind=kind, about=things[0][1] if things else None,  # type: ignore[arg-type]
        since_us=None if since is None else _midnight(since, zone),
        until_us=None if until in (None, dt.date.max) else (
            _midnight(until + dt.timedelta(days=1), zone)),
        before=before, limit=ROWS,
    )  # fmt: skip
    older = "" if page.before is None else "?" + "&".join(
        part for part in (query, f"before={page.before}") if part
    )  # fmt: skip
    return LogPage(tuple(_line(line, zone) for line in page.lines), older, newest, about, False)


@dataclass(frozen=True)
class OnePage:
    """One observation with all its versions."""

    number: int
    words: str
    at: When
    counts: bool
    versions: tuple[Line, ...]
    about: tuple[Link, ...]
    facts: Mapping[str, Any]
    corrected: str
    """Name of the fact in words that may be put right, "" if there is none."""
    at_plain: str


def one_page(number: int, zone: dt.tzinfo) -> OnePage:
    """Return everything about an observation, by the number of any of its versions.

    Raises
    ------
    Refusal
        If there is none.
    """
    movement = names.movement_of(number, "movement")
    root = movement.root_id or movement.id
    lines = log(number=root, limit=1000).lines
    counting = next((line for line in lines if line.counts), None)
    last = next(line for line in lines if line.kind != VOID)
    body = names.movement_of(last.number, "movement").body
    panels = panels_among([body["refs"]["piece"]] if "piece" in body["refs"] else [])
    return OnePage(
        root, last.words, when(last.at_us, zone), counting is not None,
        tuple(_line(line, zone) for line in lines),
        tuple(link("panel" if word == "piece" and name in panels else word, name)
              for word, name in body["refs"].items()),
        body, next((fact for fact in _WORDED if fact in body), ""),
        clock.from_us(last.at_us, zone).strftime("%Y-%m-%dT%H:%M"),
    )  # fmt: skip


def take_back(number: int, entry: Entry) -> Answer:
    """Take an observation back; a taking back is itself taken back: the observation counts again.

    Which of the two it is hangs on the number alone, so that the same request sent twice asks for
    the same.
    """
    movement = names.movement_of(number, "movement")
    if movement.kind == VOID:
        return amend(movement=movement.root_id or number, changes={}, entry=entry)
    return undo(movement=number, entry=entry)


def on_after(answer: Answer, number: int, back: str, back_is_list: bool) -> str:
    """Return where to go after something was taken back: what is gone has no page any more."""
    if back_is_list or not answer.data.get("undone"):
        return back
    return _list_of(number) or back


@dataclass(frozen=True)
class Together:
    """What one press wrote down."""

    numbers: tuple[int, ...]
    """The last first."""
    lines: tuple[Line, ...]
    more: int

    @property
    def words(self) -> str:
        """All of it in a sentence."""
        told = "; ".join(line.words.rstrip(".") for line in self.lines[:3])
        rest = len(self.numbers) - min(3, len(self.lines))
        return f"{told}; and {rest} more." if rest else f"{told}."


def together(tokens: Sequence[str], zone: dt.tzinfo) -> Together:
    """Return what requests wrote down together.

    Raises
    ------
    Refusal
        If there is nothing of it.
    """
    numbers = written_by(tokens[:MOST_TOKENS])
    if not numbers:
        raise Refusal("movement", "there is no such request", "look it up in the log")
    lines = [line for n in numbers[:SHOWN] for line in log(number=n, limit=1000).lines
             if line.number == n]  # fmt: skip
    return Together(tuple(numbers), tuple(_line(line, zone) for line in lines),
                    max(len(numbers) - SHOWN, 0))  # fmt: skip


def take_all_back(numbers: Sequence[int], entry: Entry) -> Answer:
    """Take several observations back, all or none; one that another rests on waits for it.

    Raises
    ------
    Refusal
        If something of it is used since.
    """
    left = counting(numbers)
    if not left:
        return Answer({"undone": True}, None, repeated=True)
    with transaction.atomic():
        while left:
            stay: list[int] = []
            for number in left:
                mine = replace(entry, token=f"{entry.token}-{number}")
                try:
                    undo(movement=number, entry=mine)
                except Refusal as refusal:
                    stay.append(number)
                    why = refusal
            if len(stay) == len(left):
                raise why
            left = stay
    return Answer({"undone": True}, None)


def take_each_back(tokens: Sequence[str], progress: Callable[[str, int, int], None]) -> int:
    """Take back what requests wrote, each on its own, and return how many were.

    Raises
    ------
    Refusal
        If one is used since; what was taken back before it stays so.
    """
    left = counting(written_by(tokens))
    for done, number in enumerate(left):
        progress("taking back", done, len(left))
        undo(movement=number, entry=Entry())
    return len(left)


def gone_after(numbers: Sequence[int]) -> bool:
    """Return whether something has no page any more once these are taken back."""
    return any(_list_of(number) for number in numbers)


def correct(
    number: int, told: Mapping[str, Any], was: OnePage, zone: dt.tzinfo, entry: Entry
) -> Answer:  # fmt: skip
    """Put time or words of an observation right.

    Raises
    ------
    Refusal
        If nothing is otherwise, or it cannot be.
    """
    at = told["at"]
    at_us = None
    if at is not None and f"{at:%Y-%m-%dT%H:%M}" != was.at_plain:
        at_us = clock.read_moment(f"{at:%Y-%m-%d %H:%M:%S}", zone, "when")
    changes = {}
    if was.corrected and told["words"].strip() != str(was.facts[was.corrected]).strip():
        changes[was.corrected] = told["words"]
    if not changes and at_us is None and was.counts:
        raise Refusal("", "nothing is otherwise", "say what really was")
    return amend(movement=number, changes=changes, at_us=at_us, entry=replace(entry, at_us=None))


def _list_of(number: int) -> str:
    """Return the list of what an observation brought into the record, "" if it brought nothing."""
    movement = names.movement_of(number, "movement")
    word = {"receive": "lot", "mix": "jar", "fill": "jar", "start": "job"}.get(movement.kind)
    if movement.kind == "open":
        word = str(movement.body["table"])
    return reverse(LISTS.get(word, "log")) if word else ""


def _line(line: LogLine, zone: dt.tzinfo) -> Line:
    stands = ""
    if line.kind == VOID:
        stands = "takes back"
    elif not line.counts:
        stands = "no longer counts"
    elif line.replaces is not None:
        stands = "put right"
    late = abs(line.written_us - line.at_us) > 12 * 3600 * clock.SECOND
    return Line(line.number, line.words, when(line.at_us, zone), when(line.written_us, zone), late,
                line.author, line.reason, stands)  # fmt: skip


def _room(word: str, thing: Any) -> str:
    return "panel" if word == "piece" and thing.kind == "panel" else word


def _midnight(day: dt.date, zone: dt.tzinfo) -> int:
    return clock.to_us(dt.datetime.combine(day, dt.time(), zone))
