"""Coats still to go, from a few readings of a panel: readings fall by the same share each coat.

A reading is a lightness L* or a reflectance through one filter. L* is turned into luminance
first: of the light that comes back each coat leaves a share, of L* it does not.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from lacwright.figures import Figure, Refusal, computed, given
from lacwright.figures.learned import Z95
from lacwright.trade import table

LIGHTNESS, REFLECTANCE = "L*", "reflectance"
SCALES = {LIGHTNESS: "lightness L*", REFLECTANCE: "reflectance in percent"}
"""Scales of a reading, and what each is called."""
MOST_COATS, MOST_ROWS = 200, 12
ONLY_DARKENS = "shellac only darkens"
CLEAR_FACTOR = 1.0
"""What a coat of a mix that takes no light leaves of it."""

_EDGE_L = 8.0  # CIE 15: below it L* is a straight line
_LINE = 27 / 24389  # its steepness, in shares of white


@dataclass(frozen=True)
class Reading:
    """A reading of one band of the panel.

    Parameters
    ----------
    coats : int
        Coats on it; 0 is the bare wood, or the sealed one where that is said.
    value : float
        In the scale.
    """

    coats: int
    value: float


@dataclass(frozen=True)
class Fit:
    """A straight line through the logarithms of the luminance.

    Parameters
    ----------
    start, fall : float
        ln of the luminance [%] at no coat, and what each coat adds to it (below 0).
    var : tuple of three floats
        Variances of both and their covariance.
    ln_sd : float
        Scatter of one reading, of the logarithm.
    birge : float
        How many times the readings scatter more than was taken (1 or more).
    sums : tuple of two floats
        Weighted sums of coats with logarithms and of coats squared, about their means.
    first, last : int
        Fewest and most coats of a band in it.
    """

    start: float
    fall: float
    var: tuple[float, float, float]
    ln_sd: float
    birge: float
    sums: tuple[float, float]
    first: int
    last: int

    def at(self, coats: float) -> float:
        """Return the ln of the luminance after so many coats."""
        return self.start + self.fall * coats


@dataclass(frozen=True)
class Whole:
    """What a whole number of further coats reads."""

    n: int
    reading: float
    low: float
    high: float
    inside: bool


@dataclass(frozen=True)
class LastCoat:
    """Full coats, and a last one of the dark mix in clear mix.

    Parameters
    ----------
    full : int
        Coats of the dark mix.
    share : float
        Share of the dark mix in the last coat [0 to below 1]; 0 for no last coat.
    reading : float
        What they come to.
    """

    full: int
    share: float
    reading: float

    @property
    def laid(self) -> int:
        """How many coats that makes."""
        return self.full + (self.share > 0)


@dataclass(frozen=True)
class ToGo:
    """What the readings say.

    Parameters
    ----------
    fit : Fit
    now : float
        Reading of the piece as it is, or what the first coat begins from.
    now_known : bool
        Whether the piece itself was read.
    whole : tuple of Whole
        Whole numbers of coats around the target.
    last : LastCoat
        How the target itself is met.
    advised : LastCoat
        The whole number inside the tolerance that is nearest, else `last`.
    bounded : bool
        Whether the readings set an upper end of the coats.
    figures : dict of str to Figure
        factor_per_coat, coats_to_go.
    notes : tuple of str
        What is to be known.
    """

    fit: Fit
    now: float
    now_known: bool
    whole: tuple[Whole, ...]
    last: LastCoat
    advised: LastCoat
    bounded: bool
    figures: dict[str, Figure]
    notes: tuple[str, ...]


def luminance(value: float, scale: str, where: str = "reading") -> float:
    """Return the luminance [% of a perfect white] of a reading.

    Parameters
    ----------
    value : float
        Above 0; at most 100.
    scale : str
        `LIGHTNESS` or `REFLECTANCE`.

    Raises
    ------
    Refusal
        Outside that, or for another scale.

    Notes
    -----
    CIE 15 (CIELAB 1976): Y = ((L* + 16) / 116)^3 above L* = 8, below it 27/24389 L*.

    Examples
    --------
    >>> round(luminance(50, "L*"), 2)
    18.42
    """
    if scale not in SCALES:
        raise Refusal("scale", f"'{scale}' is no scale of a reading",
                      f"use one of: {', '.join(SCALES)}")  # fmt: skip
    if not 0 < value <= 100:
        raise Refusal(where, f"{value:g} is no {SCALES[scale]}", "it lies above 0, up to 100")
    if scale == REFLECTANCE:
        return value
    return 100 * (((value + 16) / 116) ** 3 if value > _EDGE_L else _LINE * value)


def reading_of(percent: float, scale: str) -> float:
    """Return the reading of a luminance [% of a perfect white]; see `luminance`."""
    if scale == REFLECTANCE:
        return percent
    lightness = 116 * math.cbrt(percent / 100) - 16
    return lightness if lightness > _EDGE_L else percent / 100 / _LINE


def coats_to_go(
    *, readings: Sequence[Reading], scale: str, target: float, tolerance: float,
    on_piece: int = 0, now: float | None = None, sealed: bool = False,
    scatter: float | None = None, clear_factor: float = CLEAR_FACTOR, load_ratio: float = 1.0,
) -> ToGo:  # fmt: skip
    """Coats that a piece still needs.

    Parameters
    ----------
    readings : sequence of Reading
        Of the panel; several of one band count each.
    scale : str
        `LIGHTNESS` or `REFLECTANCE`, of every number here.
    target, tolerance : float
        Wished reading, and how far from it is still good [above 0].
    on_piece : int
        Coats on the piece, of the same mix.
    now : float, optional
        Reading of the piece as it is; it is taken to read as the panel does without one.
    sealed : bool
        Whether 0 coats means sealed wood. Bare wood does not lie on the line: the first coat
        wets it as well.
    scatter : float, optional
        Spread of one reading, in the scale; that of the table by default.
    clear_factor : float
        What a coat of the clear mix leaves of the light [above the factor of the dark one, to 1].
    load_ratio : float
        Dry lac of a coat on the piece over that of a coat on the panel [above 0].

    Returns
    -------
    ToGo

    Raises
    ------
    Refusal
        At "reading", "target", "tolerance", "now", "coats", "clear_factor": for fewer than two
        bands, readings that rise, a target lighter than the piece.

    Notes
    -----
    ln Y = start + n ln f, least squares, each reading as sure as its scatter, which is raised by
    the ratio of Birge where the readings scatter more. The band of the coats is where the line
    with its band crosses the target (Fieller).

    Examples
    --------
    Each coat leaves 0.8: 40 % becomes 20 % in 3.1 coats.

    >>> told = coats_to_go(readings=[Reading(1, 50.0), Reading(2, 40.0), Reading(3, 32.0)],
    ...     scale="reflectance", target=20, tolerance=1, on_piece=2)
    >>> round(told.figures["coats_to_go"].number(), 2)
    3.11
    """
    _check(tolerance, on_piece, clear_factor, load_ratio)
    goal = luminance(target, scale, "target")
    fit = fitted(readings, scale, sealed=sealed, scatter=scatter)
    start, first_var = _present(fit, readings, scale, now, on_piece, sealed, load_ratio)
    present = math.exp(start)
    bare_now = on_piece == 0 and not sealed
    notes: list[str] = []
    if goal > present and reading_of(goal, scale) - reading_of(present, scale) > tolerance:
        stands = "what the first coat begins from" if bare_now else "the piece as it is"
        raise Refusal("target", f"{target:g} is lighter than {stands}, "
                      f"{reading_of(present, scale):.1f}: {ONLY_DARKENS}",
                      "wish for a darker one, or take it off and begin anew")  # fmt: skip
    fall = fit.fall * load_ratio
    var = (first_var[0], fit.var[1] * load_ratio**2, first_var[1])
    need = min(math.log(goal) - start, 0.0)
    coats = need / fall
    if coats > MOST_COATS:
        raise Refusal("target", f"{coats:.0f} coats are no finish",
                      "take a darker grade or a stronger cut, on a new panel")  # fmt: skip
    low, high = _crossing(need, fall, var)
    whole = _whole(coats, start, fall, var, scale, target, tolerance, least=1 if bare_now else 0)
    last = _last(need, start, fall, math.log(clear_factor), scale)
    inside = [w for w in whole if w.inside]
    best = min(inside, key=lambda w: abs(w.reading - target), default=None)
    advised = last if best is None else LastCoat(best.n, 0.0, best.reading)
    if fit.birge > 1.5:
        notes.append(f"The readings scatter {fit.birge:.1f} times more than one takes of them: "
                     "read the bands again, several places each.")  # fmt: skip
    if on_piece + coats > fit.last:
        notes.append(
            f"The panel ends at {fit.last} coats and the piece comes to "
            f"{on_piece + advised.laid}: beyond the panel the line is only believed."
        )
    if high is None:
        notes.append("The bands hardly differ: the readings set no upper end of the coats; lay "
                     "more coats on the panel and read it again.")  # fmt: skip
    figures = _figures(fit, load_ratio, present, goal, coats, low, high)
    return ToGo(fit, reading_of(present, scale), now is not None, whole, last, advised,
                high is not None, figures, tuple(notes))  # fmt: skip


def fitted(
    readings: Sequence[Reading], scale: str, *, sealed: bool = False, scatter: float | None = None
) -> Fit:
    """Return the line through the readings; see `coats_to_go`.

    Raises
    ------
    Refusal
        For fewer than two bands with a coat, readings that rise or that do not fall.
    """
    if any(not 0 <= r.coats <= MOST_COATS for r in readings):
        raise Refusal("reading", "a band with a number of coats that cannot be",
                      f"write 0 to {MOST_COATS}")  # fmt: skip
    for r in readings:
        luminance(r.value, scale)
    if scale == REFLECTANCE and readings and max(r.value for r in readings) <= 1:
        raise Refusal("reading", "none of the reflectances is above 1 %",
                      "write percent: 35 and not 0.35")  # fmt: skip
    used = [r for r in readings if r.coats > 0 or sealed]
    bands = sorted({r.coats for r in used})
    if len(bands) < 2:
        left = "" if len(used) == len(readings) else " with a coat (bare wood is none of them)"
        raise Refusal("reading", f"{len(bands)} band{'' if len(bands) == 1 else 's'}{left}",
                      "two bands with different numbers of coats are the least")  # fmt: skip
    _falling(used, bands, scale, scatter)
    n = np.array([r.coats for r in used], dtype=float)
    y = np.array([math.log(luminance(r.value, scale)) for r in used])
    sd = np.array([_ln_sd(r.value, scale, scatter) for r in used])
    weight = sd**-2
    total = weight.sum()
    mean_n, mean_y = (weight * n).sum() / total, (weight * y).sum() / total
    sxx = float((weight * (n - mean_n) ** 2).sum())
    sxy = float((weight * (n - mean_n) * (y - mean_y)).sum())
    fall = sxy / sxx
    start = float(mean_y - fall * mean_n)
    off = float((weight * (y - start - fall * n) ** 2).sum())
    birge = max(1.0, math.sqrt(off / (len(used) - 2))) if len(used) > 2 else 1.0
    wide = birge**2
    var_fall = wide / sxx
    var = (float(wide / total + mean_n**2 * var_fall), var_fall, float(-mean_n * var_fall))
    if fall >= 0:
        raise Refusal("reading", "the readings do not fall from coat to coat",
                      "read the bands again, and say how many coats lie on each")  # fmt: skip
    return Fit(start, fall, var, float(sd.mean()) * birge, birge, (sxy, sxx), bands[0], bands[-1])


def _check(tolerance: float, on_piece: int, clear_factor: float, load_ratio: float) -> None:
    if not (tolerance > 0 and math.isfinite(tolerance)):
        raise Refusal("tolerance", f"{tolerance:g} is no tolerance", "write e.g. 1")
    if not 0 <= on_piece <= MOST_COATS:
        raise Refusal("coats", f"{on_piece} coats on the piece cannot be", "write 0 or more")
    if not 0 < clear_factor <= 1:
        raise Refusal("clear_factor", f"{clear_factor:g} is no share of the light",
                      "write e.g. 0.99, or leave it out")  # fmt: skip
    if not (load_ratio > 0 and math.isfinite(load_ratio)):
        raise Refusal("load", "a coat of nothing", "give spread, loss and cut of both")


def _falling(used: Sequence[Reading], bands: Sequence[int], scale: str,
             scatter: float | None) -> None:  # fmt: skip
    """Refuse bands that read lighter than one with fewer coats, beyond what readings scatter."""
    mean = {b: float(np.mean([r.value for r in used if r.coats == b])) for b in bands}
    for i, less in enumerate(bands):
        for more in bands[i + 1 :]:
            near = _scatter(mean[more], scale, scatter)
            if mean[more] > mean[less] + near:
                raise Refusal(
                    "reading", f"{more} coats read {mean[more]:.1f}, lighter than the "
                    f"{mean[less]:.1f} of {less}: {ONLY_DARKENS}",
                    "read both bands again, and say how many coats lie on each",
                )  # fmt: skip


def _scatter(value: float, scale: str, scatter: float | None) -> float:
    """Return the spread of a reading, in its scale."""
    if scatter is not None:
        if not scatter > 0:
            raise Refusal("scatter", f"{scatter:g} is no spread of a reading", "write e.g. 0.5")
        return scatter
    usual = table("colour_choice")["reading.scatter"].number("value")
    if scale == LIGHTNESS:
        return usual
    lightness = reading_of(value, LIGHTNESS)
    return luminance(min(lightness + usual / 2, 100), LIGHTNESS) - luminance(
        max(lightness - usual / 2, 1e-6), LIGHTNESS
    )


def _ln_sd(value: float, scale: str, scatter: float | None) -> float:
    """Return the spread of the logarithm of the luminance of a reading."""
    near = _scatter(value, scale, scatter)
    if scale == REFLECTANCE:
        return near / value
    return 3 * near / (value + 16) if value > _EDGE_L else near / value


def _present(
    fit: Fit, readings: Sequence[Reading], scale: str, now: float | None, on_piece: int,
    sealed: bool, load_ratio: float,
) -> tuple[float, tuple[float, float]]:  # fmt: skip
    """Return ln of the piece's luminance, its variance, and how it hangs with the fall."""
    var_start, var_fall, joint = fit.var
    if now is None:
        done = on_piece * load_ratio
        var = var_start + 2 * done * joint + done**2 * var_fall
        return fit.at(done), (var, (joint + done * var_fall) * load_ratio)
    read = math.log(luminance(now, scale, "now"))
    if on_piece or sealed:
        return read, (fit.ln_sd**2, 0.0)
    bare = [math.log(luminance(r.value, scale)) for r in readings if r.coats == 0]
    if not bare:
        raise Refusal("now", "the piece is bare, and the panel has no bare band to compare it with",
                      "add a reading of the panel with coats = 0, or leave it out")  # fmt: skip
    shift = read - float(np.mean(bare))
    var = var_start + fit.ln_sd**2 * (1 + 1 / len(bare))
    return fit.start + shift, (var, joint * load_ratio)


def _crossing(
    need: float, fall: float, var: tuple[float, float, float]
) -> tuple[float, float | None]:
    """Return 5 and 95 % of the coats; None where the readings set no end."""
    v0, v1, joint = var
    a = fall**2 - Z95**2 * v1
    b = -2 * (fall * need + Z95**2 * joint)
    c = need**2 - Z95**2 * v0
    if a <= 0:
        return 0.0, None
    root = math.sqrt(max(b * b - 4 * a * c, 0.0))
    return max((-b - root) / (2 * a), 0.0), max((-b + root) / (2 * a), 0.0)


def _whole(
    coats: float, start: float, fall: float, var: tuple[float, float, float], scale: str,
    target: float, tolerance: float, *, least: int,
) -> tuple[Whole, ...]:  # fmt: skip
    """Return the whole numbers about the target, and every further one inside the tolerance."""

    def one(n: int) -> Whole:
        middle = start + fall * n
        sd = math.sqrt(max(var[0] + 2 * n * var[2] + n * n * var[1], 0.0))
        low, mid, high = (reading_of(math.exp(middle + k * Z95 * sd), scale) for k in (-1, 0, 1))
        return Whole(n, mid, low, high, abs(mid - target) <= tolerance)

    first, last = max(math.floor(coats) - 1, least), max(math.ceil(coats) + 1, least + 1)
    while first > least and len(range(first, last)) < MOST_ROWS and one(first - 1).inside:
        first -= 1
    while last - first < MOST_ROWS and one(last + 1).inside:
        last += 1
    return tuple(one(n) for n in range(first, last + 1))


def _last(need: float, start: float, fall: float, clear: float, scale: str) -> LastCoat:
    if clear <= fall:
        raise Refusal("clear_factor", "the clear mix takes as much light as the dark one",
                      "it is the pale one of the two: its factor is nearer to 1")  # fmt: skip
    full = math.floor(need / fall + 1e-9)
    rest = need - full * fall
    # A clear coat takes a little too: what less than that is left is left.
    share = max((rest - clear) / (fall - clear), 0.0) if rest < -1e-9 else 0.0
    after = start + full * fall + (share * fall + (1 - share) * clear if share else 0.0)
    return LastCoat(full, share, reading_of(math.exp(after), scale))


def _figures(
    fit: Fit, ratio: float, present: float, goal: float, coats: float, low: float,
    high: float | None,
) -> dict[str, Figure]:  # fmt: skip
    sxy, sxx = fit.sums
    source = "your readings"
    sd = math.sqrt(fit.var[1])
    factor = computed(
        "exp(ratio * sxy / sxx)",
        "1",
        {
            "sxy": given(sxy, "1", source),
            "sxx": given(sxx, "1", source),
            "ratio": given(ratio, "1", "dry lac of a coat on the piece over one on the panel"),
        },
        note="sxy, sxx: weighted sums of coats with ln of the luminance, and of coats squared, "
        "about their means",
    ).with_band(math.exp(ratio * (fit.fall - Z95 * sd)), math.exp(ratio * (fit.fall + Z95 * sd)))
    to_go = computed(
        "max(log(target / now) / log(factor), 0)", "1",
        {"target": given(goal, "%", "the target, as luminance"),
         "now": given(present, "%", "the piece as it is, as luminance"), "factor": factor},
        note="readings fall by the same share with each coat",
    )  # fmt: skip
    return {"factor_per_coat": factor,
            "coats_to_go": to_go.with_band(low, coats if high is None else high)}  # fmt: skip
