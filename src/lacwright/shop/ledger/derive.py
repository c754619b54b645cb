"""From moves to lines: what every place gains and loses, by lot, in whole micrograms."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field

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
    return Derived(book.lines(), book.edges)


class _Book:
    """The places an event touches while it is worked through."""

    def __init__(
        self, held: Callable[[str], Holdings], came: Callable[[str], Holdings], facts: Facts
    ) -> None:
        self._held, self._came, self.facts = held, came, facts
        self._was: dict[str, Holdings] = {}
        self._now: dict[str, dict[str, int]] = {}
        # What only receives need not be read, and what is outside is never asked for.
        self._more: dict[str, dict[str, int]] = {}
        self._into: list[tuple[str, Holdings]] = []
        self.edges: list[tuple[str, str, str | None, bool]] = []

    def lines(self) -> dict[tuple[str, str], int]:
        """Return what every place gained or lost."""
        lines: dict[tuple[str, str], int] = {}
        for place, now in self._now.items():
            was = self._was[place]
            for lot, ug in now.items():
                if more := ug - was.get(lot, 0):
                    lines[place, lot] = more
            for lot, ug in was.items():
                if lot not in now:
                    lines[place, lot] = -ug
        for place, parts in self._more.items():
            for lot, ug in parts.items():
                lines[place, lot] = ug
        return lines

    def holdings(self, place: str) -> dict[str, int]:
        now = self._now.get(place)
        if now is None:
            was = self._was[place] = self._held(place)
            now = self._now[place] = dict(was)
            for lot, ug in self._more.pop(place, {}).items():
                _add(now, lot, ug)
        return now

    def move(self, source: str, to: str, parts: Holdings) -> None:
        """Move some of every lot; `parts` belongs to the book from now on."""
        if parts:
            self.lose(source, parts)
            self.gain(to, parts)

    def lose(self, place: str, parts: Holdings) -> None:
        """Take some of every lot out of a place; somewhere it must be gained."""
        side = self._side(place)
        for lot, ug in parts.items():
            left = side.get(lot, 0) - ug
            if left:
                side[lot] = left
            else:
                side.pop(lot, None)

    def gain(self, place: str, parts: Holdings) -> None:
        """Put some of every lot into a place; `parts` belongs to the book from now on."""
        side = self._side(place)
        for lot, ug in parts.items():
            there = side.get(lot, 0) + ug
            if there:
                side[lot] = there
            else:
                side.pop(lot, None)
        if place not in OUTSIDE:
            self._into.append((place, parts))

    def _side(self, place: str) -> dict[str, int]:
        """Return where what a place gains or loses is added."""
        side = self._now.get(place)
        if side is None:
            side = self._more.get(place)
            if side is None:
                side = self._more[place] = {}
        return side

    def edge(self, source: str, to: str, *, lot: str | None = None, washed: bool = False) -> None:
        self.edges.append((source, to, lot, washed))

    def proportions(self, place: str) -> Holdings:
        """Return the make-up of a place, also of one that the book has as empty."""
        now = self.holdings(place)
        if now:
            return now
        came = dict(self._came(place))
        for to, parts in self._into:
            for lot, ug in parts.items() if to == place else ():
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
        volume = math.fsum([ug / self.facts[lot].ug_per_ul for lot, ug in of.items()])
        return round(int(amount["n"]) * (sum(of.values()) / volume))

    def drawn(self, source: str, amount: Amount | None) -> tuple[dict[str, int], dict[str, int]]:
        """Return what an amount takes of every lot in proportion, and the shortfall."""
        if amount is None:
            return {}, {}
        now = self.holdings(source)
        if amount["u"] == "all":
            return dict(now), {}
        of = now or self.proportions(source)
        total = self.micrograms(amount, of)
        held = sum(now.values())
        if total <= held:
            return split(total, now), {}
        return dict(now), split(total - held, of)

    def pour(self, source: str, to: str, amount: Amount | None) -> dict[str, int]:
        """Move an amount in proportion, the shortfall from UNACCOUNTED; return what moved."""
        parts, short = self.drawn(source, amount)
        self.move(source, to, parts)
        self.move(UNACCOUNTED, to, short)
        return _sum(parts, short)

    def dried(self, parts: Holdings) -> tuple[dict[str, int], dict[str, int]]:
        """Part what dries away from what stays."""
        wet: dict[str, int] = {}
        solid: dict[str, int] = {}
        facts = self.facts
        for lot, ug in parts.items():
            (wet if facts[lot].volatile else solid)[lot] = ug
        return wet, solid


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
    solvent, _ = book.dried(now)
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
        solvent, _ = book.dried(now)
        dried = min(-difference, sum(solvent.values()))
        book.move(place, AIR, split(dried, solvent))
        rest = -difference - dried
        if rest:  # more is missing than there was solvent: nobody knows where it went
            book.move(place, UNACCOUNTED, split(rest, dict(book.holdings(place))))
    elif difference < 0:
        book.move(place, gone, split(-difference, now))


def _lay(book: _Book, move: Move) -> None:
    if move["through"]:
        _lay_through(book, move, move["through"])
        return
    source, on = move["from"], move["on"]
    parts, short = book.drawn(source, move["amount"])
    book.edge(source, on)
    book.lose(source, parts)
    book.lose(UNACCOUNTED, short)
    wet, solid = book.dried(_sum(parts, short))
    new = sum(solid.values())
    stays = move["left_ug"]
    if stays is None:
        stays = round(new * (move["lost_ppm"] / 1_000_000))
    laid = split(max(new - stays, 0), solid)
    book.gain(AIR, wet)
    book.gain(on, laid)
    book.gain(WASTE, {lot: ug - laid.get(lot, 0) for lot, ug in solid.items()})


def _lay_through(book: _Book, move: Move, through: str) -> None:
    on = move["on"]
    before = sum(book.dried(book.holdings(through))[1].values())
    taken = book.pour(move["from"], through, move["amount"])
    book.edge(move["from"], through)
    book.edge(through, on)
    if move["amount"] is None:
        return
    wet, solid = book.dried(book.holdings(through))
    book.move(through, AIR, wet)
    stays = move["left_ug"]
    if stays is None:
        new = sum(book.dried(taken)[1].values())
        stays = before + round(new * (move["lost_ppm"] / 1_000_000))
    book.move(through, on, split(max(sum(solid.values()) - stays, 0), solid))


def _clear(book: _Book, move: Move) -> None:
    place = move["from"]
    book.move(place, WASTE, dict(book.holdings(place)))
    book.edge(place, WASTE, washed=True)


def _sum(some: dict[str, int], more: dict[str, int]) -> dict[str, int]:
    if not more:
        return some
    return {lot: some.get(lot, 0) + more.get(lot, 0) for lot in {**some, **more}}


def _add(to: dict[str, int], key: str, ug: int) -> None:
    """Add to an amount; nothing is kept of what has become nothing."""
    now = to.get(key, 0) + ug
    if now:
        to[key] = now
    else:
        to.pop(key, None)


_OPS: dict[str, Callable[[_Book, Move], None]] = {
    "come": _come, "take": _take, "dry": _dry, "found": _found, "lay": _lay, "clear": _clear,
}  # fmt: skip
