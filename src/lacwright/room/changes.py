"""The smallest single changes after which the numbers alone call for no stop.

Nothing is proposed that the numbers cannot carry: never methanol or an unknown alcohol, and never
air against fire, since the bound for fire counts on no air.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from lacwright.figures import Num, central
from lacwright.figures.spoken import counted, trimmed
from lacwright.room.estimate import Estimate, estimate
from lacwright.room.job import UNKNOWN, Room, Source
from lacwright.room.response import Emission
from lacwright.room.stops import METHANOL, methanol_too_high

FEWER, KNOWN, AIR, LARGER = "fewer_coats", "known_alcohol", "more_air", "larger_room"
ORDER = (FEWER, KNOWN, AIR, LARGER)
"""Kinds of change, the cheapest first."""
BY_NUMBERS = ("lel", "mixture", "short-term")
"""Codes of the stops that the numbers alone call for."""
MOST_AIR_PER_H, MOST_ROOM_M3 = 60.0, 20000.0
_HALVINGS = 24
_STEP, _FEW = 0.03, 33
HOURS_A_DAY = 24
_Goes = Callable[[Sequence[Source], float], bool]


@dataclass(frozen=True)
class Change:
    """One change.

    Parameters
    ----------
    kind : str
        One of `ORDER`.
    amount : float
        Coats at once, air changes in an hour, or cubic metres; 0 for an alcohol.
    unit : str
    words : str
        As a sentence without its full stop.
    """

    kind: str
    amount: float
    unit: str
    words: str


def smallest_changes(
    sources: Sequence[Source], room: Room, made: Estimate, **how: Any
) -> tuple[Change, ...]:
    """Return for each kind of change the least that does, none where no stop comes from numbers.

    Parameters
    ----------
    sources, room
        Of the job; the air changes must be known.
    made : Estimate
        Made from them.
    **how
        Everything else that `estimate` was given.

    Notes
    -----
    "At once" means on one day; what is left out of it is laid when the room has been aired.
    """
    if room.air_changes_per_h is None or not _stopped(made):
        return ()
    tried: list[Change | None] = [
        _fewer(sources, room, how), _known(sources, room, how),
        _more_air(sources, room, how), _larger(sources, room, how),
    ]  # fmt: skip
    return tuple(one for one in tried if one is not None)


def _stopped(made: Estimate) -> bool:
    """Return whether a stop stands by its numbers; methanol's does where it is above a limit."""
    return any(s.code in BY_NUMBERS for s in made.stops) or bool(methanol_too_high(made))


def _goes(sources: Sequence[Source], room: Room, how: Mapping[str, Any]) -> bool:
    return not _stopped(estimate(sources, room, **how))


def _fewer(sources: Sequence[Source], room: Room, how: Mapping[str, Any]) -> Change | None:
    days: dict[int, list[Source]] = {}
    for source in sorted(sources, key=lambda s: s.start_h):
        if source.takes_extra:
            days.setdefault(int(source.start_h // HOURS_A_DAY), []).append(source)
    rest = [s for s in sources if not s.takes_extra]
    for n in range(max(map(len, days.values()), default=1) - 1, 0, -1):
        if _goes([*(s for day in days.values() for s in day[:n]), *rest], room, how):
            return Change(FEWER, n, "coats", f"no more than {counted(n, 'coat')} of this on one "
                          "day, the next when the room has been aired")  # fmt: skip
    return None


def _known(sources: Sequence[Source], room: Room, how: Mapping[str, Any]) -> Change | None:
    if not any({METHANOL, UNKNOWN} & set(s.grams) for s in sources):
        return None
    other = [_as_ethanol(s) for s in sources]
    if not _goes(other, room, how):
        return None
    return Change(KNOWN, 0.0, "", "an alcohol known to be ethanol and water, in place of this one")


def _as_ethanol(source: Source) -> Source:
    total: Num = sum(source.grams.values(), 0.0)
    way = source.emission
    if isinstance(way, Mapping):
        ways: Mapping[str, Emission] = way
        way = ways.get("ethanol") or next(iter(ways.values()))
    return replace(source, grams={"ethanol": total}, emission=way)


def _more_air(sources: Sequence[Source], room: Room, how: Mapping[str, Any]) -> Change | None:
    assert room.air_changes_per_h is not None
    least = _least(room.air_changes_per_h, MOST_AIR_PER_H, sources, lambda some, air: _goes(
        some, replace(room, air_changes_per_h=air, air_figure=None), how))  # fmt: skip
    if least is None:
        return None
    return Change(AIR, least, "1/h", f"air that changes {trimmed(least, 2)} times an hour, as "
                  "measured, with clean air and no fan in the vapour")  # fmt: skip


def _larger(sources: Sequence[Source], room: Room, how: Mapping[str, Any]) -> Change | None:
    least = _least(room.volume_m3, MOST_ROOM_M3, sources, lambda some, volume: _goes(
        some, replace(room, volume_m3=volume), how))  # fmt: skip
    if least is None:
        return None
    return Change(LARGER, least, "m3", f"a room of {trimmed(least, 2)} m3 with as many air "
                  "changes, or outdoors")  # fmt: skip


def _least(
    low: float, high: float, sources: Sequence[Source], goes: _Goes
) -> float | None:  # fmt: skip
    """Return the least value that goes, rounded up to two figures; None if the highest does not.

    What goes for all of a long job goes for its worst day, so that is searched first and with few
    draws: a day alone is quick to estimate, and the other days add little.
    """
    low = max(low, high * 1e-6)
    day = _worst_day(sources)
    if not goes(day, high):
        return None
    _, found = _closed_in(low, high, lambda value: goes(day, value))
    last, found, step = low, _rounded_up(found), _STEP
    while not goes(sources, found):
        if found >= high:
            return None
        last, found, step = found, min(_rounded_up(found * (1 + step)), high), 2 * step
    if last > low:
        _, found = _closed_in(last, found, lambda value: goes(sources, value))
    return _rounded_up(found)


def _worst_day(sources: Sequence[Source]) -> list[Source]:
    """Return what is laid on the day with the most solvent, with few draws."""
    days: dict[int, list[Source]] = {}
    for source in sources:
        days.setdefault(int(source.start_h // HOURS_A_DAY), []).append(source)
    worst = max(days.values(), key=lambda day: sum(_grams(s) for s in day))
    return [replace(s, grams={k: np.atleast_1d(g)[:_FEW] for k, g in s.grams.items()})
            for s in worst]  # fmt: skip


def _grams(source: Source) -> float:
    return sum(central(g) for g in source.grams.values())


def _closed_in(low: float, high: float, goes: Callable[[float], bool]) -> tuple[float, float]:
    """Return a value that does not go and one that does, near to each other."""
    for _ in range(_HALVINGS):
        if high / low < 1.01:
            break
        middle = (low * high) ** 0.5
        low, high = (low, middle) if goes(middle) else (middle, high)
    return low, high


def _rounded_up(value: float) -> float:
    step = 10.0 ** (math.floor(math.log10(value)) - 1)
    return math.ceil(value / step - 1e-9) * step
