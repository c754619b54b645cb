"""Numbers as they may be shown, and quantities as people write them.

Figure carries value, band, unit, basis, mark, source and working; Learned a constant with its
history; Draws named random factors; Refusal the one way to say no.
"""

from lacwright.figures.caution import Caution, Stop
from lacwright.figures.figure import Figure, computed, default, exact, given, unknown
from lacwright.figures.learned import Hand, Learned, Seen
from lacwright.figures.marks import Basis, Mark, weakest
from lacwright.figures.num import Num, central, plain
from lacwright.figures.refusal import Refusal, Refusals, nearest
from lacwright.figures.working import Working, evaluate_formula

__all__ = [
    "Basis",
    "Caution",
    "Figure",
    "Hand",
    "Learned",
    "Mark",
    "Num",
    "Refusal",
    "Refusals",
    "Seen",
    "Stop",
    "Working",
    "central",
    "computed",
    "default",
    "evaluate_formula",
    "exact",
    "given",
    "nearest",
    "plain",
    "unknown",
    "weakest",
]
