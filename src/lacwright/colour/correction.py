"""Correcting the light of a photograph: by factors, a matrix, or roots of products."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from lacwright.colour.cie import Array, Viewing
from lacwright.colour.screen import code_of_light, light_of_code, light_of_xyz
from lacwright.colour.spaces import xyz_of_lab
from lacwright.figures import Refusal
from lacwright.trade import table

FACTORS, LINEAR, ROOTS = "factors", "linear", "root polynomial"
TERMS = {FACTORS: 3, LINEAR: 3, ROOTS: 6}
"""How many terms of red, green and blue each kind takes."""


@dataclass(frozen=True, eq=False)
class Correction:
    """From the linear light of a photograph to that of the board under the screen's white.

    Parameters
    ----------
    kind : str
        `FACTORS`, `LINEAR` or `ROOTS`.
    matrix : array, shape (terms, 3)
        Terms (row vector) to corrected linear light.
    """

    kind: str
    matrix: Array

    def light(self, light: ArrayLike) -> Array:
        """Return corrected linear light, shape (..., 3), not clipped."""
        return terms_of(light, self.kind) @ self.matrix

    def code(self, code: ArrayLike) -> Array:
        """Return corrected screen values, 0 to 1, clipped to that."""
        return code_of_light(self.light(light_of_code(code)))


def terms_of(light: ArrayLike, kind: str) -> Array:
    """Return the terms of a kind of correction, shape (..., 3 or 6).

    Notes
    -----
    Roots of degree two: r, g, b and the square roots of rg, gb, rb (Finlayson, Mackiewicz and
    Hurlbert, IEEE Trans. Image Processing 24, 2015, from memory): twice the exposure gives twice
    the answer, as with a matrix.
    """
    seen: Array = np.asarray(light, dtype=float)
    if kind != ROOTS:
        return seen
    r, g, b = (np.maximum(seen[..., n], 0.0) for n in range(3))
    roots = np.stack([np.sqrt(r * g), np.sqrt(g * b), np.sqrt(r * b)], axis=-1)
    return np.concatenate([seen, roots], axis=-1)


def brought_to(
    mean_light: ArrayLike, lab: ArrayLike, viewing: Viewing, where: str = "bare"
) -> Correction:
    """Return factors that bring the mean of a photographed board to its measured colour.

    Parameters
    ----------
    mean_light : array, shape (3,)
        Mean linear light of the board in the photograph [0 to 1].
    lab : array, shape (3,)
        As it was measured.
    viewing : Viewing
        How.

    Raises
    ------
    Refusal
        If the photograph is so far off that a factor cannot mend it.
    """
    mean = np.asarray(mean_light, dtype=float)
    wished = light_of_xyz(xyz_of_lab(lab, viewing), viewing)
    factors = np.where(mean > 0, wished / np.maximum(mean, 1e-9), np.inf)
    off = np.abs(np.log2(np.where(factors > 0, factors, np.inf)))
    if not (off <= np.log2(table("colour_photo")["factor.most"].number("value"))).all():
        raise Refusal(where, "the photo is too far from the measured colour to be brought to it",
                      "look at the numbers and at what is marked as board, or take the photo again "
                      "by daylight and well exposed")  # fmt: skip
    return Correction(FACTORS, np.diag(factors))
