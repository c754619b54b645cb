"""Colour spaces: XYZ, Lab, sRGB, and the difference of two colours (CIEDE2000).

The coefficients in this file are definitions of the standards named beside them.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lacwright.colour.cie import Array, Viewing, weights, white
from lacwright.colour.constants import constant

_EDGE = 6 / 29  # CIE 15: where the cube root gives way to a straight line


def lab_of_reflectance(reflectance: ArrayLike, viewing: Viewing) -> Array:
    """Lab of a reflectance.

    Parameters
    ----------
    reflectance : array, shape (..., 81)
        Reflectance at 380 to 780 nm in steps of 5 [1].
    viewing : Viewing
        Illuminant and observer.

    Returns
    -------
    array, shape (..., 3)

    Examples
    --------
    A perfect white is 100, 0, 0 under any light.

    >>> lab_of_reflectance(np.ones(81), Viewing("A", 10)).round(6).tolist()
    [100.0, 0.0, 0.0]
    """
    seen = np.asarray(reflectance, dtype=float) @ weights(viewing.illuminant, viewing.observer)
    return lab_of_xyz(seen, viewing)


def lab_of_xyz(xyz: ArrayLike, viewing: Viewing) -> Array:
    """Lab of XYZ (CIE 15), Y = 100 for white; shape (..., 3) in and out."""
    share = np.asarray(xyz, dtype=float) / white(viewing.illuminant, viewing.observer)
    line = share / (3 * _EDGE**2) + 4 / 29
    f = np.where(share > _EDGE**3, np.cbrt(share), line)
    x, y, z = f[..., 0], f[..., 1], f[..., 2]
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


def xyz_of_lab(lab: ArrayLike, viewing: Viewing) -> Array:
    """XYZ of Lab (CIE 15), Y = 100 for white; shape (..., 3) in and out."""
    lab = np.asarray(lab, dtype=float)
    y = (lab[..., 0] + 16) / 116
    f = np.stack([y + lab[..., 1] / 500, y, y - lab[..., 2] / 200], axis=-1)
    share = np.where(f > _EDGE, f**3, 3 * _EDGE**2 * (f - 4 / 29))
    return np.asarray(share * white(viewing.illuminant, viewing.observer), dtype=float)


def srgb_of_lab(lab: ArrayLike, viewing: Viewing) -> Array:
    """Screen colour of Lab, 0 to 1, clipped to what a screen can show.

    Notes
    -----
    IEC 61966-2-1. White of the viewing becomes white of the screen (Bradford).
    """
    to_screen, _ = _screen(viewing.illuminant, viewing.observer)
    light = np.clip(xyz_of_lab(lab, viewing) @ to_screen, 0.0, 1.0)
    return np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)


def lab_of_srgb(srgb: ArrayLike, viewing: Viewing) -> Array:
    """Lab of a screen colour, 0 to 1; the inverse of `srgb_of_lab` where that did not clip."""
    code = np.asarray(srgb, dtype=float)
    light = np.where(code <= 0.04045, code / 12.92, ((code + 0.055) / 1.055) ** 2.4)
    _, from_screen = _screen(viewing.illuminant, viewing.observer)
    return lab_of_xyz(light @ from_screen, viewing)


def hex_of_lab(lab: ArrayLike, viewing: Viewing) -> str:
    """Screen colour of one Lab as "#rrggbb"."""
    levels = np.rint(255 * srgb_of_lab(lab, viewing)).astype(int)
    return "#" + "".join(f"{level:02x}" for level in levels.ravel())


@cache
def _screen(illuminant: str, observer: int) -> tuple[Array, Array]:
    """Return the matrices from XYZ (row vectors, Y = 100) to linear screen light and back."""
    xy = {c: (constant(f"srgb.{c}_x"), constant(f"srgb.{c}_y")) for c in ("r", "g", "b", "white")}
    columns = {c: np.array([x / y, 1.0, (1 - x - y) / y]) for c, (x, y) in xy.items()}
    primaries = np.stack([columns[c] for c in "rgb"], axis=1)
    to_xyz = primaries * np.linalg.solve(primaries, columns["white"])
    cone = np.array([[constant(f"bradford.{i}{j}") for j in "123"] for i in "123"])
    here = cone @ (white(illuminant, observer) / 100)
    adapt = np.linalg.solve(cone, (cone @ columns["white"] / here)[:, None] * cone)
    forward = np.linalg.solve(to_xyz, adapt) / 100
    back = np.asarray(np.linalg.inv(forward), dtype=float)
    return forward.T, back.T


def de00(lab_a: ArrayLike, lab_b: ArrayLike) -> Array:
    """Difference of two colours, CIEDE2000 with all weights 1.

    Parameters
    ----------
    lab_a, lab_b : array, shape (..., 3)
        They broadcast.

    Returns
    -------
    array, shape (...)

    Notes
    -----
    ISO/CIE 11664-6. The coefficients are its definition.

    Examples
    --------
    >>> float(de00([50.0, 2.6772, -79.7751], [50.0, 0.0, -82.7485]).round(4))
    2.0425
    """
    one, two = np.asarray(lab_a, dtype=float), np.asarray(lab_b, dtype=float)
    mean = (np.hypot(one[..., 1], one[..., 2]) + np.hypot(two[..., 1], two[..., 2])) / 2
    stretch = 1 + 0.5 * (1 - _seventh(mean))
    a1, a2 = one[..., 1] * stretch, two[..., 1] * stretch
    c1, c2 = np.hypot(a1, one[..., 2]), np.hypot(a2, two[..., 2])
    turn = 2 * np.pi
    h1, h2 = np.arctan2(one[..., 2], a1) % turn, np.arctan2(two[..., 2], a2) % turn
    grey = c1 * c2 == 0
    apart = (h2 - h1 + np.pi) % turn - np.pi
    # Just opposite hues: the standard takes the turn as plus one half where h2 is larger.
    apart = np.where((apart == -np.pi) & (h2 > h1), np.pi, apart)
    apart = np.where(grey, 0.0, apart)
    dl, dc = two[..., 0] - one[..., 0], c2 - c1
    dh = 2 * np.sqrt(c1 * c2) * np.sin(apart / 2)

    light, chroma = (one[..., 0] + two[..., 0]) / 2, (c1 + c2) / 2
    far = np.abs(h1 - h2) > np.pi
    hue = (h1 + h2) / 2 + np.where(far, np.where(h1 + h2 < turn, np.pi, -np.pi), 0.0)
    hue = np.where(grey, h1 + h2, hue)
    t = 1 - 0.17 * np.cos(hue - np.radians(30)) + 0.24 * np.cos(2 * hue)
    t += 0.32 * np.cos(3 * hue + np.radians(6)) - 0.20 * np.cos(4 * hue - np.radians(63))
    off = (light - 50) ** 2
    s_l = 1 + 0.015 * off / np.sqrt(20 + off)
    s_c = 1 + 0.045 * chroma
    s_h = 1 + 0.015 * chroma * t
    bend = np.radians(60) * np.exp(-(((np.degrees(hue) - 275) / 25) ** 2))
    turned = -np.sin(bend) * 2 * _seventh(chroma)
    lit, c, h = dl / s_l, dc / s_c, dh / s_h
    # Rounding can leave the sum a hair below zero for equal colours.
    squared: NDArray[np.float64] = np.maximum(lit * lit + c * c + h * h + turned * c * h, 0.0)
    return np.asarray(np.sqrt(squared), dtype=float)


def _seventh(chroma: Array) -> Array:
    """Return sqrt(C^7 / (C^7 + 25^7)), without powers of a fraction."""
    c2 = chroma * chroma
    c7 = c2 * c2 * c2 * chroma
    return np.asarray(np.sqrt(c7 / (c7 + 25.0**7)), dtype=float)


def hue_deg(lab: ArrayLike) -> Array:
    """Hue angle of Lab [degrees, 0 to 360]: 0 red, 90 yellow."""
    lab = np.asarray(lab, dtype=float)
    return np.asarray(np.degrees(np.arctan2(lab[..., 2], lab[..., 1])) % 360, dtype=float)


def chroma(lab: ArrayLike) -> Array:
    """Chroma of Lab: how far from grey."""
    lab = np.asarray(lab, dtype=float)
    return np.asarray(np.hypot(lab[..., 1], lab[..., 2]), dtype=float)
