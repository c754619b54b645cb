"""The film: what lands, soaks in and stays, what sanding takes, on flats and edges; sheen.

Work in mass, not in wet film: the dry film is the grams of resin per m2 over its density.
"""

from lacwright.film.abrasive import find_abrasive, median_um
from lacwright.film.build import run_schedule
from lacwright.film.defaults import (
    EdgeFigures,
    absorption,
    default_rules,
    edge_figures,
    unevenness,
)
from lacwright.film.hand import (
    WEIGHED_FILM_FORMULA,
    calibrate,
    next_coat_ln_sd,
    weighed_film_um,
)
from lacwright.film.landing import (
    ADDED_FORMULA,
    LANDED_FORMULA,
    NET_FORMULA,
    SOAKED_FORMULA,
    STRENGTH_FORMULA,
    USED_FORMULA,
    added_um,
    landed_ml_m2,
    reference_g_per_l,
    soaked_ml_m2,
    strength,
    used_ml_m2,
)
from lacwright.film.layers import Ground, Laid, Layer, Refused, Rules, Run, StepFilm
from lacwright.film.needed import coats_needed
from lacwright.film.release import Release
from lacwright.film.removal import (
    NEED_FORMULA,
    STROKES_FORMULA,
    THROUGH_FORMULA,
    level_um,
    need_um,
    scratch_um,
    strokes_um,
    through_share,
    wear_mm3_nm,
)
from lacwright.film.sheen import (
    Sheen,
    ceiling_gu,
    classes,
    find_last_step,
    fresnel,
    gu60_of_roughness,
    last_steps_for,
    sheen_after,
    wished_band,
)
from lacwright.film.spread import (
    DRY_FORMULA,
    SPREAD_FORMULA,
    UM_PER_MIL,
    dry_um,
    m2_per_l,
    practical,
    rate_from_spread,
    sqft_per_gal,
    wet_um,
)
from lacwright.film.steps import (
    Abrade,
    Clean,
    Coat,
    MixLike,
    Rest,
    Schedule,
    ZoneLike,
)

__all__ = [
    # the course and its grounds
    "Coat", "Abrade", "Rest", "Clean", "Schedule", "MixLike", "ZoneLike",
    "Ground", "Rules", "run_schedule", "coats_needed",
    "Run", "StepFilm", "Layer", "Laid", "Refused", "Release",
    # figures where none are given
    "EdgeFigures", "edge_figures", "default_rules", "absorption", "unevenness",
    "find_abrasive", "median_um",
    # one coat
    "landed_ml_m2", "used_ml_m2", "reference_g_per_l", "strength", "soaked_ml_m2", "added_um",
    "LANDED_FORMULA", "USED_FORMULA", "STRENGTH_FORMULA", "SOAKED_FORMULA", "ADDED_FORMULA",
    "NET_FORMULA",
    # sanding and rubbing
    "level_um", "scratch_um", "need_um", "strokes_um", "wear_mm3_nm", "through_share",
    "NEED_FORMULA", "STROKES_FORMULA", "THROUGH_FORMULA",
    # the hand
    "calibrate", "next_coat_ln_sd", "weighed_film_um", "WEIGHED_FILM_FORMULA",
    # spreading rates
    "m2_per_l", "sqft_per_gal", "practical", "dry_um", "wet_um", "rate_from_spread",
    "DRY_FORMULA", "SPREAD_FORMULA", "UM_PER_MIL",
    # sheen
    "Sheen", "sheen_after", "find_last_step", "last_steps_for", "wished_band", "fresnel",
    "ceiling_gu", "classes", "gu60_of_roughness",
]  # fmt: skip
