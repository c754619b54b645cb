"""From moves to lines: what every place gains and loses, by lot, in whole micrograms."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import TypeVar

from lacwright.shop.ledger.moves import (
    AIR,
    NOT_SAID,
    OUTSIDE,
    SUPPLIER,
    UNACCOUNTED,
    WASTE,
    Amount,
    Move,
)
from lacwright.shop.ledger.split import split

K = TypeVar("K")
Holdings = Mapping[str, int]
"""Micrograms by lot, all above 0."""


@dataclass(frozen=True, slots=True)
class LotFacts:
    """What the ledger must know of a lot.

    Parameters
    ----------
    ug_per_ul : float
        Micrograms in a microlitre: its density in g/ml times 1000.
    volatile : bool
        Whether it leaves a drying coat.
    """

    ug_per_ul: float
    volatile: bool


Facts = Mapping[str, LotFacts]


@dataclass(slots=True)
class Derived:
    """What an event does.

    Parameters
    ----------
    lines : dict of (place, lot) to int
        Micrograms gained (lost if below 0); sums to 0 for every lot.
    edges : list of (from, to, lot or None, washed)
        In order; `lot` only where something came from outside, `washed` where the place it went
        from carries nothing on.
    """

    lines: dict[tuple[str, str], int] = field(default_factory=dict)
    edges: list[tuple[str, str, str | None, bool]] = field(default_factory=list)

    def post(self, place: str, lot: str, ug: int) -> None:
        """Add to a line."""
        _add(self.lines, (place, lot), ug)


def derive(
    moves: Iterable[Move], *, held: Callable[[str], Holdings], came: Callable[[str], Holdings],
    facts: Facts,
) -> Derived:  # fmt: skip
    """Return the lines and edges of moves.

    Parameters
    ----------
    moves : iterable of Move
        In order; a later one finds what an earlier one left.
    held : callable
        Returns what a place holds just before the event.
    came : callable
        Returns all that ever came into a place before it: the proportions of what is poured from
        a place that is empty in the book.
    facts : mapping of lot to LotFacts
        Densities.

    Notes
    -----
    More poured than the book holds: the shortfall comes from UNACCOUNTED in the place's own
    proportions, so that no place is ever below zero and no observation is turned away.
    """
    book = _Book(held, came, facts)
    for move in moves:
        _OPS[move["op"]](book, move)
    return book.out


class _Book:
    """The places an event touches while it is worked through."""

    def __init__(
        self, held: Callable[[str], Holdings], came: Callable[[str], Holdings], facts: Facts
    ) -> None:
        self._held, self._came, self.facts = held, came, facts
        self._now: dict[str, dict[str, int]] = {}
        self._unread: dict[str, dict[str, int]] = {}
        self._in: dict[str, dict[str, int]] = {}
        self.out = Derived()

    def holdings(self, place: str) -> dict[str, int]:
        now = self._now.get(place)
        if now is None:
            now = self._now[place] = {} if place == _HAND else dict(self._held(place))
            for lot, ug in self._unread.pop(place, {}).items():
                _add(now, lot, ug)
        return now

    def post(self, place: str, lot: str, ug: int) -> None:
        """Add to a place and to its line."""
        if not ug:
            return
        self.out.post(place, lot, ug)
        if place in OUTSIDE:
            return
        # What only receives need not be read.
        now = self._now.get(place)
        _add(self._unread.setdefault(place, {}) if now is None else now, lot, ug)
        if ug > 0:
            _add(self._in.setdefault(place, {}), lot, ug)

    def move(self, source: str, to: str, parts: Holdings) -> None:
        for lot, ug in parts.items():
            self.post(source, lot, -ug)
            self.post(to, lot, ug)

    def edge(self, source: str, to: str, *, lot: str | None = None, washed: bool = False) -> None:
        self.out.edges.append((source, to, lot, washed))

    def proportions(self, place: str) -> Holdings:
        """Return the make-up of a place, also of one that the book has as empty."""
        now = self.holdings(place)
        if now:
            return now
        came = dict(self._came(place))
        for lot, ug in self._in.get(place, {}).items():
            _add(came, lot, ug)
        if came:
            return came
        # A lot store of which no amount was ever said holds that lot all the same.
        kind, _, lot = place.partition(":")
        return {lot if kind == "store" else NOT_SAID: 1}

    def micrograms(self, amount: Amount, of: Holdings) -> int:
        """Return an amount of something of a given make-up in micrograms."""
        if amount["u"] != "ul":
            return int(amount["n"])
        # fsum is exact in any order, so that the order of the lots does not count.
        volume = math.fsum(ug / self.facts[lot].ug_per_ul for lot, ug in of.items())
        return round(int(amount["n"]) * (sum(of.values()) / volume))

    def pour(self, source: str, to: str, amount: Amount | None) -> dict[str, int]:
        """Move an amount in proportion, the shortfall from UNACCOUNTED; return what moved."""
        if amount is None:
            return {}
        now = self.holdings(source)
        if amount["u"] == "all":
            parts = dict(now)
            self.move(source, to, parts)
            return parts
        of = self.proportions(source)
        total = self.micrograms(amount, of)
        held = sum(now.values())
        if total <= held:
            parts = split(total, now)
            self.move(source, to, parts)
            return parts
        parts = dict(now)
        short = split(total - held, of)
        self.move(source, to, parts)
        self.move(UNACCOUNTED, to, short)
        for lot, ug in short.items():
            _add(parts, lot, ug)
        return parts

    def volatile(self, lot: str) -> bool:
        return self.facts[lot].volatile


def _come(book: _Book, move: Move) -> None:
    lot, to, amount = move["lot"], move["to"], move["amount"]
    if amount is not None:
        book.move(SUPPLIER, to, {lot: book.micrograms(amount, {lot: 1})})
    book.edge(SUPPLIER, to, lot=lot)


def _take(book: _Book, move: Move) -> None:
    book.pour(move["from"], move["to"], move["amount"])
    book.edge(move["from"], move["to"])


def _dry(book: _Book, move: Move) -> None:
    source = move["from"]
    now = book.holdings(source)
    solvent = {lot: ug for lot, ug in now.items() if book.volatile(lot)}
    gone = min(book.micrograms(move["amount"], now or {NOT_SAID: 1}), sum(solvent.values()))
    book.move(source, AIR, split(gone, solvent))
    book.edge(source, AIR)


def _found(book: _Book, move: Move) -> None:
    place, gone = move["from"], move["gone"]
    now = book.holdings(place)
    of = book.proportions(place)
    difference = book.micrograms(move["amount"], of) - sum(now.values())
    book.edge(place, gone)
    if difference > 0:
        book.move(UNACCOUNTED, place, split(difference, of))
    elif difference < 0 and gone == AIR:
        solvent = {lot: ug for lot, ug in now.items() if book.volatile(lot)}
        dried = min(-difference, sum(solvent.values()))
        book.move(place, AIR, split(dried, solvent))
        rest = -difference - dried
        if rest:  # more is missing than there was solvent: nobody knows where it went
            book.move(place, UNACCOUNTED, split(rest, dict(book.holdings(place))))
    elif difference < 0:
        book.move(place, gone, split(-difference, now))


def _lay(book: _Book, move: Move) -> None:
    through, on = move["through"], move["on"]
    at = through or _HAND
    before = sum(ug for lot, ug in book.holdings(at).items() if not book.volatile(lot))
    taken = book.pour(move["from"], at, move["amount"])
    if through:
        book.edge(move["from"], through)
    book.edge(at if through else move["from"], on)
    if move["amount"] is None:
        return
    wet = {lot: ug for lot, ug in book.holdings(at).items() if book.volatile(lot)}
    book.move(at, AIR, wet)
    solid = dict(book.holdings(at))
    new = sum(ug for lot, ug in taken.items() if not book.volatile(lot))
    stays = move["left_ug"]
    if stays is None:
        stays = before + round(new * (move["lost_ppm"] / 1_000_000))
    laid = split(max(sum(solid.values()) - stays, 0), solid)
    book.move(at, on, laid)
    if not through:
        book.move(at, WASTE, dict(book.holdings(at)))


def _clear(book: _Book, move: Move) -> None:
    place = move["from"]
    book.move(place, WASTE, dict(book.holdings(place)))
    book.edge(place, WASTE, washed=True)


def _add(to: dict[K, int], key: K, ug: int) -> None:
    """Add to an amount; nothing is kept of what has become nothing."""
    now = to.get(key, 0) + ug
    if now:
        to[key] = now
    else:
        to.pop(key, None)


_HAND = "hand"
"""Where a coat passes through if no pad or brush is named: always empty between events."""

_OPS: dict[str, Callable[[_Book, Move], None]] = {
    "come": _come, "take": _take, "dry": _dry, "found": _found, "lay": _lay, "clear": _clear,
}  # fmt: skip
