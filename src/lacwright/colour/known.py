"""What is known of grades and woods before panels are read, by the names of own figures."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np

from lacwright.colour.accuracy import CAMERA
from lacwright.colour.constants import constant as usual
from lacwright.colour.evidence import (
    BAND,
    HAZE,
    LEVEL,
    OF_GRADE,
    OF_WOOD,
    SKIN,
    SLOPE,
    WETTING,
    Array,
    State,
    name_of,
)
from lacwright.colour.grade import GradeColour
from lacwright.colour.panels import Panel, constant
from lacwright.colour.wood import PANELS, Bare

BOUNDS = {LEVEL: (-16.0, 0.0), SLOPE: (-6.0, 0.5), BAND: (0.0, 0.1), HAZE: (-16.0, 0.0),
          WETTING: (usual("wetting.least"), 1.0), SKIN: (0.0, 0.09)}  # fmt: skip
"""Where a constant is looked for; outside, no lac and no wood lies."""


def known(grades: Iterable[GradeColour], bares: Iterable[Bare]) -> State:
    """Return what is known of grades and woods before their panels are read.

    Of a name of a table the weak priors of the calibration hold: lots of one name differ more
    than the table's spread where that is less. What already rests on own panels keeps its
    covariance.
    """
    names: list[str] = []
    mids: list[Array] = []
    blocks: list[Array] = []
    for grade in grades:
        mid, cov = prior_of_grade(grade)
        names += names_of_grade(grade)
        mids, blocks = [*mids, mid], [*blocks, cov]
    for bare in bares:
        mid, cov = prior_of_wood(bare)
        names += names_of_wood(bare)
        mids, blocks = [*mids, mid], [*blocks, cov]
    return State(tuple(names), np.concatenate(mids), _diagonal(blocks))


def names_of_grade(grade: GradeColour) -> list[str]:
    """Return the names of a grade's constants: haze among them where it has wax."""
    more = (HAZE,) if grade.haze_per_g_m2 > 0 else ()
    return [name_of(grade.name, c) for c in (*OF_GRADE, *more)]


def names_of_wood(bare: Bare) -> list[str]:
    """Return the names of a wood's constants."""
    return [name_of(wood_key(bare.name), c) for c in OF_WOOD]


def wood_key(name: str) -> str:
    """Return a wood as own figures name it: "hard-maple"."""
    return name.replace(" ", "-")


def prior_of_grade(grade: GradeColour) -> tuple[Array, Array]:
    """Return middle and covariance of a grade's constants before the panels."""
    mid, cov = np.array(grade.params, dtype=float), np.array(grade.cov, dtype=float)
    if grade.basis not in (PANELS, CAMERA):
        weak = [constant("prior_level"), constant("prior_slope"),
                constant("prior_band") * math.exp(mid[0])]  # fmt: skip
        cov = _widened(cov, np.array(weak))
    if grade.haze_per_g_m2 > 0:
        mid = np.append(mid, math.log(grade.haze_per_g_m2))
        cov = _diagonal([cov, np.array([[grade.haze_ln_sd**2]])])
    return mid, cov


def prior_of_wood(bare: Bare) -> tuple[Array, Array]:
    """Return middle and covariance of a wood's wetting and skin before the panels."""
    mid = np.array([bare.wetting[0], bare.k1b[0]])
    own = np.array([bare.wetting[1], bare.k1b[1]])
    if bare.basis != PANELS:
        own = np.maximum(own, [constant("prior_wetting"), constant("prior_skin")])
    return mid, np.diag(own**2)


def grades_of(panels: Sequence[Panel]) -> tuple[str, ...]:
    """Return the grades that lie on some panels."""
    return tuple(dict.fromkeys(g for panel in panels for g in panel.grades))


def woods_of(panels: Sequence[Panel]) -> tuple[str, ...]:
    """Return the woods of some panels."""
    return tuple(dict.fromkeys(panel.wood for panel in panels))


def _widened(cov: Array, least: Array) -> Array:
    """Return a covariance with no spread below some, its correlations kept."""
    sd = np.sqrt(np.diag(cov))
    wide = np.maximum(sd, least)
    ratio = np.divide(wide, sd, out=np.ones_like(sd), where=sd > 0)
    out = cov * np.outer(ratio, ratio)
    np.fill_diagonal(out, wide**2)
    return np.asarray(out)


def _diagonal(blocks: Sequence[Array]) -> Array:
    n = sum(len(block) for block in blocks)
    out = np.zeros((n, n))
    at = 0
    for block in blocks:
        out[at : at + len(block), at : at + len(block)] = block
        at += len(block)
    return out
