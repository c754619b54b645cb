"""What a wood looks like under a film of so many grams: the central case, its band, a strip."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from lacwright.colour.accuracy import Claim, cautions_of, claim_of
from lacwright.colour.cie import WAVELENGTHS, Array, Viewing
from lacwright.colour.constants import constant, spread
from lacwright.colour.grade import GradeColour
from lacwright.colour.optics import film_over, haze_over
from lacwright.colour.spaces import de00, hex_of_lab, lab_of_reflectance, srgb_of_lab
from lacwright.colour.wood import Bare, inside_film, recover
from lacwright.colour.words import colour_words, difference_words
from lacwright.figures import Basis, Caution, Figure, Mark, Refusal, weakest

Lab = tuple[float, float, float]

_CHUNK = 1024  # rows at a time: spectra of 81 numbers that stay in the cache of a core
_DRAWS = 400


@dataclass(frozen=True)
class Look:
    """A predicted colour and how far it is to be trusted.

    Parameters
    ----------
    lab : tuple of three floats
        L*, a*, b*, the central case.
    viewing : Viewing
        Under which light, for whom, with or without gloss.
    bare_lab : tuple of three floats
        The bare wood in the same viewing.
    srgb : tuple of three floats
        For a screen, 0 to 1, clipped to what it can show.
    hex : str
        The same as "#rrggbb".
    de00_band : tuple of two floats
        Typical (half of all cases) and largest (95 %) difference from `lab` [CIEDE2000]: of the
        draws, and never below what is judged possible.
    lab_low, lab_high : tuple of three floats
        5 and 95 % of L*, a*, b*, each by itself.
    words : str
        The colour in words, and against the bare wood.
    claim : Claim
        What it rests on, and what may be said of it.
    mark : Mark
        The weakest of its inputs.
    cautions : tuple of Caution
        What is not claimed.
    """

    lab: Lab
    viewing: Viewing
    bare_lab: Lab
    srgb: Lab
    hex: str
    de00_band: tuple[float, float]
    lab_low: Lab
    lab_high: Lab
    words: str
    claim: Claim
    mark: Mark
    cautions: tuple[Caution, ...]

    @property
    def basis(self) -> str:
        """What it rests on, in words."""
        return self.claim.basis

    @property
    def de00_from_bare(self) -> float:
        """Difference from the bare wood [CIEDE2000]."""
        return float(de00(self.lab, self.bare_lab))

    def figures(self) -> dict[str, Figure]:
        """Return "lightness", "red", "yellow" (L*, a*, b*) as figures with their bands."""
        return {
            name: Figure(self.lab[i], self.lab_low[i], self.lab_high[i], "1", Basis.COMPUTED,
                         self.mark, f"{self.basis}; {self.viewing.words()}")
            for i, name in enumerate(("lightness", "red", "yellow"))
        }  # fmt: skip


@dataclass(frozen=True)
class Step:
    """One field of a strip."""

    coats: int
    called: str
    lab: Lab
    srgb: Lab
    hex: str
    words: str


def lab_under(
    *, bare: Bare, grades: Sequence[GradeColour], loads_g_m2: ArrayLike,
    viewing: Viewing | None = None, index: float | None = None, wax_share: float | None = None,
) -> Array:  # fmt: skip
    """Colour of a wood under films, the central case of each.

    Parameters
    ----------
    bare : Bare
        The wood. A film of no load is the sealed wood: wetted, not absorbed from. What is bare
        has the colour of `bare_lab`.
    grades : sequence of GradeColour
        What the films are made of.
    loads_g_m2 : array, shape (..., G)
        Dry lac of each grade [g/m2, 0 or more]. Loads add: order of coats plays no role.
    viewing : Viewing, optional
        How it is looked at; as the bare wood was read by default.
    index : float, optional
        Refractive index of the film; that of shellac by default.
    wax_share : float, optional
        Wax in the film [0 to 0.2], in place of what each grade usually holds; 0 if decanted.

    Returns
    -------
    array, shape (..., 3)

    Raises
    ------
    Refusal
        For loads below zero, or not one for each grade.
    """
    viewing = bare.viewing if viewing is None else viewing
    loads = _loads(loads_g_m2, grades)
    taken, haze = _of_grades(_waxed(grades, wax_share))
    rho = _wet(bare)
    flat = loads.reshape(math.prod(loads.shape[:-1]), len(grades))
    out = np.empty((len(flat), 3))
    hazy = bool(haze.any())
    for start in range(0, len(flat), _CHUNK):
        part = flat[start : start + _CHUNK]
        base = haze_over(rho, (part @ haze)[:, None]) if hazy else rho
        film = film_over(base, part @ taken, viewing.geometry, index)
        out[start : start + _CHUNK] = lab_of_reflectance(film, viewing)
    return out.reshape(*loads.shape[:-1], 3)


def bare_lab(bare: Bare, viewing: Viewing | None = None) -> Array:
    """Colour of the bare wood under a light, for an observer; a rough skin has no gloss to tell."""
    if viewing is None or (viewing.illuminant, viewing.observer) == (
        bare.viewing.illuminant, bare.viewing.observer,
    ):  # fmt: skip
        return np.array(bare.lab)
    return lab_of_reflectance(_dry(bare), viewing)


def look(
    *, bare: Bare, grades: Sequence[GradeColour], loads_g_m2: Sequence[float],
    viewing: Viewing | None = None, wax_share: float | None = None,
    load_ln_sd: float | None = None, draws: int = _DRAWS, seed: int = 0,
) -> Look:  # fmt: skip
    """Colour of a wood under one film, with its band and what may be claimed.

    Parameters
    ----------
    bare, grades, viewing, wax_share
        See `lab_under`.
    loads_g_m2 : sequence of float, one for each grade
        Dry lac on the wood [g/m2].
    load_ln_sd : float, optional
        How well the whole load is known (spread of its logarithm).
    draws, seed : int
        For the band.

    Raises
    ------
    Refusal
        See `lab_under`.
    """
    viewing = bare.viewing if viewing is None else viewing
    loads = _loads(loads_g_m2, grades)
    if loads.ndim != 1:
        raise Refusal("load", "one film at a time has a band", "give one load for each grade")
    middle = lab_under(bare=bare, grades=grades, loads_g_m2=loads, viewing=viewing,
                       wax_share=wax_share)  # fmt: skip
    claim = claim_of(bare, grades, loads)
    drawn = lab_draws(
        bare=bare, grades=grades, loads_g_m2=loads, viewing=viewing, wax_share=wax_share,
        load_ln_sd=load_ln_sd, draws=draws, seed=seed,
    )  # fmt: skip
    off = de00(drawn, middle)
    floor, least = constant("noise.floor"), claim.least
    low, high = np.quantile(drawn, [0.05, 0.95], axis=0)
    before = bare_lab(bare, viewing)
    used = [g for g, load in zip(grades, loads, strict=True) if load > 0]
    return Look(
        lab=_three(middle), viewing=viewing, bare_lab=_three(before),
        srgb=_three(srgb_of_lab(middle, viewing)), hex=hex_of_lab(middle, viewing),
        de00_band=(max(float(np.median(off)), least[0], floor),
                   max(float(np.quantile(off, 0.95)), least[1], floor)),
        lab_low=_three(np.minimum(low, middle)), lab_high=_three(np.maximum(high, middle)),
        words=f"{colour_words(middle)}, {difference_words(middle, before)}", claim=claim,
        mark=weakest(bare.mark, claim.mark, *(g.mark for g in used)),
        cautions=cautions_of(bare, used, float(loads.sum()), wax_share),
    )  # fmt: skip


def lab_draws(
    *, bare: Bare, grades: Sequence[GradeColour], loads_g_m2: ArrayLike,
    viewing: Viewing | None = None, wax_share: float | None = None,
    load_ln_sd: float | None = None, draws: int = _DRAWS, seed: int = 0,
) -> Array:  # fmt: skip
    """Draws of the colour under one film, shape (draws, 3).

    The board, its skin and wetting, each grade's absorption and haze, and the load vary; what the
    model itself may miss is added (table of accuracy). See `look` for the parameters.
    """
    viewing = bare.viewing if viewing is None else viewing
    loads = _loads(loads_g_m2, grades)
    rng = np.random.default_rng(seed)
    boards = np.array(bare.lab) + bare.lab_sd * rng.standard_normal((draws, 3))
    boards[:, 0] = np.clip(boards[:, 0], constant("readings.least"), 99.0)
    skin = np.maximum(rng.normal(*bare.k1b, size=(draws, 1)), 1e-4)
    wet = np.clip(rng.normal(*bare.wetting, size=(draws, 1)), constant("wetting.least"), 1.0)
    rho = inside_film(recover(boards, bare.viewing, nearest=True), skin, wet)
    ln_sd = spread("load.share") if load_ln_sd is None else load_ln_sd
    share = np.exp(ln_sd * rng.standard_normal(draws))
    tau, haze = np.zeros_like(rho), np.zeros(draws)
    # Whether wax is stirred in is one question for all grades of a film.
    stirred = rng.standard_normal(draws)
    for grade, load in zip(_waxed(grades, wax_share), loads, strict=True):
        laid = load * share
        tau += laid[:, None] * grade.draws(draws, rng)
        haze += laid * grade.haze_per_g_m2 * np.exp(grade.haze_ln_sd * stirred)
    film = film_over(haze_over(rho, haze[:, None]), tau, viewing.geometry)
    missed = claim_of(bare, grades, loads).model_sd * rng.standard_normal((draws, 3))
    return lab_of_reflectance(film, viewing) + missed


def steps(
    *, bare: Bare, grades: Sequence[GradeColour], coat_g_m2: Sequence[float], coats: int,
    viewing: Viewing | None = None, wax_share: float | None = None,
) -> tuple[Step, ...]:  # fmt: skip
    """Return a strip: the bare wood, then 1 to `coats` coats.

    Parameters
    ----------
    coat_g_m2 : sequence of float, one for each grade
        Dry lac that one coat adds [g/m2].
    coats : int
        How many [0 to 200].

    Raises
    ------
    Refusal
        For another number of coats; see `lab_under`.
    """
    if not 0 <= coats <= 200:
        raise Refusal("coats", f"{coats} is outside 0 to 200", "give the number of coats")
    viewing = bare.viewing if viewing is None else viewing
    number = np.arange(1, coats + 1)
    films = lab_under(bare=bare, grades=grades, viewing=viewing, wax_share=wax_share,
                      loads_g_m2=number[:, None] * _loads(coat_g_m2, grades))  # fmt: skip
    before = bare_lab(bare, viewing)
    out = [_step(0, "bare wood", before, before, viewing)]
    for n, lab in zip(number.tolist(), films, strict=True):
        out.append(_step(n, f"{n} coat{'' if n == 1 else 's'}", lab, before, viewing))
    return tuple(out)


def _step(coats: int, called: str, lab: Array, before: Array, viewing: Viewing) -> Step:
    words = colour_words(lab)
    if coats:
        words += f", {difference_words(lab, before)}"
    return Step(coats, called, _three(lab), _three(srgb_of_lab(lab, viewing)),
                hex_of_lab(lab, viewing), words)  # fmt: skip


def _loads(loads_g_m2: ArrayLike, grades: Sequence[GradeColour]) -> Array:
    loads = np.asarray(loads_g_m2, dtype=float)
    if not loads.ndim or loads.shape[-1] != len(grades):
        raise Refusal("load", "there is not one load for each grade", "give as many as grades")
    if not np.isfinite(loads).all() or (loads < 0).any():
        raise Refusal("load", "a load below zero or no number", "give grams of dry lac to a m2")
    return loads


def _waxed(grades: Sequence[GradeColour], share: float | None) -> list[GradeColour]:
    return list(grades) if share is None else [g.with_wax(share) for g in grades]


def _of_grades(grades: Sequence[GradeColour]) -> tuple[Array, Array]:
    """Return absorption, shape (G, 81), and haze, shape (G,), of a gram on a square metre."""
    taken = np.array([g.absorption() for g in grades]).reshape(len(grades), len(WAVELENGTHS))
    return taken, np.array([g.haze_per_g_m2 for g in grades])


@lru_cache(maxsize=64)
def _dry(bare: Bare) -> Array:
    return recover(bare.lab, bare.viewing)


@lru_cache(maxsize=64)
def _wet(bare: Bare) -> Array:
    return inside_film(_dry(bare), bare.k1b[0], bare.wetting[0])


def _three(values: Array) -> Lab:
    one, two, three = (float(v) for v in values)
    return one, two, three
