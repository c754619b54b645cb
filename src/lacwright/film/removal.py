"""What sanding, levelling and rubbing take off, and how likely they go through."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np

from lacwright.figures import Num, Refusal

NEED_FORMULA = "level_share * ridge_um + scratch_share * grains_um + polish_um"
STROKES_FORMULA = "wear_mm3_nm * force_n / (length_mm * width_mm) * path_m * 1000"
THROUGH_FORMULA = (
    "phi((edge_cut * need_um - edge_film * film_um) / (unevenness * edge_film * film_um))"
)


def level_um(*, ridge_um: Num, level_share: Num) -> Num:
    """Mean film lost when ridges are levelled to their valleys [um].

    Parameters
    ----------
    ridge_um : Num
        Peak to valley of brush marks or orange peel [um].
    level_share : Num
        Share of it that the mean film loses [1]; one half for a symmetric wave.
    """
    return ridge_um * level_share


def scratch_um(*, median_um: Num, scratch_share: Num) -> Num:
    """Depth of the scratches that a paper leaves, which the next must take off [um].

    Parameters
    ----------
    median_um : Num
        Median grain of the paper [um].
    scratch_share : Num
        Depth as a share of it [1].
    """
    return median_um * scratch_share


def need_um(
    *, ridge_um: Num, level_share: Num, grains_um: Sequence[float], scratch_share: Num,
    polish_um: Num = 0.0,
) -> Num:  # fmt: skip
    """Film that levelling and rubbing out through a row of papers take from a flat [um].

    Parameters
    ----------
    ridge_um, level_share : Num
        See `level_um`; a ridge of 0 where nothing is levelled.
    grains_um : sequence of float
        Median grains of the papers in order [um]. Every paper but the last is followed by one
        that takes its scratches off; the last one's scratches go with the polish.
    scratch_share : Num
        See `scratch_um`.
    polish_um : Num
        Taken by the polish at the end [um].

    Examples
    --------
    >>> round(need_um(ridge_um=10.0, level_share=0.6, grains_um=(25.8, 15.3, 8.4),
    ...               scratch_share=0.12, polish_um=0.8), 1)
    11.7
    """
    total = level_um(ridge_um=ridge_um, level_share=level_share) + polish_um
    for grain in grains_um[:-1]:
        total = total + scratch_um(median_um=grain, scratch_share=scratch_share)
    return total


def strokes_um(
    *, wear_mm3_nm: Num, force_n: Num, length_mm: Num, width_mm: Num, path_m: Num
) -> Num:
    """Film that strokes of a block take off, h = k p L [um]; for calibration.

    Parameters
    ----------
    wear_mm3_nm : Num
        Specific wear k [mm3/Nm], by paper and wetness. Empirical: the hardness law behind it
        does not hold on sandpaper (B. Persson, R. Xu, arXiv 2412.13129).
    force_n : Num
        Force on the block [N].
    length_mm, width_mm : Num
        The block [mm].
    path_m : Num
        Path of the block over every place [m].

    Examples
    --------
    >>> round(strokes_um(wear_mm3_nm=0.3, force_n=10.0, length_mm=70.0, width_mm=30.0,
    ...                  path_m=0.7), 2)
    1.0
    """
    return wear_mm3_nm * force_n / (length_mm * width_mm) * path_m * 1000


def wear_mm3_nm(
    *, removed_um: Num, force_n: Num, length_mm: Num, width_mm: Num, path_m: Num
) -> Num:
    """Specific wear from a weighed strip, the inverse of `strokes_um` [mm3/Nm]."""
    return removed_um / 1000 / (force_n / (length_mm * width_mm) * path_m)


def through_share(
    *, need_um: Num, film_um: Num, unevenness: Num, edge_film: Num = 1.0, edge_cut: Num = 1.0
) -> Num:
    """Share of a sanded place where the sanding goes through.

    Parameters
    ----------
    need_um : Num
        Taken off a flat [um].
    film_um : Num
        Mean film on the flat [um].
    unevenness : Num
        Spread of the film as a share of its mean [1], above 0.
    edge_film : Num
        Share of the film that lies at the place [1]: 1 on a flat.
    edge_cut : Num
        Times as much that is taken there [1]: 1 on a flat.

    Returns
    -------
    Num
        Phi((r need - e t) / (cv e t)), 0 to 1; 1 where there is no film.
    """
    if np.any(np.asarray(unevenness) <= 0):
        raise Refusal("unevenness", "the spread of a film is above zero", "write e.g. 0.25")
    there: Any = np.asarray(edge_film * film_um, dtype=float)
    taken: Any = np.asarray(edge_cut * need_um, dtype=float)
    some = there > 1e-9  # below that it is rounding dust, and dividing by it would overflow
    share = np.where(
        some, _phi((taken - there) / (unevenness * np.where(some, there, 1.0))), taken > 0
    )
    return float(share) if np.ndim(share) == 0 else share


# numpy has no normal distribution, and scipy would cost more at start than it saves here.
_phi: Any = np.vectorize(lambda x: 0.5 * math.erfc(-x / math.sqrt(2)), otypes=[float])
