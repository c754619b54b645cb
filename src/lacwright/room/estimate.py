"""The air of a job: vapour over time in the room and near the work, held against limits and fire.

The numbers, the stops and the cautions are one object: none of them is to be shown alone.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from lacwright.figures import (
    Basis,
    Caution,
    Figure,
    Mark,
    Refusal,
    Stop,
    computed,
    given,
    unknown,
    weakest,
)
from lacwright.figures.draws import band
from lacwright.room.balance import constant, g_m3_of, molar_mass_g, ppm_of
from lacwright.room.course import DAY_H, NEAR, QUARTER_H, ROOM, ZONES, Air, about, air_of
from lacwright.room.job import Facts, Near, Room, Source, counts_as
from lacwright.room.limits import Limit, Limited, lel_of, limits_of
from lacwright.room.needed import AirNeeded, air_needed
from lacwright.room.response import Array, FirstOrder
from lacwright.room.stops import told
from lacwright.trade import table

Zoned = Mapping[str, Mapping[str, Figure]]
NO_AIR = "cannot estimate without how often the air of the room changes"
NO_MOLAR = "cannot estimate: an unnamed rest has no molar mass"
NO_LIMIT = "no limit on file"
_MODEL = "the model of the air of a room (explanation, equations 1 to 8)"
_AIRED_H = 1000.0


@dataclass(frozen=True, eq=False)
class Curve:
    """The central case over time, for a drawing.

    Parameters
    ----------
    times_h : array, shape (n,)
    index : mapping of zone to array, shape (n,)
        Concentrations over 8-hour limits, summed.
    lel_share : array, shape (n,)
        Of the room [1].
    """

    times_h: Array
    index: Mapping[str, Array]
    lel_share: Array


@dataclass(frozen=True, eq=False)
class Estimate:
    """What the model says of the air of a job.

    Parameters
    ----------
    evaporated_g : mapping of str to Figure
        Solvent set free, by its own names [g]; brush, rag and dish are in it.
    evaporated_total_g : Figure
    peak_ppm, twa_8h_ppm, max_15min_ppm : mapping of zone to mapping of substance to Figure
        "room" is the average of the room, "near" the air that the finisher breathes. Substances
        as they count for health. The 8 hours are the worst that begin with a laying.
    bound_ppm : mapping of "one_coat", "all" to mapping of substance to Figure
        Grams over cubic metres: no drying and no ventilation is assumed.
    lel_fraction_peak, lel_fraction_bound, lel_fraction_one_coat : Figure
        Of the room, against the lower explosive limit of the mixture [1].
    mixture_index, mixture_index_room, mixture_index_15min : Figure
        Sum of 8-hour averages over limits, near the work and in the room; the same of 15 minutes
        over short-term limits, near the work.
    air_needed : AirNeeded
    falls_below_limits_h : Figure
        After the last laying, until the upper end of the room is below the 8-hour limits [h].
    limits : mapping of substance to Limited
    lel_percent : mapping of substance to Figure
        Of what counts for fire.
    assumed : mapping of str to Figure
        What the numbers rest on.
    notes : tuple of str
        What was taken for what.
    stops : tuple of Stop
    cautions : tuple of Caution
        They belong to the numbers.
    curve : Curve or None
    """

    evaporated_g: Mapping[str, Figure]
    evaporated_total_g: Figure
    peak_ppm: Zoned
    twa_8h_ppm: Zoned
    max_15min_ppm: Zoned
    bound_ppm: Zoned
    lel_fraction_peak: Figure
    lel_fraction_bound: Figure
    lel_fraction_one_coat: Figure
    mixture_index: Figure
    mixture_index_room: Figure
    mixture_index_15min: Figure
    air_needed: AirNeeded
    falls_below_limits_h: Figure
    limits: Mapping[str, Limited]
    lel_percent: Mapping[str, Figure]
    assumed: Mapping[str, Figure]
    notes: tuple[str, ...]
    stops: tuple[Stop, ...]
    cautions: tuple[Caution, ...]
    curve: Curve | None

    def figures(self) -> dict[str, Figure]:
        """Return every figure by name: "peak_ppm.near.ethanol"."""
        out: dict[str, Figure] = {}
        out |= {f"evaporated_g.{s}": f for s, f in self.evaporated_g.items()}
        for name in ("peak_ppm", "twa_8h_ppm", "max_15min_ppm", "bound_ppm"):
            zoned: Zoned = getattr(self, name)
            out |= {f"{name}.{z}.{s}": f for z, parts in zoned.items() for s, f in parts.items()}
        out |= {k: v for k, v in vars(self).items() if isinstance(v, Figure)}
        out |= self.air_needed.figures()
        for limited in self.limits.values():
            out |= {f"limit.{x.substance}.{x.kind}": x.figure() for x in limited.all()}
        out |= {f"lel_percent.{s}": f for s, f in self.lel_percent.items()}
        return out | {f"assumed.{k}": f for k, f in self.assumed.items()}


def estimate(
    sources: Sequence[Source], room: Room, *, near: Near | None = None, facts: Facts | None = None,
    jurisdiction: str | None = None, own_limits: Sequence[Limit] = (),
    own_lel: Mapping[str, float] | None = None, extra_share: float | None = None,
    hold_share: float = 1.0,
) -> Estimate:  # fmt: skip
    """Estimate the air of a job.

    Parameters
    ----------
    sources : sequence of Source
        Coats and cleaning, at least one.
    room : Room
        Without its air changes the two bounds alone are told.
    near : Near, optional
        That of the table if left out.
    facts : Facts, optional
        What else is in the room; what is not said there calls for a stop or a caution.
    jurisdiction : str, optional
        Whose limits count; the lowest on file if left out.
    own_limits : sequence of Limit
    own_lel : mapping of str to float, optional
        [%].
    extra_share : float, optional
        For brush, rag and dish on top of what is laid, 0 or more [1]; that of the table if left
        out.
    hold_share : float
        Share of the limit that the needed air is reckoned for, above 0 to 1.

    Raises
    ------
    Refusal
        Without a source, or for a number outside its range.
    """
    if not sources:
        raise Refusal("job", "nothing is laid in it", "name a coat or alcohol for cleaning")
    if not 0 < hold_share <= 1:
        raise Refusal("share of the limit", f"{hold_share:g}", "give a share above 0, at most 1")
    near, facts = near or Near.usual(), facts or Facts()
    assumed = _assumed(sources, room, near, extra_share, hold_share)
    extra = assumed["extra_share"].number()
    grams = [_with_extra(one, extra) for one in sources]
    health = air_of(room, near, sources, grams, lambda s: counts_as(s)[0])
    fire = air_of(room, near, sources, grams, lambda s: counts_as(s)[1])
    nameless = tuple(dict.fromkeys(s for one in sources for s in one.grams if not counts_as(s)[0]))
    limits = limits_of(health.substances, jurisdiction=jurisdiction, own=own_limits)
    lel = lel_of(fire.substances, own=own_lel)
    made = _Maker(room, health, fire, limits, lel, nameless, assumed)
    made.run()
    evaporated = _evaporated(sources, grams, assumed["extra_share"])
    needed = air_needed(sources, health, fire, limits, lel, room, hold_share)
    result = Estimate(
        evaporated_g=evaporated, evaporated_total_g=computed(
            " + ".join(f"g{n}" for n in range(len(evaporated))), "g",
            {f"g{n}": f for n, f in enumerate(evaporated.values())},
        ),
        peak_ppm=made.peak, twa_8h_ppm=made.day, max_15min_ppm=made.quarter,
        bound_ppm=made.bound, lel_fraction_peak=made.lel_peak, lel_fraction_bound=made.lel_bound,
        lel_fraction_one_coat=made.lel_one, mixture_index=made.index[NEAR],
        mixture_index_room=made.index[ROOM], mixture_index_15min=made.index_short,
        air_needed=needed, falls_below_limits_h=made.aired, limits=limits, lel_percent=lel,
        assumed=assumed, notes=_notes(sources, limits), stops=(), cautions=(), curve=made.curve,
    )  # fmt: skip
    cautions, stops = told(result, sources, room, facts, nameless, jurisdiction=jurisdiction)
    return replace(result, cautions=cautions, stops=stops)


class _Maker:
    """Makes the figures of an estimate, health and fire side by side."""

    def __init__(
        self, room: Room, health: Air, fire: Air, limits: Mapping[str, Limited],
        lel: Mapping[str, Figure], nameless: tuple[str, ...], assumed: Mapping[str, Figure],
    ) -> None:  # fmt: skip
        self.room, self.health, self.fire = room, health, fire
        self.limits, self.lel, self.nameless = limits, lel, nameless
        self.known = room.rate_per_h is not None
        self.range = constant("model_range")
        self.day_ppm = {s: x.day.ppm for s, x in limits.items() if x.day is not None}
        self.short_ppm = {s: x.ppm for s, b in limits.items()
                          if (x := b.short or b.ceiling) is not None}  # fmt: skip
        self.mark = weakest(*(f.mark for f in assumed.values()))
        self.limit_mark = weakest(*(x.mark for b in limits.values() for x in b.all()))
        self.lel_g_m3 = {s: g_m3_of(ppm=1e4 * f.number(), molar_mass_g=_molar(s))
                         for s, f in lel.items()}  # fmt: skip
        self.curve: Curve | None = None

    def run(self) -> None:
        """Fill in everything."""
        one, every = self._bounds(self.health, _ppm)
        self.bound = {"one_coat": one | self._nameless(), "all": every | self._nameless()}
        self._fire_bounds()
        self.peak: dict[str, dict[str, Figure]] = {z: {} for z in ZONES}
        self.quarter: dict[str, dict[str, Figure]] = {z: {} for z in ZONES}
        self.day: dict[str, dict[str, Figure]] = {z: {} for z in ZONES}
        self.index: dict[str, Figure] = {}
        if not self.known:
            self._without_air()
            return
        times = self.health.times_h()
        for zone in ZONES:
            self._zone(zone, times)
        self._fire_peak()
        self.aired = self._aired()
        self.curve = self._curve(times)

    def _zone(self, zone: str, times: Array) -> None:
        air = self.health
        starts = np.unique(np.concatenate([times, np.maximum(times - QUARTER_H, 0.0)]))
        begins = np.unique([s.start_h for s in air.sources])
        rows = air.g_m3(zone, times)
        fine = air.g_m3(zone, about(times, [rows[s][:, 0] for s in rows]))
        peaks = {s: np.concatenate([rows[s], fine[s]]) for s in rows}
        short = air.mean_g_m3(zone, starts, QUARTER_H)
        finer = about(starts, [short[s][:, 0] for s in short])
        fine = air.mean_g_m3(zone, finer, QUARTER_H)
        short = {s: np.concatenate([short[s], fine[s]]) for s in short}
        long = air.mean_g_m3(zone, begins, DAY_H)
        for s in air.substances:
            most = self.bound["all"][s].high if zone == ROOM else None
            for into, found in ((self.peak, peaks), (self.quarter, short), (self.day, long)):
                draws = _ppm(s, found[s].max(axis=0))
                into[zone][s] = self._figure(draws, "ppm", self.mark, most)
        for into in (self.peak, self.quarter, self.day):
            into[zone] |= self._nameless()
        self.index[zone] = self._index(long, self.day_ppm)
        if zone == NEAR:
            self.index_short = self._index(short, self.short_ppm)

    def _index(self, rows: Mapping[str, Array], limits: Mapping[str, float]) -> Figure:
        if not any(s in limits for s in rows):
            return unknown("1", f"cannot estimate: {NO_LIMIT}")
        total = sum(_ppm(s, rows[s]) / limits[s] for s in rows if s in limits)
        return self._figure(np.asarray(total).max(axis=0), "1",
                            weakest(self.mark, self.limit_mark))  # fmt: skip

    def _figure(
        self, draws: Array, unit: str, mark: Mark, most: float | None = None
    ) -> Figure:  # fmt: skip
        value, low, high = band(draws)
        low, high = low / self.range, high * self.range
        if most is not None:
            high = max(value, min(high, most))
        return Figure(value, low, high, unit, Basis.COMPUTED, mark, _MODEL)

    def _bounds(
        self, air: Air, unit: Callable[[str, Array], Array]
    ) -> tuple[dict[str, Figure], dict[str, Figure]]:
        """Return the bounds of one source and of all that count together, by substance."""
        one: dict[str, Figure] = {}
        every: dict[str, Figure] = {}
        groups = self._together()
        for s in air.substances:
            each = [g.get(s) for g in air.grams]
            singles = [x for x in each if x is not None]
            sums = [sum((x for k in group if (x := each[k]) is not None), np.zeros(1))
                    for group in groups]  # fmt: skip
            one[s] = self._bound(s, max(singles, key=lambda x: float(x[0])), unit)
            every[s] = self._bound(s, max(sums, key=lambda x: float(np.asarray(x)[0])), unit)
        return one, every

    def _bound(self, s: str, grams: Array, unit: Callable[[str, Array], Array]) -> Figure:
        rows = np.asarray(unit(s, grams / self.room.volume_m3))
        value, low, high = band(grams)
        inputs = {
            "grams": Figure(value, low, high, "g", Basis.COMPUTED, Mark.LIBRARY,
                            "solvent by composition"),
            "volume_m3": given(self.room.volume_m3, "m3", "room, volume"),
            "molar_volume_l": table("room_constants")["molar_volume"].figure(),
            "molar_mass_g": given(_molar(s), "g/mol", "table of substances"),
        }  # fmt: skip
        return computed("1000 * grams * molar_volume_l / (molar_mass_g * volume_m3)", "ppm",
                        inputs, draws=rows)  # fmt: skip

    def _fire_bounds(self) -> None:
        groups = self._together()
        shares = [
            sum((g[s] / self.lel_g_m3[s] / self.room.volume_m3 for s in g), np.zeros(1))
            for g in self.fire.grams
        ]
        sums = [sum((shares[k] for k in group), np.zeros(1)) for group in groups]
        self.lel_one = self._exact(max(shares, key=lambda x: float(x[0])))
        self.lel_bound = self._exact(max(sums, key=lambda x: float(x[0])))

    def _exact(self, draws: Array) -> Figure:
        value, low, high = band(draws)
        mark = weakest(Mark.LIBRARY, *(f.mark for f in self.lel.values()))
        return Figure(value, low, high, "1", Basis.COMPUTED, mark,
                      "solvent over volume, Le Chatelier: no drying, no ventilation")  # fmt: skip

    def _fire_peak(self) -> None:
        def share(times: Array) -> Array:
            rows = self.fire.g_m3(ROOM, times)
            return np.asarray(sum(rows[s] / self.lel_g_m3[s] for s in rows))

        times = self.fire.times_h()
        rows = share(times)
        fine = share(about(times, [rows[:, 0]]))
        self.lel_peak = self._figure(np.concatenate([rows, fine]).max(axis=0), "1", self.mark,
                                     self.lel_bound.high)  # fmt: skip

    def _together(self) -> list[list[int]]:
        """Return the sources that count as in one air, for each as the first of them."""
        starts = [s.start_h for s in self.health.sources]
        rate, span = self.room.rate_per_h, float("inf")
        if rate:
            span = max(constant("together"), constant("renewed") / rate)
        return [[k for k, t in enumerate(starts) if first <= t < first + span] for first in starts]

    def _aired(self) -> Figure:
        """Return when the upper end of the room is below its limits, after the last laying."""
        if not self.day_ppm:
            return unknown("h", f"cannot estimate: {NO_LIMIT}")
        last = max(s.start_h + (s.over_h or 0.0) for s in self.health.sources)

        health = self.health.central()

        def above(hours: Array) -> Array:
            rows = health.g_m3(ROOM, last + hours)
            return np.asarray(sum(_ppm(s, rows[s][:, 0]) / self.day_ppm[s] for s in rows
                                  if s in self.day_ppm)) * self.range  # fmt: skip

        grid = np.concatenate([[0.0], np.geomspace(1e-3, _AIRED_H, 400)])
        over = np.flatnonzero(above(grid) > 1)
        if not over.size:
            return Figure(0.0, 0.0, 0.0, "h", Basis.COMPUTED, self.mark, _MODEL)
        if over[-1] == len(grid) - 1:
            return unknown("h", f"cannot estimate: not within {_AIRED_H:g} h in this air")
        low, high = grid[over[-1]], grid[over[-1] + 1]
        for _ in range(40):
            middle = (low + high) / 2
            low, high = (middle, high) if above(np.array([middle]))[0] > 1 else (low, middle)
        return Figure(float(high), float(high), float(high), "h", Basis.COMPUTED, self.mark, _MODEL)

    def _curve(self, times: Array) -> Curve:
        end = max(s.start_h for s in self.health.sources) + DAY_H
        even = np.unique(np.concatenate([times[times <= end], np.linspace(0, end, 200)]))
        index, health, fire = {}, self.health.central(), self.fire.central()
        for zone in ZONES:
            rows = health.g_m3(zone, even)
            index[zone] = sum((_ppm(s, rows[s][:, 0]) / self.day_ppm[s] for s in rows
                               if s in self.day_ppm), np.zeros(len(even)))  # fmt: skip
        rows = fire.g_m3(ROOM, even)
        share = sum((rows[s][:, 0] / self.lel_g_m3[s] for s in rows), np.zeros(len(even)))
        return Curve(even, index, share)

    def _without_air(self) -> None:
        for into in (self.peak, self.quarter, self.day):
            for zone in ZONES:
                into[zone] = {s: unknown("ppm", NO_AIR) for s in self.health.substances}
                into[zone] |= self._nameless()
        self.index = {zone: unknown("1", NO_AIR) for zone in ZONES}
        self.index_short = self.lel_peak = unknown("1", NO_AIR)
        self.aired = unknown("h", NO_AIR)

    def _nameless(self) -> dict[str, Figure]:
        return {s: unknown("ppm", NO_MOLAR) for s in self.nameless}


def _ppm(substance: str, g_m3: Array) -> Array:
    return np.asarray(ppm_of(g_m3=g_m3, molar_mass_g=_molar(substance)))


def _molar(substance: str) -> float:
    molar = molar_mass_g(substance)
    assert molar is not None
    return molar


def _with_extra(source: Source, extra: float) -> dict[str, Array]:
    more = 1 + extra if source.takes_extra else 1.0
    return {s: np.atleast_1d(np.asarray(g, dtype=float)) * more for s, g in source.grams.items()}


def _evaporated(
    sources: Sequence[Source], grams: Sequence[Mapping[str, Array]], extra: Figure
) -> dict[str, Figure]:
    out: dict[str, Figure] = {}
    for s in dict.fromkeys(s for one in grams for s in one):
        laid = [(one, g[s]) for one, g in zip(sources, grams, strict=True) if s in g]
        value, low, high = band(np.asarray(sum((g for _, g in laid), np.zeros(1))))
        mark = weakest(Mark.LIBRARY, *([extra.mark] if any(o.takes_extra for o, _ in laid) else []))
        out[s] = Figure(value, low, high, "g", Basis.COMPUTED, mark,
                        "amounts laid, by composition, with brush, rag and dish")  # fmt: skip
    return out


def _assumed(
    sources: Sequence[Source], room: Room, near: Near, extra_share: float | None,
    hold_share: float,
) -> dict[str, Figure]:  # fmt: skip
    rows, usual = table("room_constants"), Near.usual()

    def near_figure(key: str, value: float, unit: str, of_table: float) -> Figure:
        return rows[key].figure() if value == of_table else given(value, unit)

    out = {"volume_m3": given(room.volume_m3, "m3", "room, volume")}
    if room.air_changes_per_h is not None:
        out |= {"air_changes_per_h": room.air, "mixing_factor": room.factor}
    out["near_radius_m"] = near_figure("near_radius", near.radius_m, "m", usual.radius_m)
    out["near_speed_m_s"] = near_figure("near_speed", near.speed_m_s, "m/s", usual.speed_m_s)
    if extra_share is None:
        out["extra_share"] = rows["extra_share"].figure()
    elif extra_share >= 0:
        out["extra_share"] = given(extra_share, "1")
    else:
        raise Refusal("extra share", f"{extra_share:g} is below zero", "give 0 or more")
    rate = rows["drying_per_h"]
    if any(_is_first_order(s, rate.number("value")) for s in sources):
        out["drying_per_h"] = rate.figure()
    out["hold_share"] = given(hold_share, "1", "share of the limit to hold")
    out["model_range"] = rows["model_range"].figure()
    return out


def _is_first_order(source: Source, per_h: float) -> bool:
    ways = source.emission.values() if isinstance(source.emission, Mapping) else [source.emission]
    return any(getattr(way, "each", way) == FirstOrder(per_h) for way in ways)


def _notes(sources: Sequence[Source], limits: Mapping[str, Limited]) -> tuple[str, ...]:
    rows = table("room_unknown")
    taken = [rows[s].text("words") for s in dict.fromkeys(s for one in sources for s in one.grams)
             if s in rows]  # fmt: skip
    return (*taken, *(note for limited in limits.values() for note in limited.notes))
