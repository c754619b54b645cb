"""Panels in bands as they were read: bare, sealed, so many coats; what of them cannot be."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache

import numpy as np
from numpy.typing import NDArray

from lacwright.colour.cie import Viewing
from lacwright.figures import Refusal, Refusals
from lacwright.trade import table

Lab = tuple[float, float, float]
INSTRUMENT, CAMERA = "instrument", "camera"
READERS = (INSTRUMENT, CAMERA)
FEWEST_FILMS = 2
"""So many bands with a film a panel needs: one cannot tell the wood from the film."""


@dataclass(frozen=True)
class Band:
    """One band of a panel, as it was read.

    Parameters
    ----------
    lab : tuple of float
        L*, a*, b*: the mean of its readings.
    coats : mapping of str to int
        How many of each grade; none for the bare wood.
    loads_g_m2 : mapping of str to float
        Dry shellac of each grade on it, all coats together [g/m2].
    sd : float or None
        Spread of this reading [dE], where it is known better than that of the panel.
    """

    lab: Lab
    coats: Mapping[str, int] = field(default_factory=dict)
    loads_g_m2: Mapping[str, float] = field(default_factory=dict)
    sd: float | None = None

    @property
    def bare(self) -> bool:
        """Whether nothing lies on it."""
        return not any(self.coats.values()) and not any(self.loads_g_m2.values())

    @property
    def words(self) -> str:
        """What is on it: "bare", "4 coats amber"."""
        if self.bare:
            return "bare"
        told = [f"{n} coat{'' if n == 1 else 's'} {grade}" for grade, n in self.coats.items() if n]
        if told:
            return " and ".join(told)
        return " and ".join(f"{g:.3g} g/m2 {grade}" for grade, g in self.loads_g_m2.items() if g)


@dataclass(frozen=True)
class Panel:
    """A board in bands, all read in the same way.

    Parameters
    ----------
    name : str
        What it is called, with its day: "calibrated on" names it.
    wood : str
        A wood of the table.
    bands : tuple of Band
        One of them bare.
    viewing : Viewing
        Illuminant, observer and geometry of the reading.
    reader : str
        "instrument" or "camera".
    sd : float or None
        Spread of the reading of a band [dE]; None for the reader's usual one.
    """

    name: str
    wood: str
    bands: tuple[Band, ...]
    viewing: Viewing = field(default_factory=Viewing)
    reader: str = INSTRUMENT
    sd: float | None = None

    @property
    def bare(self) -> Band:
        """The bare band; `check` has seen to it that there is one."""
        return next(band for band in self.bands if band.bare)

    @property
    def films(self) -> tuple[Band, ...]:
        """The bands with a film."""
        return tuple(band for band in self.bands if not band.bare)

    @property
    def grades(self) -> tuple[str, ...]:
        """The grades that lie on it, in the order in which they come."""
        names = [g for band in self.bands for g, load in band.loads_g_m2.items() if load > 0]
        return tuple(dict.fromkeys(names))

    def spread(self, band: Band) -> float:
        """Return the spread of a reading [dE]."""
        if band.sd is not None:
            return band.sd
        return self.sd if self.sd is not None else constant(f"{self.reader}_de")


@cache
def constant(name: str) -> float:
    """Return a value of the table of colour calibration."""
    return table("colour_calibration")[name].number("value")


def check(panels: Sequence[Panel]) -> None:
    """Refuse panels from which nothing can be learned, and readings that cannot be.

    Parameters
    ----------
    panels : sequence of Panel

    Raises
    ------
    Refusal
        For all of it at once: no panel, no bare band, too few bands, a band with coats and no
        load, a reading out of range, a band that is lighter than one with less on it, panels of
        one wood that were read in different geometries.
    """
    if not panels:
        raise Refusal("panels", "there is none", "write a [[panel]] with its bands")
    wrong = [refusal for panel in panels for refusal in _of_panel(panel)]
    names = [panel.name for panel in panels]
    wrong += [Refusal(name, "two panels are called so", "give each a name or day of its own")
              for name in dict.fromkeys(names) if names.count(name) > 1]  # fmt: skip
    wrong += _mixed(panels)
    if wrong:
        raise Refusals(wrong)


def _of_panel(panel: Panel) -> list[Refusal]:
    wrong: list[Refusal] = []
    where = panel.name
    if panel.reader not in READERS:
        wrong.append(Refusal(where, f"'{panel.reader}' reads no colour",
                             f"use one of: {', '.join(READERS)}"))  # fmt: skip
        return wrong
    spreads = [panel.spread(band) for band in panel.bands]
    if any(not (math.isfinite(sd) and sd > 0) for sd in spreads):
        wrong.append(Refusal(where, "the spread of a reading must be above zero",
                             "leave it out for the usual one"))  # fmt: skip
    bare = [band for band in panel.bands if band.bare]
    if len(bare) != 1:
        what = "no band is bare" if not bare else f"{len(bare)} bands are bare"
        wrong.append(Refusal(where, what, "read one band of the bare wood: all else is held "
                             "against it"))  # fmt: skip
    for band in panel.bands:
        wrong += _of_band(f"{where}, {band.words}", band)
    if wrong:
        return wrong
    loads = {tuple(sorted(band.loads_g_m2.items())) for band in panel.films}
    if len(loads) < FEWEST_FILMS:
        wrong.append(Refusal(where, f"{len(loads)} film tells neither wood nor grade apart",
                             "read the bare wood and at least two bands of different load, "
                             "better sealed, 1, 2, 4, 6, 9 coats"))  # fmt: skip
    return wrong + _rising(panel)


def _of_band(where: str, band: Band) -> list[Refusal]:
    wrong = []
    for letter, value, name in zip("Lab", band.lab, ("lightness", "red", "yellow"), strict=True):
        low, high = constant(f"{name}_low"), constant(f"{name}_high")
        if not low <= value <= high:
            wrong.append(Refusal(where, f"{letter}* {value:g} is no reading of wood or shellac, "
                                 f"which lies within {low:g} to {high:g}",
                                 "look at the reading, or at its calibration tile"))  # fmt: skip
    for grade, coats in band.coats.items():
        if coats and not band.loads_g_m2.get(grade):
            wrong.append(Refusal(where, f"what {grade} lies on it is not said",
                                 "weigh the mix that was used and give the dry load in g/m2: a "
                                 "count of coats tells no film"))  # fmt: skip
    if any(not (math.isfinite(g) and g >= 0) for g in band.loads_g_m2.values()):
        wrong.append(Refusal(where, "a load below zero", "look at the weighing"))
    return wrong


def _rising(panel: Panel) -> list[Refusal]:
    """Refuse a band that is lighter than one with less of every grade on it.

    With the gloss excluded a film can only darken. With it included the sheen of the film is read
    as well, so a dark wood may rise from bare to sealed; between films it may not.
    """
    wrong = []
    sds = constant("rising_sds")
    excluded = panel.viewing.geometry != "8/d"
    for thick in panel.films:
        for thin in panel.bands:
            if thin is thick or (thin.bare and not excluded) or not _under(thin, thick):
                continue
            # One coordinate of three; the difference of two readings.
            noise = math.hypot(panel.spread(thin), panel.spread(thick)) / math.sqrt(3)
            rise = thick.lab[0] - thin.lab[0]
            if rise > sds * noise:
                wrong.append(Refusal(
                    f"{panel.name}, {thick.words}",
                    f"it reads {rise:.1f} L* lighter than {thin.words}, and a film only darkens",
                    "look for gloss in the reading, for two bands that changed places, or a "
                    "lighter place of the board"))  # fmt: skip
                break
    return wrong


def _under(thin: Band, thick: Band) -> bool:
    """Return whether one band has less on it than another, of no grade more."""
    grades = {*thin.loads_g_m2, *thick.loads_g_m2}
    pairs = [(thin.loads_g_m2.get(g, 0.0), thick.loads_g_m2.get(g, 0.0)) for g in grades]
    return all(a <= b for a, b in pairs) and any(a < b for a, b in pairs)


def _mixed(panels: Sequence[Panel]) -> list[Refusal]:
    """Refuse panels of a wood in different geometries: its skin would be two different numbers.

    Another illuminant or observer does no harm: every panel is predicted as it was read.
    """
    first: dict[str, Panel] = {}
    wrong = []
    for panel in panels:
        other = first.setdefault(panel.wood, panel)
        if other.viewing.geometry != panel.viewing.geometry:
            wrong.append(Refusal(
                panel.name, f"it was read {panel.viewing.geometry} and {other.name} "
                f"{other.viewing.geometry}: nothing converts one into the other",
                "read all panels of a wood alike, or calibrate them apart"))  # fmt: skip
    return wrong


def lab_of(bands: Sequence[Band]) -> NDArray[np.float64]:
    """Return the readings of bands, shape (n, 3)."""
    return np.array([band.lab for band in bands], dtype=float).reshape(len(bands), 3)
