"""Floats or arrays: what the model's functions take, without importing numpy for the floats."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TypeAlias

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Num: TypeAlias = float | NDArray[np.float64]
else:
    Num = Any


def some(condition: Any) -> bool:
    """Return whether a comparison of floats or arrays holds anywhere."""
    return condition if isinstance(condition, bool) else bool(condition.any())


def central(value: Num) -> float:
    """Return the central case: the float itself, or column 0 of an array."""
    return float(value) if isinstance(value, int | float) else float(value.flat[0])


def not_below_zero(value: Num) -> Num:
    """Return the value with the rounding dust below zero swept away."""
    if isinstance(value, int | float):
        return max(value, 0.0)
    import numpy as np

    return np.maximum(value, 0.0)
