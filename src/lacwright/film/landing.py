"""One coat: what lands, what the wood takes, what stays as film.

The absorption law counts what has landed so far, so one law serves a brush that lays 95 ml/m2 at
once and a pad that lays 6 ml/m2 a pass, and halving a coat changes nothing. What seals wood is
the resin it has taken, not the alcohol: everything is therefore counted as a mix of a reference
cut, and a coat of another cut counts by its resin (`strength`). A washcoat of a 1/2-lb cut has
about 0.29 of the resin of a 2-lb cut and uses up the wood's capacity only so far.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from lacwright.figures import Num, Refusal, plain
from lacwright.figures.units import G_PER_L_PER_CUT

# The same equations as formulas, for a working that anybody can evaluate again.
LANDED_FORMULA = "load_ml_m2 * (1 - lost_share)"
USED_FORMULA = "landed_ml_m2 / (1 - lost_share)"
STRENGTH_FORMULA = (
    "resin_g_per_l * (1 / (reference_cut * lb_per_gal) + 1 / (1000 * resin_density_g_ml))"
)
SOAKED_FORMULA = (
    "0 if capacity_ml_m2 <= 0 else capacity_ml_m2 / strength"
    " * (exp(-start_share * before_ml_m2 / capacity_ml_m2)"
    " - exp(-start_share * (before_ml_m2 + landed_ml_m2 * strength) / capacity_ml_m2))"
)
ADDED_FORMULA = "(landed_ml_m2 - soaked_ml_m2) * resin_g_per_l / 1000 / resin_density_g_ml"
NET_FORMULA = "net_g_m2 / resin_density_g_ml"


def landed_ml_m2(*, load_ml_m2: Num, lost_share: Num) -> Num:
    """What reaches the work.

    Parameters
    ----------
    load_ml_m2 : Num
        What leaves the jar for each m2 [ml/m2].
    lost_share : Num
        Share of it that never lands [0 to below 1].

    Returns
    -------
    Num
        [ml/m2], which is also the wet film in um.

    Examples
    --------
    >>> round(landed_ml_m2(load_ml_m2=95.0, lost_share=0.05), 2)
    90.25
    """
    return load_ml_m2 * (1 - lost_share)


def used_ml_m2(*, landed_ml_m2: Num, lost_share: Num) -> Num:
    """What must leave the jar for so much to land [ml/m2]; the inverse of `landed_ml_m2`."""
    return landed_ml_m2 / (1 - lost_share)


def reference_g_per_l(*, reference_cut_lb_per_gal: Num, resin_density_g_ml: Num) -> Num:
    """Resin in a litre of the reference mix, volumes added [g/L].

    Parameters
    ----------
    reference_cut_lb_per_gal : Num
        Pounds of flakes per US gallon of alcohol [lb/gal], above 0.
    resin_density_g_ml : Num
        [g/mL].

    Examples
    --------
    >>> round(reference_g_per_l(reference_cut_lb_per_gal=2.0, resin_density_g_ml=1.10), 1)
    196.8
    """
    per_l_alcohol = reference_cut_lb_per_gal * G_PER_L_PER_CUT
    return per_l_alcohol / (1 + per_l_alcohol / (1000 * resin_density_g_ml))


def strength(*, resin_g_per_l: Num, reference_cut_lb_per_gal: Num, resin_density_g_ml: Num) -> Num:
    """Resin of a mix as a multiple of the reference mix's [1]; 1 for the reference cut.

    Raises
    ------
    Refusal
        For a mix without resin: it leaves no film.
    """
    if np.any(np.asarray(resin_g_per_l) <= 0):
        raise Refusal("mix", "a coat without resin leaves no film", "give its cut or its flakes")
    return resin_g_per_l / reference_g_per_l(
        reference_cut_lb_per_gal=reference_cut_lb_per_gal, resin_density_g_ml=resin_density_g_ml
    )


def soaked_ml_m2(
    *, before_ml_m2: Num, landed_ml_m2: Num, capacity_ml_m2: Num, start_share: Num,
    strength: Num = 1.0,
) -> Num:  # fmt: skip
    """What the wood takes of a coat.

    Parameters
    ----------
    before_ml_m2 : Num
        What has landed before, counted as the reference mix [ml/m2].
    landed_ml_m2 : Num
        What lands now, of this mix [ml/m2].
    capacity_ml_m2 : Num
        What the wood can take of the reference mix [ml/m2], 0 or more; 0 is sealed.
    start_share : Num
        Share of the first drop that soaks in [above 0 to 1].
    strength : Num
        See `strength`; 1 for the reference mix.

    Returns
    -------
    Num
        Of this mix [ml/m2]: a(V + v) - a(V) with a(V) = C (1 - exp(-s V / C)).

    Raises
    ------
    Refusal
        Outside these ranges: above a share of 1 the wood would take more than lands.

    Examples
    --------
    >>> round(soaked_ml_m2(before_ml_m2=0.0, landed_ml_m2=90.25, capacity_ml_m2=25.0,
    ...                    start_share=0.7), 2)
    23.0
    """
    share = np.asarray(start_share)
    if np.any(np.asarray(capacity_ml_m2) < 0):
        raise Refusal("absorption", "a capacity below zero", "give ml/m2, 0 for sealed wood")
    if np.any(share < 0) or np.any(share > 1):
        raise Refusal("absorption", "the share that soaks in at first must lie from 0 to 1",
                      "write e.g. 0.7")  # fmt: skip
    open_ = np.asarray(capacity_ml_m2) > 1e-9  # below that it is sealed
    capacity: Any = np.where(open_, capacity_ml_m2, 1.0)
    taken = (
        capacity / strength
        * np.exp(-start_share * before_ml_m2 / capacity)
        * -np.expm1(-start_share * landed_ml_m2 * strength / capacity)
    )  # fmt: skip
    return plain(np.where(open_, taken, 0.0))


def added_um(
    *, landed_ml_m2: Num, soaked_ml_m2: Num, resin_g_per_l: Num, resin_density_g_ml: Num
) -> Num:
    """Dry film that a coat adds on a flat [um]: grams per m2 over grams per ml.

    Examples
    --------
    >>> round(added_um(landed_ml_m2=90.25, soaked_ml_m2=23.0, resin_g_per_l=196.8,
    ...                resin_density_g_ml=1.10), 1)
    12.0
    """
    return (landed_ml_m2 - soaked_ml_m2) * resin_g_per_l / 1000 / resin_density_g_ml
