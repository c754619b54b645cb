"""The air in the room: vapour over time, limits, stops; never an assurance.

`estimate` answers with one object that holds numbers, stops and cautions together.
"""

from lacwright.room.balance import (
    air_needed_m3_h,
    average_ppm,
    build_up_h,
    built_up_ppm,
    g_m3_of,
    le_chatelier,
    mixture_index,
    molar_volume_l,
    ppm_of,
    purge_h,
    steady_g_m3,
)
from lacwright.room.changes import Change, smallest_changes
from lacwright.room.course import NEAR, ROOM, ZONES
from lacwright.room.estimate import Curve, Estimate, estimate
from lacwright.room.job import (
    OTHER,
    SLOW,
    UNKNOWN,
    Facts,
    Near,
    Room,
    Source,
    counts_as,
    solvents_g,
)
from lacwright.room.labels import COPIED, Label, hazard_lines, label_of, methanol_words
from lacwright.room.limits import Limit, Limited, lel_of, limits_of, own_limit
from lacwright.room.needed import AirNeeded
from lacwright.room.response import Curve as EmissionCurve
from lacwright.room.response import Emission, FirstOrder, Instant, Laid

__all__ = [
    "estimate", "Estimate", "Curve", "Room", "Near", "Source", "Facts", "solvents_g", "counts_as",
    "UNKNOWN", "SLOW", "OTHER", "ROOM", "NEAR", "ZONES",
    "Emission", "Instant", "FirstOrder", "EmissionCurve", "Laid",
    "Limit", "Limited", "limits_of", "own_limit", "lel_of",
    "AirNeeded", "Change", "smallest_changes", "hazard_lines", "methanol_words",
    "Label", "label_of", "COPIED",
    "ppm_of", "g_m3_of", "molar_volume_l", "air_needed_m3_h", "steady_g_m3", "build_up_h",
    "built_up_ppm", "purge_h", "average_ppm", "mixture_index", "le_chatelier",
]  # fmt: skip
