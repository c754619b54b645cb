"""Amounts that look like a slip of the unit: far more than a jar takes, than the book had in it.

They are written down as they were said, and asked back: a large shop may well mean them.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from lacwright.figures.spoken import trimmed
from lacwright.shop.amounts import amount_words
from lacwright.shop.ledger import Amount
from lacwright.trade import table

ASK = "was ml meant for l, or g for kg?"
SLIGHT_G = 0.05
"""Less than this no bench scale shows: so much is nothing."""


def large(amounts: Iterable[Amount | None]) -> list[str]:
    """Return what to ask back of amounts that no jar takes at once."""
    most_l = table("solution")["amount_odd_l"].number("value")
    out = []
    for amount in amounts:
        if amount is not None and amount["u"] in ("ul", "ug") and amount["n"] > most_l * 1e9 / (
            1e3 if amount["u"] == "ul" else 1
        ):  # fmt: skip
            out.append(f"{amount_words(amount)} is more than a jar takes at once: {ASK}")
    return out


def beyond_the_book(moved_g: float, lacking_g: float, of: str) -> list[str]:
    """Return what to ask back where many times what the book had was taken.

    Parameters
    ----------
    moved_g, lacking_g : float
        What was taken, and what of it the book did not have.
    of : str
        Of what: "jar J7", "garnet-b12".
    """
    had, times = moved_g - lacking_g, table("solution")["amount_odd_times"].number("value")
    if lacking_g <= 0 or had < SLIGHT_G or moved_g < times * had:
        return []
    return [f"{trimmed(moved_g / had, 2)} times the {trimmed(had)} g that the book had of {of} was "
            f"taken: {ASK}"]  # fmt: skip


def of_takes(
    takes: Iterable[Mapping[str, Any]], lots_g: Mapping[str, float], short_g: Mapping[str, float]
) -> list[str]:
    """Return what to ask back of what went into a jar.

    Parameters
    ----------
    takes : iterable of mapping
        Each with its `amount`.
    lots_g, short_g : mapping of lot to float
        What went in [g], and what of it the book did not have [g].
    """
    return [
        *large(take["amount"] for take in takes),
        *(said for lot, lacking in short_g.items()
          for said in beyond_the_book(lots_g.get(lot, 0.0), lacking, lot)),
    ]  # fmt: skip
