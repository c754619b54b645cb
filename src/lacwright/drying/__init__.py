"""The drying coat: chill, haze, readiness, what it gives to the room.

The compiled model stands in `kernel`, imported only where a coat is computed; `compiled` says
without it whether a compile is due, `compile_now` does it with a word before it begins.
"""

from lacwright.drying.calibrate import (
    Bound,
    Calibration,
    Event,
    TimedCoat,
    Tolerance,
    bound_of,
    calibrate,
    learn_tolerance,
    observed,
    tolerance_of,
)
from lacwright.drying.changes import Change
from lacwright.drying.coat import Board, Under, WetCoat
from lacwright.drying.compiling import FIRST_TIME, cache_folder, compile_now, compiled
from lacwright.drying.dry import (
    CHILL_FORMULA,
    MARGIN_FORMULA,
    MARGINAL,
    NO_STOP,
    WHITENS,
    Course,
    Drying,
    dry,
    verdict,
)
from lacwright.drying.gate import Judged, Rooms, Rule, judge
from lacwright.drying.hand import (
    AIR,
    STEP,
    TOLERANCE,
    UNCALIBRATED,
    State,
    own_constants,
    prior,
    state,
)
from lacwright.drying.hour_table import (
    CHANGE,
    FILM_ONLY,
    GO,
    WAIT,
    CoatHour,
    Hour,
    HourTable,
    Planned,
    hour_table,
)
from lacwright.drying.many import UNTIL, Many, Task, dry_many
from lacwright.drying.paper import Loss, on_paper

__all__ = [
    "WetCoat", "Under", "Board",
    "dry", "Drying", "Course", "verdict", "NO_STOP", "MARGINAL", "WHITENS",
    "dry_many", "Task", "Many", "UNTIL", "on_paper", "Loss",
    "Rooms", "Rule", "judge", "Judged", "Change",
    "hour_table", "HourTable", "Hour", "CoatHour", "Planned", "GO", "WAIT", "CHANGE", "FILM_ONLY",
    "CHILL_FORMULA", "MARGIN_FORMULA",
    "AIR", "STEP", "TOLERANCE", "UNCALIBRATED", "State", "state", "prior", "own_constants",
    "calibrate", "TimedCoat", "Calibration", "learn_tolerance", "Event", "Tolerance",
    "Bound", "bound_of", "tolerance_of", "observed",
    "compiled", "compile_now", "cache_folder", "FIRST_TIME",
]  # fmt: skip
