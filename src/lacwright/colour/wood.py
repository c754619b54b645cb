"""Wood under a film: from the colour of a bare board to what the film lies on."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from lacwright.colour.cie import WAVELENGTHS, Array, Viewing, weights
from lacwright.colour.constants import constant, learned, row, spread
from lacwright.colour.optics import internal_reflectance
from lacwright.colour.spaces import lab_of_reflectance, lab_of_xyz
from lacwright.figures import Mark, Refusal, weakest
from lacwright.trade import table

SPECIES, BOARD, PANELS = "species default", "measured board", "own panels"
"""What the colour of a bare wood rests on."""
HOW_TO_MEASURE = (
    "give the colour of the bare board as measured, with light, observer and geometry"
    ' (L,a,b as in "72,6.5,19")'
)

_CHUNK = 2048  # colours at a time: their spectra then stay in the cache of a core
_MOST_TURNS = 60
_CLOSE = 1e-4  # of Lab
_LOW, _HIGH = -30.0, 30.0  # ln(K/S) is held between: nothing of a colour lies beyond


@dataclass(frozen=True)
class Bare:
    """A bare wood and what is known of how it takes a film.

    Parameters
    ----------
    name : str
        As it is shown.
    lab : tuple of three floats
        L*, a*, b* of the bare wood.
    viewing : Viewing
        How that was read.
    lab_sd : float
        How far the board at hand may lie from it, standard deviation of each of the three.
    k1b : tuple of two floats
        Share of light that the bare skin scatters back: middle, standard deviation [1].
    wetting : tuple of two floats
        What is left of the scattering under resin: middle, standard deviation [1].
    basis : str
        `SPECIES`, `BOARD` or `PANELS`.
    mark : Mark
        The weakest of all that.
    source : str
        Where the colour comes from.
    """

    name: str
    lab: tuple[float, float, float]
    viewing: Viewing
    lab_sd: float
    k1b: tuple[float, float]
    wetting: tuple[float, float]
    basis: str
    mark: Mark
    source: str


def find_bare(name: str, where: str = "wood") -> Bare:
    """Return the colour on file of a wood by any name of the tables of woods.

    Raises
    ------
    Refusal
        For an unknown wood, and for one whose colour is not on file.
    """
    colours = table("colour_woods")
    found = _by_name().get(_plain(name))
    if found is None:
        key = table("woods").find(name, where).key
        found = _by_name().get(_plain(key))
        if found is None:
            raise Refusal(where, f"no colour of {key.replace('-', ' ')} is on file",
                          f"{HOW_TO_MEASURE}; on file are {', '.join(colours.rows)}")  # fmt: skip
    one = colours[found]
    lab = (one.number("lightness"), one.number("red"), one.number("yellow"))
    return Bare(
        one.key.replace("-", " "), lab, Viewing(), _each(one.number("board_spread")), _skin(),
        _wetting(), SPECIES, weakest(one.mark, _taken()), one.source,
    )  # fmt: skip


def measured_bare(
    lab: ArrayLike, viewing: Viewing, like: Bare | None = None, *, name: str = "",
    where: str = "wood",
) -> Bare:  # fmt: skip
    """Return a bare board whose colour was read.

    Parameters
    ----------
    lab : sequence of three floats
        L*, a*, b* as read, best the mean of several places.
    viewing : Viewing
        How it was read.
    like : Bare, optional
        The same species, whose skin and wetting are taken; by default those of any wood.
    name : str
        As it is to be shown.

    Raises
    ------
    Refusal
        For a colour that no wood has.
    """
    values = np.asarray(lab, dtype=float)
    if values.shape != (3,) or not np.isfinite(values).all():
        raise Refusal(where, "a colour is three numbers", 'write L*, a*, b* as in "72,6.5,19"')
    least = constant("readings.least")
    if not least <= values[0] <= 100:
        raise Refusal(where, f"lightness {values[0]:g} is outside {least:g} to 100",
                      "read it again; of a black one read a sealed stripe")  # fmt: skip
    for axis, value, key in (("a*", values[1], "red"), ("b*", values[2], "yellow")):
        low, high = (row(f"readings.{key}").number(end) for end in ("low", "high"))
        if not low <= value <= high:
            raise Refusal(where, f"{axis} {value:g} is outside {low:g} to {high:g}",
                          "read it again; the order is L*, a* (red), b* (yellow)")  # fmt: skip
    try:
        recover(values, viewing)
    except Refusal as refusal:
        raise refusal.at(where) from None
    if like is None:
        basis, skin, wetting = BOARD, _skin(), _wetting()
    else:
        basis = PANELS if like.basis == PANELS else BOARD
        skin, wetting = like.k1b, like.wetting
    called = name or (f"measured {like.name}" if like else "measured board")
    lightness, red, yellow = values.tolist()
    return Bare(
        called, (lightness, red, yellow), viewing, _each(constant("measured.spread")), skin,
        wetting, basis, _taken() if basis == BOARD else Mark.OWN, f"read: {viewing.words()}",
    )  # fmt: skip


def with_panels(
    bare: Bare, *, k1b: tuple[float, float], wetting: tuple[float, float], source: str = ""
) -> Bare:
    """Return a wood whose skin and wetting were fitted to the maker's own panels."""
    return replace(bare, k1b=k1b, wetting=wetting, basis=PANELS, mark=Mark.OWN,
                   source=source or bare.source)  # fmt: skip


def recover(lab: ArrayLike, viewing: Viewing, *, nearest: bool = False) -> Array:
    """Reflectance that has a colour: ln(K/S) a quadratic in the wavelength.

    Parameters
    ----------
    lab : array, shape (..., 3)
        Colours.
    viewing : Viewing
        Illuminant and observer of them.
    nearest : bool
        For colours that no such reflectance has: the nearest that was found, in place of a refusal.

    Returns
    -------
    array, shape (..., 81)

    Raises
    ------
    Refusal
        For colours that no such reflectance has.

    Notes
    -----
    Kubelka and Munk: K/S = (1 - R)^2 / (2 R). Newton's method on Lab, damped, all at once.

    Examples
    --------
    >>> lab_of_reflectance(recover([84, 3.2, 16.5], Viewing()), Viewing()).round(3).tolist()
    [84.0, 3.2, 16.5]
    """
    wished = np.asarray(lab, dtype=float)
    flat = wished.reshape(-1, 3)
    curves = np.empty((len(flat), 3))
    for start in range(0, len(flat), _CHUNK):
        part = slice(start, start + _CHUNK)
        curves[part], off = _newton(flat[part], viewing)
        if not nearest and (off > 0.05).any():
            lightness, red, yellow = flat[part][int(np.argmax(off))]
            said = f"{lightness:.1f},{red:.1f},{yellow:.1f}"
            raise Refusal("colour", f"no wood has the colour {said}",
                          "read it again: light, observer and order of the numbers")  # fmt: skip
    return reflectance_of(curves).reshape(*wished.shape[:-1], len(WAVELENGTHS))


def inside_film(reflectance: ArrayLike, k1b: ArrayLike, wetting: ArrayLike) -> Array:
    """Reflectance of wetted wood seen from inside a film, from that of the bare wood.

    Parameters
    ----------
    reflectance : array, shape (..., 81)
        Of the bare wood.
    k1b : float or array, shape (..., 1)
        Share of light that its rough skin scatters back [1]; held smoothly below a share of the
        lowest reflectance, since a skin gives back no more than the wood.
    wetting : float or array, shape (..., 1)
        What is left of its scattering under resin [above 0 to 1].

    Returns
    -------
    array, shape (..., 81)

    Notes
    -----
    q = (R - K1b) / (1 - K1b), rho = q / (1 - K2 + K2 q) with K2 the internal reflectance of wood
    substance (Saunderson 1942, from memory); then K/S over `wetting` (Kubelka and Munk).
    """
    bare = np.asarray(reflectance, dtype=float)
    most = constant("skin.most") * bare.min(axis=-1, keepdims=True)
    asked = np.asarray(k1b, dtype=float)
    # The smaller of two without a kink: a photograph would show one as a band.
    skin = asked * most / (asked**8 + most**8) ** 0.125
    k2 = float(internal_reflectance(0.0, constant("index.wood")))
    seen = (bare - skin) / (1 - skin)
    dry = seen / (1 - k2 + k2 * seen)
    return _of_ks((1 - dry) ** 2 / (2 * dry) / np.asarray(wetting, dtype=float))


def reflectance_at_least(bare: Bare) -> float:
    """Return the lowest reflectance of a bare wood in the visible."""
    return float(recover(bare.lab, bare.viewing).min())


def reflectance_of(curve: Array) -> Array:
    """Reflectance from the three coefficients of ln(K/S); shape (..., 3) to (..., 81)."""
    return _of_ks(np.exp(np.clip(curve @ _basis(), _LOW, _HIGH)))


def _of_ks(ks: Array) -> Array:
    """Reflectance of a thick layer: 1 + K/S - sqrt((K/S)^2 + 2 K/S), without cancellation."""
    return np.asarray(1 / (1 + ks + np.sqrt(ks * (ks + 2))), dtype=float)


@cache
def _basis() -> Array:
    x = (WAVELENGTHS - WAVELENGTHS.mean()) / (WAVELENGTHS[-1] - WAVELENGTHS.mean())
    return np.stack([np.ones_like(x), x, x * x])


def _newton(lab: Array, viewing: Viewing) -> tuple[Array, Array]:
    """Return coefficients, shape (n, 3), and how far each is off, shape (n,)."""
    grey = np.clip(((lab[:, 0] + 16) / 116) ** 3, 1e-4, 0.999)
    curve = np.zeros((len(lab), 3))
    curve[:, 0] = np.log((1 - grey) ** 2 / (2 * grey))
    damping = np.full(len(lab), 1e-3)
    miss = lab_of_reflectance(reflectance_of(curve), viewing) - lab
    off = np.abs(miss).max(axis=1)
    for _ in range(_MOST_TURNS):
        todo = np.flatnonzero((off > _CLOSE) & (damping < 1e8))
        if not len(todo):
            break
        slope = _jacobian(curve[todo], viewing)
        normal = slope.transpose(0, 2, 1) @ slope
        size = np.einsum("nii->n", normal) / 3
        normal += (damping[todo] * size)[:, None, None] * np.eye(3)
        step = np.linalg.solve(normal, -slope.transpose(0, 2, 1) @ miss[todo][:, :, None])[..., 0]
        tried = curve[todo] + np.clip(step, -3, 3)
        missed = lab_of_reflectance(reflectance_of(tried), viewing) - lab[todo]
        better = (missed**2).sum(axis=1) < (miss[todo] ** 2).sum(axis=1)
        good = todo[better]
        curve[good], miss[good] = tried[better], missed[better]
        off[good] = np.abs(missed[better]).max(axis=1)
        damping[todo] *= np.where(better, 0.1, 10.0)
    return curve, off


def _jacobian(curve: Array, viewing: Viewing) -> Array:
    """Return dLab / dcoefficients, shape (n, 3, 3)."""
    reflectance = reflectance_of(curve)
    # dR / dln(K/S) = -R (1 - R) / (1 + R), from K/S = (1 - R)^2 / (2 R).
    bent = -reflectance * (1 - reflectance) / (1 + reflectance)
    seen = weights(viewing.illuminant, viewing.observer)
    mixed = (_basis()[:, :, None] * seen[None]).transpose(1, 0, 2).reshape(len(seen), 9)
    light = (bent @ mixed).reshape(-1, 3, 3).transpose(0, 2, 1)  # n, xyz, coefficient
    xyz = reflectance @ seen
    # Lab by XYZ, column by column, as a difference quotient: the cube root has a kink.
    base, out = lab_of_xyz(xyz, viewing), np.empty((len(curve), 3, 3))
    for axis in range(3):
        moved = xyz.copy()
        moved[:, axis] *= 1 + 1e-6
        per = (lab_of_xyz(moved, viewing) - base) / (xyz[:, axis, None] * 1e-6)
        out[:, :, axis] = per
    return np.asarray(out @ light, dtype=float)


def _each(difference: float) -> float:
    """Return the spread of each of L*, a*, b* of a colour difference, taken as even."""
    return difference / math.sqrt(3)


def _skin() -> tuple[float, float]:
    return constant("skin"), spread("skin")


def _taken() -> Mark:
    """Return the mark of skin and wetting where nobody fitted them."""
    return weakest(row("skin").mark, row("wetting").mark)


def _wetting() -> tuple[float, float]:
    return learned("wetting").mid, spread("wetting")


@cache
def _by_name() -> dict[str, str]:
    return {_plain(n): one.key for one in table("colour_woods") for n in one.names()}


def _plain(name: str) -> str:
    return " ".join(name.lower().replace("_", " ").replace("-", " ").split())
