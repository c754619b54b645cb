"""Tables of the trade: CSV rows in the package, each with mark and source, checked when loaded."""

from __future__ import annotations

import csv
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from importlib.resources import files

from lacwright.figures import Basis, Figure, Learned, Mark, Refusal, nearest
from lacwright.figures.learned import Z95


@dataclass(frozen=True)
class Row:
    """One row of a table."""

    table: str
    key: str
    fields: Mapping[str, str]
    mark: Mark
    source: str

    def text(self, column: str) -> str:
        """Return a cell as text, "" where it is empty."""
        return self.fields[column].strip()

    def words(self, column: str) -> tuple[str, ...]:
        """Return a cell of words parted by semicolons."""
        return tuple(w.strip() for w in self.fields[column].split(";") if w.strip())

    def yes(self, column: str) -> bool:
        """Return whether the cell says yes."""
        return self.text(column) == "yes"

    def has(self, column: str) -> bool:
        """Return whether the cell is filled."""
        return bool(self.text(column))

    def names(self) -> tuple[str, ...]:
        """Return its key and the other names it goes by."""
        return (self.key, *(self.words("also") if "also" in self.fields else ()))

    def number(self, column: str) -> float:
        """Return a cell as a number; raise KeyError for an empty one."""
        cell = self.text(column)
        if not cell:
            raise KeyError(f"{self.table}/{self.key} has no {column}")
        return float(cell)

    def figure(self, column: str = "value", unit: str | None = None) -> Figure:
        """Return `column` with its `_low` and `_high` neighbours as a default figure.

        The neighbours of the column `value` are called `low` and `high`. The unit is the
        argument, or the row's cell `unit`.
        """
        low, high = _neighbours(column)
        unit = self.text("unit") if unit is None else unit
        return Figure(
            self.number(column),
            self.number(low) if self.fields.get(low) else None,
            self.number(high) if self.fields.get(high) else None,
            unit, Basis.DEFAULT, self.mark, self.source,
        )  # fmt: skip

    def learned(self, name: str, column: str = "value", unit: str | None = None) -> Learned:
        """Return the same as a log-normal prior: `_low` and `_high` read as 5 and 95 %."""
        low, high = _neighbours(column)
        unit = self.text("unit") if unit is None else unit
        ln_sd = 0.0
        if self.fields.get(low) and self.fields.get(high):
            ln_sd = math.log(self.number(high) / self.number(low)) / (2 * Z95)
        return Learned(name, unit, self.number(column), ln_sd, self.source, self.mark)


@dataclass(frozen=True)
class Table:
    """A table of rows by key."""

    name: str
    rows: Mapping[str, Row]

    def __iter__(self) -> Iterator[Row]:
        return iter(self.rows.values())

    def __getitem__(self, key: str) -> Row:
        return self.rows[key]

    def __contains__(self, key: object) -> bool:
        return key in self.rows

    @cached_property
    def _by_name(self) -> dict[str, Row]:
        return {_plain(n): row for row in self for n in row.names()}

    def find(self, name: str, where: str) -> Row:
        """Return the row that a person means: its key or one of its `also` names.

        Raises
        ------
        Refusal
            For an unknown name, with the nearest right one.
        """
        if (row := self._by_name.get(_plain(name))) is not None:
            return row
        mend = nearest(name, (n for row in self for n in row.names()))
        if not mend.startswith("did you mean"):
            mend = nearest(name, self.rows)
        raise Refusal(where, f"'{name}' is not in the table of {self.name}", mend)


@cache
def table(name: str) -> Table:
    """Return the named table of the package, loaded once and checked.

    Raises
    ------
    ValueError
        If a row lacks a key, mark or source, or repeats a key: a fault of the package.
    """
    text = (files("lacwright.trade") / "tables" / f"{name}.csv").read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if line.strip() and not line.startswith("#")]
    rows: dict[str, Row] = {}
    for n, fields in enumerate(csv.DictReader(lines), start=2):
        key, source = fields.get("key") or "", (fields.get("source") or "").strip()
        if not key or not source or key in rows or None in fields or None in fields.values():
            raise ValueError(f"{name}.csv, row {n}: key, mark or source is missing or doubled")
        mark = fields.get("mark") or ""
        if mark not in set(Mark):
            raise ValueError(f"{name}.csv, row {n}: '{mark}' is not a mark")
        rows[key] = Row(name, key, fields, Mark(mark), source)
    return Table(name, rows)


def names() -> tuple[str, ...]:
    """Return the names of all tables of the package."""
    folder = files("lacwright.trade") / "tables"
    return tuple(sorted(f.name[:-4] for f in folder.iterdir() if f.name.endswith(".csv")))


def _plain(name: str) -> str:
    return " ".join(name.lower().replace("_", " ").replace("-", " ").split())


def _neighbours(column: str) -> tuple[str, str]:
    if column == "value":
        return "low", "high"
    return f"{column}_low", f"{column}_high"
