"""The air of a job as plain data: bare keys, and the reason for every null among them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from lacwright.figures import Figure, central
from lacwright.room import Change, Estimate, Source

BANDED = ("lel_fraction_peak", "mixture_index", "mixture_index_room", "mixture_index_15min")


def air_keys(
    made: Estimate, sources: Sequence[Source], changes: Sequence[Change], *, emission: str,
    notes: Sequence[str],
) -> tuple[dict[str, Any], dict[str, str]]:  # fmt: skip
    """Return the keys and the reason for every null among them."""
    missing: dict[str, str] = {}

    def value(path: str, figure: Figure) -> float | None:
        if figure.value is None:
            missing[path] = figure.missing or "not told"
        return figure.value

    def flat(path: str, figures: Mapping[str, Figure]) -> dict[str, float | None]:
        return {s: value(f"{path}.{s}", f) for s, f in figures.items()}

    def zoned(path: str, tables: Mapping[str, Mapping[str, Figure]]) -> dict[str, Any]:
        return {z: flat(f"{path}.{z}", parts) for z, parts in tables.items()}

    keys: dict[str, Any] = {"evaporated_g": flat("evaporated_g", made.evaporated_g)}
    keys["evaporated_total_g"] = made.evaporated_total_g.value
    for name in ("peak_ppm", "twa_8h_ppm", "max_15min_ppm", "bound_ppm"):
        keys[name] = zoned(name, getattr(made, name))
    keys["lel_fraction_one_coat"] = made.lel_fraction_one_coat.value
    keys["lel_fraction_bound"] = made.lel_fraction_bound.value
    for name in BANDED:
        figure: Figure = getattr(made, name)
        for key, one in ((name, figure.value), (f"{name}_low", figure.low),
                         (f"{name}_high", figure.high)):  # fmt: skip
            keys[key] = one
            if one is None:
                missing[key] = figure.missing or "not told"
    needed = made.air_needed
    keys["air_needed_m3_per_h"] = zoned("air_needed_m3_per_h", needed.m3_per_h)
    keys["air_needed_changes_per_h"] = zoned("air_needed_changes_per_h", needed.changes_per_h)
    keys["falls_below_limits_h"] = value("falls_below_limits_h", made.falls_below_limits_h)
    keys["limits"] = [
        {"of": x.substance, "limit": x.kind, "ppm": x.ppm, "where": x.where, "mark": str(x.mark),
         "source": x.source, "dated": x.dated}
        for limited in made.limits.values() for x in limited.all()
    ]  # fmt: skip
    keys["lel_percent"] = flat("lel_percent", made.lel_percent)
    keys["basis"] = [
        {"what": what, "value": f.value, "unit": f.unit, "basis": str(f.basis),
         "mark": str(f.mark), "source": f.source}
        for what, f in made.assumed.items()
    ]  # fmt: skip
    keys["emission"] = emission
    keys["notes"] = [*notes, *made.notes]
    keys["laid"] = [_laid(one, n, missing) for n, one in enumerate(sources)]
    keys["changes"] = [
        {"kind": c.kind, "amount": c.amount, "unit": c.unit, "words": c.words} for c in changes
    ]
    return keys, missing


def _laid(source: Source, n: int, missing: dict[str, str]) -> dict[str, Any]:
    if source.over_h is None:
        missing[f"laid.{n}.over_h"] = "not said"
    return {
        "what": source.what, "start_h": source.start_h, "over_h": source.over_h,
        "liquid_ml": central(source.liquid_ml),
        "solvent_g": {s: central(g) for s, g in source.grams.items()},
    }  # fmt: skip
