"""A reading of thermometer and hygrometer as figures with their working."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from lacwright.climate.water import (
    ICE,
    WATER,
    absolute_humidity_g_m3,
    dew_point_c,
    vapour_pa,
)
from lacwright.climate.wood import emc_percent
from lacwright.figures import Basis, Figure, Mark, Refusal, computed, exact, unknown
from lacwright.figures.units import ZERO_C_K
from lacwright.trade import table


def reading(*, temp_c: Figure, rh: Figure) -> dict[str, Figure]:
    """What a reading of temperature and humidity says of the air and of wood in it.

    Parameters
    ----------
    temp_c : Figure
        Air temperature [C], -20 to 60.
    rh : Figure
        Relative humidity as a fraction, above 0 up to 1.

    Returns
    -------
    dict of str to Figure
        vapour_pa, dew_point_c, absolute_humidity_g_m3, emc_percent; the last without a value,
        and with the reason, where the wood equation does not reach. Its band is the departure of
        real boards from the equation (`emc_deviation` of the climate table).

    Raises
    ------
    Refusal
        Outside the range of temperature and humidity.
    """
    t, h = temp_c.number(), rh.number()
    kelvin = computed("temp_c + zero_c", "K",
                      {"temp_c": temp_c, "zero_c": exact(ZERO_C_K, "K")})  # fmt: skip
    over_air = ICE if t <= table("climate")["triple_point"].number("value") else WATER
    vapour = computed(
        f"rh * exp({_ln_p('kelvin', over_air)})", "Pa",
        {"rh": rh, "kelvin": kelvin} | _rows(over_air), draws=_row(vapour_pa(temp_c=t, rh=h)),
    )  # fmt: skip
    absolute = computed(
        "1000 * vapour_pa / (vapour_gas_constant * kelvin)", "g/m3",
        {"vapour_pa": vapour, "kelvin": kelvin} | _rows(["vapour_gas_constant"]),
        draws=_row(absolute_humidity_g_m3(temp_c=t, rh=h)),
    )  # fmt: skip
    return {
        "vapour_pa": vapour,
        "dew_point_c": _dew_point(float(dew_point_c(temp_c=t, rh=h)), vapour),
        "absolute_humidity_g_m3": absolute,
        "emc_percent": _emc(temp_c, rh),
    }


def _dew_point(value: float, vapour: Figure) -> Figure:
    """One last step of Newton's method, from the dew point rounded to 0.01 K, is its formula."""
    near = Figure(round(value, 2), None, None, "C", Basis.COMPUTED, Mark.EXACT, "")
    near_k = computed("near_c + zero_c", "K", {"near_c": near, "zero_c": exact(ZERO_C_K, "K")})
    over = ICE if value <= table("climate")["triple_point"].number("value") else WATER
    inverse, _, *powers, log = over
    slope = " + ".join(f"{n} * {c} * near_k**{n - 1}" for n, c in enumerate(powers, start=1))
    return computed(
        f"near_c + (log(vapour_pa) - ({_ln_p('near_k', over)}))"
        f" / (-{inverse} / near_k**2 + {slope} + {log} / near_k)",
        "C", {"near_c": near, "near_k": near_k, "vapour_pa": vapour} | _rows(over),
        draws=_row(value),
        note="the temperature at which the vapour would saturate the air: the last step of a "
        "search, from a value rounded to 0.01 C",
    )  # fmt: skip


def _emc(temp_c: Figure, rh: Figure) -> Figure:
    try:
        value = emc_percent(temp_c=temp_c.number(), rh=rh.number())
    except Refusal as refusal:
        return unknown("% MC", f"cannot estimate without air in the range of the wood equation: "
                       f"{refusal.what}")  # fmt: skip
    inputs = {"rh": rh} | _rows(["emc_factor", "emc_deviation"])
    for name in ("w", "k", "k1", "k2"):
        a, b, c = (f"emc_{name}_{letter}" for letter in "abc")
        inputs[name] = computed(
            f"{a} + {b} * temp_c + {c} * temp_c**2", "1", {"temp_c": temp_c} | _rows([a, b, c])
        )
    figure = computed(
        "emc_factor / w * (k * rh / (1 - k * rh) + (k1 * k * rh + 2 * k1 * k2 * (k * rh)**2)"
        " / (1 + k1 * k * rh + k1 * k2 * (k * rh)**2)) + emc_deviation",
        "% MC", inputs, draws=_row(value),
        note="the value is the published equation; the band is an allowance for real boards",
    )  # fmt: skip
    off = inputs["emc_deviation"]
    assert off.low is not None
    assert off.high is not None
    return figure.with_band(figure.number() + off.low, figure.number() + off.high)


def _ln_p(kelvin: str, keys: tuple[str, ...]) -> str:
    inverse, zero, *powers, log = keys
    series = " + ".join(f"{c} * {kelvin}**{n}" for n, c in enumerate(powers, start=1))
    return f"{inverse} / {kelvin} + {zero} + {series} + {log} * log({kelvin})"


def _rows(keys: Iterable[str]) -> dict[str, Figure]:
    rows = table("climate")
    return {key: rows[key].figure() for key in keys}


def _row(value: object) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    return np.array([value], dtype=float)
