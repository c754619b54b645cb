"""Pads and brushes: what is in them, since when."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.urls import reverse

from lacwright.bench.pages.measures import When, weight, when
from lacwright.shop.queries.found import PadLine, find_pads


@dataclass(frozen=True)
class PadRow:
    """A pad or brush."""

    name: str
    kind: str
    note: str
    clean: bool
    inside: str
    used: When | None
    washed: When | None
    wash_url: str


def pad_rows(words: str, zone: dt.tzinfo) -> list[PadRow]:
    """Return the pads and brushes in which all words are found, those to be washed out first."""
    return [_row(line, zone) for line in find_pads(words)]


def _row(line: PadLine, zone: dt.tzinfo) -> PadRow:
    row = line.applicator
    inside = f"{weight(line.dry_ug / 1e6)} dry, of {', '.join(line.lots)}" if line.lots else (
        "amount not said"
    )  # fmt: skip
    return PadRow(row.key, row.kind, row.note, line.clean, inside, _when(line.used_us, zone),
                  _when(line.washed_us, zone), reverse("jars-wash", args=[row.key]))  # fmt: skip


def _when(us: int | None, zone: dt.tzinfo) -> When | None:
    return None if us is None else when(us, zone)
