"""Plans of the pages: from the text of a piece file and what the record has, each made once.

As the command makes them: the piece file goes before the record, the record before the default.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Hashable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

from lacwright.figures import Refusal
from lacwright.files.piece import piece_of
from lacwright.files.toml import parse_toml
from lacwright.plan import Own, Piece, Plan, make_plan
from lacwright.shop import clock
from lacwright.shop.plan_link import FromRecord, Used, used_by
from lacwright.shop.queries.near import named_shelf, near_record
from lacwright.shop.queries.own_figures import for_plans, own_figures
from lacwright.shop.queries.remembered import state
from lacwright.shop.reading import snapshot

WHERE = "piece file"
MADE, READ = 24, 4

Stamp = tuple[Hashable, ...]
"""What a plan rests on beside its text: the state of the record."""


@dataclass(frozen=True)
class Made:
    """A plan, and what went into it."""

    text: str
    data: Mapping[str, Any]
    plan: Plan
    hand: tuple[Own, ...]
    record: FromRecord
    used: Used

    @property
    def line(self) -> str:
        """What came from the record, in one line."""
        return self.used.line(self.record.zone)


def made_of(text: str, name: str, *, now_us: int, zone: dt.tzinfo) -> Made:
    """Return the plan of a piece file.

    Parameters
    ----------
    text : str
        The file.
    name : str
        Title where it gives none.
    now_us : int
        The time now.
    zone : tzinfo
        Of the shop.

    Raises
    ------
    Refusal
        For anything in it that cannot be read or planned.
    """
    at = clock.from_us(now_us, zone)
    # Within an hour neither the day nor what counts as a fresh reading changes for a plan.
    made = _made(text, name, _stamp(), at.replace(minute=0, second=0, microsecond=0))
    if isinstance(made, Refusal):
        raise made.with_traceback(None)
    return made


def piece_of_data(data: Mapping[str, Any], name: str, *, now_us: int) -> Piece:
    """Return the piece of tables that were read, its lots and jars looked up in the record.

    Raises
    ------
    Refusal
        For all that is wrong with it.
    """
    named = _named(data)
    try:
        return piece_of(data, name, named_shelf(now_us=now_us, named=named))
    except Refusal:
        if not named:
            raise
        # With all that is near at hand it can tell which name was meant.
        return piece_of(data, name, near_record(now_us=now_us, own={}, named=named).shelf)


def own_now() -> Own:
    """Return the own figures that plans take, gathered once as long as nothing is written."""
    return _own(_stamp())


def data_of(text: str) -> dict[str, Any]:
    """Return the tables of a text.

    Raises
    ------
    Refusal
        If it is not TOML.
    """
    return parse_toml(text.encode(), WHERE)


@lru_cache(maxsize=MADE)
def _made(text: str, name: str, stamp: Stamp, hour: dt.datetime) -> Made | Refusal:
    """Return a plan, or why there is none: to find that out takes as long."""
    try:
        return _planned(text, name, stamp, hour)
    except Refusal as refusal:
        return refusal.with_traceback(None)


def _planned(text: str, name: str, stamp: Stamp, hour: dt.datetime) -> Made:
    data = data_of(text)
    record = _near(stamp, hour, _named(data))
    piece = piece_of(data, name, record.shelf)
    hand = (record.own_beside(piece.own),)
    plan = make_plan(record.with_air(piece), today=hour.date(), hand=hand)
    used = used_by(plan, record, piece)
    plan = replace(plan, notes=(*plan.notes, *used.notes))
    return Made(text, data, plan, hand, record, used)


def _near(stamp: Stamp, hour: dt.datetime, named: tuple[str, ...]) -> FromRecord:
    """Return what is near at hand, gathered once; each plan notes anew what it asked for."""
    return replace(_gathered(stamp, hour, named), asked=set())


@lru_cache(maxsize=READ)
def _gathered(stamp: Stamp, hour: dt.datetime, named: tuple[str, ...]) -> FromRecord:
    return near_record(now_us=clock.to_us(hour) + 3599 * clock.SECOND, own=_own(stamp),
                       named=named)  # fmt: skip


@lru_cache(maxsize=READ)
def _own(stamp: Stamp) -> Own:
    return for_plans(own_figures())


def _stamp() -> Stamp:
    with snapshot():
        return state()


def _named(data: Mapping[str, Any]) -> tuple[str, ...]:
    """Return what could be names of lots and jars among the mixes."""

    def names() -> Iterator[str]:
        mixes = data.get("mix", ())
        for mix in mixes if isinstance(mixes, list) else ():
            if not isinstance(mix, Mapping):
                continue
            flakes = mix.get("flakes", ())
            rows = [mix, *(f for f in flakes if isinstance(f, Mapping))] if isinstance(
                flakes, list
            ) else [mix]  # fmt: skip
            for row in rows:
                said = (row.get(key) for key in ("lot", "jar", "alcohol"))
                yield from (name for name in said if isinstance(name, str))

    return tuple(dict.fromkeys(names()))
