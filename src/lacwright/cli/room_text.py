"""The text of `lacwright room`: the answer first, then what it is made of."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from lacwright.figures import Figure
from lacwright.figures.spoken import founded, trimmed

if TYPE_CHECKING:
    from lacwright.room import Change, Estimate

ZONES = {"room": "Room", "near": "Near the work"}
BURNS = "above a wet surface and in the jar the vapour can ignite whatever the room's average is"
_WIDE = 16
_KINDS = {"8h": "8 h", "15min": "15 min", "ceiling": "ceiling", "idlh": "danger to life"}


def room_lines(
    made: Estimate, changes: Sequence[Change], *, notes: Sequence[str], stopped: bool,
    plot: str | None,
) -> list[str]:  # fmt: skip
    """Return the lines of an estimate."""
    lines = [_first(made, stopped=stopped)]
    lines.append(_row("Sets free", ", ".join(
        f"{trimmed(f.number(), 3)} g {s}" for s, f in made.evaporated_g.items())))  # fmt: skip
    lines += _bounds(made)
    for zone, words in ZONES.items():
        lines += _zone(made, zone, words)
    lines += _indices(made)
    for limited in made.limits.values():
        told = [f"{_KINDS[x.kind]} {trimmed(x.ppm, 3)} ppm ({x.where}, {x.mark}, {x.dated})"
                if x.dated else f"{_KINDS[x.kind]} {trimmed(x.ppm, 3)} ppm ({x.where})"
                for x in limited.all()]  # fmt: skip
        lines.append(_row(f"Limits {limited.substance}", ", ".join(told) or "no limit on file"))
    lines += _needed(made)
    lines.append(_row("Airing", _aired(made)))
    for change in changes:
        lines.append(_row("Would do alone", change.words))
    if stopped and not changes and made.mixture_index.value is not None:
        lines.append(_row("Would do alone", "no single change lifts every stop of the numbers"))
    lines += [_row("Taken", words) for words in (*notes, *made.notes)]
    lines += [_row("Assumed", _assumed(name, f)) for name, f in made.assumed.items()]
    if plot is not None:
        lines.append(f"Drawn: {plot}")
    return lines


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


def _first(made: Estimate, *, stopped: bool) -> str:
    fire = f"{two(100 * made.lel_fraction_bound.number())} % of the lower explosive limit"
    if made.mixture_index.value is None:
        told = f"Without any air the room could reach {fire}; the rest cannot be estimated"
    else:
        told = (f"Over 8 hours the finisher breathes {estimated(made.mixture_index)} times the "
                f"limits, and without any air the room could reach {fire}")  # fmt: skip
    words = "" if stopped else "No stop triggered by this estimate. "
    return f"{words}{told}; {BURNS}."


def _bounds(made: Estimate) -> list[str]:
    out = []
    for which, words, share in (("one_coat", "one coat", made.lel_fraction_one_coat),
                                ("all", "all", made.lel_fraction_bound)):  # fmt: skip
        parts = ", ".join(f"{trimmed(f.number(), 3)} ppm {s}" if f.value is not None else
                          f"{s} not told" for s, f in made.bound_ppm[which].items())  # fmt: skip
        out.append(_row("Without any air", f"{words}: {parts}; "
                        f"{trimmed(100 * share.number(), 2)} % of the LEL"))  # fmt: skip
    return out


def _zone(made: Estimate, zone: str, words: str) -> list[str]:
    out = []
    for s, peak in made.peak_ppm[zone].items():
        if peak.value is None:
            out.append(_row(words, f"{s}: {peak.missing}"))
            continue
        out.append(_row(words, f"{s}: peak {estimated(peak, ' ppm')}, 15 min "
                        f"{estimated(made.max_15min_ppm[zone][s])}, 8 h "
                        f"{estimated(made.twa_8h_ppm[zone][s])}"))  # fmt: skip
    return out


def _indices(made: Estimate) -> list[str]:
    if made.mixture_index.value is None:
        return []
    return [_row("Limits together", f"8 h near the work {estimated(made.mixture_index)}, in the "
                 f"room {estimated(made.mixture_index_room)}; 15 min near the work "
                 f"{estimated(made.mixture_index_15min)}; above 1 is too much")]  # fmt: skip


def _needed(made: Estimate) -> list[str]:
    perfect, loaded = (made.air_needed.m3_per_h[k] for k in ("perfect", "with_factor"))
    changes = made.air_needed.changes_per_h["with_factor"]
    if perfect["additive"].value is None:
        return [_row("Air while laying", perfect["additive"].missing or "not told")]
    return [
        _row("Air while laying", f"{words}: {two(perfect[key].number())} m3/h if it mixed "
             f"perfectly, {two(loaded[key].number())} with the factor, "
             f"{two(changes[key].number())} times an hour; a balance, no design of a fan")
        for key, words in (("additive", "to hold the limits"),
                           ("lel_share", "to hold a quarter of the LEL"))
    ]  # fmt: skip


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


def _row(name: str, words: str) -> str:
    return f"{name:<{_WIDE}} {words}"
