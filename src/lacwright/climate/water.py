"""Water vapour in the air of a room: vapour pressure, dew point, absolute humidity."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from lacwright.figures import Num, Refusal, plain
from lacwright.figures.units import ZERO_C_K
from lacwright.trade import table

ICE = ("vapour_c1", "vapour_c2", "vapour_c3", "vapour_c4", "vapour_c5", "vapour_c6", "vapour_c7")
WATER = ("vapour_c8", "vapour_c9", "vapour_c10", "vapour_c11", "vapour_c12", "vapour_c13")


def saturation_pa(*, temp_c: Num) -> Num:
    """Pressure of water vapour over water (below 0.01 C over ice) at saturation.

    Parameters
    ----------
    temp_c : float or array
        Temperature [C], -20 to 60.

    Returns
    -------
    float or array
        Pressure [Pa].

    Raises
    ------
    Refusal
        Outside the range.

    Notes
    -----
    ASHRAE Handbook - Fundamentals, ch. 1, eq. 5 and 6 (Hyland and Wexler 1983), each used on its
    side of the triple point, where they meet.

    Examples
    --------
    The handbook's table has 3169.7 Pa at 25 C.

    >>> round(saturation_pa(temp_c=25.0), -1)
    3170.0
    """
    temp = _temperature(temp_c)
    return plain(np.exp(np.where(temp <= constant("triple_point"), _ln_p(temp, ICE),
                                 _ln_p(temp, WATER))))  # fmt: skip


def vapour_pa(*, temp_c: Num, rh: Num) -> Num:
    """Pressure of the water vapour that is in the air.

    Parameters
    ----------
    temp_c : float or array
        Air temperature [C], -20 to 60.
    rh : float or array
        Relative humidity as a fraction, above 0 up to 1; below 0.01 C over ice.

    Returns
    -------
    float or array
        Pressure [Pa].

    Raises
    ------
    Refusal
        Outside the range.
    """
    return plain(_humidity(rh) * np.asarray(saturation_pa(temp_c=temp_c)))


def dew_point_c(*, temp_c: Num, rh: Num) -> Num:
    """Temperature at which this air begins to leave dew (below 0.01 C: frost).

    Parameters
    ----------
    temp_c : float or array
        Air temperature [C], -20 to 60.
    rh : float or array
        Relative humidity as a fraction, above 0 up to 1.

    Returns
    -------
    float or array
        Dew point [C].

    Raises
    ------
    Refusal
        Outside the range, or where the dew point would lie below -100 C.

    Notes
    -----
    `saturation_pa` inverted, by Newton's method on ln p against 1/T, which is nearly a straight
    line.
    """
    temp = _temperature(temp_c)
    ln_p = np.log(np.asarray(vapour_pa(temp_c=temp_c, rh=rh)))
    coldest, triple = constant("vapour_ice_min"), constant("triple_point")
    if np.any(ln_p < _ln_p(np.asarray(coldest), ICE)):
        raise Refusal("relative humidity", f"so dry that the dew point is below {coldest:g} C",
                      "measure again")  # fmt: skip
    frost = ln_p <= _ln_p(np.asarray(triple), ICE)
    kelvin = np.broadcast_to(temp + ZERO_C_K, ln_p.shape)
    for _ in range(20):
        off = np.where(frost, _ln_p(kelvin - ZERO_C_K, ICE), _ln_p(kelvin - ZERO_C_K, WATER)) - ln_p
        slope = np.where(frost, _slope(kelvin, ICE), _slope(kelvin, WATER))
        # One step in u = 1/T: du = off / (slope T2).
        step = 1 / (1 / kelvin + off / (slope * kelvin**2)) - kelvin
        kelvin = kelvin + step
        if np.all(np.abs(step) < 1e-9):
            return plain(np.minimum(kelvin - ZERO_C_K, temp))
    raise ArithmeticError("dew point not found")


def dew_margin_k(*, surface_c: Num, temp_c: Num, rh: Num) -> Num:
    """How much a surface is warmer than the dew point; 0 or less: it gets wet.

    Parameters
    ----------
    surface_c : float or array
        Temperature of the wood, the film or the jar [C], -20 to 60.
    temp_c, rh : float or array
        As in `dew_point_c`.

    Returns
    -------
    float or array
        Margin [K].

    Raises
    ------
    Refusal
        Outside the range.
    """
    return plain(_temperature(surface_c) - np.asarray(dew_point_c(temp_c=temp_c, rh=rh)))


def absolute_humidity_g_m3(*, temp_c: Num, rh: Num) -> Num:
    """Mass of water in a cubic metre of air.

    Parameters
    ----------
    temp_c, rh : float or array
        As in `vapour_pa`.

    Returns
    -------
    float or array
        Water [g/m3], as an ideal gas (at 50 C about 0.3 % less than the real vapour).

    Raises
    ------
    Refusal
        Outside the range.
    """
    pressure = np.asarray(vapour_pa(temp_c=temp_c, rh=rh))
    kelvin = np.asarray(temp_c, dtype=float) + ZERO_C_K
    return plain(1000 * pressure / (constant("vapour_gas_constant") * kelvin))


@cache
def constant(key: str) -> float:
    """Return a value of the climate table."""
    return table("climate")[key].number("value")


def within(
    value: Num, low: float, high: float, *, where: str, unit: str, mend: str, scale: float = 1.0
) -> NDArray[np.float64]:
    """Return the value as an array, or refuse what is not a number between low and high.

    `scale` is for the message only: 100 shows a fraction as per cent.
    """
    array = np.asarray(value, dtype=float)
    outside = ~((array >= low) & (array <= high))
    if np.any(outside):
        first = float(np.atleast_1d(array)[np.atleast_1d(outside)][0]) * scale
        raise Refusal(where, f"{first:.4g} {unit} is outside {low * scale:.3g} to "
                      f"{high * scale:.3g} {unit}", mend)  # fmt: skip
    return array


def _temperature(temp_c: Num) -> NDArray[np.float64]:
    return within(
        temp_c, constant("room_temp_min"), constant("room_temp_max"), where="temperature",
        unit="C", mend="measure again, or name the unit: 70 F",
    )  # fmt: skip


def _humidity(rh: Num) -> NDArray[np.float64]:
    array = within(rh, 0, 1, where="relative humidity", unit="%", scale=100,
                   mend="write e.g. '45 %'")  # fmt: skip
    if np.any(array == 0):
        raise Refusal("relative humidity", "air without any water has no dew point",
                      "measure again; a room is seldom below 10 %")  # fmt: skip
    return array


def _ln_p(temp_c: NDArray[np.float64], keys: tuple[str, ...]) -> NDArray[np.float64]:
    """Natural logarithm of the saturation pressure in pascal, eq. 5 (ice) or 6 (water)."""
    t = temp_c + ZERO_C_K
    inverse, zero, *powers, log = (constant(k) for k in keys)
    series = sum(c * t**n for n, c in enumerate(powers, start=1))
    return np.asarray(inverse / t + zero + series + log * np.log(t))


def _slope(kelvin: NDArray[np.float64], keys: tuple[str, ...]) -> NDArray[np.float64]:
    """Derivative of `_ln_p` by temperature [1/K]."""
    inverse, _, *powers, log = (constant(k) for k in keys)
    series = sum(n * c * kelvin ** (n - 1) for n, c in enumerate(powers, start=1))
    return np.asarray(-inverse / kelvin**2 + series + log / kelvin)
