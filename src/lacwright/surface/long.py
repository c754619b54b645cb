"""Long and round work: mouldings, turned parts, legs, rods."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from lacwright.figures import Num, Refusal
from lacwright.surface.flat import MM, MM2
from lacwright.surface.zone import Zone, positive

CHORDS = 32
"""Straight tapers between two stations of a smoothed turning: 1e-4 of the area and less."""


def moulding(*, run_mm: Num, developed_mm: Num) -> tuple[Zone, ...]:
    """Return the show face of a moulding: developed width x run.

    Its back and its cut ends are not counted. Of its arrises only the two borders are.

    Parameters
    ----------
    run_mm : float or array
        Length of moulding [mm], all runs together.
    developed_mm : float or array
        Width of the profile laid flat [mm], see `developed`.

    Raises
    ------
    Refusal
        For a length of zero or less.
    """
    positive(run_mm=run_mm, developed_mm=developed_mm)
    return (Zone("", "face", run_mm * developed_mm * MM2, length_m=2 * run_mm * MM, face="front"),)


def developed(points_mm: Sequence[Sequence[Num]]) -> Num:
    """Return the developed width [mm] of a profile: the length of the polyline.

    Parameters
    ----------
    points_mm : sequence of (x, y)
        At least two points [mm] along the show side. An arc of 64 chords to the full circle is
        0.04 % short.

    Raises
    ------
    Refusal
        For fewer than two points.
    """
    if len(points_mm) < 2 or any(len(p) != 2 for p in points_mm):
        raise Refusal("profile", "a profile has at least two points of two numbers",
                      "write e.g. [[0, 0], [20, 0], [20, 12]]")  # fmt: skip
    total: Num = 0.0
    for (x0, y0), (x1, y1) in pairwise(points_mm):
        total = total + np.hypot(x1 - x0, y1 - y0)
    return total


def turned(
    *, stations_mm: Sequence[Num], diameters_mm: Sequence[Num], smooth: bool = False
) -> tuple[Zone, ...]:
    """Return the zones of a turned part: frustums between stations, and two end discs.

    The wall is the sum of pi (r0 + r1) s over neighbouring stations, s the slant height: exact
    for straight tapers and for square shoulders (two diameters at one station).

    Parameters
    ----------
    stations_mm : sequence of float or array
        Places along the axis [mm], in order; two may coincide for a shoulder.
    diameters_mm : sequence of float or array
        Diameter at each [mm]; 0 makes a point.
    smooth : bool
        Whether a smooth curve (monotone cubic) runs through the stations instead.

    Returns
    -------
    tuple of Zone
        "round" (the wall: long grain, axis along the grain), "first end", "last end" (discs
        of end grain, left out where the diameter is 0).

    Raises
    ------
    Refusal
        For fewer than two stations, stations out of order, negative diameters, a shoulder in
        a smooth curve.

    References
    ----------
    Fritsch, Carlson, SIAM J. Numer. Anal. 17 (1980) 238, for the slopes of the smooth curve
    (from memory).
    """
    if len(stations_mm) < 2 or len(stations_mm) != len(diameters_mm):
        raise Refusal("stations", "a turning has at least two stations, each with a diameter",
                      "write e.g. [[0, 45], [400, 25]]")  # fmt: skip
    x = np.stack(np.broadcast_arrays(*(np.asarray(s, dtype=float) for s in stations_mm)))
    d = np.stack(np.broadcast_arrays(*(np.asarray(s, dtype=float) for s in diameters_mm)))
    x, d = _same_shape(x, d)
    step = np.diff(x, axis=0)
    if not (np.all(np.isfinite(x)) and np.all(np.isfinite(d))) or np.any(d < 0):
        raise Refusal("stations", "a diameter is below zero", "measure it with callipers")
    if np.any(step < 0) or np.any(x[-1] <= x[0]):
        raise Refusal("stations", "the stations are not in order along the axis",
                      "begin at one end and go to the other")  # fmt: skip
    first, last, r = d[0] / 2, d[-1] / 2, d / 2
    if smooth:
        if np.any(step == 0):
            raise Refusal("smooth", "a smooth curve has no shoulder",
                          "part the turning at the shoulder into two parts")  # fmt: skip
        x, r = _smoothed(x, r)
    slant = np.hypot(np.diff(x, axis=0), np.diff(r, axis=0))
    wall = _scalar((np.pi * (r[1:] + r[:-1]) * slant).sum(axis=0))
    if not np.all(np.asarray(wall) > 0):
        raise Refusal("stations", "all diameters are zero", "measure them with callipers")
    zones = [Zone("", "face", wall * MM2, face="round")]
    for face, radius in (("first end", _scalar(first)), ("last end", _scalar(last))):
        if np.any(np.asarray(radius) > 0):
            zones.append(Zone("", "end", np.pi * radius**2 * MM2,
                              length_m=2 * np.pi * radius * MM, face=face))  # fmt: skip
    return tuple(zones)


def rod(*, diameter_mm: Num, length_mm: Num) -> tuple[Zone, ...]:
    """Return the zones of a round rod or leg: pi d L and two end discs.

    Raises
    ------
    Refusal
        For a length of zero or less.
    """
    positive(diameter_mm=diameter_mm, length_mm=length_mm)
    disc = np.pi * diameter_mm**2 / 4 * MM2
    rim = np.pi * diameter_mm * MM
    wall = np.pi * diameter_mm * length_mm * MM2
    return (
        Zone("", "face", wall, face="round", thickness_mm=diameter_mm),
        Zone("", "end", disc, face="first end", length_m=rim, thickness_mm=diameter_mm),
        Zone("", "end", disc, face="last end", length_m=rim, thickness_mm=diameter_mm),
    )


def tapered_leg(*, head_mm: Num, foot_mm: Num, length_mm: Num) -> tuple[Zone, ...]:
    """Return the zones of a square leg tapered on all four sides.

    The sides are 2 (a + b) sqrt(h^2 + ((a - b) / 2)^2).

    Parameters
    ----------
    head_mm, foot_mm : float or array
        Side of the square above and below [mm].
    length_mm : float or array
        Height h [mm].

    Returns
    -------
    tuple of Zone
        "sides", "head", "foot". The head usually lies against rails or top.

    Raises
    ------
    Refusal
        For a length of zero or less.
    """
    positive(head_mm=head_mm, foot_mm=foot_mm, length_mm=length_mm)
    a, b = head_mm, foot_mm
    sides = 2 * (a + b) * np.hypot(length_mm, (a - b) / 2)
    # An arris runs along the diagonal of the taper: both sides of the square shrink.
    arris = 4 * np.sqrt(length_mm**2 + (a - b) ** 2 / 2)
    return (
        Zone("", "face", sides * MM2, face="sides", length_m=arris * MM, thickness_mm=b),
        Zone("", "end", a**2 * MM2, face="head", length_m=4 * a * MM, thickness_mm=a),
        Zone("", "end", b**2 * MM2, face="foot", length_m=4 * b * MM, thickness_mm=b),
    )


def _same_shape(
    x: NDArray[np.float64], d: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return both with stations on axis 0 and the same draws behind."""
    while x.ndim < d.ndim:
        x = x[..., np.newaxis]
    while d.ndim < x.ndim:
        d = d[..., np.newaxis]
    both = np.broadcast_arrays(x, d)
    return both[0], both[1]


def _smoothed(
    x: NDArray[np.float64], r: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return points on the monotone cubic through the stations."""
    h = np.diff(x, axis=0)
    slope = np.diff(r, axis=0) / h
    if len(h) == 1:
        return x, r
    m = np.zeros_like(r)
    w0, w1 = 2 * h[1:] + h[:-1], h[1:] + 2 * h[:-1]
    same = slope[1:] * slope[:-1] > 0
    with np.errstate(divide="ignore", invalid="ignore"):
        mean = (w0 + w1) / (w0 / slope[:-1] + w1 / slope[1:])
    m[1:-1] = np.where(same, mean, 0.0)
    m[0] = _end_slope(h[0], h[1], slope[0], slope[1])
    m[-1] = _end_slope(h[-1], h[-2], slope[-1], slope[-2])
    rows_x, rows_r = [], []
    for s in np.linspace(0.0, 1.0, CHORDS, endpoint=False):
        rows_x.append(x[:-1] + s * h)
        rows_r.append(
            (1 + 2 * s) * (1 - s) ** 2 * r[:-1] + s**2 * (3 - 2 * s) * r[1:]
            + s * (1 - s) ** 2 * h * m[:-1] - s**2 * (1 - s) * h * m[1:]
        )  # fmt: skip
    many_x = np.stack(rows_x, axis=1).reshape(-1, *x.shape[1:])
    many_r = np.stack(rows_r, axis=1).reshape(-1, *r.shape[1:])
    return np.concatenate([many_x, x[-1:]]), np.concatenate([many_r, r[-1:]])


def _end_slope(
    h0: NDArray[np.float64], h1: NDArray[np.float64], s0: NDArray[np.float64],
    s1: NDArray[np.float64],
) -> NDArray[np.float64]:  # fmt: skip
    """Return the slope at an end: three points, held back so that it does not overshoot."""
    m = ((2 * h0 + h1) * s0 - h0 * s1) / (h0 + h1)
    m = np.where(np.sign(m) != np.sign(s0), 0.0, m)
    return np.where((np.sign(s0) != np.sign(s1)) & (np.abs(m) > 3 * np.abs(s0)), 3 * s0, m)


def _scalar(value: NDArray[np.float64]) -> Num:
    return float(value) if np.ndim(value) == 0 else value
