"""Standard observers and illuminants, and how a colour is looked at."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from lacwright.figures import Refusal
from lacwright.trade import table

Array = NDArray[np.float64]

WAVELENGTHS: Array = np.arange(380.0, 780.1, 5.0)
"""Wavelengths of every spectrum of this room [nm], 81 of them."""

ILLUMINANTS = {"D65": "d65", "D50": "d50", "A": "a", "C": "c", "LED-B3": "led_b3"}
"""Illuminants by name, and the column of each in its table."""
OBSERVERS = (2, 10)
"""Standard observers by their field [degrees]: CIE 1931, CIE 1964."""
GEOMETRIES = {
    "45/0": "45/0, gloss excluded",
    "8/d": "8/d, gloss included",
}
"""Geometries by name, and in words. A photograph without a mirrored light counts as 45/0."""

_SAID_GEOMETRY = {
    "45/0": "45/0", "0/45": "45/0", "photo": "45/0", "gloss excluded": "45/0",
    "8/d": "8/d", "d/8": "8/d", "sci": "8/d", "gloss included": "8/d",
}  # fmt: skip


@dataclass(frozen=True)
class Viewing:
    """How a colour is looked at: without it three numbers are no colour.

    Parameters
    ----------
    illuminant : str
        "D65", "D50", "A", "C" or "LED-B3".
    observer : int
        2 (CIE 1931) or 10 (CIE 1964) [degrees].
    geometry : str
        "45/0": gloss excluded, as the eye and a photograph avoid the mirrored light.
        "8/d": an integrating sphere that counts the mirrored light.

    Raises
    ------
    Refusal
        For a name that is not one of these.
    """

    illuminant: str = "D65"
    observer: int = 2
    geometry: str = "45/0"

    def __post_init__(self) -> None:
        if self.illuminant not in ILLUMINANTS:
            raise Refusal("illuminant", f"'{self.illuminant}' is not on file",
                          f"use one of: {', '.join(ILLUMINANTS)}")  # fmt: skip
        if self.observer not in OBSERVERS:
            raise Refusal("observer", f"{self.observer} degrees is no standard observer",
                          "use 2 or 10, as the instrument says")  # fmt: skip
        if self.geometry not in GEOMETRIES:
            raise Refusal("geometry", f"'{self.geometry}' is not known",
                          "use 45/0 (gloss excluded) or 8/d (gloss included)")  # fmt: skip

    def words(self) -> str:
        """Return it as people write it under a reading.

        Examples
        --------
        >>> Viewing().words()
        'D65, 2 deg, 45/0, gloss excluded'
        """
        return f"{self.illuminant}, {self.observer} deg, {GEOMETRIES[self.geometry]}"

    def as_json(self) -> dict[str, str | int]:
        """Return {"illuminant", "observer_deg", "geometry"}."""
        return {"illuminant": self.illuminant, "observer_deg": self.observer,
                "geometry": self.geometry}  # fmt: skip


def viewing_of(
    *, illuminant: str = "D65", observer: str | int = 2, geometry: str = "45/0"
) -> Viewing:
    """Return the viewing that a person wrote: "d65", "10 deg", "SCI", "d/8" are understood.

    Raises
    ------
    Refusal
        For what is not known; a sphere with the gloss trapped (SCE) is neither of the two.
    """
    light = next((k for k in ILLUMINANTS if k.lower() == illuminant.strip().lower()), illuminant)
    field = str(observer).strip().lower().removesuffix("degrees").removesuffix("deg").strip()
    way = " ".join(geometry.strip().lower().split())
    if way in ("sce", "8/d sce", "d/8 sce", "d/8 gloss excluded", "8/d gloss excluded"):
        raise Refusal("geometry", "a sphere with a gloss trap (SCE) is not modelled",
                      "read with gloss included (8/d), or with a 45/0 instrument")  # fmt: skip
    return Viewing(
        light,
        int(field) if field.isdigit() else -1,
        _SAID_GEOMETRY.get(way, geometry),
    )


@cache
def weights(illuminant: str, observer: int) -> Array:
    """Return what turns a reflectance into XYZ, shape (81, 3), Y = 100 for a perfect white."""
    columns = tuple(f"{axis}_{observer}" for axis in "xyz")
    seen = _columns("cie_observers", columns) * power(illuminant)[:, None]
    out: Array = 100.0 * seen / seen[:, 1].sum()
    out.flags.writeable = False
    return out


@cache
def white(illuminant: str, observer: int) -> Array:
    """Return XYZ of a perfect white, shape (3,), by the same sum over wavelengths."""
    out: Array = weights(illuminant, observer).sum(axis=0)
    out.flags.writeable = False
    return out


def power(illuminant: str) -> Array:
    """Return the relative power of an illuminant, shape (81,)."""
    return _columns("cie_illuminants", (ILLUMINANTS[illuminant],))[:, 0]


@cache
def _columns(name: str, columns: tuple[str, ...]) -> Array:
    rows = table(name)
    out = np.array([[rows[f"{w:.0f}"].number(c) for c in columns] for w in WAVELENGTHS])
    out.flags.writeable = False
    return out
