"""CSV of every table, for a spreadsheet: for the eye, not for bringing it back (see `archive`).

UTF-8 with a byte order mark, since spreadsheets take anything else for the code page of the
machine; commas; CRLF as in RFC 4180. Beside every time in microseconds stands the moment in the
shop's zone, beside every mass in micrograms the grams. A text that a spreadsheet would take for a
formula (it begins with = + - @, a tab or a line break) gets an apostrophe in front; numbers stay
as they are.
"""

from __future__ import annotations

import csv
import datetime as dt
import json
import os
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any

from django.db import models

from lacwright.figures import Refusal
from lacwright.shop import clock, disk
from lacwright.shop.models import Balance, Event, Lot, Place
from lacwright.shop.queries.preferences import zone as shop_zone
from lacwright.shop.reading import snapshot
from lacwright.shop.tables import TABLES

_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n")
_ALL: dict[str, type[models.Model]] = {**TABLES, "event": Event, "balance": Balance}
_NAMES = {"place_id": ("place", Place), "lot_id": ("lot", Lot)}
"""Columns beside which the name is shown: a number says nothing to the eye."""
_UNITS = {"ug": "g", "price_for_u": "price_for", "order_below_u": "order_below"}
"""Columns in millionths (of a gram, or of a piece for what is counted), and what is beside them."""

Cell = Callable[[Any], Any]


@dataclass(frozen=True)
class Written:
    """What was written: rows by name of the file."""

    folder: Path
    rows: dict[str, int]


def write_csv(
    folder: str | Path, *, progress: disk.Progress = disk.quiet
) -> Written:  # fmt: skip
    """Write a CSV file for every table of the record that is open.

    Parameters
    ----------
    folder : str or Path
        Where to; it must not be there yet, or be empty.
    progress : callable
        Told how far it is.

    Raises
    ------
    Refusal
        If something lies there, or nothing can be written.
    """
    to = Path(folder).expanduser().absolute()
    kept = "no table was written"
    with disk.plainly(str(to), kept):
        if to.exists() and (not to.is_dir() or any(to.iterdir())):
            raise Refusal(str(to), "something lies there already", "name an empty or a new folder")
        to.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=".lacwright-", dir=to.parent) as temporary:
            counts = _write_all(Path(temporary) / "tables", progress)
            os.replace(Path(temporary) / "tables", to)  # an empty folder gives way to it
        return Written(to, counts)


def _write_all(folder: Path, progress: disk.Progress) -> dict[str, int]:
    folder.mkdir()
    counts = {}
    with snapshot():
        zone = shop_zone()
        names = {column: dict(table._default_manager.values_list("pk", "key"))
                 for column, (_, table) in _NAMES.items()}  # fmt: skip
        for n, (name, table) in enumerate(_ALL.items(), 1):
            progress("tables", n, len(_ALL))
            # The mark first: spreadsheets go by it.
            with (folder / f"{name}.csv").open("w", encoding="utf-8-sig", newline="") as out:
                writer = csv.writer(out)
                counts[f"{name}.csv"] = -1
                for row in _rows(table, zone, names):
                    writer.writerow(row)
                    counts[f"{name}.csv"] += 1
    return counts


def _rows(
    table: type[models.Model], zone: dt.tzinfo, names: dict[str, dict[int, str]]
) -> Iterator[list[Any]]:  # fmt: skip
    """Yield the heading, then the rows."""
    columns = [field.attname for field in table._meta.concrete_fields]
    head: list[str] = []
    cells: list[tuple[int, Cell]] = []
    for n, column in enumerate(columns):
        head.append(column)
        cells.append((n, _plain))
        beside = _beside(column, zone, names)
        if beside is not None:
            head.append(beside[0])
            cells.append((n, beside[1]))
    yield head
    for row in table._default_manager.order_by("pk").values_list(*columns).iterator(2_000):
        yield [cell(row[n]) for n, cell in cells]


def _beside(
    column: str, zone: dt.tzinfo, names: dict[str, dict[int, str]]
) -> tuple[str, Cell] | None:  # fmt: skip
    """Return what stands beside a column."""
    if column.endswith("_us"):
        return column.removesuffix("_us"), lambda us: clock.iso(us, zone)
    if column in _NAMES:
        return _NAMES[column][0], lambda number: _plain(names[column].get(number))
    if column in _UNITS:
        return _UNITS[column], _millionths
    return None


def _millionths(value: int | None) -> str:
    """Return millionths as an exact decimal number."""
    if value is None:
        return ""
    text = f"{Decimal(value) / 1_000_000:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _plain(value: Any) -> Any:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, dt.date):
        return value.isoformat()
    if isinstance(value, int | float | Decimal):
        return value
    if not isinstance(value, str):
        value = json.dumps(value, ensure_ascii=False, sort_keys=True)
    return f"'{value}" if value.startswith(_FORMULA) else value
