"""Bands for an hour table: what belongs to the state of calibration, instead of draws by the hour.

The factors are those of draws over typical rooms and coats (`benchmarks/drying.py --bands`), of
late times by how much lac lies there in all; a test holds them against the draws of single hours.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from lacwright.climate import dew_point_c, saturation_pa
from lacwright.drying.hand import LEAST_RH, TOLERANCE, constants_of, state
from lacwright.drying.many import Many
from lacwright.drying.params import Array, constant
from lacwright.figures import Hand, Mark
from lacwright.figures.learned import Z95
from lacwright.trade import table

EARLY = ("chill_k", "haze_index", "touch_dry_s")
"""Outputs whose band is one factor either way for all coats."""
LATE = ("print_free_s", "recoat_s", "sandable_s")
"""Outputs whose band is wider the more lac lies there: thick films wait for diffusion."""
FACTORS = (*EARLY, *LATE)
CLASSES = ("thin", "middle", "thick")
"""Of a coat with all that it dissolves below, as dry lac."""


def bands(many: Many, *, hand: Hand | None = None) -> dict[str, tuple[Array, Array]]:
    """Return low and high (5 and 95 %) of each output of a batch.

    Parameters
    ----------
    many : Many
        The central case.
    hand : Hand, optional
        Own figures it was computed with: they say which bands belong to it, and how far the
        water tolerance is known.

    Returns
    -------
    dict of str to (array, array)
        film_min_c, chill_k, dew_margin_k, haze_index and the four times; NaN where the central
        case is.
    """
    rows, key = table("drying_bands"), state(hand or {}).key
    classes = class_of(many.dry_um)
    found = {}
    for name in FACTORS:
        if name in LATE:
            each = [rows[f"{key}.{name}.{word}"] for word in CLASSES]
            sides = [np.array([row.number(side) for row in each])[classes]
                     for side in ("low", "high")]  # fmt: skip
        else:
            sides = [np.asarray(rows[f"{key}.{name}"].number(side)) for side in ("low", "high")]
        if name == "haze_index":
            sides = _with_tolerance(sides, hand or {})
        value = getattr(many, name)
        low, high = (value * side for side in sides)
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


def class_of(dry_um: Array) -> NDArray[np.int64]:
    """Return the class (0 thin, 1 middle, 2 thick) of films with so much dry lac in all [um]."""
    limits = [constant(f"bands_{word}_from") for word in CLASSES[1:]]
    return np.asarray(np.searchsorted(limits, np.asarray(dry_um), side="right"))


def mark_of(name: str, hand: Hand) -> Mark:
    """Return the mark of the band of an output."""
    end = f".{CLASSES[-1]}" if name in LATE else ""
    return table("drying_bands")[f"{state(hand).key}.{name}{end}"].mark


def _with_tolerance(sides: list[Array], hand: Hand) -> list[Array]:
    """Widen the band of the haze index by what is not known of the water tolerance.

    The rows of the haze index are of a tolerance that is known; its spread, the prior's or what
    whitenings have left of it, is added as one that knows nothing of the others.
    """
    power = table("drying_bands")["tolerance.haze_index"].number("value")
    spread = power * Z95 * constants_of(hand)[TOLERANCE].posterior()[1]
    return [np.exp(sign * np.hypot(np.log(side), spread))
            for sign, side in zip((-1, 1), sides, strict=True)]  # fmt: skip
