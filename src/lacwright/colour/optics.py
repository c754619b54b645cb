"""Light in a film: what its surfaces give back, what the film takes, what wax scatters.

A smooth film that absorbs, on a base that scatters evenly. `tau` is the natural absorbance of
one passage straight through the film, absorption times load.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from lacwright.colour.cie import GEOMETRIES, Array
from lacwright.figures import Refusal
from lacwright.film import fresnel
from lacwright.trade import table

_NODES = 96  # of Gauss and Legendre, for each side of the critical angle
_STEPS = 4096  # of the table over tau
_STRETCH = 400.0  # the table is even in ln(1 + _STRETCH tau): fine where little is absorbed
_TAU_MOST = 60.0  # beyond it nothing comes back

TABLE_ERROR = 3e-7
"""Largest error of the tabulated internal reflectance and escape; a test holds it."""


def internal_reflectance(tau: ArrayLike, index: float | None = None) -> Array:
    """Share of even light from below that the surface and the film give back downwards.

    Parameters
    ----------
    tau : array
        Absorbance of the film, one passage [natural, 0 or more].
    index : float, optional
        Refractive index of the film [1 to 2.5]; that of shellac by default.

    Returns
    -------
    array
        r_i(tau) = integral over mu of 2 mu R(mu) exp(-2 tau / mu), from a table.

    Notes
    -----
    Without absorption 1 - r_i = (1 - r_e) / n^2, r_e being the same from outside (Duntley 1942,
    Saunderson 1942, from memory).

    Examples
    --------
    >>> float(internal_reflectance(0.0, 1.52).round(4))
    0.6082
    """
    return _look_up(_tables(shellac_index() if index is None else index).back, tau)


def film_over(rho: ArrayLike, tau: ArrayLike, geometry: str, index: float | None = None) -> Array:
    """Reflectance of a film on a base.

    Parameters
    ----------
    rho : array
        Reflectance of the base, seen from inside the film [0 to below 1]; broadcasts with `tau`.
    tau : array
        Absorbance of the film, one passage [natural, 0 or more].
    geometry : str
        "45/0" (gloss excluded) or "8/d" (gloss included).
    index : float, optional
        Refractive index of the film [1 to 2.5]; that of shellac by default.

    Returns
    -------
    array
        R = R_spec + A rho / (1 - r_i(tau) rho).

    Raises
    ------
    Refusal
        For an unknown geometry or an index outside 1 to 2.5.

    Examples
    --------
    >>> film_over(0.5, [0.0, 0.1, 0.6, 2.0], "8/d", 1.52).round(4).tolist()
    [0.3121, 0.2309, 0.0965, 0.0452]
    """
    index = shellac_index() if index is None else index
    tables = _tables(index)
    rho, tau = np.asarray(rho, dtype=float), np.asarray(tau, dtype=float)
    if geometry == "45/0":
        slant = 1 / math.sqrt(1 - 0.5 / index**2)
        through = tables.enter_45 * np.exp(-(1 + slant) * tau)
        mirrored = 0.0
    elif geometry == "8/d":
        slant = 1 / math.sqrt(1 - (math.sin(math.radians(8)) / index) ** 2)
        through = (1 - tables.mirror_8) * np.exp(-slant * tau) * _look_up(tables.escape, tau)
        mirrored = tables.mirror_8
    else:
        raise Refusal("geometry", f"'{geometry}' is not known",
                      f"use one of: {', '.join(GEOMETRIES)}")  # fmt: skip
    back = _look_up(tables.back, tau)
    return np.asarray(mirrored + through * rho / (1 - back * rho), dtype=float)


def haze_over(rho: ArrayLike, sd: ArrayLike) -> Array:
    """Reflectance of a base below a layer that scatters and does not absorb.

    Parameters
    ----------
    rho : array
        Reflectance of the base, seen from inside the film.
    sd : array
        Scattering of the layer times its depth (two-flux) [0 or more].

    Notes
    -----
    The two-flux equations with K = 0: R_f = Sd / (1 + Sd), T_f = 1 / (1 + Sd).
    """
    rho, sd = np.asarray(rho, dtype=float), np.asarray(sd, dtype=float)
    layer, through = sd / (1 + sd), 1 / (1 + sd)
    return np.asarray(layer + through**2 * rho / (1 - layer * rho), dtype=float)


def shellac_index() -> float:
    """Return the refractive index of shellac from the table of sheen [1]."""
    return table("sheen")["n.shellac"].number("value")


def exact_back(tau: ArrayLike, index: float) -> Array:
    """Internal reflectance by quadrature, as the table is made; one row of tau."""
    return _quadrature(np.asarray(tau, dtype=float), index)[0]


def exact_escape(tau: ArrayLike, index: float) -> Array:
    """Share of even light from below that leaves through the surface, by quadrature."""
    return _quadrature(np.asarray(tau, dtype=float), index)[1]


@dataclass(frozen=True)
class _Tables:
    back: Array
    escape: Array
    enter_45: float
    mirror_8: float


@cache
def _tables(index: float) -> _Tables:
    if not 1 <= index <= 2.5:
        raise Refusal("refractive index", f"{index:g} is outside 1 to 2.5",
                      "shellac is near 1.52")  # fmt: skip
    even = np.linspace(0.0, math.log1p(_STRETCH * _TAU_MOST), _STEPS)
    back, escape = _quadrature(np.expm1(even) / _STRETCH, index)
    enter = (1 - fresnel(index=index, angle_deg=45)) * (1 - fresnel(index=index, angle_deg=0))
    return _Tables(_with_slopes(back), _with_slopes(escape), enter / index**2,
                   fresnel(index=index, angle_deg=8))  # fmt: skip


def _quadrature(tau: Array, index: float) -> tuple[Array, Array]:
    """Return (back, escape) at each tau, the integral split at the critical angle."""
    nodes, share = _gauss()
    # Rays that can leave, by their angle outside: smooth up to grazing.
    out = (nodes + 1) * math.pi / 4
    mirrored = np.array([fresnel(index=index, angle_deg=math.degrees(a)) for a in out])
    mu = np.sqrt(1 - (np.sin(out) / index) ** 2)
    weight = share * math.pi / 4 * np.sin(2 * out) / index**2
    once = np.exp(-tau[:, None] / mu)
    back = (once**2) @ (weight * mirrored)
    escape = once @ (weight * (1 - mirrored))
    # Rays that cannot, mu from 0 to the critical angle as edge t^3: many nodes at grazing.
    edge = math.sqrt(1 - 1 / index**2)
    if edge == 0:
        return back, escape
    t = (nodes + 1) / 2
    mu = edge * t**3
    weight = share / 2 * 2 * mu * 3 * edge * t**2
    back += np.exp(-2 * tau[:, None] / mu) @ weight
    return back, escape


@cache
def _gauss() -> tuple[Array, Array]:
    nodes, share = np.polynomial.legendre.leggauss(_NODES)
    return nodes, share


def _with_slopes(values: Array) -> Array:
    """Return values and their differences to the next, shape (steps, 2), for a quick look-up."""
    return np.stack([values, np.append(np.diff(values), 0.0)], axis=1)


def _look_up(pairs: Array, tau: ArrayLike) -> Array:
    place = np.log1p(_STRETCH * np.asarray(tau, dtype=float))
    place *= (_STEPS - 1) / math.log1p(_STRETCH * _TAU_MOST)
    cell = np.minimum(place, _STEPS - 1).astype(np.intp)
    near = pairs[:, 0].take(cell)
    out: Array = near + (place - cell) * pairs[:, 1].take(cell)
    return out
