"""A reference card in a photograph: read inside four corners, judged, and made a correction of.

The card is 24 patches in four rows of six, or any grid of chips whose colour is known.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lacwright.colour.cie import Array, Viewing
from lacwright.colour.correction import LINEAR, ROOTS, TERMS, Correction, terms_of
from lacwright.colour.screen import light_of_code, light_of_xyz, xyz_of_light
from lacwright.colour.spaces import de00, lab_of_xyz, xyz_of_lab
from lacwright.figures import Mark, Refusal, weakest
from lacwright.trade import table

FEWEST = 4
"""Chips that a matrix of nine needs, one more than just enough."""
FEWEST_FOR_ROOTS = 12
_SAMPLES = 24  # points a side that are read of a patch
_TURNS = 12
_CORNERS = ("first", "second", "third", "fourth")
_CLICK = (
    "click the outer corners of the field of patches, clockwise, beginning at the dark brown patch"
)


@dataclass(frozen=True, eq=False)
class Card:
    """Chips of known colour in a grid, row by row.

    Parameters
    ----------
    rows, columns : int
    lab : array, shape (rows * columns, 3)
    viewing : Viewing
        How they were read.
    name : str
    mark : Mark
    source : str
    """

    rows: int
    columns: int
    lab: Array
    viewing: Viewing = field(default_factory=Viewing)
    name: str = "own chips"
    mark: Mark = Mark.OWN
    source: str = "as you say"

    def __post_init__(self) -> None:
        if np.shape(self.lab) != (self.rows * self.columns, 3):
            raise Refusal(self.name, f"{self.rows} x {self.columns} chips and "
                          f"{len(self.lab)} colours", "give L*, a*, b* of each chip")  # fmt: skip
        if len(self.lab) < FEWEST:
            raise Refusal(self.name, f"{len(self.lab)} chips fix no correction",
                          f"use {FEWEST} or more of different colours")  # fmt: skip


def reference_card() -> Card:
    """Return the 24-patch reference card with the values of the table."""
    rows = list(table("colour_card"))
    lab = np.array([[r.number(c) for c in ("lightness", "red", "yellow")] for r in rows])
    return Card(4, 6, lab, Viewing("D50", 2), "24-patch reference card",
                weakest(*(r.mark for r in rows)), rows[0].source)  # fmt: skip


@dataclass(frozen=True, eq=False)
class Patches:
    """What was read of the patches of a card.

    Parameters
    ----------
    light : array, shape (n, 3)
        Mean linear light of each [0 to 1].
    spread : array, shape (n,)
        Standard deviation of its light, as a share of its mean.
    clipped : array, shape (n,)
        Share of its points at the upper end of a colour.
    place : array, shape (n, 2)
        Middle of each on the card [0 to 1].
    """

    light: Array
    spread: Array
    clipped: Array
    place: Array


@dataclass(frozen=True, eq=False)
class CardFit:
    """A correction and how well it does on its own card.

    Parameters
    ----------
    correction : Correction
    de00 : array, shape (n,)
        What is left on each patch [CIEDE2000].
    left_out : float
        The same on average for a patch that the fit did not see.
    gradient : tuple of two floats
        Change of light (ln) across the card from left to right and from top to bottom.
    turned : int
        Corners by which the card was clicked from another than its first.
    mark, source
        Of the values of the card.
    """

    correction: Correction
    de00: Array
    left_out: float
    gradient: tuple[float, float]
    turned: int
    mark: Mark
    source: str

    @property
    def mean_de00(self) -> float:
        """Mean of what is left on the card."""
        return float(self.de00.mean())

    def words(self) -> str:
        """Return it in a sentence."""
        worst = int(self.de00.argmax())
        turned = f", read from its {_CORNERS[self.turned]} corner" if self.turned else ""
        return (f"{self.mean_de00:.1f} dE00 left on the card on average, {self.de00[worst]:.1f} at "
                f"most (patch {worst + 1}); {self.correction.kind}{turned}")  # fmt: skip


def read_patches(pixels: NDArray[np.uint32], corners: ArrayLike, card: Card) -> Patches:
    """Read the patches of a card inside four corners.

    Parameters
    ----------
    pixels : array of uint32, shape (height, width)
        Each 0x00BBGGRR.
    corners : array, shape (4, 2)
        Outer corners of the field of patches, clockwise from its first patch: shares of width and
        height [0 to 1].
    card : Card

    Raises
    ------
    Refusal
        For corners that are no four-sided field inside the photo, or one that is too small.
    """
    height, width = pixels.shape
    points = np.asarray(corners, dtype=float)
    if points.shape != (4, 2) or not ((points >= 0) & (points <= 1)).all():
        raise Refusal("card", "its four corners do not lie in the photo", _CLICK)
    points = points * (width, height)
    edges = np.roll(points, -1, axis=0) - points
    turn = edges[:, 0] * np.roll(edges[:, 1], -1) - edges[:, 1] * np.roll(edges[:, 0], -1)
    if not (turn > 0).all():
        raise Refusal("card", "its corners do not go round it clockwise", _CLICK)
    share = table("colour_photo")["patch.share"].number("value")
    smallest = np.hypot(*edges.T).min() / max(card.rows, card.columns) * share
    if smallest < 4:
        raise Refusal("card", "its patches are smaller than 8 points in the photo",
                      "go nearer, or use the full size of the photo")  # fmt: skip
    across, down = np.meshgrid(np.arange(card.columns) + 0.5, np.arange(card.rows) + 0.5)
    place = np.stack([across.ravel() / card.columns, down.ravel() / card.rows], axis=1)
    step = (np.arange(_SAMPLES) + 0.5) / _SAMPLES * share - share / 2
    inner = np.stack(np.meshgrid(step / card.columns, step / card.rows), axis=-1).reshape(-1, 2)
    at = _homography(points)(place[:, None, :] + inner[None])
    x = np.clip(at[..., 0].astype(np.intp), 0, width - 1)
    y = np.clip(at[..., 1].astype(np.intp), 0, height - 1)
    found = pixels[y, x]
    code = np.stack([found & 255, found >> 8 & 255, found >> 16 & 255], axis=-1)
    light = light_of_code(code / 255)
    grey = light.mean(axis=2)
    mean = np.maximum(grey.mean(axis=1), 1e-6)
    return Patches(light.mean(axis=1), grey.std(axis=1) / mean,
                   (code == 255).any(axis=2).mean(axis=1), place)  # fmt: skip


def fit_card(patches: Patches, card: Card) -> CardFit:
    """Return the correction that a card calls for.

    A 3x3 matrix or, where it does better on patches that it has not seen, roots of degree two;
    never more terms: 24 patches do not fix them.

    Raises
    ------
    Refusal
        For a photo whose card is clipped, whose patches are not even, whose light is uneven, or
        whose colours do not fit the card.
    """
    _refuse_spoilt(patches, card)
    turned, order = _way_round(patches, card)
    lab = card.lab[order]
    wished = light_of_xyz(xyz_of_lab(lab, card.viewing), card.viewing)
    kinds = [LINEAR] + ([ROOTS] if len(lab) >= FEWEST_FOR_ROOTS else [])
    loose = {kind: _left_out(patches.light, wished, lab, card.viewing, kind) for kind in kinds}
    kind = min(loose, key=lambda k: loose[k])
    matrix = _fit(patches.light, wished, lab, card.viewing, kind)
    off = _off(patches.light, matrix, lab, card.viewing, kind)
    most = table("colour_photo")["residual.most"].number("value")
    if off.mean() > most:
        raise Refusal("card", f"its colours do not fit: {off.mean():.0f} dE00 are left on average",
                      f"{_CLICK}; one light, no reflection, and the right card")  # fmt: skip
    gradient = _gradient(patches, matrix, lab, card.viewing, kind)
    uneven = float(np.hypot(*gradient))
    if uneven > table("colour_photo")["uneven.most"].number("value"):
        raise Refusal("card", f"the light is uneven: {np.expm1(uneven):.0%} more from one side of "
                      "the card to the other", "take it again in even light: a far window, or two "
                      "lamps at 45 degrees")  # fmt: skip
    return CardFit(Correction(kind, matrix), off, loose[kind], gradient, turned, card.mark,
                   card.source)  # fmt: skip


def _refuse_spoilt(patches: Patches, card: Card) -> None:
    limits = table("colour_photo")
    clipped = np.flatnonzero(patches.clipped > limits["clipped.most"].number("value"))
    if len(clipped):
        n = int(clipped[patches.clipped[clipped].argmax()])
        raise Refusal("card", f"patch {n + 1} is clipped: {patches.clipped[n]:.0%} of it is at the "
                      "end of the scale", "take the photo again, darker")  # fmt: skip
    dark = limits["dark.patch"].number("value")
    if patches.light.max() < dark:
        raise Refusal("card", "the photo is far too dark", "take it again, brighter")
    rough = np.where(patches.light.mean(axis=1) > dark, patches.spread, 0.0)
    n = int(rough.argmax())
    if rough[n] > limits["spread.most"].number("value"):
        raise Refusal("card", f"patch {n + 1} is not even: its light varies by {rough[n]:.0%}",
                      f"{_CLICK}; no reflection, dirt or shadow on it")  # fmt: skip


def _way_round(patches: Patches, card: Card) -> tuple[int, NDArray[np.intp]]:
    """Return by how many corners the card was clicked late, and which chip each patch then is."""
    found: list[tuple[float, int, NDArray[np.intp]]] = []
    grid = np.arange(len(card.lab)).reshape(card.rows, card.columns)
    for turned in range(0, 4, 2):
        # Clicked from the corner across, the grid of the same shape is read backwards.
        order = grid.ravel() if not turned else grid[::-1, ::-1].ravel()
        lab = card.lab[order]
        wished = light_of_xyz(xyz_of_lab(lab, card.viewing), card.viewing)
        matrix = _start(patches.light, wished, LINEAR)
        off = _off(patches.light, matrix, lab, card.viewing, LINEAR).mean()
        found.append((float(off), turned, order))
        if len(card.lab) < FEWEST_FOR_ROOTS:
            break  # a few chips fit a matrix whichever way they lie
    _, turned, order = min(found, key=lambda one: one[:2])
    return turned, order


def _start(light: Array, wished: Array, kind: str) -> Array:
    """Return the matrix of least squares, dark patches counting as the eye counts them."""
    weight = 1 / (np.maximum(wished.mean(axis=1), 0.0) + 0.01) ** (2 / 3)
    terms = terms_of(light, kind)
    out: Array = np.linalg.lstsq(terms * weight[:, None], wished * weight[:, None], rcond=None)[0]
    return out


def _fit(light: Array, wished: Array, lab: Array, viewing: Viewing, kind: str) -> Array:
    """Return the matrix that leaves least in Lab: Gauss and Newton from least squares."""
    start = _start(light, wished, kind)
    terms = terms_of(light, kind)

    def miss(flat: Array) -> Array:
        corrected = terms @ flat.reshape(TERMS[kind], 3)
        return np.asarray(lab_of_xyz(xyz_of_light(corrected, viewing), viewing) - lab).ravel()

    return _least(miss, start.ravel()).reshape(TERMS[kind], 3)


def _least(miss: Callable[[Array], Array], at: Array) -> Array:
    here, damping = miss(at), 1e-3
    for _ in range(_TURNS):
        step = 1e-6
        slope = np.stack([(miss(at + step * e) - here) / step for e in np.eye(len(at))], axis=1)
        normal = slope.T @ slope
        size = np.diag(normal).copy()
        move = np.linalg.solve(normal + damping * np.diag(size + 1e-9), -slope.T @ here)
        tried = miss(at + move)
        if tried @ tried < here @ here:
            gained = 1 - (tried @ tried) / (here @ here)
            at, here, damping = at + move, tried, damping / 10
            if gained < 1e-5:
                break
        else:
            damping *= 10
    return at


def _off(light: Array, matrix: Array, lab: Array, viewing: Viewing, kind: str) -> Array:
    corrected = terms_of(light, kind) @ matrix
    return de00(lab_of_xyz(xyz_of_light(corrected, viewing), viewing), lab)


def _left_out(light: Array, wished: Array, lab: Array, viewing: Viewing, kind: str) -> float:
    """Return what is left on average on a patch that the fit did not see."""
    off = []
    for n in range(len(lab)):
        rest = np.arange(len(lab)) != n
        matrix = _fit(light[rest], wished[rest], lab[rest], viewing, kind)
        off.append(_off(light[n : n + 1], matrix, lab[n : n + 1], viewing, kind)[0])
    return float(np.mean(off))


def _gradient(
    patches: Patches, matrix: Array, lab: Array, viewing: Viewing, kind: str
) -> tuple[float, float]:  # fmt: skip
    """Return how much more light (ln) falls from left to right and from top to bottom."""
    seen = xyz_of_light(terms_of(patches.light, kind) @ matrix, viewing)[:, 1]
    right = xyz_of_lab(lab, viewing)[:, 1]
    dark = 100 * table("colour_photo")["dark.patch"].number("value")
    used = (right > dark) & (seen > dark / 4)
    if used.sum() < FEWEST:
        return 0.0, 0.0
    place = patches.place[used] - 0.5
    plane = np.column_stack([np.ones(used.sum()), place])
    more = np.linalg.lstsq(plane, np.log(seen[used] / right[used]), rcond=None)[0]
    return float(more[1]), float(more[2])


def _homography(points: Array) -> Callable[[Array], Array]:
    """Return the way from the unit square to four corners, clockwise from the top left."""
    square = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
    rows, right = [], []
    for (u, v), (x, y) in zip(square, points, strict=True):
        rows += [[u, v, 1, 0, 0, 0, -u * x, -v * x], [0, 0, 0, u, v, 1, -u * y, -v * y]]
        right += [x, y]
    h = np.append(np.linalg.solve(np.array(rows), np.array(right)), 1.0).reshape(3, 3)

    def go(at: Array) -> Array:
        flat = np.concatenate([at, np.ones((*at.shape[:-1], 1))], axis=-1) @ h.T
        return np.asarray(flat[..., :2] / flat[..., 2:], dtype=float)

    return go
