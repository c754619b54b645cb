"""Floats or arrays: what the functions of the model take, without importing numpy for floats."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TypeAlias

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Num: TypeAlias = float | NDArray[np.float64]
    """A number, or draws of it on the last axis: column 0 the central case."""
else:
    Num = Any


def central(value: Any) -> float:
    """Return the central case of a number or of its draws."""
    if isinstance(value, int | float):
        return float(value)
    import numpy as np

    row = np.asarray(value, dtype=float)
    return float(row) if row.ndim == 0 else float(row[..., 0].flat[0])


def plain(value: Any) -> Num:
    """Return a float for a single number, the array for draws."""
    if isinstance(value, int | float):
        return float(value)
    import numpy as np

    return float(value) if np.ndim(value) == 0 else value
