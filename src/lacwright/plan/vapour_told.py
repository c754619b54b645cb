"""The air of a job in words, for text and pages: the answer first, then what it is made of."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from lacwright.figures import Figure
from lacwright.figures.spoken import founded, trimmed
from lacwright.room import NEAR, ROOM, Change, Estimate

if TYPE_CHECKING:
    from lacwright.plan.build import Plan

WIDE = 16
ZONES = {ROOM: "Room", NEAR: "Near the work"}
BURNS = "above a wet surface and in the jar the vapour can ignite whatever the room's average is"
NO_AIR = "cannot estimate without how often the air of the room changes"
TOGETHER = "Limits together"
NO_SINGLE = "no single change lifts every stop of the numbers"
OTHER_LIMITS = "the lowest on file count; say where you work, or state the limits in force there"
_KINDS = {"8h": "8 h", "15min": "15 min", "ceiling": "ceiling", "idlh": "danger to life"}

Rows = tuple[tuple[str, str], ...]


def air_lines(plan: Plan) -> list[str]:
    """Return the air of a plan in short; without a room, for want of what it is not estimated."""
    if plan.air is None:
        if plan.no_air is None:
            return []
        return [f"not estimated: {plan.no_air.what}; {plan.no_air.mend}"]
    made, air = plan.air.estimate, plan.air
    rows = (*number_rows(made), *_aired_row(made),
            *change_rows(made, air.changes, stopped=bool(made.stops)),
            *(("Taken", words) for words in (*air.notes, *made.notes)))  # fmt: skip
    if air.lowest:
        rows += (("Other limits", OTHER_LIMITS),)
    return [answer(made, stopped=bool(plan.stops)), *(f"{n:<{WIDE}} {words}" for n, words in rows)]


def answer(made: Estimate, *, stopped: bool) -> str:
    """Return the answer as a sentence; with a stop it speaks of numbers alone."""
    fire = f"{two(100 * made.lel_fraction_bound.number())} % of the lower explosive limit"
    if made.mixture_index.value is None:
        told = f"Without any air the room could reach {fire}; the rest cannot be estimated"
    else:
        told = (f"Over 8 hours the finisher breathes {estimated(made.mixture_index)} times the "
                f"limits, and without any air the room could reach {fire}")  # fmt: skip
    words = "" if stopped else "No stop triggered by this estimate. "
    return f"{words}{told}; {BURNS}."


def number_rows(made: Estimate) -> Rows:
    """Return what is set free, the bounds, room and near air, and the limits against them."""
    rows = [("Sets free", ", ".join(
        f"{trimmed(f.number(), 3)} g {s}" for s, f in made.evaporated_g.items()))]  # fmt: skip
    rows += _bounds(made)
    if made.curve is None:
        rows.append((ZONES[ROOM], NO_AIR))
    for zone, words in ZONES.items() if made.curve is not None else ():
        rows += _zone(made, zone, words)
    rows += _indices(made)
    rows += limit_rows(made)
    return tuple(rows)


def limit_rows(made: Estimate) -> Rows:
    """Return the limits that count, each with who sets it, its mark and its year."""
    rows = []
    for limited in made.limits.values():
        told = [f"{_KINDS[x.kind]} {trimmed(x.ppm, 3)} ppm ({x.where}, {x.mark}, {x.dated})"
                if x.dated else f"{_KINDS[x.kind]} {trimmed(x.ppm, 3)} ppm ({x.where})"
                for x in limited.all()]  # fmt: skip
        rows.append((f"Limits {limited.substance}", ", ".join(told) or "no limit on file"))
    return tuple(rows)


def air_rows(made: Estimate) -> Rows:
    """Return the air that would hold a limit while laying, and how long to air."""
    return (*_needed(made), *_aired_row(made))


def change_rows(made: Estimate, changes: Sequence[Change], *, stopped: bool) -> Rows:
    """Return the smallest single changes, or that none does."""
    rows = [("Would do alone", change.words) for change in changes]
    if stopped and not changes and made.mixture_index.value is not None:
        rows.append(("Would do alone", NO_SINGLE))
    return tuple(rows)


def basis_rows(made: Estimate, notes: Sequence[str]) -> Rows:
    """Return what was taken for what, and every assumption with its mark and source."""
    return (*(("Taken", words) for words in (*notes, *made.notes)),
            *(("Assumed", _assumed(name, f)) for name, f in made.assumed.items()))  # fmt: skip


def curve_words(made: Estimate) -> str:
    """Return in words what a drawing of the vapour over time shows."""
    if made.curve is None:
        return ""
    room, near = (float(made.curve.index[zone].max()) for zone in (ROOM, NEAR))
    return (f"By the central case the vapour in the room rises to {two(room)} times the 8-hour "
            f"limits, near the work to {two(near)} times, and falls as the air is renewed: "
            f"{_aired(made)}")  # fmt: skip


def estimated(figure: Figure, unit: str = "") -> str:
    """Return an estimate with its range, two figures at most."""
    if figure.value is None:
        return figure.missing or "not told"
    text = f"{two(figure.value)}{unit}"
    if figure.low is None or figure.high is None or figure.low == figure.high:
        return text
    return f"{text} ({two(figure.low)} to {two(figure.high)})"


def two(value: float) -> str:
    """Return a number with two figures at most."""
    return trimmed(float(f"{value:.2g}"), 2)


def _bounds(made: Estimate) -> Iterator[tuple[str, str]]:
    for which, words, share in (("one_coat", "one coat", made.lel_fraction_one_coat),
                                ("all", "all", made.lel_fraction_bound)):  # fmt: skip
        parts = ", ".join(f"{trimmed(f.number(), 3)} ppm {s}" if f.value is not None else
                          f"{s} not told" for s, f in made.bound_ppm[which].items())  # fmt: skip
        yield "Without any air", (f"{words}: {parts}; "
                                  f"{trimmed(100 * share.number(), 2)} % of the LEL")  # fmt: skip


def _zone(made: Estimate, zone: str, words: str) -> Iterator[tuple[str, str]]:
    for s, peak in made.peak_ppm[zone].items():
        if peak.value is None:
            yield words, f"{s}: {peak.missing}"
            continue
        yield words, (f"{s}: peak {estimated(peak, ' ppm')}, 15 min "
                      f"{estimated(made.max_15min_ppm[zone][s])}, 8 h "
                      f"{estimated(made.twa_8h_ppm[zone][s])}")  # fmt: skip


def _indices(made: Estimate) -> Rows:
    if made.mixture_index.value is None:
        return ()
    return ((TOGETHER, f"8 h near the work {estimated(made.mixture_index)}, in the "
             f"room {estimated(made.mixture_index_room)}; 15 min near the work "
             f"{estimated(made.mixture_index_15min)}; above 1 is too much"),)  # fmt: skip


def _needed(made: Estimate) -> Rows:
    perfect, loaded = (made.air_needed.m3_per_h[k] for k in ("perfect", "with_factor"))
    changes = made.air_needed.changes_per_h["with_factor"]
    if perfect["additive"].value is None:
        return (("Air while laying", perfect["additive"].missing or "not told"),)
    return tuple(
        ("Air while laying", f"{words}: {two(perfect[key].number())} m3/h if it mixed "
         f"perfectly, {two(loaded[key].number())} with the factor, "
         f"{two(changes[key].number())} times an hour; a balance, no design of a fan")
        for key, words in (("additive", "to hold the limits"),
                           ("lel_share", "to hold a quarter of the LEL"))
    )  # fmt: skip


def _aired_row(made: Estimate) -> Rows:
    return (("Airing", _aired(made)),)


def _aired(made: Estimate) -> str:
    figure = made.falls_below_limits_h
    if figure.value is None:
        return figure.missing or "not told"
    if figure.value == 0:
        return "the model's upper end is below the 8-hour limits as the last laying ends; air on"
    return (f"the model's upper end falls below the 8-hour limits about {two(figure.value)} h "
            "after the last laying; keep airing")  # fmt: skip


_NAMES: Mapping[str, str] = {
    "volume_m3": "air of the room", "air_changes_per_h": "air changes an hour",
    "mixing_factor": "mixing factor", "near_radius_m": "reach about the work",
    "near_speed_m_s": "air speed about the work", "extra_share": "brush, rag and dish on top",
    "drying_per_h": "drying rate", "hold_share": "share of the limit to hold",
    "model_range": "range of the model, times and divided by",
}  # fmt: skip


def _assumed(name: str, figure: Figure) -> str:
    unit = "" if figure.unit == "1" else f" {figure.unit}"
    source = figure.source if str(figure.mark) == "own" else founded(figure.mark, figure.source)
    return f"{_NAMES[name]} {trimmed(figure.number(), 3)}{unit}; {source}"
