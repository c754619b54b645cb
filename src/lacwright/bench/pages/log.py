"""The log: what was written down, by whom, and what was put right later."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any
from urllib.parse import urlencode

from django.urls import reverse

from lacwright.bench.pages.measures import When, when
from lacwright.bench.pages.where import LISTS, Link, link
from lacwright.figures import Refusal
from lacwright.shop import clock, names
from lacwright.shop.queries.movements import LogLine, log
from lacwright.shop.queries.named import named, panels_among
from lacwright.shop.services.amend import amend, undo
from lacwright.shop.writing import Answer, Entry

VOID = "void"
ROWS = 40
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
    zone: dt.tzinfo,
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
    """
    things = named(name) if name else []
    told: dict[str, Any] = {"kind": kind, "q": name, "since": since or "", "until": until or ""}
    query = urlencode({k: v for k, v in told.items() if v})
    newest = f"?{query}" if before is not None else ""
    about = tuple(link(_room(word, thing), thing.key) for word, thing in things)
    if name and not things:
        return LogPage((), "", newest, (), unknown=True)
    page = log(
        kind=kind, about=things[0][1] if things else None,  # type: ignore[arg-type]
        since_us=None if since is None else _midnight(since, zone),
        until_us=None if until is None else _midnight(until + dt.timedelta(days=1), zone),
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
    body = names.movement_of(number, "movement").body
    kind = answer.data["kind"]
    word = {"receive": "lot", "mix": "jar", "fill": "jar", "start": "job"}.get(kind)
    if kind == "open":
        word = str(body["table"])
    return reverse(LISTS.get(word, "log")) if word else back


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
