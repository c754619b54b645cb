"""Grades of lac as absorbers: how much light a gram on a square metre takes, and how surely."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from numpy.typing import NDArray

from lacwright.colour.cie import WAVELENGTHS, Array
from lacwright.colour.constants import constant, ln_spread, row, spread
from lacwright.figures import Mark, Refusal, weakest
from lacwright.figures.learned import Z95
from lacwright.trade import Row, table

NAME, GARDNER, PANELS = "grade name only", "Gardner number", "own panels"
"""What the colour of a grade rests on."""
BY_MASS, BY_VOLUME = "20 % by mass", "20 % by volume"
"""How strong the solution was that was held against the standards of Gardner."""
HOW_TO_LEARN = "give the Gardner number of its 20 % solution, or lay a panel and read it"


@dataclass(frozen=True, eq=False)
class GradeColour:
    """How a grade absorbs and scatters.

    Parameters
    ----------
    name : str
        As it is shown.
    params : tuple of three floats
        ln of the absorption at 500 nm [m2/g]; its slope for 100 nm of wavelength; height of the
        band of the red dye at 490 nm [m2/g, 0 or more].
    cov : array, shape (3, 3)
        Covariance of those.
    haze_per_g_m2 : float
        Scattering that its wax adds for each gram on a square metre [m2/g, 0 or more].
    haze_ln_sd : float
        Spread of the logarithm of that.
    basis : str
        `NAME`, `GARDNER` or `PANELS`.
    mark : Mark
    source : str
    note : str
        What is to be said with it.
    """

    name: str
    params: tuple[float, float, float]
    cov: Array
    haze_per_g_m2: float
    haze_ln_sd: float
    basis: str
    mark: Mark
    source: str
    note: str = ""

    @property
    def sd(self) -> tuple[float, float, float]:
        """Standard deviations of the three parameters."""
        one, two, three = (math.sqrt(self.cov[i, i]) for i in range(3))
        return one, two, three

    def absorption(self) -> Array:
        """Return the natural absorption of one gram on a square metre [m2/g], shape (81,)."""
        return absorption_of(np.array(self.params))

    def draws(self, n: int, rng: np.random.Generator) -> Array:
        """Return n draws of the absorption [m2/g], shape (n, 81)."""
        return absorption_of(self.param_draws(n, rng))

    def param_draws(self, n: int, rng: np.random.Generator) -> Array:
        """Return n draws of the three parameters, shape (n, 3)."""
        drawn = rng.multivariate_normal(self.params, self.cov, size=n, method="svd")
        drawn[:, 2] = np.maximum(drawn[:, 2], 0.0)
        return np.asarray(drawn, dtype=float)

    def with_wax(self, share: float) -> GradeColour:
        """Return the same grade with another share of wax in its film [0 to 0.2].

        Raises
        ------
        Refusal
            Outside that range.
        """
        if not 0 <= share <= 0.2:
            raise Refusal("wax", f"a share of {share:g} is outside 0 to 0.2",
                          "lac has at most 0.055 of it, none once decanted clear")  # fmt: skip
        return replace(self, haze_per_g_m2=share * constant("haze"))


def absorption_of(params: Array) -> Array:
    """Natural absorption [m2/g] of parameters, shape (..., 3) to (..., 81).

    Notes
    -----
    exp(p + s (nm - 500) / 100) + band exp(-((nm - 490) / width)^2 / 2).
    """
    level, slope, band = params[..., 0, None], params[..., 1, None], params[..., 2, None]
    straight = np.exp(level + slope * (WAVELENGTHS - 500) / 100)
    return np.asarray(straight + band * dye_band(), dtype=float)


@cache
def dye_band() -> Array:
    """Shape of the band of the red dye of lac, 1 at its height, shape (81,)."""
    off = (WAVELENGTHS - constant("dye.centre")) / constant("dye.width")
    out: Array = np.exp(-(off**2) / 2)
    out.flags.writeable = False
    return out


def find_grade_colour(name: str, where: str = "grade") -> GradeColour:
    """Return the colour that a grade's name stands for: a guess of direction and rank.

    Raises
    ------
    Refusal
        For an unknown grade, and for one whose colour is not on file.
    """
    grades = table("colour_grades")
    key = _by_name().get(_plain(name))
    if key is None:
        grade = table("grades").find(name, where).key
        key = _by_name().get(_plain(grade))
        if key is None:
            raise Refusal(where, f"no colour of {grade} is on file",
                          f"{HOW_TO_LEARN}; on file are {', '.join(grades.rows)}")  # fmt: skip
    one = grades[key]
    low, mid, high = (_bridge(one.number(c)) for c in ("gardner_low", "gardner", "gardner_high"))
    times, band = one.number("times"), one.number("band")
    loose = (row("name.level"), row("name.slope"))
    level_sd = math.hypot((high[0] - low[0]) / (2 * Z95), spread("name.level"))
    slope_sd = spread("name.slope")
    params = (mid[0] + math.log(times) - math.log(_tube_g_m2(BY_MASS, None)), mid[1], band)
    cov: Array = np.diag([level_sd**2, slope_sd**2, (band * one.number("band_spread")) ** 2])
    marks = (one.mark, row("haze").mark if one.number("wax") else Mark.PUBLISHED,
             *(r.mark for r in loose))  # fmt: skip
    return GradeColour(
        one.key, params, cov, one.number("wax") * constant("haze"), ln_spread("haze"),
        NAME, weakest(*marks), one.source, one.text("words"),
    )  # fmt: skip


def grade_of_gardner(
    number: float, solution: str = BY_MASS, *, resin_density_g_ml: float | None = None,
    name: str = "", wax: float = 0.0, band: float = 0.0, where: str = "Gardner number",
) -> GradeColour:  # fmt: skip
    """Return the colour of a grade whose 20 % solution was held against Gardner's standards.

    Parameters
    ----------
    number : float
        1 to 17, halves and tenths between; 18 is darker than a strength can be told from.
    solution : str
        `BY_MASS` (20 g in 100 g of solution) or `BY_VOLUME` (20 g in 100 ml of it).
    resin_density_g_ml : float, optional
        Of the resin; matters by mass only, and little.
    name : str
        As it is to be shown.
    wax : float
        Share of wax that the film will hold.
    band : float
        Height of the band of red dye [m2/g], which a Gardner number does not tell.

    Raises
    ------
    Refusal
        For a number outside the scale or another strength.

    Examples
    --------
    The tube of a 20 % solution by volume holds 2130 g of lac to a square metre.

    >>> grade = grade_of_gardner(12, BY_VOLUME)
    >>> round(float(tube_absorbance(12)[0] / grade.absorption()[0]))
    2130
    """
    if not 1 <= number <= 17:
        raise Refusal(where, f"{number:g} is outside 1 to 17",
                      "beyond it only a panel tells the colour: lay one")  # fmt: skip
    level, slope = _bridge(number)
    params = (level - math.log(_tube_g_m2(solution, resin_density_g_ml)), slope, band)
    low, high = _bridge(max(number - 0.5, 1)), _bridge(min(number + 0.5, 17))
    read = abs(high[0] - low[0]) / (2 * Z95)
    cov = np.diag([read**2 + spread("gardner.level") ** 2, spread("gardner.slope") ** 2, 0.0])
    return GradeColour(
        name or f"Gardner {number:g}", params, cov, 0.0, ln_spread("haze"), GARDNER,
        weakest(Mark.OWN, row("gardner.level").mark), f"Gardner {number:g} in {solution}",
    ).with_wax(wax)  # fmt: skip


def grade_of_panels(
    name: str, params: tuple[float, float, float], cov: NDArray[np.float64], *,
    haze_per_g_m2: float = 0.0, haze_ln_sd: float = 0.0, source: str = "from your panels",
    basis: str = PANELS, mark: Mark = Mark.OWN,
) -> GradeColour:  # fmt: skip
    """Return the colour of a grade fitted to the maker's own panels; see `GradeColour`."""
    return GradeColour(name, params, np.asarray(cov, dtype=float), haze_per_g_m2, haze_ln_sd, basis,
                       mark, source)  # fmt: skip


def tube_absorbance(number: float) -> Array:
    """Natural absorbance of the tube of liquid that matches a Gardner number, shape (81,).

    Raises
    ------
    Refusal
        Outside 1 to 17.
    """
    if not 1 <= number <= 17:
        raise Refusal("Gardner number", f"{number:g} is outside 1 to 17", "give one of them")
    level, slope = _bridge(number)
    return np.asarray(np.exp(level + slope * (WAVELENGTHS - 500) / 100), dtype=float)


def _bridge(number: float) -> tuple[float, float]:
    """Return (ln absorbance at 500 nm, slope) of the tube; straight lines between standards."""
    rows: list[Row] = list(table("colour_gardner"))
    at = [float(one.key) for one in rows]
    level, slope = (
        float(np.interp(number, at, [one.number(c) for one in rows]))
        for c in ("ln_absorbance_500", "slope")
    )
    return level, slope


def _tube_g_m2(solution: str, resin_density_g_ml: float | None) -> float:
    """Return the resin that lies in the light of the tube [g/m2]."""
    share, depth_mm = constant("tube.share"), constant("tube")
    if solution == BY_VOLUME:
        return 1000 * share * depth_mm
    if solution != BY_MASS:
        raise Refusal("solution", f"'{solution}' is not one of two strengths",
                      f"use '{BY_MASS}' or '{BY_VOLUME}'")  # fmt: skip
    density = resin_density_g_ml or table("solution")["resin_density"].number("value")
    alcohol = table("drying_solvents")["ethanol"].number("density_kg_m3") / 1000
    return 1000 * share / (share / density + (1 - share) / alcohol) * depth_mm


@cache
def _by_name() -> dict[str, str]:
    return {_plain(n): one.key for one in table("colour_grades") for n in one.names()}


def _plain(name: str) -> str:
    return " ".join(name.lower().replace("_", " ").replace("-", " ").split())
