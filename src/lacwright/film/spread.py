"""Spreading rate, wet film and dry film: a display and a cross-check of the film by weight."""

from __future__ import annotations

from lacwright.figures import Num, Refusal
from lacwright.figures.units import INCH_MM, SQFT_GAL_AT_1_MIL

UM_PER_MIL = INCH_MM  # a thousandth of an inch in um: the same number as an inch in mm

DRY_FORMULA = "spread_ml_per_m2 * solids_volume_fraction"
SPREAD_FORMULA = "dry_um / solids_volume_fraction"


def m2_per_l(*, solids_volume_fraction: Num, dry_um: Num) -> Num:
    """Area that one litre covers at a dry film, nothing lost [m2/L].

    Parameters
    ----------
    solids_volume_fraction : Num
        Solids by volume [above 0 to 1]; 1 for the wet film itself.
    dry_um : Num
        Dry film [um], above 0.

    Examples
    --------
    >>> m2_per_l(solids_volume_fraction=0.65, dry_um=125)
    5.2
    """
    return 1000 * solids_volume_fraction / dry_um


def sqft_per_gal(*, solids_volume_fraction: Num, dry_mil: Num) -> Num:
    """Square feet that one US gallon covers at a dry film, nothing lost [ft2/gal].

    Parameters
    ----------
    solids_volume_fraction : Num
        Solids by volume [above 0 to 1].
    dry_mil : Num
        Dry film [thousandths of an inch], above 0.

    Examples
    --------
    >>> round(sqft_per_gal(solids_volume_fraction=0.35, dry_mil=1))
    561
    """
    return SQFT_GAL_AT_1_MIL * solids_volume_fraction / dry_mil


def practical(*, rate: Num, lost_share: Num) -> Num:
    """Practical from theoretical spreading rate, in the unit given: rate times what lands."""
    return rate * (1 - lost_share)


def dry_um(*, wet_um: Num, solids_volume_fraction: Num) -> Num:
    """Dry from wet film on a sealed surface [um]."""
    return wet_um * solids_volume_fraction


def wet_um(*, dry_um: Num, solids_volume_fraction: Num) -> Num:
    """Wet film that dries to so much on a sealed surface [um]."""
    return dry_um / solids_volume_fraction


def rate_from_spread(*, spread_ml_per_m2: float) -> tuple[float, float]:
    """Spreading rate of the liquid as (m2 per litre, ft2 per US gallon).

    Raises
    ------
    Refusal
        For a spread of nothing.
    """
    if not spread_ml_per_m2 > 0:
        raise Refusal("spread", "nothing is spread", "write e.g. 75 ml/m2 or 500 sqft/gal")
    return 1000 / spread_ml_per_m2, SQFT_GAL_AT_1_MIL / (spread_ml_per_m2 / UM_PER_MIL)
