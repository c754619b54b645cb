"""Moves: what a movement does to the places, in the words of the ledger, as plain data.

A move is a JSON object, since it lies in the record as it was observed. Amounts are whole numbers
of micrograms ("ug"), microlitres ("ul") or millionths of a piece ("up", for what is counted).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from lacwright.figures import Refusal

Move = Mapping[str, Any]
Amount = Mapping[str, Any]

SUPPLIER, AIR, WASTE, UNACCOUNTED = "supplier", "air", "waste", "unaccounted"
"""Places outside the shop; they are never empty and nothing in them is asked for."""

OUTSIDE = frozenset((SUPPLIER, AIR, WASTE, UNACCOUNTED))

NOT_SAID = "not-said"
"""The lot of which nothing is known."""

ALL: Amount = {"u": "all"}

MOST = 10**15
"""A thousand kilograms: more than any bench moves at once."""


def grams(value: float) -> Amount:
    """Return an amount of so many grams, to the microgram."""
    return _amount("ug", value, 1e6)


def millilitres(value: float) -> Amount:
    """Return an amount of so many millilitres, to the microlitre."""
    return _amount("ul", value, 1e3)


def units(value: float) -> Amount:
    """Return an amount of so many pieces (sheets, pads)."""
    return _amount("up", value, 1e6)


def come(*, lot: str, to: str, amount: Amount | None) -> Move:
    """A lot comes from outside: bought, or stock that was there; None = amount not said."""
    return {"op": "come", "lot": lot, "to": to, "amount": amount}


def take(*, source: str, to: str, amount: Amount | None) -> Move:
    """Something goes from a place to another, of every lot in proportion; None = not said."""
    return {"op": "take", "from": source, "to": to, "amount": amount}


def dry(*, source: str, amount: Amount) -> Move:
    """Solvent leaves a place into the air."""
    return {"op": "dry", "from": source, "amount": amount}


def found(*, place: str, amount: Amount, gone: str) -> Move:
    """A place was weighed: what is missing went into AIR (solvent alone), WASTE or UNACCOUNTED.

    What is more than the book holds comes from UNACCOUNTED.
    """
    return {"op": "found", "from": place, "amount": amount, "gone": gone}


def lay(
    *, source: str, through: str | None, on: str, amount: Amount | None,
    left_ug: int | None = None, lost_ppm: int = 0,
) -> Move:  # fmt: skip
    """A coat: from a jar, through a pad or brush if it is named, onto a piece; solvent into air.

    Parameters
    ----------
    source, through, on : str
        Places.
    amount : Amount or None
        Mix that left the jar; None = not said.
    left_ug : int, optional
        Dry resin (and dye) that was weighed in the pad or brush afterwards.
    lost_ppm : int
        Else the millionths of what was taken that do not reach the work. They stay in the pad or
        brush where it is named, else they are waste.
    """
    return {"op": "lay", "from": source, "through": through, "on": on, "amount": amount,
            "left_ug": left_ug, "lost_ppm": lost_ppm}  # fmt: skip


def clear(*, place: str) -> Move:
    """A place is emptied and washed, or stripped: all to waste, and nothing carries over."""
    return {"op": "clear", "from": place}


def places_of(moves: Iterable[Move]) -> Iterator[str]:
    """Yield the places that moves name."""
    for move in moves:
        for word in ("from", "through", "to", "on"):
            if move.get(word):
                yield move[word]


def lots_of(moves: Iterable[Move]) -> Iterator[str]:
    """Yield the lots that moves name."""
    for move in moves:
        if "lot" in move:
            yield move["lot"]


def _amount(unit: str, value: float, per: float) -> Amount:
    number = round(value * per)
    if not 0 <= number <= MOST:
        raise Refusal("amount", f"{value:g} is not an amount anybody handles",
                      "check the number and its unit")  # fmt: skip
    return {"n": number, "u": unit}
