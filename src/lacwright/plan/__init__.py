"""From a piece, a wish and a shelf to a finishing plan; and the answer for tonight."""

from lacwright.plan.amounts import Amount
from lacwright.plan.build import CoatLine, Plan, make_plan
from lacwright.plan.lac_left import GradeLeft, LacLeft, lac_left
from lacwright.plan.piece import (
    ClassSpec,
    Exercise,
    HoursLine,
    Lot,
    MaterialLine,
    MixSpec,
    Own,
    Piece,
    QuoteSpec,
    Shop,
    Step,
    Wish,
)
from lacwright.plan.room_spec import EMISSIONS, RoomSpec
from lacwright.plan.tonight import CoatTime, Offer, Tonight, tonight
from lacwright.plan.vapour import Vapour

__all__ = [
    "Amount",
    "ClassSpec",
    "CoatLine",
    "CoatTime",
    "Exercise",
    "GradeLeft",
    "HoursLine",
    "LacLeft",
    "Lot",
    "MaterialLine",
    "MixSpec",
    "Offer",
    "Own",
    "Piece",
    "Plan",
    "QuoteSpec",
    "Shop",
    "Step",
    "Tonight",
    "Wish",
    "EMISSIONS",
    "RoomSpec",
    "Vapour",
    "lac_left",
    "make_plan",
    "tonight",
]
