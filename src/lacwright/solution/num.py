"""Checks of floats or arrays, without importing numpy for the floats."""

from __future__ import annotations

from typing import Any

from lacwright.figures import Num, Refusal

MOST = 1e12
LEAST = 1e-6
"""A millionth of a gram, a millilitre or a pound per gallon: no bench tells it from nothing."""
ROUNDING = 1e-9


def some(condition: Any) -> bool:
    """Return whether a comparison of floats or arrays holds anywhere."""
    return condition if isinstance(condition, bool) else bool(condition.any())


def every(condition: Any) -> bool:
    """Return whether a comparison of floats or arrays holds everywhere.

    No comparison holds for NaN, so `not every(x > 0)` refuses it where `some(x <= 0)` would not.
    """
    return condition if isinstance(condition, bool) else bool(condition.all())


def alike(a: Num, b: Num) -> bool:
    """Return whether two beliefs about one thing are the same but for rounding."""
    if a is b:
        return True
    if isinstance(a, int | float) and isinstance(b, int | float):
        return abs(a - b) <= ROUNDING * max(abs(a), abs(b))
    import numpy as np

    shapes = np.shape(a) == np.shape(b)
    return shapes and bool(np.allclose(a, b, rtol=ROUNDING, atol=0.0))


def meant(value: float, where: str) -> float:
    """Return an amount; refuse one that only a slip of the exponent explains.

    Raises
    ------
    Refusal
        Above zero but below a millionth, above a million million, or NaN.
    """
    if not value <= MOST:
        raise Refusal(where, f"{value:.3g} is more than anybody handles",
                      "check the number and its unit")  # fmt: skip
    if 0 < value < LEAST:
        raise Refusal(where, f"{value:.3g} is far too small to weigh or measure",
                      "check the number and its unit")  # fmt: skip
    return value


def not_below_zero(value: Num) -> Num:
    """Return the value with the rounding dust below zero swept away."""
    if isinstance(value, int | float):
        return max(value, 0.0)
    import numpy as np

    return np.maximum(value, 0.0)
