"""Readings of the air, and a logger's table looked at before it is written down."""

from __future__ import annotations

import contextlib
import datetime as dt
import re
import time
import uuid
from dataclasses import dataclass
from pathlib import Path

from lacwright.bench.pages.measures import When, when
from lacwright.figures import Refusal, Refusals
from lacwright.shop import Home
from lacwright.shop.queries.reading_pages import reading_page
from lacwright.shop.queries.readings import Reading
from lacwright.shop.readings_csv import MOST_BYTES, ReadingRow, read_readings, twice
from lacwright.shop.services.readings import import_readings
from lacwright.shop.writing import Entry

KEPT_S = 86_400
"""So long a table that was only looked at is kept."""
SHOWN = 8
SHORT = 20_000
"""A faulty table of so many characters is put back to be mended on the page."""


@dataclass(frozen=True)
class Line:
    """A reading in words."""

    movement: int
    at: When
    air: str
    board: str
    where: str
    job: str


def lines(*, text: str, number: int, length: int, zone: dt.tzinfo) -> tuple[list[Line], int]:
    """Return a page of readings, and how many there are."""
    found, total = reading_page(text=text, first=(number - 1) * length, many=length)
    return [_line(reading, zone) for reading in found], total


@dataclass(frozen=True)
class Preview:
    """What a table says, before it is written down."""

    number: str
    rows: tuple[Line, ...]
    many: int
    new: int
    there: int
    first: When
    last: When
    doubled: tuple[str, ...]
    """What to say of readings in an hour that the clocks showed twice."""


def put_aside(home: Home, name: str, data: bytes | None, text: str) -> str:
    """Put a table aside to be looked at and return the number it lies under.

    Raises
    ------
    Refusal
        If there is none, it is too large, or no text.
    """
    if data is None and not text.strip():
        raise Refusal("file", "there is no table", "choose a file, or paste the table")
    if data is not None:
        if len(data) > MOST_BYTES:
            raise Refusal("file", "it is larger than 5 MB", "import it in parts")
        try:
            text = data.decode("utf-8-sig")
        except UnicodeDecodeError as error:
            line = data[: error.start].count(b"\n") + 1
            raise Refusal("file", f"line {line} of {name} is not UTF-8 text",
                          "save it as UTF-8") from None  # fmt: skip
    number = uuid.uuid4().hex
    try:
        folder = _folder(home)
        folder.mkdir(mode=0o700, exist_ok=True)
        for old in folder.iterdir():
            with contextlib.suppress(OSError):
                if time.time() - old.stat().st_mtime > KEPT_S:
                    old.unlink()
        (folder / number).write_text(text, encoding="utf-8", newline="")
    except OSError as error:
        raise Refusal("file", f"it cannot be put aside ({error.strerror})", "make room") from None
    return number


def aside(home: Home, number: str, zone: dt.tzinfo) -> list[ReadingRow]:
    """Return the readings of a table that was put aside.

    Raises
    ------
    Refusal
        If it is gone, or for all that is wrong with it, line by line.
    """
    text = text_aside(home, number)
    if text is None:
        raise Refusal("file", "the table that was looked at is gone", "choose it again")
    return read_readings(text, zone, "table")


def text_aside(home: Home, number: str) -> str | None:
    """Return a table that was put aside as it came, None if it is gone."""
    if not re.fullmatch(r"[0-9a-f]{32}", number):
        return None
    try:
        with (_folder(home) / number).open(encoding="utf-8", newline="") as file:
            return file.read()
    except OSError:
        return None


def preview(home: Home, number: str, zone: dt.tzinfo) -> Preview:
    """Return what writing a table down would do; see `aside`."""
    rows = aside(home, number, zone)
    told = import_readings(rows=rows, entry=Entry(dry_run=True)).data
    return Preview(
        number, tuple(_line(_of(row), zone) for row in rows[:SHOWN]), len(rows), told["written"],
        told["already_there"], when(told["from_us"], zone), when(told["until_us"], zone),
        tuple(twice(rows)),
    )  # fmt: skip


def to_mend(home: Home, number: str) -> str:
    """Return a faulty table to be mended where it stands, "" if it is gone or too long for that."""
    text = text_aside(home, number) or ""
    return text if len(text) <= SHORT else ""


def faults(refusal: Refusal) -> list[str]:
    """Return what is wrong with a table, line by line."""
    return [str(one) for one in (refusal.each if isinstance(refusal, Refusals) else (refusal,))]


def _of(row: ReadingRow) -> Reading:
    return Reading(0, row.at_us, row.temp_c, row.rh, row.board_mc, row.board_temp_c, row.where,
                   None)  # fmt: skip


def _line(reading: Reading, zone: dt.tzinfo) -> Line:
    board = [] if reading.board_mc is None else [f"{100 * reading.board_mc:.1f} %"]
    board += [] if reading.board_temp_c is None else [_degrees(reading.board_temp_c)]
    air = [] if reading.temp_c is None else [_degrees(reading.temp_c)]
    air += [] if reading.rh is None else [f"{100 * reading.rh:.0f} %"]
    return Line(reading.movement, when(reading.at_us, zone), ", ".join(air), ", ".join(board),
                reading.where, reading.job or "")  # fmt: skip


def _degrees(c: float) -> str:
    return f"{c:.1f} °C ({c * 1.8 + 32:.0f} °F)"


def _folder(home: Home) -> Path:
    return home.folder / "looked-at"
