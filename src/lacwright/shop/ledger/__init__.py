"""The arithmetic of the record: what moves where, exact to the microgram, without a database.

A movement says what a person observed as a list of *moves*. `derive` turns moves and what stands
in the places before them into *lines* (place, lot, micrograms; every event sums to zero per lot)
and *edges* (from which place something went to which). It is a pure function of the history in
time, so that the order in which things were typed does not matter.
"""

from lacwright.shop.ledger.derive import Derived, Facts, LotFacts, derive
from lacwright.shop.ledger.moves import (
    AIR,
    ALL,
    NOT_SAID,
    SUPPLIER,
    UNACCOUNTED,
    WASTE,
    Amount,
    Move,
    clear,
    come,
    dry,
    found,
    grams,
    lay,
    lots_of,
    millilitres,
    places_of,
    take,
    units,
)
from lacwright.shop.ledger.split import split

__all__ = [
    "Move", "Amount", "grams", "millilitres", "units", "ALL",
    "come", "take", "dry", "found", "lay", "clear", "places_of", "lots_of",
    "SUPPLIER", "AIR", "WASTE", "UNACCOUNTED", "NOT_SAID",
    "Facts", "LotFacts", "Derived", "derive", "split",
]  # fmt: skip
