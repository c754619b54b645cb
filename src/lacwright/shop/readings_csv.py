"""A logger's table of readings: CSV as people and loggers write it, every fault told by its line.

Units stand in the heading ("temp [F]", "rh %") or in the cells ("21 C", "45 %"). Without one a
temperature is taken in C; a humidity must say whether it is in % or a share.
"""

from __future__ import annotations

import csv
import datetime as dt
import io
import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from lacwright.figures import Refusal, Refusals
from lacwright.figures import units as u
from lacwright.figures.quantities import read, read_rh
from lacwright.figures.spoken import counted
from lacwright.files.whole_file import read_file
from lacwright.shop.clock import iso, read_twice
from lacwright.shop.csv_faults import csv_fault

MOST_ROWS = 20_000
"""A reading every quarter of an hour for half a year; a longer table is imported in parts."""
MOST_BYTES = 5_000_000
LOWEST_C, HIGHEST_C = -30.0, 60.0
"""A temperature outside is taken for a slip, or for the other scale."""
LINES_NAMED = 5
MOST_TOLD = 20
"""Faults that are told; a table in another form has one in every line."""

COLUMNS: dict[str, tuple[str, ...]] = {
    "date": ("date", "day"),
    "time": ("time", "when", "at", "moment", "timestamp", "date time", "datetime"),
    "temp_c": ("temp", "temperature", "air temp", "air temperature", "t"),
    "rh": ("rh", "humidity", "relative humidity", "hum"),
    "board_mc": ("board", "board moisture", "board mc", "wood moisture", "moisture", "mc"),
    "board_temp_c": ("board temp", "board temperature", "surface temp", "surface temperature"),
    "where": ("place", "where", "room"),
}
"""What a column holds, by the words its heading may use."""


@dataclass(frozen=True)
class ReadingRow:
    """One line of the table."""

    at_us: int
    temp_c: float | None = None
    rh: float | None = None
    board_mc: float | None = None
    board_temp_c: float | None = None
    where: str = ""
    line: str = "FILE"
    """Where it stands in the table, for a refusal."""
    second: str = ""
    """The other moment that its time may be, where the clocks showed it twice; the first counts."""

    def facts(self) -> dict[str, Any]:
        """Return what was read, by name."""
        return {"temp_c": self.temp_c, "rh": self.rh, "board_mc": self.board_mc,
                "board_temp_c": self.board_temp_c, "where": self.where}  # fmt: skip


def load_readings(path: str | Path, zone: dt.tzinfo) -> list[ReadingRow]:
    """Return the readings of a file.

    Parameters
    ----------
    path : str or Path
        A CSV file in UTF-8, at most 5 MB.
    zone : tzinfo
        In which its times are told, where they do not say.

    Raises
    ------
    Refusal
        If it cannot be read; all that is wrong in it, each with its line.
    """
    name = Path(path).name
    data = read_file(path, most_bytes=MOST_BYTES, mend="import it in parts")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise Refusal(f"{name}, line {line}", "it is not UTF-8 text", "save it as UTF-8") from None
    return read_readings(text, zone, name)


def read_readings(text: str, zone: dt.tzinfo, name: str = "FILE") -> list[ReadingRow]:
    """Return the readings of a table as text; see `load_readings`."""
    lines = _lines(text, name)
    first = next(lines, None)
    if first is None:
        raise Refusal(name, "it is empty", "its first line names the columns: time, temp, rh")
    columns = _columns(first[1], f"{name}, line {first[0]}")
    rows: list[ReadingRow] = []
    wrong: list[Refusal] = []
    for number, cells in lines:
        where = f"{name}, line {number}"
        if len(rows) + len(wrong) >= MOST_ROWS:
            raise Refusal(name, f"it has more than {MOST_ROWS} lines", "import it in parts")
        row = _row(cells, columns, zone, where, wrong)
        if row is not None:
            rows.append(row)
    if wrong:
        raise all_wrong(wrong, name)
    return rows


def twice(rows: Sequence[ReadingRow]) -> list[str]:
    """Return what to say of readings in an hour that the clocks showed twice, nothing if none is.

    A logger that keeps the time of the wall does not tell in which of the two hours it read.
    """
    doubled = [row for row in rows if row.second]
    if not doubled:
        return []
    name, _, _ = doubled[0].line.rpartition(", line ")
    lines = [row.line.rpartition(" ")[2] for row in doubled]
    more = f" and {len(lines) - LINES_NAMED} more" if len(lines) > LINES_NAMED else ""
    return [
        f"{counted(len(doubled), 'reading')} of {name or 'the table'} may be of either of two "
        f"hours, since the clocks showed the hour twice (line "
        f"{', '.join(lines[:LINES_NAMED])}{more}): the first is taken. Where it was the second, "
        f'write the time with its offset and import that, here "{doubled[0].second}".'
    ]


def all_wrong(wrong: Sequence[Refusal], name: str) -> Refusals:
    """Return the faults of a table as they are told: the first of them, and how many are left."""
    told, more = list(wrong[:MOST_TOLD]), len(wrong) - MOST_TOLD
    if more > 0:
        told.append(Refusal(name, f"{counted(more, 'more fault')} like these",
                            "mend the first ones and try again"))  # fmt: skip
    return Refusals(told)


@dataclass(frozen=True)
class _Column:
    name: str
    unit: str
    words: str


def _lines(text: str, name: str) -> Iterator[tuple[int, Sequence[str]]]:
    """Yield number and cells of every line that has any."""
    head = text.lstrip("\ufeff").partition("\n")[0]
    mark = max(";\t,", key=head.count)  # "," last: it is also a decimal comma
    reader = csv.reader(io.StringIO(text), delimiter=mark, strict=True)
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                yield reader.line_num, [cell.strip() for cell in cells]
    except csv.Error as error:
        raise Refusal(f"{name}, line {reader.line_num}", csv_fault(error),
                      "a quote that opens must close, and a quote in a text is written twice"
                      ) from None  # fmt: skip


def _columns(heads: Sequence[str], where: str) -> list[_Column | None]:
    """Return what each column holds, None for one that is not read."""
    by_word = {word: name for name, words in COLUMNS.items() for word in words}
    out: list[_Column | None] = []
    for head in heads:
        plain, unit = _unit(head)
        name = by_word.get(plain)
        if name is not None and any(c is not None and c.name == name for c in out):
            raise Refusal(where, f"two columns hold the same ('{head}')", "leave one of them out")
        out.append(None if name is None else _Column(name, unit, head))
    found = {column.name for column in out if column is not None}
    if not found & {"time", "date"}:
        raise Refusal(where, "no column is called time", "name the columns: time, temp, rh")
    if not found - {"time", "date", "where"}:
        raise Refusal(where, "no column holds a reading",
                      "call them temp, rh, board or board temp")  # fmt: skip
    return out


def _unit(head: str) -> tuple[str, str]:
    """Return ("board temp", "f") for "Board temp [F]", "board_temp_f", "Board temp (°F)"."""
    text = " ".join(re.sub(r"[_\s]+", " ", head.lower()).split())
    match = re.fullmatch(r"(.*?)\s*[\[(]\s*(.*?)\s*[\])]", text)
    if match:
        return match[1], match[2]
    match = re.fullmatch(r"(.+?)(?: (c|f)| ?(%|° ?[cf]))", text)
    if match:
        return match[1], (match[2] or match[3]).replace(" ", "")
    return text, ""


def _row(
    cells: Sequence[str], columns: list[_Column | None], zone: dt.tzinfo, where: str,
    wrong: list[Refusal],
) -> ReadingRow | None:  # fmt: skip
    if len(cells) > len(columns):
        wrong.append(Refusal(where, f"it has {len(cells)} cells, the heading has {len(columns)}",
                             "a decimal comma needs another mark between the cells"))  # fmt: skip
        return None
    said: dict[str, Any] = {}
    moment: dict[str, str] = {}
    before = len(wrong)
    for column, cell in zip(columns, cells, strict=False):
        if column is None or not cell:
            continue
        at = f"{where}, {column.words}"
        try:
            if column.name in ("time", "date"):
                moment[column.name] = cell
            else:
                said[column.name] = _READ[column.name](_with_unit(cell, column.unit), at)
        except Refusal as refusal:
            wrong.append(refusal)
    try:
        text = " ".join(moment[name] for name in ("date", "time") if name in moment)
        said["at_us"], second = read_twice(text, zone, f"{where}, time") if text else (None, None)
        if second is not None:
            said["second"] = iso(second, zone)
    except Refusal as refusal:
        wrong.append(refusal)
    if "at_us" in said and said["at_us"] is None:
        wrong.append(Refusal(where, "it has no time", 'write e.g. "2027-03-01 09:15"'))
    elif len(wrong) == before and not said.keys() - {"at_us", "where", "second"}:
        wrong.append(Refusal(where, "nothing was read", "leave the line out"))
    return ReadingRow(**said, line=where) if len(wrong) == before else None


def _with_unit(cell: str, unit: str) -> str:
    """Return the cell with the unit of its heading, where it has none of its own."""
    return f"{cell} {unit}" if unit and re.fullmatch(r"[-+]?\d*[.,]?\d+", cell) else cell


def temperature(value: float, where: str) -> float:
    """Return a temperature of air or board [C].

    Raises
    ------
    Refusal
        For one that no shop has.
    """
    if not LOWEST_C <= value <= HIGHEST_C:
        raise Refusal(where, f"{value:g} C is no temperature of a shop", "write e.g. 21 C, or 70 F")
    return float(value)


def read_moisture(text: str, where: str) -> float:
    """Read the moisture of a board, water by weight of dry wood [0 to 1].

    Raises
    ------
    Refusal
        For a bare number of 1 or more, or more than the wood weighs.
    """
    value = read(text, u.SHARE, where)
    if value > 1 and "%" not in text:
        raise Refusal(where, f"{value:g} is not below 1 and has no unit",
                      f"write '{value:g} %' or {value / 100:g}")  # fmt: skip
    if value > 1:
        raise Refusal(where, f"'{text}' is more than a board holds", "write e.g. 9 %")
    return value


_READ: dict[str, Callable[[str, str], Any]] = {
    "temp_c": lambda text, where: temperature(read(text, u.TEMPERATURE, where), where),
    "board_temp_c": lambda text, where: temperature(read(text, u.TEMPERATURE, where), where),
    "rh": read_rh, "board_mc": read_moisture, "where": lambda text, where: text,
}  # fmt: skip
