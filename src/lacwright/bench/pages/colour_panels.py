"""Panels that were read as their pages show them: what each says, hits and misses."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any
from urllib.parse import urlencode

from django.urls import reverse

from lacwright.bench.colours import own_now
from lacwright.bench.pages.look import lab_text
from lacwright.bench.pages.measures import When, when
from lacwright.colour import (
    Evidence,
    Viewing,
    alone,
    calibrate,
    figures_of,
    hex_of_lab,
    own_bare,
    own_grades,
    read_evidence,
    usual_figure,
)
from lacwright.colour.evidence import BAND, HAZE, LEVEL, SKIN, SLOPE, WETTING, parted
from lacwright.figures import Figure, Learned, Refusals
from lacwright.files.colour_panels import read_panel
from lacwright.shop.models import Event, Piece
from lacwright.shop.queries.colour_seen import PANEL, Foretold, foretold, tally
from lacwright.shop.queries.remembered import remembered

WORDS = {
    LEVEL: "depth of {}: light at 500 nm that a gram on a square metre takes",
    SLOPE: "fall of {} towards red, for 100 nm",
    BAND: "red of the dye in {}, at 490 nm",
    HAZE: "haze of the wax in {}",
    WETTING: "wetting of {}: scatter that is left under a film",
    SKIN: "skin of bare {}: light that it throws back by itself",
}


@dataclass(frozen=True)
class HitRow:
    """A colour that was foretold, and how it was read."""

    what: str
    piece: str
    url: str
    at: When | None
    foretold: str
    read: str
    swatch: str
    off: str
    reach: str
    inside: bool | None


@dataclass(frozen=True)
class Constant:
    """A constant before the panel, by the panel alone, with both."""

    words: str
    before: Figure
    says: Figure
    after: Figure | None


@dataclass(frozen=True)
class Says:
    """What a panel would teach.

    Parameters
    ----------
    big : str
        Hits among its bands.
    sentences : tuple of str
        As the record has them; the last, of the hits, stands above them already.
    constants : tuple of Constant
    again : bool
        Whether an earlier reading of the same panel no longer counts then.
    misfit : float
    hits : tuple of HitRow
    """

    big: str
    sentences: tuple[str, ...]
    constants: tuple[Constant, ...]
    again: bool
    misfit: float
    hits: tuple[HitRow, ...]


def hit_rows(piece: str | None, zone: dt.tzinfo) -> tuple[list[HitRow], tuple[int, int]]:
    """Return what was foretold, the last first; how many came true of how many that were read."""
    found = remembered(("colours foretold", piece), lambda: foretold(piece))
    return [_row(one, zone) for one in reversed(found)], tally(found)


def says(data: Mapping[str, Any], panel: Piece) -> Says:
    """Return what a panel would teach, from what a trial of writing it down gave."""
    evidence = read_evidence(data["learned"]["says"], f"{panel.key}, this reading")
    rows = tuple(
        _hit(row["band"], row["foretold"], row["lab"], row["de00"], row["de00_band"])
        for row in data["foretold"]
    )
    inside = sum(bool(row.inside) for row in rows)
    again = Event.objects.filter(
        piece=panel, void=False, kind="test", movement__body__test=PANEL
    ).exists()  # fmt: skip
    return Says(
        f"{inside} of {len(rows)} bands lay within what was foretold",
        tuple(data["says"][:-1]), _constants(evidence, {} if again else _after(data, panel)), again,
        float(data["learned"]["misfit"]), rows,
    )  # fmt: skip


def running_look(piece: Piece) -> Foretold | None:
    """Return what was foretold of a piece and is not read yet, None where there is nothing."""
    looks = [one for one in foretold(piece.key) if one.inside is None]
    return looks[-1] if looks else None


def _constants(evidence: Evidence, after: Mapping[str, Figure]) -> tuple[Constant, ...]:
    own, by_itself = own_now(), alone(evidence)
    out = []
    for name in evidence.names:
        thing, constant = parted(name)
        mine = own.get(name)
        before = mine.figure() if isinstance(mine, Learned) else mine or usual_figure(name)
        if before is not None and constant in WORDS:
            words = WORDS[constant].format(thing.replace("-", " "))
            out.append(Constant(words, before, by_itself[name], after.get(name)))
    return tuple(out)


def _after(data: Mapping[str, Any], panel: Piece) -> dict[str, Figure]:
    """Return the constants with the panel beside all that is known."""
    own, result = own_now(), data["result"]
    raw = {name: value for name, value in result.items() if name not in ("coats_of", "bands")}
    bands = result.get("bands") or result["band"]
    _, read, wrong = read_panel({**raw, "name": panel.key, "band": bands}, "panel")
    if read is None:
        raise Refusals(wrong)
    found = calibrate([read], grades=own_grades(own), bares=own_bare(own))
    return figures_of(found.after, found.evidence)


def _row(one: Foretold, zone: dt.tzinfo) -> HitRow:
    row = _hit(one.what, one.lab, one.read, one.de00, one.reach)
    return replace(row, piece=one.piece, url=reverse("panels-one", args=[one.piece]),
                   at=when(one.at_us, zone))  # fmt: skip


def _hit(
    what: str, lab: Sequence[float], read: Sequence[float] | None, off: float | None, reach: float
) -> HitRow:
    view = Viewing()
    fields = {"film": hex_of_lab(lab, view)[1:]}
    if read is not None:
        fields["read"] = hex_of_lab(read, view)[1:]
    return HitRow(
        what, "", "", None, lab_text(_three(lab)), lab_text(_three(read)) if read else "",
        urlencode(fields), "" if off is None else f"{off:.1f}", f"{reach:.1f}",
        None if off is None else off <= reach,
    )  # fmt: skip


def _three(lab: Sequence[float]) -> tuple[float, float, float]:
    one, two, three = (float(value) for value in lab)
    return one, two, three
