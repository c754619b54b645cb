"""A wished colour: a measured one, or a word that stands for a region about the sealed wood."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from lacwright.colour.cie import Array, Viewing
from lacwright.colour.constants import constant
from lacwright.colour.spaces import chroma, de00, hue_deg
from lacwright.figures import Mark, Refusal
from lacwright.trade import table

Lab = tuple[float, float, float]
Span = tuple[float, float]
ABOUT = "the same wood under a clear film"
"""What the region of a word is reckoned from."""


@dataclass(frozen=True)
class Region:
    """A box in lightness, chroma and hue.

    Parameters
    ----------
    lightness, chroma : tuple of two floats
    turn : tuple of two floats
        Hue from `hue_deg` [degrees]: below 0 redder, above yellower.
    hue_deg : float
        Of the sealed wood.
    """

    lightness: Span
    chroma: Span
    turn: Span
    hue_deg: float

    def nearest(self, lab: ArrayLike) -> Array:
        """Return the colours of the region that are nearest, axis by axis; shape (..., 3)."""
        lab = np.asarray(lab, dtype=float)
        light = np.clip(lab[..., 0], *self.lightness)
        rich = np.clip(chroma(lab), *self.chroma)
        turn = (hue_deg(lab) - self.hue_deg + 180) % 360 - 180
        hue = np.radians(self.hue_deg + np.clip(turn, *self.turn))
        return np.stack([light, rich * np.cos(hue), rich * np.sin(hue)], axis=-1)

    def middle(self) -> Lab:
        """Return the colour in its middle."""
        hue = np.radians(self.hue_deg + sum(self.turn) / 2)
        rich = sum(self.chroma) / 2
        return sum(self.lightness) / 2, float(rich * np.cos(hue)), float(rich * np.sin(hue))


@dataclass(frozen=True)
class Wish:
    """What is wished for.

    Parameters
    ----------
    words : str
        As it is told: "45, 18, 30" or "honey".
    viewing : Viewing
    lab : tuple of three floats
        The colour; of a word the middle of its region.
    region : Region or None
        Of a word.
    mark : Mark
    source : str
    """

    words: str
    viewing: Viewing
    lab: Lab
    region: Region | None
    mark: Mark
    source: str

    def nearest(self, lab: ArrayLike) -> Array:
        """Return what of the wish each colour is compared with, shape (..., 3)."""
        if self.region is None:
            return np.broadcast_to(np.array(self.lab), np.shape(lab))
        return self.region.nearest(lab)

    def distance(self, lab: ArrayLike) -> Array:
        """Return how far colours are from the wish [CIEDE2000]; 0 inside a region."""
        return de00(self.nearest(lab), lab)


def wish_of_lab(lab: Sequence[float], viewing: Viewing, where: str = "target") -> Wish:
    """Return the wish for a colour that was read, from a panel, a piece or a patch of a photo.

    Raises
    ------
    Refusal
        For three numbers that are no colour.
    """
    values = [float(v) for v in lab]
    if len(values) != 3 or not np.isfinite(values).all():
        raise Refusal(where, "a colour is three numbers", 'write L*, a*, b* as in "45,18,30"')
    if not 0 < values[0] <= 100 or max(abs(values[1]), abs(values[2])) > 128:
        raise Refusal(where, f"'{', '.join(f'{v:g}' for v in values)}' is no colour of a surface",
                      "L* lies above 0, up to 100, a* and b* within 128")  # fmt: skip
    light, red, yellow = values
    words = ", ".join(f"{v:.1f}".removesuffix(".0") for v in values)
    return Wish(words, viewing, (light, red, yellow), None, Mark.OWN, f"read: {viewing.words()}")


def wish_of_word(word: str, sealed_lab: ArrayLike, viewing: Viewing, where: str = "word") -> Wish:
    """Return the wish that a word stands for on this wood.

    Parameters
    ----------
    word : str
        One of the table of colour wishes.
    sealed_lab : array of three
        The same wood under a film without colour: `lab_under` with no load.
    viewing : Viewing

    Raises
    ------
    Refusal
        For another word, and for a wood without a colour of its own, such as ebony.
    """
    row = table("colour_wishes").find(word, where)
    sealed = np.asarray(sealed_lab, dtype=float)
    light, rich = float(sealed[0]), float(chroma(sealed))
    if rich < constant("words.coloured"):
        raise Refusal(where, f"under a clear film this wood has hardly a colour (chroma {rich:.1f})"
                      " that a word could start from", "give the wished colour in numbers"
                      )  # fmt: skip

    def span(name: str, of: float) -> Span:
        return row.number(f"{name}_from") * of, row.number(f"{name}_to") * of

    low, high = span("lightness", light)
    region = Region((low, min(high, 100.0)), span("chroma", rich), span("turn", 1.0),
                    float(hue_deg(sealed)))  # fmt: skip
    return Wish(row.key, viewing, region.middle(), region, row.mark,
                f"{row.text('words')}, against {ABOUT}")  # fmt: skip


def wish_words() -> tuple[str, ...]:
    """Return the words that are understood."""
    return tuple(row.key for row in table("colour_wishes"))
