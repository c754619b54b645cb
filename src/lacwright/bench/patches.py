"""The colour of a place of a photo: the mean of a small square about where it was tapped."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from lacwright.bench import boards
from lacwright.colour import (
    PHOTO,
    fit_card,
    hex_of_lab,
    lab_of_light,
    light_of_code,
    read_patches,
    reference_card,
)
from lacwright.figures import Refusal
from lacwright.files.photo_marks import read_corners
from lacwright.trade import table

SIDE = 0.03
"""Side of the square, as a share of the longer side of the photo."""
LEAST = 5
"""Least side of it [points]."""


@dataclass(frozen=True)
class Patch:
    """A colour that was read off a photo.

    Parameters
    ----------
    x, y : float
        Where: shares of width and height.
    lab : tuple of three floats
        D65, 2 degrees, no gloss in it.
    hex : str
        For a screen, "#rrggbb".
    off : float
        How far each of L*, a*, b* may be off.
    light : str
        How the light of the photo was put right, in words.
    """

    x: float
    y: float
    lab: tuple[float, float, float]
    hex: str
    off: float
    light: str


def patch_at(one: boards.Known, x: float, y: float, card: str = "") -> Patch:
    """Return the colour of a place of a photo.

    Raises
    ------
    Refusal
        For a place outside it, one that is overexposed, and a card that cannot be used.
    """
    if not (0 <= x <= 1 and 0 <= y <= 1):
        raise Refusal("x", "that place is outside the photo", "tap the picture")
    photo = boards.photo(one)
    half = max(round(SIDE * max(photo.width, photo.height)), LEAST) // 2
    middle = int(y * (photo.height - 1)), int(x * (photo.width - 1))
    rows, columns = (slice(max(m - half, 0), m + half + 1) for m in middle)
    pixels = photo.pixels[rows, columns]
    if photo.clear is not None and photo.clear[rows, columns].any():
        raise Refusal("x", "the photo is transparent there", "tap the board")
    code = np.stack([pixels >> shift & 255 for shift in (0, 8, 16)], axis=-1).reshape(-1, 3)
    full = float((code == 255).any(axis=1).mean())
    if full > table("colour_photo")["board.clipped"].number("value"):
        raise Refusal("x", "that place is overexposed: what colour it has cannot be told",
                      "tap another, or take the photo darker")  # fmt: skip
    limits = table("colour_photo")
    light = light_of_code(code / 255).mean(axis=0)
    words, off = "photo as it is", limits["photo.spread"].number("value")
    if card:
        chips = reference_card()
        fit = fit_card(read_patches(photo.pixels, read_corners(card, "card"), chips), chips)
        light = np.clip(fit.correction.light(light), 0.0, 1.0)
        words = f"card in the photo: {fit.words()}"
        off = float(np.hypot(limits["card.spread"].number("value"), fit.mean_de00))
    lab = lab_of_light(light)
    three = (float(lab[0]), float(lab[1]), float(lab[2]))
    return Patch(x, y, three, hex_of_lab(three, PHOTO), off, words)
