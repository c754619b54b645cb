"""Colour: what a wood looks like under a film of lac, and how far that can be trusted.

Every Lab goes with its `Viewing`. A film of no load is the sealed wood; `bare_lab` is the bare one.
Beside what is foretold: a recipe for a wished colour, coats still to go, own figures from panels,
and a photograph of the maker's own board.
"""

from lacwright.colour.accuracy import CAMERA, Claim, cautions_of, claim_of
from lacwright.colour.calibrate import Calibration, calibrate
from lacwright.colour.card import CardFit, fit_card, read_patches, reference_card
from lacwright.colour.choose import MOST_GRADES, Choice, Recipe, choose
from lacwright.colour.cie import (
    GEOMETRIES,
    ILLUMINANTS,
    OBSERVERS,
    WAVELENGTHS,
    Viewing,
    viewing_of,
)
from lacwright.colour.coats_to_go import (
    CLEAR_FACTOR,
    MOST_COATS,
    SCALES,
    LastCoat,
    Reading,
    ToGo,
    coats_to_go,
    luminance,
    reading_of,
)
from lacwright.colour.correction import Correction, brought_to
from lacwright.colour.evidence import Evidence, is_skin, read_evidence
from lacwright.colour.fit import Hit
from lacwright.colour.grade import (
    BY_MASS,
    BY_VOLUME,
    NAME,
    GradeColour,
    absorption_of,
    find_grade_colour,
    grade_of_gardner,
    grade_of_panels,
    tube_absorbance,
)
from lacwright.colour.hand import (
    alone,
    bare_for,
    check_own,
    figures_of,
    grade_for,
    learned_figures,
    own_bare,
    own_grades,
    skinless,
    usual_figure,
)
from lacwright.colour.known import wood_key
from lacwright.colour.laid import Laid, amounts
from lacwright.colour.look import Look, Step, bare_lab, lab_draws, lab_under, look, steps
from lacwright.colour.optics import film_over, haze_over, internal_reflectance, shellac_index
from lacwright.colour.panels import Band, Lab, Panel
from lacwright.colour.panels import check as check_panels
from lacwright.colour.photo import (
    PHOTO,
    Palette,
    Pixels,
    Prepared,
    band_edges,
    bare_table,
    film_table,
    lab_of_light,
    paint,
    paint_bands,
    palette_of,
    polygon,
    prepare,
)
from lacwright.colour.screen import code_of_light, light_of_code
from lacwright.colour.spaces import (
    chroma,
    de00,
    hex_of_lab,
    hue_deg,
    lab_of_reflectance,
    lab_of_srgb,
    lab_of_xyz,
    srgb_of_lab,
    xyz_of_lab,
)
from lacwright.colour.wish import Wish, wish_of_lab, wish_of_word, wish_words
from lacwright.colour.wood import (
    BOARD,
    PANELS,
    SPECIES,
    Bare,
    find_bare,
    inside_film,
    measured_bare,
    recover,
    with_panels,
)
from lacwright.colour.words import colour_words, difference_words

__all__ = [
    "look", "Look", "steps", "Step", "lab_under", "bare_lab", "lab_draws",
    "Claim", "claim_of", "cautions_of", "colour_words", "difference_words",
    "Bare", "find_bare", "measured_bare", "with_panels", "recover", "inside_film",
    "SPECIES", "BOARD", "PANELS", "CAMERA", "NAME",
    "GradeColour", "find_grade_colour", "grade_of_gardner", "grade_of_panels", "absorption_of",
    "tube_absorbance", "BY_MASS", "BY_VOLUME",
    "choose", "Choice", "Recipe", "MOST_GRADES", "Wish", "wish_of_lab", "wish_of_word",
    "wish_words",
    "coats_to_go", "ToGo", "LastCoat", "Reading", "luminance", "reading_of", "SCALES",
    "MOST_COATS", "CLEAR_FACTOR", "Laid", "amounts",
    "calibrate", "Calibration", "Panel", "Band", "Lab", "check_panels", "Hit", "Evidence",
    "read_evidence", "is_skin", "wood_key",
    "bare_for", "grade_for", "own_bare", "own_grades", "skinless", "check_own", "usual_figure",
    "learned_figures", "figures_of", "alone",
    "PHOTO", "Palette", "Pixels", "Prepared", "palette_of", "polygon", "prepare", "bare_table",
    "film_table", "paint", "paint_bands", "band_edges", "lab_of_light",
    "CardFit", "fit_card", "read_patches", "reference_card", "Correction", "brought_to",
    "light_of_code", "code_of_light",
    "Viewing", "viewing_of", "WAVELENGTHS", "ILLUMINANTS", "OBSERVERS", "GEOMETRIES",
    "lab_of_reflectance", "lab_of_xyz", "xyz_of_lab", "srgb_of_lab", "lab_of_srgb", "hex_of_lab",
    "de00", "hue_deg", "chroma",
    "film_over", "haze_over", "internal_reflectance", "shellac_index",
]  # fmt: skip
