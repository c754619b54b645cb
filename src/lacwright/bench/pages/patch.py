"""A colour read off a photo as its page shows it: what is tapped next, what was read before."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from urllib.parse import urlencode

from django.urls import NoReverseMatch, reverse

from lacwright.bench.forms.colour_panel import USUAL_BANDS
from lacwright.bench.pages.look import lab_text
from lacwright.bench.patches import Patch
from lacwright.colour import colour_words
from lacwright.colour.panels import CAMERA

CORNERS = ("the outer corner of the dark brown patch", "the outer corner of that row's other end",
           "the corner below it", "the last corner")  # fmt: skip
"""Of a card, clockwise from its dark brown patch."""
CARRIED = ("card", "panel", *(f"band_{band}" for band in USUAL_BANDS))
"""What goes along from one place to the next."""


@dataclass(frozen=True)
class BandLink:
    """A band of a panel: whether it was read, and where it is tapped."""

    words: str
    lab: str
    here: bool
    query: str


@dataclass(frozen=True)
class Carried:
    """What goes along, and where it leads.

    Parameters
    ----------
    pairs : tuple of (str, str)
        For hidden fields.
    lead : str
        What is to be tapped.
    mark : str
        Query that begins to mark a card.
    card : str
        Its corners, "" for none.
    panel : str
        Whose bands are read, "" for none.
    bands : tuple of BandLink
    take : str
        Query that takes the colour for the band and goes on, "" where there is none.
    done : str
        Address of the panel with all that was read.
    """

    pairs: tuple[tuple[str, str], ...]
    lead: str
    mark: str
    card: str
    panel: str
    bands: tuple[BandLink, ...]
    take: str
    done: str


def carried(data: Mapping[str, str], patch: Patch | None) -> Carried:
    """Return what goes along with a photo that is tapped."""
    along = {name: data[name] for name in CARRIED if data.get(name)}
    pairs, lead = dict(along), "Tap the place whose colour you want."
    if "mark" in data:
        pairs["mark"] = data["mark"]
        n = len(data["mark"].split())
        lead = f"Corner {n + 1} of the card: {CORNERS[min(n, len(CORNERS) - 1)]}, clockwise."
    bands: list[BandLink] = []
    take = done = ""
    if panel := along.get("panel", ""):
        try:
            done = reverse("panels-colour", args=[panel])
        except NoReverseMatch:  # nothing can be called like that
            panel = ""
            del along["panel"], pairs["panel"]
    if panel:
        names = [str(band) for band in USUAL_BANDS]
        left = [band for band in names if f"band_{band}" not in along]
        now = data.get("band", "") if data.get("band") in names else (left or names)[0]
        pairs["band"] = now
        if "mark" not in data:
            lead = f"Tap the band: {_band(now)}."
        bands = [BandLink(_band(band), along.get(f"band_{band}", ""), band == now,
                          urlencode({**along, "band": band})) for band in names]  # fmt: skip
        if patch is not None:
            take = urlencode({**along, f"band_{now}": lab_text(patch.lab)})
        told = {name: value for name, value in along.items() if name.startswith("band_")}
        done += f"?{urlencode({**told, 'reader': CAMERA})}"
    return Carried(
        tuple(pairs.items()), lead, urlencode({**along, "mark": ""}), along.get("card", ""), panel,
        tuple(bands), take, done,
    )  # fmt: skip


@dataclass(frozen=True)
class PatchShown:
    """A colour that was read off a photo."""

    words: str
    lab: str
    hex: str
    off: float
    light: str
    wish: str
    bare: str


def patch_shown(patch: Patch) -> PatchShown:
    """Return a colour that was read as its page shows it."""
    lab = lab_text(patch.lab)
    return PatchShown(
        colour_words(patch.lab), lab, patch.hex[1:], patch.off, patch.light,
        urlencode({"target": lab}), urlencode({"lab": lab}),
    )  # fmt: skip


def _band(band: str) -> str:
    if not band.isdecimal():
        return band
    return f"{band} coat{'' if band == '1' else 's'}"
