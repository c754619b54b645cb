"""The constants of the room, from its table."""

from __future__ import annotations

from functools import cache

from lacwright.figures import Learned
from lacwright.figures.learned import Z95
from lacwright.trade import Row, table


def row(key: str) -> Row:
    """Return a row of the table of colour constants."""
    return table("colour_constants")[key]


@cache
def constant(key: str) -> float:
    """Return the value of a constant."""
    return row(key).number("value")


@cache
def spread(key: str) -> float:
    """Return the standard deviation of a constant whose `low` and `high` are 5 and 95 %."""
    return (row(key).number("high") - row(key).number("low")) / (2 * Z95)


@cache
def ln_spread(key: str) -> float:
    """Return the standard deviation of its logarithm."""
    return row(key).learned(key).ln_sd


def learned(key: str) -> Learned:
    """Return a constant as a log-normal prior."""
    return row(key).learned(key)
