"""What the ledger must know of every lot: how heavy it is, and whether it dries away."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Protocol

from lacwright.shop.ledger import LotFacts
from lacwright.solution import Alcohol, default_resin_density, dye_density_g_ml

FLAKES, ALCOHOL, DYE, WAX, ABRASIVE, OTHER = "flakes", "alcohol", "dye", "wax", "abrasive", "other"
KINDS = (FLAKES, ALCOHOL, DYE, WAX, ABRASIVE, OTHER)


class LotLike(Protocol):
    """A lot, whether it lies in the database or is on its way there."""

    key: str
    kind: str
    parts: Mapping[str, float] | None
    density_g_ml: float | None


def density_of(lot: LotLike) -> float:
    """Return the density of a lot [g/ml]: as weighed, else by what it is.

    Of an alcohol without a composition it is the middle of the suitable ones: volumes that go in
    and come out with it are right, weights may be off by a few per cent.
    """
    if lot.density_g_ml is not None:
        return lot.density_g_ml
    if lot.kind == FLAKES:
        return default_resin_density()
    if lot.kind == DYE:
        return dye_density_g_ml()
    if lot.kind in (ALCOHOL, OTHER):
        return float(alcohol_of(lot).density_g_ml())
    return 1.0


def liquid_density(lot: LotLike) -> float | None:
    """Return the density of a liquid lot whose weight is known [g/ml]; None for any other.

    The weight of an alcohol whose composition nobody knows is not told.
    """
    if lot.kind == DYE or (lot.kind == ALCOHOL and alcohol_of(lot).known):
        return density_of(lot)
    return None


def alcohol_of(lot: LotLike) -> Alcohol:
    """Return a lot of alcohol as the model knows it."""
    parts = None if lot.parts is None else tuple(sorted(lot.parts.items()))
    return Alcohol(lot.key, parts, lot.density_g_ml)


def facts_of(lot: LotLike) -> LotFacts:
    """Return what the ledger must know of a lot."""
    return LotFacts(1000.0 * density_of(lot), lot.kind == ALCOHOL)


class AllFacts(dict[str, LotFacts]):
    """The facts of lots by name, each looked up once and only when asked for."""

    def __init__(self, find: Callable[[str], LotLike]) -> None:
        super().__init__()
        self._find = find

    def __missing__(self, key: str) -> LotFacts:
        """Look a lot up."""
        facts = self[key] = facts_of(self._find(key))
        return facts
