"""A timed coat before it is written down: what it says, and what changes with it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from lacwright.bench.pages.measures import When, when
from lacwright.climate import Air
from lacwright.drying import (
    AIR,
    STEP,
    Board,
    Under,
    WetCoat,
    dry,
    observed,
    own_constants,
    state,
)
from lacwright.drying.gate import spoken
from lacwright.figures import Basis, Figure, Hand, Learned, Mark
from lacwright.files.timed_coat import TimedTable, observation
from lacwright.shop.models import Event, Piece
from lacwright.shop.queries.laid import Laid, air_of, laid_of, last_laid
from lacwright.shop.queries.own_figures import drying_hand, own_figures
from lacwright.shop.services.drying_tests import OURS, WITHIN_US

KEYS = ((AIR, "air", "Air factor of this bench"),
        (STEP, "diffusion", "Step of diffusion of the lac"))  # fmt: skip
TIMES = (("Touch-dry", "touch_dry_s"), ("Print-free", "print_free_s"), ("Next coat", "recoat_s"),
         ("Sandable", "sandable_s"))  # fmt: skip


@dataclass(frozen=True)
class Constant:
    """A constant of the model: what was known, what this coat says, what comes of both."""

    words: str
    name: str
    usual: Figure
    before: Figure
    n: int
    says: Figure | None
    after: Figure | None
    given: bool  # he set it himself, which goes before all that is seen


@dataclass(frozen=True)
class Says:
    """What a timed coat says.

    Parameters
    ----------
    constants : tuple of Constant
    moved : tuple of (str, str, str, str)
        For this very coat: stage, when the model expected it before and would now, what was seen.
    before, after : str
        What the model was, and would be, calibrated on.
    """

    constants: tuple[Constant, ...]
    moved: tuple[tuple[str, str, str, str], ...]
    before: str
    after: str


@dataclass(frozen=True)
class OnRecord:
    """A young coat on the panel that is in the record."""

    words: str
    at: When
    movement: int
    silent: str


def on_record(panel: Piece, *, now_us: int, zone: dt.tzinfo) -> OnRecord | None:
    """Return the last coat of the last two days on a panel, None where there is none."""
    found = last_laid(panel, at_us=now_us, within_us=WITHIN_US)
    if not found:
        return None
    one = found[0]
    film = "" if one.coat is None else f", {one.coat.wet_um:.0f} um wet, {one.amount}"
    return OnRecord(f"{one.event.movement.body['what'].capitalize()}{film}",
                    when(one.at_us, zone, now_us), one.event.root_id, one.why_not)  # fmt: skip


def says(data: Mapping[str, Any], panel: Piece) -> Says:
    """Return what a timed coat would teach, from what a trial of writing it down gave."""
    lines = own_figures(only=[name for name, _, _ in KEYS])
    hand = own_constants(drying_hand())
    learned, after = data["learned"] or {}, dict(hand)
    source = f"{panel.key}, this coat"
    constants = []
    for name, key, words in KEYS:
        line, value = lines[name], learned.get(key)
        if value is not None and line.given is None:
            after[name] = observed(hand, name, value, source)
        moved = None if line.given is not None else after.get(name)
        constants.append(Constant(
            words, name, line.prior, line.figure, line.n,
            None if value is None else Figure(value, None, None, line.unit, Basis.LEARNED,
                                              Mark.OWN, source),
            moved.figure() if isinstance(moved, Learned) and value is not None else None,
            line.given is not None,
        ))  # fmt: skip
    told = _coat(data, panel)
    moved_times = () if told is None else _moved(told, hand, after, data["result"])
    return Says(tuple(constants), moved_times, state(hand).words, state(after).words)


_Told = tuple[WetCoat, Air, tuple[Under, ...], Board]


def _moved(
    told: _Told, hand: Hand, after: Hand, seen: Mapping[str, Any]
) -> tuple[tuple[str, str, str, str], ...]:
    coat, air, under, board = told
    before, now = (dry(coat=coat, air=air, under=under, board=board, hand=one).figures()
                   for one in (hand, after))  # fmt: skip
    return tuple(
        (words, _time(before[key]), _time(now[key]), str(seen.get(key.removesuffix("_s"), "")))
        for words, key in TIMES
    )


def _time(figure: Figure) -> str:
    if figure.value is None:
        return figure.missing or "not told"
    if figure.low is None or figure.high is None:
        return spoken(figure.value)
    return f"{spoken(figure.value)} ({spoken(figure.low)} to {spoken(figure.high)})"


def _coat(data: Mapping[str, Any], panel: Piece) -> _Told | None:
    """Return the coat that was timed, as the model takes it."""
    result = data["result"]
    if "coat" in result:
        laid = _laid(result)
        if laid is None or laid.coat is None:
            return None
        return laid.coat, air_of(data["temp_c"], data["rh"]), laid.under, laid.board
    raw = {k: v for k, v in result.items() if k not in OURS}
    raw |= {"name": panel.key, "temp": data["temp_c"], "rh": data["rh"]}
    row, _ = observation(TimedTable, raw, "")
    if row is None:
        return None
    timed = row.timed()
    return timed.coat, timed.air, timed.under, timed.board


def _laid(result: Mapping[str, Any]) -> Laid | None:
    event = (Event.objects.filter(root=result["coat"], kind="coat", void=False)
             .select_related("movement", "piece").first())  # fmt: skip
    if event is None:
        return None
    laid, parts = laid_of(event), set(result.get("parts", ()))
    return next((one for one in laid if not parts or set(one.parts) & parts), laid[0])
