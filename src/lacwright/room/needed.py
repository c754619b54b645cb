"""The air that would hold a limit while laying: a number of the balance, no design of a fan."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from lacwright.figures import Basis, Figure, Mark, unknown, weakest
from lacwright.figures.draws import band
from lacwright.room.balance import air_needed_m3_h, constant, g_m3_of, molar_mass_g
from lacwright.room.job import Room, Source
from lacwright.room.limits import Limited
from lacwright.room.response import Array

if TYPE_CHECKING:
    from lacwright.room.course import Air

PERFECT, WITH_FACTOR = "perfect", "with_factor"
NO_TIME = "cannot estimate without how long the laying takes"
NO_LIMIT = "cannot estimate: no limit on file"
_SOURCE = "steady flow of clean air while laying, Q = K G / C"


@dataclass(frozen=True)
class AirNeeded:
    """Clean air that would hold the limits while a coat is laid, the worst coat.

    Parameters
    ----------
    m3_per_h, changes_per_h : mapping of "perfect", "with_factor" to mapping of str to Figure
        By substance, each alone; "additive", all together; "lel_share", for a share of the LEL.
    """

    m3_per_h: Mapping[str, Mapping[str, Figure]]
    changes_per_h: Mapping[str, Mapping[str, Figure]]

    def figures(self) -> dict[str, Figure]:
        """Return the figures by name."""
        return {
            f"{name}.{mixing}.{what}": figure
            for name, table in (("air_needed_m3_per_h", self.m3_per_h),
                                ("air_needed_changes_per_h", self.changes_per_h))
            for mixing, parts in table.items() for what, figure in parts.items()
        }  # fmt: skip


ADDITIVE, LEL_SHARE = "additive", "lel_share"


def air_needed(
    sources: Sequence[Source], health: Air, fire: Air, limits: Mapping[str, Limited],
    lel: Mapping[str, Figure], room: Room, hold_share: float,
) -> AirNeeded:  # fmt: skip
    """Return the air needed while laying.

    Parameters
    ----------
    sources : sequence of Source
        Those with a time of laying count; all that a coat holds is set free in that time.
    health, fire : Air
        What each sets free.
    limits, lel
        8-hour limits and lower explosive limits.
    room : Room
    hold_share : float
        Share of the limit to hold [1].
    """
    timed = [k for k, s in enumerate(sources) if s.over_h]
    flows: dict[str, dict[str, Figure]] = {}
    changes: dict[str, dict[str, Figure]] = {}
    for mixing, factor in ((PERFECT, 1.0), (WITH_FACTOR, room.factor.number())):
        mark = Mark.LIBRARY if mixing == PERFECT else room.factor.mark
        parts: dict[str, Figure] = {}
        by_source = [_each(health.grams[k], sources[k], limits, hold_share, factor)
                     for k in timed]  # fmt: skip
        for s in health.substances:
            limit = limits[s].day
            rows = [one[s] for one in by_source if s in one]
            if limit is None:
                parts[s] = unknown("m3/h", NO_LIMIT)
            else:
                parts[s] = _figure(rows, weakest(mark, limit.mark))
        told = [x.day.mark for x in limits.values() if x.day is not None]
        sums = [sum(one.values(), np.zeros(1)) for one in by_source if one]
        parts[ADDITIVE] = unknown("m3/h", NO_LIMIT)
        if told:
            parts[ADDITIVE] = _figure(sums, weakest(mark, *told))
        burning = [_fire(fire.grams[k], sources[k], lel, factor) for k in timed]
        parts[LEL_SHARE] = _figure(burning, weakest(mark, *(f.mark for f in lel.values())))
        flows[mixing] = parts
        changes[mixing] = {what: _over(f, room.volume_m3) for what, f in parts.items()}
    return AirNeeded(flows, changes)


def _each(
    grams: Mapping[str, Array], source: Source, limits: Mapping[str, Limited], hold_share: float,
    factor: float,
) -> dict[str, Array]:  # fmt: skip
    assert source.over_h is not None
    out = {}
    for s, amount in grams.items():
        limit, molar = limits[s].day, molar_mass_g(s)
        if limit is None or molar is None:
            continue
        hold = hold_share * g_m3_of(ppm=limit.ppm, molar_mass_g=molar)
        out[s] = np.asarray(air_needed_m3_h(rate_g_h=amount / source.over_h, hold_g_m3=hold,
                                            mixing_factor=factor))  # fmt: skip
    return out


def _fire(
    grams: Mapping[str, Array], source: Source, lel: Mapping[str, Figure], factor: float
) -> Array:
    assert source.over_h is not None
    total = np.zeros(1)
    for s, amount in grams.items():
        molar = molar_mass_g(s)
        assert molar is not None
        hold = constant("fire_dilution") * g_m3_of(ppm=1e4 * lel[s].number(), molar_mass_g=molar)
        flow = air_needed_m3_h(
            rate_g_h=amount / source.over_h, hold_g_m3=hold, mixing_factor=factor
        )
        total = total + np.asarray(flow)
    return total


def _figure(rows: Sequence[Array], mark: Mark) -> Figure:
    if not rows:
        return unknown("m3/h", NO_TIME)
    value, low, high = band(max(rows, key=lambda x: float(x[0])))
    return Figure(value, low, high, "m3/h", Basis.COMPUTED, mark, _SOURCE)


def _over(figure: Figure, volume_m3: float) -> Figure:
    if figure.value is None:
        return unknown("1/h", figure.missing or NO_TIME)
    low, high = (None if x is None else x / volume_m3 for x in (figure.low, figure.high))
    return Figure(figure.value / volume_m3, low, high, "1/h", figure.basis, figure.mark,
                  figure.source)  # fmt: skip
