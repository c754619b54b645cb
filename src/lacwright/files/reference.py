"""The tables of the reference of the piece file, made from the models that read it.

`python -m lacwright.files.reference docs/reference/piece-file.md` writes them anew between their
marks; a test compares what stands there.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Callable, Iterable
from pathlib import Path

from pydantic import BaseModel

from lacwright.figures import Refusal
from lacwright.files import money, tables
from lacwright.files.checks import keys
from lacwright.files.colour_panels import BandTable, PanelTable
from lacwright.files.own import WeighedTable, example, own_keys
from lacwright.files.parts import PartFields, shapes
from lacwright.files.readings_toml import BandReadings, LaidTable, PieceReadings, ReadingsTable
from lacwright.files.room_table import RoomTable
from lacwright.files.timed_coat import EventTable, TimedTable
from lacwright.plan.suitability import side_table
from lacwright.trade import table

MODELS: dict[str, type[BaseModel]] = {
    "top": tables.TopTable,
    "wish": tables.WishTable,
    "shop": tables.ShopTable,
    "room": RoomTable,
    "mix": tables.MixTable,
    "mix.flakes": tables.FlakesTable,
    "step": tables.StepTable,
    "lot": tables.LotTable,
    "hand.weighed": WeighedTable,
    "quote": money.QuoteTable,
    "quote.hours": money.HoursTable,
    "quote.material": money.MaterialTable,
    "class": money.ClassTable,
    "class.exercise": money.ExerciseTable,
    "class.item": money.ItemTable,
}
"""Every table of the piece file whose keys are described beside its model."""

OF_TIMED: dict[str, type[BaseModel]] = {"timed": TimedTable, "event": EventTable}
"""Those of the file of timed coats."""

OF_COLOUR: dict[str, type[BaseModel]] = {"panel": PanelTable, "panel.band": BandTable}
"""Those of the file of panels whose colour was read."""

OF_READINGS: dict[str, type[BaseModel]] = {
    "readings": ReadingsTable, "readings.reading": BandReadings, "readings.piece": PieceReadings,
    "readings.coat": LaidTable,
}  # fmt: skip
"""Those of the file of readings for `lacwright coats-to-go`."""

_BLOCK = re.compile(r"(<!-- table: ([\w.]+) -->\n).*?(<!-- end -->)", re.DOTALL)


def filled(text: str) -> str:
    """Return a page with every marked table written anew.

    Parameters
    ----------
    text : str
        Markdown with blocks "<!-- table: wish -->" to "<!-- end -->".

    Raises
    ------
    Refusal
        For a mark of a table that there is not.
    """

    def block(match: re.Match[str]) -> str:
        return f"{match[1]}{_table(match[2])}\n{match[3]}"

    return _BLOCK.sub(block, text)


def main(paths: list[str]) -> None:
    """Write the tables of these pages anew."""
    for path in map(Path, paths):
        path.write_text(filled(path.read_text(encoding="utf-8")), encoding="utf-8")


def _table(name: str) -> str:
    if name in MODELS:
        return _model(MODELS[name])
    if name in OF_TIMED:
        return _model(OF_TIMED[name])
    if name in OF_READINGS:
        return _model(OF_READINGS[name])
    if name in OF_COLOUR:
        return _model(OF_COLOUR[name])
    if name in _OTHERS:
        return _OTHERS[name]()
    raise Refusal(f"<!-- table: {name} -->", "there is no such table", "check the name")


def _model(model: type[BaseModel]) -> str:
    rows = []
    for key, field in keys(model).items():
        about = field.json_schema_extra
        left_out = "must be there" if field.is_required() else about["default"] or "nothing"
        rows.append((f"`{key}`", field.description, about["unit"] or "-", left_out,
                     f"`{key} = {field.examples[0]}`"))  # fmt: skip
    return _rows(("key", "what it is", "read into", "if left out", "example"), rows)


def _own() -> str:
    rows = []
    for key in own_keys():
        each = f"; <...>: {', '.join(key.each)}" if key.each else ""
        unit = "-" if key.unit == "1" else key.unit
        rows.append((f"`{key.name}`", key.words + each, unit, key.default or "not set",
                     f"`{example(key)}`"))  # fmt: skip
    return _rows(("figure", "what it is", "read into", "default (5 to 95 %)", "written"), rows)


def _steps() -> str:
    rows = [
        (f"`{row.key}`", ", ".join(row.words("also")) or "-", row.text("words"),
         row.text("lays"), row.text("sands"))
        for row in table("steps")
    ]  # fmt: skip
    return _rows(("what", "also", "in words", "lays mix", "takes film off"), rows)


def _uses() -> str:
    rows = [
        (f"`{row.key}`", ", ".join(row.words("also")) or "-", row.text("words"))
        for row in table("uses")
    ]
    return _rows(("use", "also", "in words"), rows)


def _sides() -> str:
    rows = [
        (side, f"`{row.key}`", ", ".join(row.words("also")) or "-", row.text("words"))
        for side in ("under", "over")
        for row in side_table(side)
    ]
    return _rows(("key", "word", "also", "in words"), rows)


def _methods() -> str:
    rows = [
        (f"`{row.key}`", ", ".join(row.words("also")) or "-", row.text("words"))
        for row in table("methods")
    ]
    return _rows(("method", "also", "in words"), rows)


def _shapes() -> str:
    common = set(PartFields.model_fields)
    rows = []
    for name, model in shapes().items():
        own = [
            f"`{key}`" if not field.is_required() else f"**`{key}`**"
            for key, field in model.model_fields.items()
            if key not in common
        ]
        rows.append((f"`{name}`", (model.__doc__ or "").strip().splitlines()[0], ", ".join(own)))
    return _rows(("shape", "what it is", "its keys (bold: needed)"), rows)


_OTHERS: dict[str, Callable[[], str]] = {
    "hand": _own,
    "uses": _uses,
    "sides": _sides,
    "steps": _steps,
    "methods": _methods,
    "shapes": _shapes,
}


def _rows(head: tuple[str, ...], rows: Iterable[tuple[str, ...]]) -> str:
    lines = [head, tuple("---" for _ in head), *rows]
    return "\n".join("| " + " | ".join(c.replace("|", "\\|") for c in r) + " |" for r in lines)


if __name__ == "__main__":
    main(sys.argv[1:])
