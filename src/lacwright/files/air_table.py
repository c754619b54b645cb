"""Tables of air: hourly forecasts and logs of a hygrometer, CSV as people and loggers write it.

Columns stand in any order and go by their headings, or by a mapping that is given. What is wrong
is refused, each fault with its line; what is odd but plain (gaps, rows that stand twice, rows out
of order, the hours that a clock skips or strikes twice) is told in `reports`. Nothing is guessed
and nothing is filled in.
"""

from __future__ import annotations

import csv
import datetime as dt
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from lacwright.climate import saturation_pa
from lacwright.climate.water import constant
from lacwright.figures import Refusal, Refusals
from lacwright.figures.spoken import counted
from lacwright.files.air_cells import (
    HOLDS,
    Column,
    Moment,
    columns_of,
    order_of_dates,
    read_humidities,
    read_moment,
    read_number,
)
from lacwright.files.air_rows import MOST_TOLD, UNUSED, Row, gaps, in_order, lines_of
from lacwright.files.whole_file import read_file
from lacwright.trade import table

MOST_BYTES = 5_000_000
MOST_ROWS = 50_000
"""Faults that are told; a table in another form has one in every line."""
HEADING_WITHIN = 30
"""Lines of a logger's own talk that may stand before the headings."""
HOUR_S = 3600.0

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class AirTable:
    """Air by its time, each array of shape (rows,).

    Parameters
    ----------
    at : tuple of datetime
        In the zone of the table, rising, each once.
    temp_c, rh : array
        Air [C], [0-1].
    board_c, speed_m_s : array or None
        Board [C] and air speed [m/s], NaN in rows that do not say; None without such a column.
    reports : tuple of str
        What is odd, as sentences.
    """

    at: tuple[dt.datetime, ...]
    temp_c: Array
    rh: Array
    board_c: Array | None
    speed_m_s: Array | None
    reports: tuple[str, ...]

    def chosen(self, rows: Sequence[int], *more: str) -> AirTable:
        """Return some of the rows, and more to report."""
        which = np.asarray(rows, dtype=np.int64)
        return AirTable(
            tuple(self.at[i] for i in rows), self.temp_c[which], self.rh[which],
            None if self.board_c is None else self.board_c[which],
            None if self.speed_m_s is None else self.speed_m_s[which], (*self.reports, *more),
        )  # fmt: skip

    def hourly(self) -> AirTable:
        """Return the row nearest to each full hour, where rows stand closer than an hour.

        A table of hours, or of longer steps, comes back as it is.
        """
        seconds = np.array([at.timestamp() for at in self.at])
        if len(seconds) < 2 or np.median(np.diff(seconds)) > 0.75 * HOUR_S:
            return self
        nearest: dict[int, int] = {}
        for row, second in enumerate(seconds):
            hour = round(second / HOUR_S)
            off = abs(second - hour * HOUR_S)
            if hour not in nearest or off < abs(seconds[nearest[hour]] - hour * HOUR_S):
                nearest[hour] = row
        rows = sorted(set(nearest.values()))
        return self.chosen(rows, f"Rows stand closer than an hour: of {len(seconds)}, the "
                           f"{len(rows)} nearest to the full hours are used.")  # fmt: skip


def load_air(
    path: str | Path, zone: dt.tzinfo, *, columns: Mapping[str, str] | None = None,
    dates: str | None = None,
) -> AirTable:  # fmt: skip
    """Return the air of a CSV file.

    Parameters
    ----------
    path : str or Path
        At most 5 MB; UTF-8, or UTF-16 with its mark, or else taken as Windows-1252.
    zone : tzinfo
        In which its times are told, where a cell has no offset of its own.
    columns : mapping of str to str, optional
        Headings by what they hold: time, date, temp, rh, dew, board, speed.
    dates : str, optional
        "dmy" or "mdy", where days are written with strokes.

    Raises
    ------
    Refusal
        If it cannot be read; all that is wrong in it, each with its line.
    """
    name = Path(path).name
    data = read_file(path, most_bytes=MOST_BYTES, mend="give it in parts")
    text, report = _decoded(data, name)
    table = read_air(text, zone, name, columns=columns, dates=dates)
    return replace(table, reports=(*report, *table.reports))


def read_air(
    text: str, zone: dt.tzinfo, name: str = "FILE", *, columns: Mapping[str, str] | None = None,
    dates: str | None = None,
) -> AirTable:  # fmt: skip
    """Return the air of a table as text; see `load_air`."""
    if dates not in (None, "dmy", "mdy"):
        raise Refusal("dates", f"'{dates}' is no order of day and month", "write dmy or mdy")
    wanted = dict(columns or {})
    for what in wanted:
        if what not in HOLDS:
            raise Refusal("column", f"'{what}' is nothing that a column holds",
                          "use one of: " + ", ".join(HOLDS))  # fmt: skip
    heads, lines, reports = _parted(text, name, wanted)
    reader = _Reader(heads, zone, name, dates)
    rows = reader.rows(lines)
    if not rows:
        if reader.reports:
            raise Refusal(name, "no line of it can be used: " + reader.reports[0].rstrip("."),
                          "mend it")  # fmt: skip
        raise Refusal(name, "it has headings and no line below them", "check the file")
    timed, told = in_order(rows, reader.zone)
    if not timed:
        why = [*reader.reports, *told][-1]
        raise Refusal(name, "no line of it can be used: " + why.rstrip("."), "mend it")
    return _table(timed, zone, (*reports, *reader.reports, *told), heads)


def _decoded(data: bytes, name: str) -> tuple[str, tuple[str, ...]]:
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        try:
            return data.decode("utf-16"), ()
        except UnicodeDecodeError:
            raise Refusal(name, "its letters cannot be read", "save it as UTF-8") from None
    try:
        return data.decode("utf-8-sig"), ()
    except UnicodeDecodeError as error:
        if b"\0" in data:
            raise Refusal(name, "it is not a text", "save it as CSV") from None
        line = data[: error.start].count(b"\n") + 1
        return data.decode("cp1252", errors="replace"), (
            f"Line {line} is not UTF-8: the letters are read as Windows-1252.",
        )


def _parted(
    text: str, name: str, wanted: Mapping[str, str]
) -> tuple[list[Column | None], list[tuple[int, list[str]]], tuple[str, ...]]:
    """Find mark and headings; return columns, the lines below, what to report."""
    if not text.strip():
        raise Refusal(name, "it is empty", "its first line names the columns: time, temp, rh")
    first: Refusal | None = None
    for mark in (";", "\t", ","):
        lines = _cells(text, mark, name)
        if isinstance(lines, Refusal):
            first = first or lines
            continue
        for k, (number, cells) in enumerate(lines[:HEADING_WITHIN]):
            if len(cells) < 2:
                continue
            try:
                heads = columns_of(cells, wanted, f"{name}, line {number}")
            except Refusal as refusal:
                # The line with most columns says best what is missing.
                if first is None or (mark == _mark(text) and k == 0):
                    first = refusal
                continue
            reports = () if k == 0 else (f"The first {counted(number - 1, 'line')} "
                                         "before the headings are not read.",)  # fmt: skip
            return heads, lines[k + 1 :], reports
    assert first is not None or text
    raise first or Refusal(name, "no line of headings was found",
                           "its first line names the columns: time, temp, rh")  # fmt: skip


def _mark(text: str) -> str:
    head = text.lstrip("\ufeff\r\n").partition("\n")[0]
    return max(";\t,", key=head.count)


def _cells(text: str, mark: str, name: str) -> list[tuple[int, list[str]]] | Refusal:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True)
    out: list[tuple[int, list[str]]] = []
    try:
        for cells in reader:
            if any(c.strip() for c in cells):
                out.append((reader.line_num, [c.strip() for c in cells]))
    except csv.Error as error:
        return Refusal(f"{name}, line {reader.line_num}", f"it is no CSV ({error})",
                       "every quote that opens must close")  # fmt: skip
    return out


class _Reader:
    """Reads the lines below the headings."""

    def __init__(
        self, heads: list[Column | None], zone: dt.tzinfo, name: str, dates: str | None
    ) -> None:
        self.heads, self.name, self.dates = heads, name, dates
        utc = any(c is not None and c.unit == "UTC" for c in heads)
        self.zone = dt.UTC if utc else zone
        self.reports: list[str] = []
        self.wrong: list[Refusal] = []
        self.bare_temp = False
        self.at_odds: list[int] = []

    def rows(self, lines: list[tuple[int, list[str]]]) -> list[Row]:
        """Return the rows that can be used.

        Raises
        ------
        Refusals
            All that is wrong, each with its line.
        """
        if len(lines) > MOST_ROWS:
            raise Refusal(self.name, f"it has more than {MOST_ROWS} lines", "give it in parts")
        named = [(n, self._by_name(cells, n)) for n, cells in lines]
        whole = [(n, cells) for n, cells in named if cells is not None]
        days = [self._day(cells) for _, cells in whole]
        self.dates = self.dates or order_of_dates(days, f"{self.name}, dates")
        humid = self._humidities(whole)
        rows, empty = [], []
        for (number, cells), rh in zip(whole, humid, strict=True):
            row = self._row(number, cells, rh)
            if row is not None:
                rows.append(row)
            else:
                empty.append(number)
        if self.wrong:
            raise _all(self.wrong, self.name)
        if empty:
            says, used = ("says", "it is") if len(empty) == 1 else ("say", "they are")
            self.reports.append(f"{lines_of(empty)} {says} too little (time, temperature and "
                                f"humidity are needed): {used} not used.")  # fmt: skip
        if self.at_odds:
            points = 100 * _humidity_error()
            self.reports.append(f"{lines_of(self.at_odds)}: relative humidity and dew point differ "
                                f"by more than the {points:g} points of a common hygrometer; the "
                                "relative humidity is taken.")  # fmt: skip
        if self.bare_temp:
            self.reports.append("The temperature has no unit: read as C.")
        return rows

    def _at(self, number: int) -> str:
        return f"{self.name}, line {number}"

    def _by_name(self, cells: list[str], number: int) -> dict[str, tuple[Column, str]] | None:
        while len(cells) > len(self.heads) and not cells[-1]:
            cells = cells[:-1]
        if len(cells) > len(self.heads):
            self.wrong.append(Refusal(
                self._at(number), f"it has {len(cells)} cells, the headings are "
                f"{len(self.heads)}", "a decimal comma needs another mark between the cells",
            ))  # fmt: skip
            return None
        return {c.holds: (c, cell) for c, cell in zip(self.heads, cells, strict=False)
                if c is not None and cell}  # fmt: skip

    def _day(self, cells: Mapping[str, tuple[Column, str]]) -> str:
        return " ".join(cells[k][1] for k in ("date", "time") if k in cells)

    def _humidities(self, whole: list[tuple[int, dict[str, tuple[Column, str]]]]) -> list[float]:
        """Return relative humidities: a column without a unit is read as a whole."""
        cells = [(self._at(n), *c["rh"]) if "rh" in c else None for n, c in whole]
        found, wrong, report = read_humidities(cells)
        self.wrong += wrong
        self.reports += report
        return found

    def _row(self, number: int, cells: dict[str, tuple[Column, str]], rh: float) -> Row | None:
        where, before = self._at(number), len(self.wrong)
        moment: Moment | None = None
        numbers = dict.fromkeys(("temp", "dew", "board", "speed"), np.nan)
        try:
            text = self._day(cells)
            moment = read_moment(text, self.zone, self.dates, f"{where}, time") if text else None
        except Refusal as refusal:
            self.wrong.append(refusal)
        for what in numbers:
            if what not in cells:
                continue
            column, cell = cells[what]
            try:
                numbers[what], bare = read_number(cell, column, f"{where}, {column.words}")
                self.bare_temp |= bare and what == "temp"
            except Refusal as refusal:
                self.wrong.append(refusal)
        if len(self.wrong) > before or moment is None or np.isnan(numbers["temp"]):
            return None
        lowest, highest = constant("room_temp_min"), constant("room_temp_max")
        temp = numbers["temp"]
        if not lowest <= temp <= highest:
            self.reports.append(
                f"Line {number}: {temp:.1f} C lies outside {lowest:g} to "
                f"{highest:g} C, where nothing is computed; it is not used."
            )
            return UNUSED
        if not np.isnan(rh) and not np.isnan(numbers["dew"]):
            held = np.clip(numbers["dew"], lowest, highest)
            told = float(saturation_pa(temp_c=held)) / float(saturation_pa(temp_c=temp))
            if abs(told - rh) > _humidity_error() + 1e-9:
                self.at_odds.append(number)
        if np.isnan(rh) and not np.isnan(numbers["dew"]):
            rh = _rh_of_dew(numbers["dew"], temp, f"{where}, {cells['dew'][0].words}", self.wrong)
        if np.isnan(rh):
            return None
        return Row(number, moment, temp, rh, numbers["board"], numbers["speed"])


def _humidity_error() -> float:
    """Return by how much a hygrometer may be off [0-1]."""
    return table("climate")["unwrap.hygrometer_error"].number("value")


def _rh_of_dew(dew_c: float, temp_c: float, where: str, wrong: list[Refusal]) -> float:
    if dew_c > temp_c + 0.5:
        wrong.append(Refusal(where, f"a dew point of {dew_c:.1f} C in air of {temp_c:.1f} C "
                             "cannot be", "check the columns"))  # fmt: skip
        return np.nan
    low = constant("room_temp_min")
    if dew_c < low:
        wrong.append(Refusal(where, f"a dew point of {dew_c:.1f} C is below {low:g} C",
                             "give the relative humidity"))  # fmt: skip
        return np.nan
    dew = min(dew_c, temp_c)
    return float(saturation_pa(temp_c=dew)) / float(saturation_pa(temp_c=temp_c))


def _table(
    rows: list[tuple[float, Row]], zone: dt.tzinfo, reports: tuple[str, ...],
    heads: list[Column | None],
) -> AirTable:  # fmt: skip
    at = tuple(dt.datetime.fromtimestamp(second, zone) for second, _ in rows)
    held = {c.holds for c in heads if c is not None}
    board = np.array([r.board_c for _, r in rows])
    speed = np.array([r.speed_m_s for _, r in rows])
    return AirTable(
        at, np.array([r.temp_c for _, r in rows]), np.array([r.rh for _, r in rows]),
        board if "board" in held else None, speed if "speed" in held else None,
        (*reports, *gaps(at)),
    )  # fmt: skip


def _all(wrong: Sequence[Refusal], name: str) -> Refusals:
    told, more = list(wrong[:MOST_TOLD]), len(wrong) - MOST_TOLD
    if more > 0:
        told.append(Refusal(name, f"{counted(more, 'more fault')} like these",
                            "mend the first ones and try again"))  # fmt: skip
    return Refusals(told)
