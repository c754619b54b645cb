"""Moisture that wood takes on from the air it stands in."""

from __future__ import annotations

import numpy as np

from lacwright.climate.water import constant, within
from lacwright.figures import Num, plain

WHERE = "wood moisture"
MEND = "give the air of a room within that range"


def emc_percent(*, temp_c: Num, rh: Num) -> Num:
    """Moisture content at which wood settles, per cent of its dry mass.

    Parameters
    ----------
    temp_c : float or array
        Air temperature [C], -1.1 (30 F) to 60.
    rh : float or array
        Relative humidity as a fraction, 0.05 to 0.95.

    Returns
    -------
    float or array
        Equilibrium moisture content [% MC].

    Raises
    ------
    Refusal
        Outside the range of the handbook's table.

    Notes
    -----
    USDA Wood Handbook (FPL-GTR-282, 2021), ch. 4, eq. 4-5, of the form of Hailwood and Horrobin
    with two hydrates. Table 4-2, computed from it, spans 30 to 270 F and 5 to 95 %; the
    handbook holds it fit for any species for practical purposes, midway between wood that dries
    and wood that takes up water, and its tenths for a help to see trends only.

    Examples
    --------
    Table 4-2 has 9.2 % at 70 F and 50 %.

    >>> round(emc_percent(temp_c=21.1, rh=0.5), 1)
    9.2
    """
    coldest = (constant("emc_temp_min") - 32) * 5 / 9
    t = within(temp_c, coldest, constant("room_temp_max"), where=WHERE, unit="C", mend=MEND)
    h = within(rh, constant("emc_rh_min"), constant("emc_rh_max"), where=WHERE, unit="%",
               mend=MEND, scale=100)  # fmt: skip
    w, k, k1, k2 = (
        constant(f"emc_{name}_a") + constant(f"emc_{name}_b") * t + constant(f"emc_{name}_c") * t**2
        for name in ("w", "k", "k1", "k2")
    )
    x = k * h
    hydrates = (k1 * x + 2 * k1 * k2 * x**2) / (1 + k1 * x + k1 * k2 * x**2)
    return plain(constant("emc_factor") / w * (x / (1 - x) + hydrates))


def rh_of_emc(*, temp_c: Num, emc_percent: Num) -> Num:
    """Relative humidity of the air in which wood settles at a wished moisture content.

    Parameters
    ----------
    temp_c : float or array
        Air temperature [C], -1.1 to 60.
    emc_percent : float or array
        Moisture content of the wood [% MC], about 1.3 to 24.

    Returns
    -------
    float or array
        Relative humidity as a fraction.

    Raises
    ------
    Refusal
        Where air of 5 to 95 % does not give that moisture.
    """
    temp, wanted = np.broadcast_arrays(
        np.asarray(temp_c, dtype=float), np.asarray(emc_percent, dtype=float)
    )
    low = np.full(temp.shape, constant("emc_rh_min"))
    high = np.full(temp.shape, constant("emc_rh_max"))
    driest, wettest = _emc(temp_c=temp, rh=low), _emc(temp_c=temp, rh=high)
    within(wanted, float(np.max(driest)), float(np.min(wettest)), where=WHERE, unit="% MC",
           mend="wood indoors stands at about 5 to 14 %")  # fmt: skip
    for _ in range(50):  # moisture rises with humidity: halve until 0.9/2**50 is left
        middle = (low + high) / 2
        over = np.asarray(_emc(temp_c=temp, rh=middle)) > wanted
        low, high = np.where(over, low, middle), np.where(over, middle, high)
    return plain((low + high) / 2)


_emc = emc_percent  # the wished moisture has the same name in rh_of_emc
