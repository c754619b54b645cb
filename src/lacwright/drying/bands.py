"""Bands for an hour table: what belongs to the state of calibration, instead of draws by the hour.

The factors are those of draws over typical rooms and coats (`benchmarks/drying.py --bands`); a
test holds them against the draws of single hours.
"""

from __future__ import annotations

import numpy as np

from lacwright.climate import dew_point_c, saturation_pa
from lacwright.drying.hand import LEAST_RH, state
from lacwright.drying.many import Many
from lacwright.drying.params import Array
from lacwright.figures import Hand
from lacwright.trade import table

FACTORS = ("chill_k", "haze_index", "touch_dry_s", "print_free_s", "recoat_s", "sandable_s")
"""Outputs whose band is a factor either way."""


def bands(many: Many, *, hand: Hand | None = None) -> dict[str, tuple[Array, Array]]:
    """Return low and high (5 and 95 %) of each output of a batch.

    Parameters
    ----------
    many : Many
        The central case.
    hand : Hand, optional
        Own figures it was computed with: they say which bands belong to it.

    Returns
    -------
    dict of str to (array, array)
        film_min_c, chill_k, dew_margin_k, haze_index and the four times; NaN where the central
        case is.
    """
    rows, key = table("drying_bands"), state(hand or {}).key
    found = {}
    for name in FACTORS:
        row, value = rows[f"{key}.{name}"], getattr(many, name)
        low, high = value * row.number("low"), value * row.number("high")
        # A board colder than the room chills whatever the constants are: no band turns over.
        found[name] = np.minimum(low, high), np.maximum(low, high)
    room = many.film_min_c + many.chill_k
    found["film_min_c"] = room - found["chill_k"][1], room - found["chill_k"][0]
    # The margin: the film's band and the hygrometer's, which know nothing of one another.
    off = table("drying")["hygrometer_error"]
    humid = np.asarray(saturation_pa(temp_c=many.dew_point_c))[:, None] / np.asarray(
        saturation_pa(temp_c=room)
    )
    dew = many.dew_point_c[:, None]
    drier, damper = (
        np.asarray(dew_point_c(temp_c=room, rh=np.clip(humid + off.number(side), LEAST_RH, 1.0)))
        for side in ("low", "high")
    )
    colder, warmer = found["chill_k"][1] - many.chill_k, many.chill_k - found["chill_k"][0]
    found["dew_margin_k"] = (many.dew_margin_k - np.hypot(colder, damper - dew),
                             many.dew_margin_k + np.hypot(warmer, dew - drier))  # fmt: skip
    return found
