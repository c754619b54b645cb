"""`lacwright area`: how much there is to finish, by part, face, edge and end grain."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from difflib import SequenceMatcher
from typing import Any

import click

from lacwright.cli.show import brief, emit, json_option
from lacwright.figures import Figure, Refusal
from lacwright.figures.units import SQFT_M2
from lacwright.files.parts import PART_TABLE, read_parts
from lacwright.files.toml import load_toml
from lacwright.surface import WORDS, Part, Zone, total_figure
from lacwright.surface import area as area_of

SCHEMA = "lacwright.area/1"


@click.command()
@click.argument("piece", metavar="PIECE.toml")
@json_option
def area(piece: str, as_json: bool) -> None:
    """Areas of a piece by zone: faces, side-grain edges, end grain.

    Reads the [[part]] tables of the piece file; its other tables may be there or not.
    """
    data = load_toml(piece)
    _check_spelling(data, piece)
    parts = read_parts(data.get(PART_TABLE, []))
    total = total_figure(parts)
    warnings = [f"{part.name}: {text}" for part in parts for text in part.warnings]
    figures = {"area.total": total}
    figures |= {f"area.{part.name}": part.figure() for part in parts}
    emit(
        schema=SCHEMA,
        keys={
            "area_m2": total.number(),
            "zones": [_zone(zone) for part in parts for zone in part.zones],
            "parts": [_part(part) for part in parts],
            "warnings": warnings,
        },
        lines=[_sentence(total, parts), *_lines(parts), *(f"Note: {w}." for w in warnings)],
        as_json=as_json,
        figures=figures,
    )


def _check_spelling(data: Mapping[str, Any], where: str) -> None:
    """Refuse a top-level name that can only be a misspelt [[part]]."""
    for name in data:
        alike = SequenceMatcher(None, name.lower(), PART_TABLE).ratio()
        if name != PART_TABLE and alike >= 0.75:
            raise Refusal(where, f"[[{name}]] is not a table of a piece file",
                          f"did you mean [[{PART_TABLE}]]")  # fmt: skip


def _zone(zone: Zone) -> dict[str, Any]:
    thickness = zone.thickness_mm
    return {
        "part": zone.part, "face": zone.face, "kind": zone.kind,
        "area_m2": _number(zone.area_m2), "length_m": _number(zone.length_m),
        "wood": zone.wood, "thickness_mm": None if thickness is None else _number(thickness),
        "missing": {} if thickness is not None else {"thickness_mm": "the shape has none"},
    }  # fmt: skip


def _part(part: Part) -> dict[str, Any]:
    whole = part.figure()
    return {
        "part": part.name, "shape": part.shape, "count": part.count,
        "area_m2": whole.number(), "area_low_m2": whole.low, "area_high_m2": whole.high,
        "mark": str(part.mark), "source": part.source,
        "bare": list(dict.fromkeys(zone.face for zone in part.bare)),
    }  # fmt: skip


def _sentence(total: Figure, parts: Sequence[Part]) -> str:
    pieces = sum(part.count for part in parts)
    where = "1 part" if len(parts) == 1 else f"{len(parts)} parts"
    if pieces > len(parts):
        where += f" ({pieces} pieces)"
    return f"{_both(total.number())} to finish in {where}{_band(total)}."


def _lines(parts: Sequence[Part]) -> list[str]:
    wide = max(len(_title(part)) for part in parts)
    lines = []
    for part in parts:
        lines.append(f"  {_title(part):{wide}}  {_by_kind(part)}{_band(part.figure())}")
        faces = ", ".join(dict.fromkeys(zone.face for zone in part.zones))
        lines.append(f"  {'':{wide}}  named: {faces}")
    return lines


def _title(part: Part) -> str:
    return f"{part.name} x {part.count}" if part.count > 1 else part.name


def _by_kind(part: Part) -> str:
    shown = [
        f"{WORDS[kind]} {_both(amount)}"
        for kind in WORDS
        if (amount := _number(area_of(part.zones, kind))) > 0
    ]
    arris = sum(_number(zone.length_m) for zone in part.zones)
    if arris > 0:
        shown.append(f"arrises {brief(arris)} m")
    return ", ".join(shown)


def _band(figure: Figure) -> str:
    low, high = figure.low, figure.high
    if low is None or high is None or high - low < 1e-9:
        return ""
    return f", {brief(low)} to {brief(high)} m2 expected"


def _both(area_m2: float) -> str:
    return f"{brief(area_m2)} m2 ({brief(area_m2 / SQFT_M2)} sqft)"


def _number(value: Any) -> float:
    """Return a plain number for JSON: the shapes may hand out numpy scalars."""
    return float(value)
