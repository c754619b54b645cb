"""Formulas of dilution: units of vapour, the air that is needed, build-up and purge, mixtures.

Pure functions of floats or arrays that broadcast.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from lacwright.figures import Num, Refusal
from lacwright.trade import table

GAS_L_ATM = 0.082057366
"""Gas constant [l atm/(mol K)], exact to the digits given (SI 2019)."""


def constant(key: str) -> float:
    """Return a constant of the air of the room."""
    return table("room_constants")[key].number("value")


def molar_mass_g(substance: str) -> float | None:
    """Return the molar mass [g/mol], None for an unnamed rest."""
    row = table("substances")[substance]
    return row.number("molar_mass_g") if row.has("molar_mass_g") else None


def molar_volume_l(*, temp_c: Num = 25.0, pressure_atm: Num = 1.0) -> Num:
    """Return the volume of a mole of gas [l].

    Parameters
    ----------
    temp_c : float or array
        Temperature [C], above absolute zero.
    pressure_atm : float or array
        Pressure [atm], above 0.

    Examples
    --------
    >>> round(float(molar_volume_l()), 2)
    24.47
    """
    return _plain(GAS_L_ATM * (_above(temp_c, "temperature", -273.15) + 273.15)
                  / _above(pressure_atm, "pressure"))  # fmt: skip


def ppm_of(*, g_m3: Num, molar_mass_g: Num, molar_volume_l: Num | None = None) -> Num:
    """Return a concentration as parts of vapour in a million of air.

    Parameters
    ----------
    g_m3 : float or array
        Concentration [g/m3], 0 or more.
    molar_mass_g : float or array
        Molar mass [g/mol], above 0.
    molar_volume_l : float or array, optional
        24.45 l/mol at 25 C and 1 atm if left out (29 CFR 1910.1000, Table Z-1, footnote a).

    Examples
    --------
    >>> round(ppm_of(g_m3=0.983, molar_mass_g=60.1))
    400
    """
    volume = constant("molar_volume") if molar_volume_l is None else molar_volume_l
    return _plain(1000.0 * _least(g_m3, "concentration") * volume
                  / _above(molar_mass_g, "molar mass"))  # fmt: skip


def g_m3_of(*, ppm: Num, molar_mass_g: Num, molar_volume_l: Num | None = None) -> Num:
    """Return a concentration [g/m3] from parts in a million; the reverse of `ppm_of`."""
    volume = constant("molar_volume") if molar_volume_l is None else molar_volume_l
    return _plain(_least(ppm, "concentration") * _above(molar_mass_g, "molar mass")
                  / (1000.0 * volume))  # fmt: skip


def air_needed_m3_h(*, rate_g_h: Num, hold_g_m3: Num, mixing_factor: Num = 1.0) -> Num:
    """Return the flow of clean air that holds a steady concentration.

    Parameters
    ----------
    rate_g_h : float or array
        Vapour set free [g/h], 0 or more.
    hold_g_m3 : float or array
        Concentration to hold [g/m3], above 0.
    mixing_factor : float or array
        1 for perfect mixing, more for poor [1].

    Notes
    -----
    Q = K G / C. No fan and no duct is chosen by it.
    """
    return _plain(_factor(mixing_factor) * _least(rate_g_h, "rate") / _above(hold_g_m3, "limit"))


def steady_g_m3(*, rate_g_h: Num, air_m3_h: Num, mixing_factor: Num = 1.0) -> Num:
    """Return the steady concentration [g/m3] of a constant rate [g/h] in a flow of air [m3/h]."""
    return _plain(_factor(mixing_factor) * _least(rate_g_h, "rate") / _above(air_m3_h, "air"))


def build_up_h(
    *, volume_m3: Num, air_m3_h: Num, rate_m3_h: Num, to_ppm: Num, from_ppm: Num = 0.0,
    incoming_ppm: Num = 0.0, mixing_factor: Num = 1.0,
) -> Num:  # fmt: skip
    """Return how long a constant rate takes to raise the room to a concentration [h].

    Parameters
    ----------
    volume_m3, air_m3_h : float or array
        Room [m3] and its air [m3/h], above 0.
    rate_m3_h : float or array
        Vapour set free [m3/h], above 0.
    to_ppm, from_ppm, incoming_ppm : float or array
        At the end, at the start, in the air that comes in.
    mixing_factor : float or array

    Raises
    ------
    Refusal
        For a concentration that is never reached.
    """
    flow = _above(air_m3_h, "air") / _factor(mixing_factor)
    steady = 1e6 * _above(rate_m3_h, "rate") / flow + np.asarray(incoming_ppm)
    if not (np.all(steady > to_ppm) and np.all(np.asarray(to_ppm) >= from_ppm)):
        raise Refusal("concentration", "it is never reached", "give more vapour or less air")
    left = (steady - to_ppm) / (steady - from_ppm)
    return _plain(-_above(volume_m3, "volume") / flow * np.log(left))


def built_up_ppm(
    *, volume_m3: Num, air_m3_h: Num, rate_m3_h: Num, hours: Num, from_ppm: Num = 0.0,
    mixing_factor: Num = 1.0,
) -> Num:  # fmt: skip
    """Return the concentration after so many hours of a constant rate [ppm]; as `build_up_h`."""
    flow = _above(air_m3_h, "air") / _factor(mixing_factor)
    steady = 1e6 * _least(rate_m3_h, "rate") / flow
    left = np.exp(-flow / _above(volume_m3, "volume") * _least(hours, "time"))
    return _plain(steady + (np.asarray(from_ppm) - steady) * left)


def purge_h(*, from_ppm: Num, to_ppm: Num, air_changes_per_h: Num, mixing_factor: Num = 1.0) -> Num:
    """Return how long the air takes to fall from one concentration to another [h].

    Parameters
    ----------
    from_ppm, to_ppm : float or array
        Above 0; in any one unit. 0 h where it is there already.
    air_changes_per_h : float or array
        Above 0 [1/h].
    mixing_factor : float or array

    Examples
    --------
    >>> round(60 * purge_h(from_ppm=100, to_ppm=25, air_changes_per_h=1.2), 1)
    69.3
    """
    rate = _above(air_changes_per_h, "air changes") / _factor(mixing_factor)
    ratio = _above(from_ppm, "concentration") / _above(to_ppm, "concentration")
    return _plain(np.maximum(np.log(ratio), 0.0) / rate)


def average_ppm(*, ppm: Any, hours: Any, over_h: float = 8.0) -> float:
    """Return the time-weighted average over a working day.

    Parameters
    ----------
    ppm, hours : sequence of float
        Each concentration and how long it lasted.
    over_h : float
        Length of the day [h].

    References
    ----------
    29 CFR 1910.1000(d)(1).

    Examples
    --------
    >>> average_ppm(ppm=[150, 75, 50], hours=[2, 2, 4])
    81.25
    """
    return float(np.dot(_least(ppm, "concentration"), _least(hours, "time")) / over_h)


def mixture_index(parts: Mapping[str, Num], limits: Mapping[str, float]) -> Num:
    """Return the sum of concentrations over limits; above 1 the mixture is above its limit.

    Parameters
    ----------
    parts : mapping of substance to float or array
        Concentrations, in the unit of the limits. A substance without a limit counts nothing:
        say so beside the number.
    limits : mapping of substance to float
        Above 0.

    References
    ----------
    29 CFR 1910.1000(d)(2).
    """
    return _plain(sum((np.asarray(parts[s]) / _above(limits[s], f"limit of {s}")
                       for s in parts if s in limits), np.zeros(())))  # fmt: skip


def le_chatelier(shares: Mapping[str, Num], limits: Mapping[str, float]) -> Num:
    """Return the explosive limit of a mixture of vapours.

    Parameters
    ----------
    shares : mapping of substance to float or array
        Shares of the vapour [1]; scaled to sum to 1.
    limits : mapping of substance to float
        Explosive limits, in any one unit, above 0; one for every substance.

    Notes
    -----
    1 / L = sum of y_i / L_i.
    """
    total = sum((np.asarray(y) for y in shares.values()), np.zeros(()))
    return _plain(_above(total, "shares") / mixture_index(shares, {s: limits[s] for s in shares}))


def vapour_to_quarter_lel(*, vapour: Num, lel_percent: Num) -> Num:
    """Return the air that dilutes a volume of vapour to a quarter of its LEL, in the same unit.

    Parameters
    ----------
    vapour : float or array
        Volume of vapour, 0 or more.
    lel_percent : float or array
        Lower explosive limit [%], above 0.

    Notes
    -----
    4 (100 - LEL) v / LEL, an old rule for spray booths of industry, kept as a check alone: taken
    strictly it is 1 % (toluene) to 6 % (methanol) too little.

    References
    ----------
    29 CFR 1910.94(c)(6)(ii), from memory.
    """
    limit = _above(lel_percent, "LEL")
    return _plain(4 * (100 - limit) * _least(vapour, "vapour") / limit)


def _plain(value: Any) -> Num:
    return float(value) if np.ndim(value) == 0 else np.asarray(value)


def _above(value: Any, what: str, least: float = 0.0) -> Any:
    value = np.asarray(value, dtype=float)
    if not (np.all(np.isfinite(value)) and np.all(value > least)):
        raise Refusal(what, f"it is not above {least:g}", "check the number and its unit")
    return value


def _least(value: Any, what: str) -> Any:
    value = np.asarray(value, dtype=float)
    if not (np.all(np.isfinite(value)) and np.all(value >= 0)):
        raise Refusal(what, "it is below zero or no number", "check the number and its unit")
    return value


def _factor(value: Any) -> Any:
    value = np.asarray(value, dtype=float)
    if not (np.all(np.isfinite(value)) and np.all(value >= 1)):
        raise Refusal("mixing factor", "it is below 1, which is perfect mixing",
                      "give 1 (perfect) to 10 (poor)")  # fmt: skip
    return value
