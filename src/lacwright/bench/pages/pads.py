"""Pads and brushes: what is in them, since when."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from django.urls import reverse

from lacwright.bench.pages.measures import When, weight, when
from lacwright.shop.queries.found import PadLine, find_pads
from lacwright.shop.queries.remembered import remembered


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


def pads(words: str) -> list[PadLine]:
    """Return the pads and brushes in which all words are found, those to be washed out first."""
    return remembered(("pads", words), lambda: find_pads(words))


def pad_rows(some: Iterable[PadLine], zone: dt.tzinfo) -> list[PadRow]:
    """Return some of them as the list shows them."""
    return [_row(line, zone) for line in some]


def _row(line: PadLine, zone: dt.tzinfo) -> PadRow:
    row = line.applicator
    inside = f"{weight(line.dry_ug / 1e6)} dry, of {', '.join(line.lots)}" if line.lots else (
        "amount not said"
    )  # fmt: skip
    return PadRow(row.key, row.kind, row.note, line.clean, inside, _when(line.used_us, zone),
                  _when(line.washed_us, zone), reverse("jars-wash", args=[row.key]))  # fmt: skip


def _when(us: int | None, zone: dt.tzinfo) -> When | None:
    return None if us is None else when(us, zone)
