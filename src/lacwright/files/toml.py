"""TOML files as people write them, with every way of going wrong told in one line."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from lacwright.figures import Refusal

LIMIT_BYTES = 1_000_000
"""Largest file that is read; a piece file is a few thousand bytes."""


def load_toml(path: str | Path) -> dict[str, Any]:
    """Return the tables of a TOML file.

    Parameters
    ----------
    path : str or Path
        The file.

    Returns
    -------
    dict
        As tomllib gives it.

    Raises
    ------
    Refusal
        If the file is missing, a folder, not readable, larger than 1 MB, not UTF-8 or not
        TOML; the last with the line.
    """
    file, where = Path(path), str(path)
    try:
        if file.is_dir():
            raise Refusal(where, "it is a folder", "name the file in it")
        with file.open("rb") as stream:
            data = stream.read(LIMIT_BYTES + 1)
    except Refusal:
        raise
    except FileNotFoundError:
        raise Refusal(where, "there is no such file", "check the name and the folder") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        mend = "check its name and its rights"
        raise Refusal(where, f"it cannot be read ({reason})", mend) from None
    return parse_toml(data, where)


def parse_toml(data: bytes, where: str) -> dict[str, Any]:
    """Return the tables of a TOML file that has been read.

    Parameters
    ----------
    data : bytes
        What is in it.
    where : str
        What it is called, for refusals.

    Raises
    ------
    Refusal
        If it is larger than 1 MB, not UTF-8 or not TOML; the last with the line.
    """
    if len(data) > LIMIT_BYTES:
        raise Refusal(where, "it is larger than 1 MB", "a file of this kind is a few pages of text")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise Refusal(f"{where}, line {line}", "it is not UTF-8 text",
                      "save it as UTF-8") from None  # fmt: skip
    try:
        return tomllib.loads(text)
    except ValueError as error:  # TOMLDecodeError among them; a number of 5,000 digits is plain
        # "Invalid value (at line 3, column 8)" -> the place goes to the front.
        what, _, place = str(error).removesuffix(")").partition(" (at ")
        spot = f"{where}, {place}" if place else where
        mend = "text goes in quotes, lists in [ ], one key = value a line"
        raise Refusal(spot, f"not TOML: {what[0].lower()}{what[1:]}", mend) from None
    except RecursionError:
        raise Refusal(where, "its lists are nested too deeply", "write it flat") from None
