"""Hours of a table as moments: how far apart they are, and which of two the clock shows twice."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

HOUR_S = 3600.0
GAP = 1.5
"""So many usual steps without a row are a gap."""


def seconds_between(first: dt.datetime, last: dt.datetime) -> float:
    """Return the seconds from one moment to another.

    Times of one zone are taken from each other by what the clock shows, which is wrong on the
    night when it is put back.
    """
    return last.timestamp() - first.timestamp()


def usual_step_s(steps: Sequence[float]) -> float:
    """Return the usual step of a table [s].

    The middle one, the shorter of two in the middle: a gap among few rows is no usual step. One
    step alone says nothing, so the rows are taken for hours where they stand further apart: what
    lies between them is not judged.
    """
    if not steps:
        return HOUR_S
    if len(steps) == 1:
        return min(steps[0], HOUR_S)
    return float(sorted(steps)[(len(steps) - 1) // 2])


def which_of_two(at: dt.datetime) -> str:
    """Return "first" or "second" of a time that the clock shows twice, else "".

    Parameters
    ----------
    at : datetime
        A moment that there was, in its zone.
    """
    if at.utcoffset() == at.replace(fold=1 - at.fold).utcoffset():
        return ""
    return "second" if at.fold else "first"


def clock_of(at: dt.datetime) -> str:
    """Return the time of day as a clock shows it: "9:30", "2:00 (second)"."""
    which = which_of_two(at)
    return f"{at.hour}:{at:%M}" + (f" ({which})" if which else "")
