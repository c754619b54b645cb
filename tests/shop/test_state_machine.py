"""Any order of typing, correcting, taking back and arriving late ends in the same record.

Three ways are compared: the record as it was typed, with its replays; all events derived at once
from what counts (`whole.derive_all`); and an oracle that says the rules of the record once more, as
simply as they can be said, in fractions, sharing no code with it.
"""

from __future__ import annotations

import os
from collections import defaultdict
from collections.abc import Iterable, Mapping
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, precondition, rule

LOTS = {"f1": Fraction(1250), "f2": Fraction(1000), "e": Fraction(800), "m": Fraction(875)}
NOT_SAID = "not-said"
DENSITY = {**LOTS, NOT_SAID: Fraction(750)}
SOLVENTS = {"e", "m"}
JARS = [f"jar:{name}" for name in "abc"]
PADS = ["applicator:p", "applicator:q"]
PIECES = ["piece:x", "piece:y"]
OUTSIDE = ("supplier", "air", "waste", "unaccounted")
Amounts = dict[tuple[str, str], int]


class Oracle:
    """Reads events in the order of time and keeps every place as a dict of lot to micrograms.

    Parameters
    ----------
    density : mapping of lot to Fraction
        Micrograms in a microlitre.
    solvents : set of str
        Lots that dry away.
    """

    def __init__(self, density: Mapping[str, Fraction], solvents: Iterable[str]) -> None:
        self.density, self.solvents = density, set(solvents)
        self.held: dict[str, dict[str, int]] = defaultdict(lambda: defaultdict(int))
        self.came: dict[str, dict[str, int]] = defaultdict(lambda: defaultdict(int))
        self.lines: Amounts = {}
        self.gone_in: dict[str, dict[str, int]] = {}

    def event(self, moves: Iterable[Mapping[str, Any]]) -> Amounts:
        """Carry out an event and return its net changes."""
        self.lines = defaultdict(int)
        self.gone_in = defaultdict(lambda: defaultdict(int))
        for move in moves:
            getattr(self, move["op"])(move)
        lines = {where: ug for where, ug in self.lines.items() if ug}
        for (place, lot), ug in lines.items():
            self.came[place][lot] += max(ug, 0)
        return lines

    # --- the moves ---

    def come(self, move: Mapping[str, Any]) -> None:
        if move["amount"] is not None:
            lot = move["lot"]
            self.shift("supplier", move["to"], lot, self.weight(move["amount"], {lot: 1}))

    def take(self, move: Mapping[str, Any]) -> None:
        self.pour(move["from"], move["to"], move["amount"])

    def dry(self, move: Mapping[str, Any]) -> None:
        place = move["from"]
        wet = self.wet(place)
        total = self.weight(move["amount"], self.all(place) or {NOT_SAID: 1})
        for lot, ug in self.share(min(total, sum(wet.values())), wet).items():
            self.shift(place, "air", lot, ug)

    def found(self, move: Mapping[str, Any]) -> None:
        place, to = move["from"], move["gone"]
        make_up = self.make_up(place)
        more = self.weight(move["amount"], make_up) - sum(self.all(place).values())
        if more >= 0:
            for lot, ug in self.share(more, make_up).items():
                self.shift("unaccounted", place, lot, ug)
            return
        less = -more
        if to == "air":
            wet = self.wet(place)
            dried = min(less, sum(wet.values()))
            for lot, ug in self.share(dried, wet).items():
                self.shift(place, "air", lot, ug)
            less, to = less - dried, "unaccounted"
        for lot, ug in self.share(less, self.all(place)).items():
            self.shift(place, to, lot, ug)

    def lay(self, move: Mapping[str, Any]) -> None:
        if move["amount"] is None:
            return
        pad = move["through"] or "the hand"
        old = sum(self.solid(pad).values())
        taken = self.pour(move["from"], pad, move["amount"])
        for lot, ug in self.wet(pad).items():
            self.shift(pad, "air", lot, ug)
        new = sum(ug for lot, ug in taken.items() if lot not in self.solvents)
        stays = move["left_ug"]
        if stays is None:
            stays = old + round(Fraction(new * move["lost_ppm"], 1_000_000))
        solid = self.solid(pad)
        for lot, ug in self.share(max(0, sum(solid.values()) - stays), solid).items():
            self.shift(pad, move["on"], lot, ug)
        if move["through"] is None:
            for lot, ug in self.all(pad).items():
                self.shift(pad, "waste", lot, ug)

    def clear(self, move: Mapping[str, Any]) -> None:
        for lot, ug in self.all(move["from"]).items():
            self.shift(move["from"], "waste", lot, ug)

    # --- what they are made of ---

    def pour(self, source: str, to: str, amount: Mapping[str, Any] | None) -> dict[str, int]:
        if amount is None:
            return {}
        there = self.all(source)
        make_up = self.make_up(source)
        total = sum(there.values()) if amount["u"] == "all" else self.weight(amount, make_up)
        short = max(0, total - sum(there.values()))
        out = there if short else self.share(total, there)
        for lot, ug in out.items():
            self.shift(source, to, lot, ug)
        taken = dict(out)
        for lot, ug in self.share(short, make_up).items():
            self.shift("unaccounted", to, lot, ug)
            taken[lot] = taken.get(lot, 0) + ug
        return taken

    def share(self, total: int, held: Mapping[str, int]) -> dict[str, int]:
        """Part a total: rounded down, then one each for the largest rests, ties by name."""
        if not total:
            return {}
        exact = {lot: Fraction(total * ug, sum(held.values())) for lot, ug in held.items()}
        out = {lot: int(share) for lot, share in exact.items()}
        rests = sorted(exact, key=lambda lot: (out[lot] - exact[lot], lot))
        for lot in rests[: total - sum(out.values())]:
            out[lot] += 1
        return out

    def weight(self, amount: Mapping[str, Any], of: Mapping[str, int]) -> int:
        if amount["u"] != "ul":
            return int(amount["n"])
        volume = sum(Fraction(ug) / self.density[lot] for lot, ug in of.items())
        return round(amount["n"] * sum(of.values()) / volume)

    def make_up(self, place: str) -> dict[str, int]:
        """Return what a place is made of: what it holds, held, or is named after."""
        there = self.all(place)
        if there:
            return there
        ever = {lot: self.came[place][lot] + self.gone_in[place][lot]
                for lot in {*self.came[place], *self.gone_in[place]}}  # fmt: skip
        ever = {lot: ug for lot, ug in ever.items() if ug}
        kind, _, name = place.partition(":")
        return ever or {name if kind == "store" else NOT_SAID: 1}

    def shift(self, source: str, to: str, lot: str, ug: int) -> None:
        self.held[source][lot] -= ug
        self.held[to][lot] += ug
        self.lines[source, lot] -= ug
        self.lines[to, lot] += ug
        self.gone_in[to][lot] += ug

    def all(self, place: str) -> dict[str, int]:
        return {lot: ug for lot, ug in self.held[place].items() if ug}

    def wet(self, place: str) -> dict[str, int]:
        return {lot: ug for lot, ug in self.all(place).items() if lot in self.solvents}

    def solid(self, place: str) -> dict[str, int]:
        return {lot: ug for lot, ug in self.all(place).items() if lot not in self.solvents}


# --- what may be typed --------------------------------------------------------------------------

AMOUNTS = st.one_of(
    st.integers(1, 50_000_000).map(lambda n: {"n": n, "u": "ug"}),
    st.sampled_from([1, 1_000, 33_300]).map(lambda n: {"n": n, "u": "ul"}),
)
OR_NONE = st.one_of(st.none(), AMOUNTS)
LOT, JAR, PAD, PIECE = (st.sampled_from(x) for x in (sorted(LOTS), JARS, PADS, PIECES))


def _store(lot: str) -> str:
    return f"store:{lot}"


MOVE = st.one_of(
    st.builds(lambda lot, a: {"op": "come", "lot": lot, "to": _store(lot), "amount": a},
              LOT, OR_NONE),
    st.builds(lambda lot, to, a: {"op": "take", "from": _store(lot), "to": to, "amount": a},
              LOT, JAR, OR_NONE),
    st.builds(lambda source, to, a: {"op": "take", "from": source, "to": to, "amount": a},
              JAR, st.sampled_from([*JARS, *PADS, "waste"]),
              st.one_of(OR_NONE, st.just({"u": "all"}))),
    st.builds(lambda place, a: {"op": "dry", "from": place, "amount": a}, JAR, AMOUNTS),
    st.builds(lambda place, a, gone: {"op": "found", "from": place, "amount": a, "gone": gone},
              st.sampled_from([*JARS, "store:f1"]), AMOUNTS,
              st.sampled_from(["air", "waste", "unaccounted"])),
    st.builds(lambda source, pad, on, a, left, lost: {
        "op": "lay", "from": source, "through": pad, "on": on, "amount": a, "left_ug": left,
        "lost_ppm": lost,
    }, JAR, st.one_of(st.none(), PAD), PIECE, OR_NONE,
        st.one_of(st.none(), st.just(100_000)), st.sampled_from([0, 62_500, 1_000_000])),
    st.builds(lambda place: {"op": "clear", "from": place},
              st.sampled_from([*JARS, *PADS, *PIECES])),
)  # fmt: skip
MOVES = st.lists(MOVE, min_size=1, max_size=3).filter(
    lambda moves: all(m.get("from") != m.get("to") for m in moves)
)
TIMES = st.integers(1, 12)
"""Few, so that several things are done at the same moment and the order of typing decides."""


class Ledger(RuleBasedStateMachine):
    """Somebody who types, corrects, takes back and brings back, in any order."""

    def __init__(self) -> None:
        super().__init__()
        from django.db import transaction

        # What an example writes is gone when it ends.
        self.all = transaction.atomic()
        self.all.__enter__()
        _furnish()
        self.counts: dict[int, tuple[int, list[dict[str, Any]]]] = {}
        self.gone: list[int] = []

    def teardown(self) -> None:
        from django.db import transaction

        try:
            self.agree()
        finally:
            transaction.set_rollback(True)
            self.all.__exit__(None, None, None)

    @rule(at=TIMES, moves=MOVES)
    def type(self, at: int, moves: list[dict[str, Any]]) -> None:
        number = _write(at, "seen", moves, None)
        self.counts[number] = (at, moves)

    @precondition(lambda self: self.counts)
    @rule(data=st.data(), at=st.one_of(st.none(), TIMES), moves=MOVES)
    def correct(self, data: st.DataObject, at: int | None, moves: list[dict[str, Any]]) -> None:
        root = data.draw(st.sampled_from(sorted(self.counts)))
        at = self.counts[root][0] if at is None else at
        _write(at, "seen", moves, root)
        self.counts[root] = (at, moves)

    @precondition(lambda self: self.counts)
    @rule(data=st.data())
    def take_back(self, data: st.DataObject) -> None:
        root = data.draw(st.sampled_from(sorted(self.counts)))
        _write(self.counts[root][0], "void", [], root)
        del self.counts[root]
        self.gone.append(root)

    @precondition(lambda self: self.gone)
    @rule(data=st.data(), at=TIMES, moves=MOVES)
    def bring_back(self, data: st.DataObject, at: int, moves: list[dict[str, Any]]) -> None:
        root = data.draw(st.sampled_from(sorted(self.gone)))
        _write(at, "seen", moves, root)
        self.gone.remove(root)
        self.counts[root] = (at, moves)

    def agree(self) -> None:
        """Compare the record with what typing it right at first would have made of it."""
        oracle = Oracle(DENSITY, SOLVENTS)
        right: dict[int, Amounts] = {}
        for root, (_, moves) in sorted(self.counts.items(), key=lambda item: (item[1][0], item[0])):
            right[root] = oracle.event(moves)
        assert _lines() == {root: lines for root, lines in right.items() if lines}
        balance = {(place, lot): ug for place, lots in oracle.held.items()
                   for lot, ug in lots.items() if ug}  # fmt: skip
        assert _balance() == balance
        assert all(ug > 0 for (place, _), ug in balance.items() if place not in OUTSIDE)
        assert _derived_at_once() == (_lines(), _flows())


def _furnish() -> None:
    from lacwright.shop.models import Lot, Place

    for place in (*JARS, *PADS, *PIECES):
        Place.objects.create(key=place, kind=place.partition(":")[0])
    nobody_knows = Lot.objects.filter(key=NOT_SAID)
    nobody_knows.update(density_g_ml=float(DENSITY[NOT_SAID]) / 1000)
    for lot, density in LOTS.items():
        Lot.objects.create(
            key=lot, kind="alcohol" if lot in SOLVENTS else "flakes", unit="g",
            density_g_ml=float(density) / 1000,
            place=Place.objects.create(key=_store(lot), kind="store"),
        )  # fmt: skip


def _write(at: int, kind: str, moves: list[dict[str, Any]], root: int | None) -> int:
    from lacwright.shop.models import Movement
    from lacwright.shop.writing import Entry, write

    def do(w: Any) -> dict[str, Any]:
        replaced = None if root is None else Movement.objects.get(id=root)
        w.movement(kind, moves=tuple(moves), replaces=replaced)
        return {}

    answer = write("typed", {"moves": moves}, Entry(at_us=at), do)
    assert answer.movement is not None
    return answer.movement


def _lines() -> dict[int, Amounts]:
    from django.db.models import Sum

    from lacwright.shop.models import Line

    out: dict[int, Amounts] = defaultdict(dict)
    rows = Line.objects.values_list("about", "place__key", "lot__key").annotate(u=Sum("ug"))
    for about, place, lot, ug in rows:
        if ug:
            out[about][place, lot] = ug
    return dict(out)


def _balance() -> Amounts:
    from lacwright.shop.models import Balance

    rows = Balance.objects.values_list("place__key", "lot__key", "ug")
    return {(place, lot): ug for place, lot, ug in rows}


def _flows() -> dict[int, list[tuple[Any, ...]]]:
    from lacwright.shop.models import Flow

    out: dict[int, list[tuple[Any, ...]]] = defaultdict(list)
    for event, *flow in Flow.objects.order_by("event", "step").values_list(
        "event", "source__key", "to__key", "lot__key", "washed"
    ):
        out[event].append(tuple(flow))
    return dict(out)


def _derived_at_once() -> tuple[dict[int, Amounts], dict[int, list[tuple[Any, ...]]]]:
    from lacwright.shop.facts import facts_of
    from lacwright.shop.models import Event, Lot
    from lacwright.shop.whole import Happening, derive_all

    facts = {lot.key: facts_of(lot) for lot in Lot.objects.all()}
    counting = Event.objects.filter(void=False).select_related("movement")
    events = [Happening(e.at_us, e.root_id, e.movement.body) for e in counting]
    done = {event.root: derived for event, derived in derive_all(events, facts)}
    return ({root: d.lines for root, d in done.items() if d.lines},
            {root: d.edges for root, d in done.items() if d.edges})  # fmt: skip


TestLedger = pytest.mark.usefixtures("shop")(Ledger.TestCase)
TestLedger.settings = settings(
    max_examples=18, stateful_step_count=16, deadline=None,
    derandomize=bool(os.environ.get("LACWRIGHT_CI")),
)  # fmt: skip
