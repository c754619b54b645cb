"""Resin in alcohol, held as masses: making, thinning, correcting, blending, matching, ageing.

Everything works on `Mix`: grams of resin by lot, grams of each alcohol, grams of dye. Cut, volumes
and solids are derived from it. Functions take floats or arrays.
"""

from lacwright.solution.ageing import Age, DatedTest, Period, age, ageing_factor, equivalent_days
from lacwright.solution.alcohol import (
    NOT_STATED,
    UNKNOWN_LOT,
    Alcohol,
    alcohol_named,
    read_alcohol,
    suits,
)
from lacwright.solution.cautions import caution, cautions_of
from lacwright.solution.density import (
    blend_density,
    ethanol_share_of_strength,
    ethanol_water_density,
    substance_density,
)
from lacwright.solution.extras import (
    PasteWax,
    cut_by_rule,
    explain_chart,
    parts_to_thin,
    paste_wax,
    slow,
)
from lacwright.solution.jars import (
    blend,
    blend_to,
    cut_of_residue,
    decanted,
    evaporated,
    give_back,
    pour_to_cut,
)
from lacwright.solution.making import (
    Change,
    adjust,
    correct,
    dissolve,
    make,
    planned_coats_equivalent,
    strengthen,
    thin,
)
from lacwright.solution.match import (
    Match,
    Short,
    Source,
    Use,
    exact_volume_ml,
    match_recipe,
)
from lacwright.solution.match_lines import differs, resin_shares
from lacwright.solution.mix import Mix, dye_density_g_ml
from lacwright.solution.ready import ready_after_h, slowest_ready
from lacwright.solution.recipe import Recipe, Written, read_recipe
from lacwright.solution.resin import (
    Resin,
    ageing_class,
    default_resin_density,
    read_grade,
    resin_named,
)
from lacwright.solution.shown import MIX_KEYS, Answer, answer, bands, mix_values

__all__ = [
    "Resin", "resin_named", "read_grade", "ageing_class", "default_resin_density",
    "Alcohol", "NOT_STATED", "UNKNOWN_LOT", "alcohol_named", "read_alcohol", "suits",
    "Mix", "dye_density_g_ml", "Recipe", "Written", "read_recipe",
    "Change", "make", "dissolve", "thin", "strengthen", "adjust", "correct",
    "planned_coats_equivalent",
    "blend", "blend_to", "pour_to_cut", "evaporated", "give_back", "cut_of_residue", "decanted",
    "slow", "PasteWax", "paste_wax", "cut_by_rule", "parts_to_thin", "explain_chart",
    "Source", "Use", "Short", "Match", "match_recipe", "exact_volume_ml", "differs",
    "resin_shares",
    "ready_after_h", "slowest_ready",
    "Age", "Period", "DatedTest", "age", "ageing_factor", "equivalent_days",
    "caution", "cautions_of",
    "Answer", "answer", "bands", "mix_values", "MIX_KEYS",
    "ethanol_water_density", "ethanol_share_of_strength", "substance_density", "blend_density",
]  # fmt: skip
