"""The raw material of the invented shop: tables and texts in the folder `data`."""

from __future__ import annotations

import csv
import tomllib
from importlib.resources import files
from typing import Any


def rows(name: str) -> list[dict[str, str]]:
    """Return the rows of a table of the story."""
    lines = [line for line in text(name).splitlines() if not line.startswith("#")]
    return list(csv.DictReader(lines))


def story(name: str) -> dict[str, Any]:
    """Return a TOML file of the story."""
    return tomllib.loads(text(name))


def text(name: str) -> str:
    """Return a file of the story as it lies there."""
    return (files(__package__) / "data" / name).read_text(encoding="utf-8")
