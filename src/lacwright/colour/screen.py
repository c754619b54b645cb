"""Linear light of a screen: its curve, and the way to and from XYZ without clipping."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from lacwright.colour.cie import Array, Viewing
from lacwright.colour.spaces import lab_of_srgb, xyz_of_lab


def light_of_code(code: ArrayLike) -> Array:
    """Linear light of screen values, both 0 to 1 (IEC 61966-2-1)."""
    said: Array = np.asarray(code, dtype=float)
    return np.where(said <= 0.04045, said / 12.92, ((said + 0.055) / 1.055) ** 2.4)


def code_of_light(light: ArrayLike) -> Array:
    """Screen values of linear light, 0 to 1, clipped to that."""
    held: Array = np.clip(np.asarray(light, dtype=float), 0.0, 1.0)
    return np.where(held <= 0.0031308, 12.92 * held, 1.055 * held ** (1 / 2.4) - 0.055)


def xyz_of_light(light: ArrayLike, viewing: Viewing) -> Array:
    """XYZ (Y = 100 for white) of linear light, which may lie outside what a screen can show."""
    out: Array = np.asarray(light, dtype=float) @ _to_xyz(viewing.illuminant, viewing.observer)
    return out


def light_of_xyz(xyz: ArrayLike, viewing: Viewing) -> Array:
    """Linear light of XYZ, not clipped."""
    back = np.linalg.inv(_to_xyz(viewing.illuminant, viewing.observer))
    out: Array = np.asarray(xyz, dtype=float) @ back
    return out


@cache
def _to_xyz(illuminant: str, observer: int) -> Array:
    """Return XYZ of full red, green and blue, where the curve of the screen plays no part."""
    viewing = Viewing(illuminant, observer)
    return xyz_of_lab(lab_of_srgb(np.eye(3), viewing), viewing)
