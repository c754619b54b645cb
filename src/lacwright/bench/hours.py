"""Usable hours of the pages: what is asked of a table of air, and the answer, each made once."""

from __future__ import annotations

import datetime as dt
from collections.abc import Hashable
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from lacwright.bench import airs, plans
from lacwright.bench.coats import ByHand, by_hand, of_laid
from lacwright.drying import HourTable, Rule, hour_table
from lacwright.figures import Refusal
from lacwright.files.air_table import AirTable
from lacwright.files.stated_coat import extrapolated, stated_room, stated_speed
from lacwright.plan.judged import Wanted, of_plan, with_slow
from lacwright.shop import clock, names
from lacwright.shop.models import Job, Piece
from lacwright.shop.queries.laid import last_laid
from lacwright.shop.queries.own_figures import drying_hand
from lacwright.shop.queries.piece_file import piece_file
from lacwright.shop.queries.remembered import remembered

HAND, JOB, PIECE = "hand", "job", "piece"
HOURS = 14 * 24
"""So many hours are shown at once."""
MOST = 4 * HOURS
"""So many hours times coats are judged at once: of many coats fewer hours."""
FEWEST = 48
LATELY_US = 90 * clock.DAY
"""A coat that was laid within that time is taken for what is laid on a piece without a plan."""

Array = NDArray[np.float64]
NO_HAND = ByHand()


@dataclass(frozen=True)
class Asked:
    """What is asked of a table.

    Parameters
    ----------
    sha : str
        The table.
    of, name : str
        Whose coats: of a "job", a "piece", or by "hand".
    hand : ByHand
        The coat as it was typed.
    chill_k, chill_slow_k, margin_k : float or None
        The maker's own rule.
    volume_m3, heated_c, speed_m_s : float or None
        The room: its size, what it is warmed to where the table is of outdoor air, its draught.
    first : date or None
        From which day on.
    """

    sha: str
    of: str = HAND
    name: str = ""
    hand: ByHand = NO_HAND
    chill_k: float | None = None
    chill_slow_k: float | None = None
    margin_k: float | None = None
    volume_m3: float | None = None
    heated_c: float | None = None
    speed_m_s: float | None = None
    first: dt.date | None = None


@dataclass(frozen=True, eq=False)
class Made:
    """The answer.

    Parameters
    ----------
    table : HourTable
        The hours that are shown.
    wanted : Wanted
        The coats.
    reports : tuple of str
        What is odd in the table of air.
    assumed : tuple of str
        What was not said, and what stands in.
    more : date or None
        The day with which hours of the table begin that are not shown.
    """

    table: HourTable
    wanted: Wanted
    reports: tuple[str, ...]
    assumed: tuple[str, ...]
    more: dt.date | None


def made_of(asked: Asked, *, now_us: int, zone: dt.tzinfo) -> Made:
    """Return the hours that are asked for.

    Raises
    ------
    Refusal
        For a table that is gone, coats that cannot be, a rule or a room outside its range.
    """
    hour = clock.from_us(now_us, zone).replace(minute=0, second=0, microsecond=0)
    stamp = remembered("state", object)  # one object for as long as nothing is written down
    made = _made(asked, hour, stamp)
    if isinstance(made, Refusal):
        raise made.with_traceback(None)
    return made


def needs_model(asked: Asked) -> bool:
    """Return whether the model may be asked: always, but where an own chill stands alone."""
    return asked.of != HAND or asked.hand.said


@lru_cache(maxsize=12)
def _made(asked: Asked, hour: dt.datetime, stamp: Hashable) -> Made | Refusal:
    try:
        return _judged(asked, hour)
    except Refusal as refusal:
        return refusal.with_traceback(None)


def _judged(asked: Asked, hour: dt.datetime) -> Made:
    found = airs.read(asked.sha)
    if found is None:
        raise Refusal("table", "the table that was read in is gone", "read it in again")
    rule = Rule(asked.chill_k, asked.chill_slow_k, asked.margin_k)
    wanted = _wanted(asked, hour, ruled=rule.chill_k is not None)
    if not wanted.coats and rule.chill_k is None:
        what, why = wanted.silent[0] if wanted.silent else ("coats", "there are none")
        raise Refusal("coats", f"the model says nothing of them: {what}: {why}",
                      "give your own measured chill, or a coat by hand")  # fmt: skip
    air, more = _shown(found[1], asked.first, hour, len(wanted.coats))
    temp, rh, of_air = stated_room(air, asked.heated_c)
    speed, of_speed = stated_speed(asked.speed_m_s, air)
    made = hour_table(
        at=air.at, temp_c=temp, rh=rh, coats=wanted.coats, speed_m_s=speed, board_c=air.board_c,
        volume_m3=asked.volume_m3, rule=rule, hand=wanted.hand,
        stops=[stop.text for stop in wanted.stops], parallel=False,
    )  # fmt: skip
    of_model = (*of_speed, *extrapolated(temp)) if wanted.coats else ()
    assumed = (*wanted.assumed, *of_air, *of_model)
    if any(one.slow is not None for one in made.hours):
        wanted = replace(wanted, cautions=with_slow(wanted.cautions))
    return Made(made, wanted, found[1].reports, assumed, more)


def _wanted(asked: Asked, hour: dt.datetime, *, ruled: bool) -> Wanted:
    if asked.of == HAND:
        return by_hand(asked.hand, drying_hand() | dict(plans.own_now()), ruled=ruled)
    now_us = clock.to_us(hour)
    if asked.of == JOB:
        job = names.find(Job, asked.name, "job")
        piece, text = job.piece, job.piece_file
    else:
        piece = names.find(Piece, asked.name, "piece")
        kept = piece_file(piece)
        text = "" if kept is None else kept.text
    if text:
        assert hour.tzinfo is not None
        return of_plan(plans.made_of(text, piece.key, now_us=now_us, zone=hour.tzinfo).plan)
    found = of_laid(last_laid(piece, at_us=now_us + clock.DAY, within_us=LATELY_US), drying_hand())
    if not found.coats and not found.silent:
        raise Refusal("coats", f"no plan is kept for {piece.key}, and no coat lies on it yet",
                      "tell the coat by hand")  # fmt: skip
    return found


def _shown(
    air: AirTable, first: dt.date | None, hour: dt.datetime, coats: int
) -> tuple[AirTable, dt.date | None]:
    """Return the hours that are shown, and the day with which the others go on."""
    most = max(min(HOURS, MOST // max(1, coats)), FEWEST)
    if first is not None:
        rows = [i for i, at in enumerate(air.at) if at.date() >= first]
        if not rows:
            ends = f"it goes from {air.at[0]:%Y-%m-%d} to {air.at[-1]:%Y-%m-%d}"
            raise Refusal("first", "the table has no hour from that day on", ends)
    else:
        ahead = [i for i, at in enumerate(air.at) if at.timestamp() >= hour.timestamp()]
        rows = ahead or list(range(len(air.at)))  # one of the past is looked at whole
    shown, rest = rows[:most], rows[most:]
    return air.chosen(shown), air.at[rest[0]].date() if rest else None
