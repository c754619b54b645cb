"""Vapour over time: sources laid one after the other, summed by closed forms."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from lacwright.room.job import Near, Room, Source
from lacwright.room.response import Array, Emission, FirstOrder, Laid

QUARTER_H, DAY_H = 0.25, 8.0
ROOM, NEAR = "room", "near"
ZONES = (ROOM, NEAR)
_FIRST_H, _LAST_H, _STEPS = 2e-3, 24.0, 32
_FINE = 32
_HAIR = 1e-9


@dataclass(frozen=True, eq=False)
class Air:
    """Concentrations over time.

    Parameters
    ----------
    room : Room
        Its air changes must be known.
    near : Near
    sources : tuple of Source
    grams : tuple of mapping of substance to array, shape (n,)
        Of each source, as what they count; n draws, column 0 the central case.
    emission_of : tuple of mapping of substance to Emission
    """

    room: Room
    near: Near
    sources: tuple[Source, ...]
    grams: tuple[Mapping[str, Array], ...]
    emission_of: tuple[Mapping[str, Sequence[tuple[Emission, Array]]], ...]

    @property
    def substances(self) -> tuple[str, ...]:
        """Return every substance, in the order of the sources."""
        return tuple(dict.fromkeys(s for one in self.grams for s in one))

    def central(self) -> Air:
        """Return it without its draws: the central case alone."""
        return replace(
            self, grams=tuple({s: g[:1] for s, g in one.items()} for one in self.grams),
            emission_of=tuple({s: [(e, g[:1]) for e, g in several] for s, several in one.items()}
                              for one in self.emission_of),
        )  # fmt: skip

    def g_m3(self, zone: str, hours: Array) -> dict[str, Array]:
        """Return concentrations [g/m3] by substance, shape (times, n)."""
        # Long after the end differences of sums are left, of either sign, as small as a rounding.
        return {s: np.maximum(rows, 0.0) for s, rows in self._summed(zone, hours, 0).items()}

    def mean_g_m3(self, zone: str, starts: Array, over_h: float) -> dict[str, Array]:
        """Return averages over windows of one length that begin at `starts`, shape (times, n)."""
        ends = self._summed(zone, starts + over_h, 1)
        begins = self._summed(zone, starts, 1)
        return {s: np.maximum(ends[s] - begins[s], 0.0) / over_h for s in ends}

    def times_h(self) -> Array:
        """Return times at which a peak can lie, and a curve is drawn: shape (times,)."""
        steps = np.concatenate([[0.0, _HAIR], np.geomspace(_FIRST_H, _LAST_H, _STEPS)])
        out = []
        for source, parts in zip(self.sources, self.emission_of, strict=True):
            each = {id(e): e for several in parts.values() for e, _ in several}
            for emission in each.values():
                ends = emission.ends_h
                last = ends[-1] if len(ends) < 4 else 0.0
                offsets = [steps, ends, *_peaks(emission, self._rates())]
                if last:
                    offsets.append(last + steps)
                out.append(source.start_h + np.concatenate(offsets))
        times = np.unique(np.concatenate(out)) if out else np.zeros(1)
        return np.asarray(times[np.concatenate([[True], np.diff(times) > _HAIR / 10])])

    def _rates(self) -> tuple[float, float]:
        assert self.room.rate_per_h is not None
        return self.room.rate_per_h, self.near.rate_per_h

    def _summed(self, zone: str, hours: Array, order: int) -> dict[str, Array]:
        units: dict[str, list[Array]] = {}
        amounts: dict[str, list[Array]] = {}
        for emission, begun in self._alike().items():
            # All that become vapour in one way are asked for at once, whenever they begin.
            starts = list(dict.fromkeys(source.start_h for source, _, _ in begun))
            at = (hours[:, None] - np.array(starts)).ravel()
            room, near = (unit.reshape(len(hours), len(starts))
                          for unit in self._answers(emission, zone, at, order))  # fmt: skip
            for source, substance, grams in begun:
                k = starts.index(source.start_h)
                # Of several people each is about his own share of the work.
                units.setdefault(substance, []).append(room[:, k] + near[:, k] / source.heads)
                amounts.setdefault(substance, []).append(grams)
        return {s: np.column_stack(units[s]) @ np.array(np.broadcast_arrays(*amounts[s]))
                for s in units}  # fmt: skip

    def _alike(self) -> dict[Emission, list[tuple[Source, str, Array]]]:
        """Return for each way of becoming vapour whose it is, of what, and how much."""
        out: dict[Emission, list[tuple[Source, str, Array]]] = {}
        for source, parts in zip(self.sources, self.emission_of, strict=True):
            for substance, several in parts.items():
                for emission, grams in several:
                    out.setdefault(emission, []).append((source, substance, grams))
        return out

    def _answers(
        self, emission: Emission, zone: str, at: Array, order: int
    ) -> tuple[Array, Array]:  # fmt: skip
        """Return what a gram leaves in the air of the room and, more, about the work [1/m3]."""
        rate, near = self._rates()
        unit = emission.response(at, rate, order) / self.room.volume_m3
        if zone != NEAR:
            return unit, np.zeros_like(unit)
        return unit, emission.response(at, near, order) / self.near.volume_m3


def air_of(
    room: Room, near: Near, sources: Sequence[Source], grams: Sequence[Mapping[str, Array]],
    as_what: Callable[[str], str | None],
) -> Air:  # fmt: skip
    """Return the air of a job.

    Parameters
    ----------
    room, near, sources
    grams : sequence of mapping of substance to array, shape (n,)
        What each source sets free [g], by its own names.
    as_what : callable
        Gives the substance as which one counts; what counts as none is left out.
    """
    told, emissions = [], []
    for source, parts in zip(sources, grams, strict=True):
        mine: dict[str, Array] = {}
        ways: dict[str, list[tuple[Emission, Array]]] = {}
        for name, amount in parts.items():
            substance = as_what(name)
            if substance is None:
                continue
            mine[substance] = mine.get(substance, np.zeros_like(amount)) + amount
            ways.setdefault(substance, []).append((source.emission_of(name), amount))
        told.append(mine)
        emissions.append(ways)
    return Air(room, near, tuple(sources), tuple(told), tuple(emissions))


def about(times: Array, rows: Sequence[Array]) -> Array:
    """Return more times about the highest value of each row of central values."""
    out = []
    for row in rows:
        at = int(np.argmax(row))
        out.append(np.linspace(times[max(at - 1, 0)], times[min(at + 1, len(times) - 1)], _FINE))
    return np.unique(np.concatenate(out))


def _peaks(emission: Emission, rates: Sequence[float]) -> list[Array]:
    """Return where a first-order source alone has its peak, in either zone."""
    if isinstance(emission, Laid):
        return [p + emission.over_h for p in _peaks(emission.each, rates)]
    if not isinstance(emission, FirstOrder):
        return []
    k = emission.per_h
    return [np.array([np.log(k / rate) / (k - rate) if abs(k - rate) > 1e-9 * k else 1 / k])
            for rate in rates if rate > 0]  # fmt: skip
