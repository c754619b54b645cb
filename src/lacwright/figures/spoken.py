"""Numbers as people read them: to the step of a scale, to so many figures."""

from __future__ import annotations

import math


def to_step(value: float, step: float) -> str:
    """Return an amount rounded to the step of his scale: to_step(59.93, 0.1) is "59.9"."""
    shown = f"{step:.6f}".rstrip("0").rstrip(".")
    digits = len(shown.partition(".")[2])
    return f"{round(value / step) * step:.{digits}f}"


def brief(value: float, digits: int = 3) -> str:
    """Return a number with so many significant figures and no exponent."""
    if value == 0:
        return "0"
    places = max(0, digits - 1 - math.floor(math.log10(abs(value))))
    return f"{value:.{places}f}"
