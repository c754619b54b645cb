"""A photograph of a bare board under films: the exact model as a table over its colours.

Wood has few distinct colours. They are found once, looked up once among nodes of the model, and
each film then costs a short table and one reading of it for each point.
"""

from __future__ import annotations

import threading
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lacwright.colour.cie import WAVELENGTHS, Array, Viewing
from lacwright.colour.correction import Correction
from lacwright.colour.grade import GradeColour
from lacwright.colour.optics import film_over, haze_over
from lacwright.colour.screen import code_of_light, light_of_code
from lacwright.colour.spaces import lab_of_reflectance, lab_of_srgb, srgb_of_lab
from lacwright.colour.wood import Bare, inside_film, recover
from lacwright.figures import Refusal

Pixels = NDArray[np.uint32]
Marked = NDArray[np.bool_]

LEVELS = 17
"""Nodes a side; between them the tetrahedra hold the model to about the rounding to 8 bits."""
PHOTO = Viewing()
"""A photograph without a mirrored light: D65, 2 degrees, gloss excluded."""
MOST_BANDS = 24
_CHUNK = 1 << 16  # points at a time: their places stay in the cache of a core
_COUNT_CHUNK = 1 << 22
_OUTSIDE = 1 << 24


@dataclass(frozen=True, eq=False)
class Palette:
    """The distinct colours of a photograph, and which of them each point has.

    Parameters
    ----------
    codes : array of uint8, shape (n, 3)
        Red, green, blue; those of the board first.
    board : int
        How many of them are of the board; the rest is background.
    index : array of unsigned integers, shape (height, width)
        Row of `codes`.
    """

    codes: NDArray[np.uint8]
    board: int
    index: NDArray[np.unsignedinteger]

    @cached_property
    def counts(self) -> NDArray[np.int64]:
        """Points of each colour, shape (n,)."""
        flat, out = self.index.reshape(-1), np.zeros(len(self.codes), dtype=np.int64)
        for start in range(0, flat.size, _COUNT_CHUNK):
            out += np.bincount(flat[start : start + _COUNT_CHUNK], minlength=len(self.codes))
        return out

    @property
    def board_share(self) -> float:
        """Share of the points that are board."""
        return float(self.counts[: self.board].sum() / self.index.size)

    @property
    def mean_light(self) -> Array:
        """Mean linear light of the board, shape (3,)."""
        weight = self.counts[: self.board] / self.counts[: self.board].sum()
        return np.asarray(weight @ light_of_code(self.codes[: self.board] / 255), dtype=float)

    @property
    def clipped_share(self) -> float:
        """Share of the board where a colour is at its upper end: what is there is not known."""
        count = self.counts[: self.board]
        full = (self.codes[: self.board] == 255).any(axis=1)
        return float(count[full].sum() / count.sum())


def palette_of(pixels: Pixels, board: Marked | None = None, where: str = "mask") -> Palette:
    """Return the distinct colours of a photograph.

    Parameters
    ----------
    pixels : array of uint32, shape (height, width)
        Each 0x00BBGGRR.
    board : array of bool, shape (height, width), optional
        What is board; all of it by default.
    where : str
        For the refusal.

    Raises
    ------
    Refusal
        If nothing is board.
    """
    flat = pixels.reshape(-1)
    inside = None if board is None else board.reshape(-1)
    size = _OUTSIDE if inside is None else 2 * _OUTSIDE
    seen = np.zeros(size, dtype=bool)
    for _, keys in _keyed(flat, inside):
        seen[keys] = True
    keys = np.flatnonzero(seen)
    n_board = int(np.searchsorted(keys, _OUTSIDE))
    if not n_board:
        raise Refusal(where, "nothing of the photo is marked as board", "mark where the board is")
    place = np.empty(size, dtype=np.uint32)  # only what is written is ever touched
    place[keys] = np.arange(len(keys), dtype=np.uint32)
    index: NDArray[np.unsignedinteger] = np.empty(
        flat.size, dtype=np.uint16 if len(keys) <= 1 << 16 else np.uint32
    )
    for part, found in _keyed(flat, inside):
        index[part] = place[found]
    codes = np.stack([keys & 255, keys >> 8 & 255, keys >> 16 & 255], axis=1).astype(np.uint8)
    return Palette(codes, n_board, index.reshape(pixels.shape))


def _keyed(flat: Pixels, inside: Marked | None) -> Iterator[tuple[slice, NDArray[np.intp]]]:
    for start in range(0, flat.size, _CHUNK):
        part = slice(start, start + _CHUNK)
        keys = flat[part].astype(np.intp)
        if inside is not None:
            keys[~inside[part]] += _OUTSIDE
        yield part, keys


def polygon(corners: ArrayLike, width: int, height: int, where: str = "mask") -> Marked:
    """Return what lies in a polygon, by the even-odd rule at the middle of each point.

    Parameters
    ----------
    corners : array, shape (n, 2), n from 3
        Shares of width (from the left) and height (from the top) [0 to 1].
    width, height : int
        Of the photograph.

    Raises
    ------
    Refusal
        For fewer than three corners, or one outside the photograph.
    """
    points = np.asarray(corners, dtype=float)
    if points.ndim != 2 or points.shape[1] != 2 or len(points) < 3:
        raise Refusal(where, "it has not three corners", "give three or more")
    if not ((points >= 0) & (points <= 1)).all():
        raise Refusal(where, "a corner lies outside the photo",
                      "give shares of its width and height, 0 to 1")  # fmt: skip
    x, y = points[:, 0] * width - 0.5, points[:, 1] * height - 0.5
    turns = np.zeros((height, width + 1), dtype=bool)
    for n in range(len(points)):
        x0, y0, x1, y1 = x[n - 1], y[n - 1], x[n], y[n]
        rows = np.arange(max(int(np.ceil(min(y0, y1))), 0), min(int(np.ceil(max(y0, y1))), height))
        if len(rows):
            across = x0 + (rows - y0) * (x1 - x0) / (y1 - y0)
            column = np.clip(np.ceil(across), 0, width).astype(np.intp)
            turns[rows, column] ^= True
    return np.logical_xor.accumulate(turns, axis=1)[:, :-1]


@dataclass(frozen=True, eq=False)
class Prepared:
    """A photograph's colours, corrected and looked up; what all its films share.

    Parameters
    ----------
    palette : Palette
    start : array, shape (board, 3)
        Screen values of the bare board, corrected [0 to 1].
    corner, share : array, shape (board, 4)
        Rows of `rho` that a colour lies between, and how near it is to each.
    rho : array, shape (nodes, 81)
        Reflectance of the wetted wood from inside a film, of the nodes that are needed.
    viewing : Viewing
    """

    palette: Palette
    start: Array
    corner: NDArray[np.intp]
    share: NDArray[np.float32]
    rho: Array
    viewing: Viewing


def prepare(
    palette: Palette, *, bare: Bare, correction: Correction | None = None,
    viewing: Viewing = PHOTO,
) -> Prepared:  # fmt: skip
    """Return what all films on a photographed board share.

    Parameters
    ----------
    palette : Palette
        Of the photograph.
    bare : Bare
        Of which skin and wetting are taken, not the colour: that is the photograph's.
    correction : Correction, optional
        Of the light of the photograph.
    viewing : Viewing
        How the photograph sees.
    """
    start = palette.codes[: palette.board] / 255
    if correction is not None:
        start = correction.code(start)
    corner, share = _tetrahedra(start)
    nodes, corner = np.unique(corner, return_inverse=True)
    rho = _node_rho(nodes, bare.k1b[0], bare.wetting[0], viewing)
    return Prepared(palette, start, corner.reshape(share.shape), share, rho, viewing)


def bare_table(prepared: Prepared) -> Pixels:
    """Return the colours of a photograph as they are, corrected: no coat. See `film_table`."""
    return _with_background(prepared, prepared.start)


def film_table(
    prepared: Prepared, *, grades: Sequence[GradeColour], loads_g_m2: Sequence[float]
) -> Pixels:
    """Return what each colour of a photograph becomes under a film.

    Parameters
    ----------
    prepared : Prepared
        Of the photograph.
    grades : sequence of GradeColour
    loads_g_m2 : sequence of float, one for each grade
        Dry lac [g/m2, 0 or more]. No load at all is the sealed board, not the bare one.

    Returns
    -------
    array of uint32, shape (n,)
        0x00BBGGRR for each row of `Palette.codes`; background as it was.
    """
    nodes = _film(prepared.rho, grades, loads_g_m2, prepared.viewing).astype(np.float32)
    corner, share = prepared.corner, prepared.share
    code = share[:, :1] * nodes[corner[:, 0]]
    for n in range(1, 4):
        code += share[:, n : n + 1] * nodes[corner[:, n]]
    return _with_background(prepared, code)


def paint(palette: Palette, table: Pixels, out: Pixels | None = None) -> Pixels:
    """Return the points of a photograph whose colours became those of a table.

    Parameters
    ----------
    palette : Palette
    table : array of uint32, shape (n,)
    out : array of uint32, optional
        To be written into.
    """
    index = palette.index.reshape(-1)
    made = np.empty(index.size, dtype=np.uint32) if out is None else out.reshape(-1)
    for start in range(0, index.size, _CHUNK):
        part = slice(start, start + _CHUNK)
        # Every place is one of the table: nothing is ever clipped, it is only not asked twice.
        np.take(table, index[part].astype(np.intp), out=made[part], mode="clip")
    return made.reshape(palette.index.shape)


def paint_bands(palette: Palette, tables: Sequence[Pixels]) -> Pixels:
    """Return a photograph in upright bands from left to right, one for each table.

    Raises
    ------
    Refusal
        For more bands than can be told apart.
    """
    width = palette.index.shape[1]
    edges = band_edges(width, len(tables))
    out = np.empty(palette.index.shape, dtype=np.uint32)
    for table, left, right in zip(tables, edges, edges[1:], strict=False):
        out[:, left:right] = table[palette.index[:, left:right]]
    return out


def band_edges(width: int, bands: int) -> list[int]:
    """Return where so many bands of a width begin, and where the last ends [points]."""
    if not 1 <= bands <= min(MOST_BANDS, width):
        raise Refusal("coats", f"{bands} bands do not fit into the picture",
                      f"ask for {min(MOST_BANDS, width) - 1} coats at most")  # fmt: skip
    return [round(width * n / bands) for n in range(bands + 1)]


def lut(
    *, bare: Bare, grades: Sequence[GradeColour], loads_g_m2: Sequence[float],
    viewing: Viewing = PHOTO,
) -> NDArray[np.uint8]:  # fmt: skip
    """Return the whole table of the model over screen values.

    Returns
    -------
    array of uint8, shape (17, 17, 17, 3)
        By blue, green and red, so that in memory red runs fastest, as a 3-D texture has it.
    """
    rho = _node_rho(np.arange(LEVELS**3), bare.k1b[0], bare.wetting[0], viewing)
    code = _film(rho, grades, loads_g_m2, viewing)
    return np.rint(255 * code).astype(np.uint8).reshape(LEVELS, LEVELS, LEVELS, 3)


def exact_srgb(
    srgb: ArrayLike, *, bare: Bare, grades: Sequence[GradeColour], loads_g_m2: Sequence[float],
    viewing: Viewing = PHOTO,
) -> Array:  # fmt: skip
    """Return screen values under a film by the model itself, colour by colour and slowly.

    Parameters
    ----------
    srgb : array, shape (..., 3)
        Of the bare board [0 to 1].
    """
    spectra = recover(lab_of_srgb(srgb, viewing), viewing, nearest=True)
    rho = inside_film(spectra, bare.k1b[0], bare.wetting[0])
    return _film(rho, grades, loads_g_m2, viewing)


def lab_of_light(light: ArrayLike, viewing: Viewing = PHOTO) -> Array:
    """Return Lab of linear light of a screen [0 to 1], shape (..., 3)."""
    return lab_of_srgb(code_of_light(light), viewing)


def _film(
    rho: Array, grades: Sequence[GradeColour], loads_g_m2: Sequence[float], viewing: Viewing
) -> Array:
    if len(grades) != len(loads_g_m2):
        raise Refusal("load", "there is not one load for each grade", "give as many as grades")
    if not all(np.isfinite(load) and load >= 0 for load in loads_g_m2):
        raise Refusal("load", "a load below zero or no number", "give grams of dry lac to a m2")
    tau, haze = np.zeros(len(WAVELENGTHS)), 0.0
    for grade, load in zip(grades, loads_g_m2, strict=True):
        tau = tau + load * grade.absorption()
        haze += load * grade.haze_per_g_m2
    film = film_over(haze_over(rho, haze) if haze else rho, tau, viewing.geometry)
    return srgb_of_lab(lab_of_reflectance(film, viewing), viewing)


def _with_background(prepared: Prepared, code: ArrayLike) -> Pixels:
    palette = prepared.palette
    level = np.concatenate([
        (np.asarray(code) * 255 + 0.5).astype(np.uint32),
        palette.codes[palette.board :].astype(np.uint32),
    ])  # fmt: skip
    packed: Pixels = level[:, 0] | level[:, 1] << 8 | level[:, 2] << 16
    return packed


def _tetrahedra(code: Array) -> tuple[NDArray[np.intp], NDArray[np.float32]]:
    """Return the four nodes round each colour and their shares, shape (n, 4) each.

    A cell is cut along its grey diagonal into six tetrahedra, so that grey stays grey.
    """
    at = code * (LEVELS - 1)
    low = np.minimum(at.astype(np.intp), LEVELS - 2)
    rest = at - low
    order = np.argsort(-rest, axis=1, kind="stable")
    down = np.take_along_axis(rest, order, axis=1)
    stride = np.array([1, LEVELS, LEVELS * LEVELS])
    corner = np.empty((len(code), 4), dtype=np.intp)
    corner[:, 0] = low @ stride
    corner[:, 1:] = corner[:, :1] + np.cumsum(stride[order], axis=1)
    share = -np.diff(down, axis=1, prepend=1.0, append=0.0)
    return corner, share.astype(np.float32)


_alone = threading.Lock()


@lru_cache(maxsize=8)
def _recovered(viewing: Viewing) -> tuple[Array, Marked]:
    """Return room for the reflectance of all nodes, and which are there already."""
    return np.empty((LEVELS**3, len(WAVELENGTHS))), np.zeros(LEVELS**3, dtype=bool)


@lru_cache(maxsize=8)
def _wetted(k1b: float, wetting: float, viewing: Viewing) -> tuple[Array, Marked]:
    """Return the same of the wetted wood."""
    return np.empty((LEVELS**3, len(WAVELENGTHS))), np.zeros(LEVELS**3, dtype=bool)


def _node_rho(
    nodes: NDArray[np.intp], k1b: float, wetting: float, viewing: Viewing
) -> Array:  # fmt: skip
    """Return the reflectance inside a film of nodes; each is recovered once for all photographs."""
    with _alone:
        bare, known = _recovered(viewing)
        new = nodes[~known[nodes]]
        if len(new):
            rgb = np.stack([new % LEVELS, new // LEVELS % LEVELS, new // LEVELS**2], axis=1)
            lab = lab_of_srgb(rgb / (LEVELS - 1), viewing)
            bare[new] = recover(lab, viewing, nearest=True)
            known[new] = True
        rho, there = _wetted(k1b, wetting, viewing)
        new = nodes[~there[nodes]]
        if len(new):
            rho[new] = inside_film(bare[new], k1b, wetting)
            there[new] = True
        return rho[nodes]
