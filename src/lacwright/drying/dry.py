"""One coat: how cold its film gets, whether it whitens, when it is ready, with bands."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from lacwright.climate import Air, dew_point_c
from lacwright.drying import hand as hand_
from lacwright.drying.cases import Stack, base_case, run, stack, still_known, worse_haze
from lacwright.drying.coat import Board, Under, WetCoat
from lacwright.drying.compiling import kernel
from lacwright.drying.params import WATER, Array, constant, resin_density_g_ml
from lacwright.figures import Basis, Figure, Hand, Mark, Refusal, computed, given, unknown, weakest
from lacwright.figures.draws import Draws, band
from lacwright.figures.units import ZERO_C_K
from lacwright.film import Release
from lacwright.trade import table

DRAWS = 64
HORIZON_S = 7 * 86400.0
NO_STOP, MARGINAL, WHITENS = "no stop", "marginal", "will whiten"
CHILL_FORMULA = "room_c - film_min_c"
"""Equation 17."""
MARGIN_FORMULA = "film_min_c - dew_point_c"
"""Equation 18."""
COURSE_TIMES = 160


@dataclass(frozen=True, eq=False)
class Course:
    """The central case over time, from the laying of the coat.

    Parameters
    ----------
    times_s : array, shape (n,)
        Seconds, rising from 0.
    film_c : array, shape (n,)
        Temperature of the film [C].
    haze_index : array, shape (n,)
    left_g_m2 : mapping of str to array, shape (n,)
        Each substance in the film and in the coats below it, water among them [g/m2].
    """

    times_s: Array
    film_c: Array
    haze_index: Array
    left_g_m2: Mapping[str, Array]


@dataclass(frozen=True, eq=False)
class Drying:
    """What the model says of a wet coat.

    Parameters
    ----------
    film_min_c, film_min_s : Figure
        Lowest temperature of the film [C] and when it is reached [s].
    chill_k : Figure
        Room less film minimum [K].
    dew_point_c, dew_margin_k : Figure
        Dew point of the room [C]; film minimum less dew point [K].
    haze_index : Figure
        Water in the film against what it can hold, where it becomes touch-dry; 1: it whitens.
    touch_dry_s, print_free_s, recoat_s, sandable_s : Figure
        Seconds from the laying; the last three are missing, with the reason, where the haze
        index says that the film is two-phase.
    left_1h, left_24h : Figure
        Solvent and water in the film [g to a g of resin].
    verdict : str
        "no stop", "marginal" or "will whiten": of the film only, never an assurance.
    reason : str
        Why.
    calibrated : str
        "calibrated on ..." or "uncalibrated".
    course : Course
        For plots.
    """

    film_min_c: Figure
    film_min_s: Figure
    chill_k: Figure
    dew_point_c: Figure
    dew_margin_k: Figure
    haze_index: Figure
    touch_dry_s: Figure
    print_free_s: Figure
    recoat_s: Figure
    sandable_s: Figure
    left_1h: Figure
    left_24h: Figure
    verdict: str
    reason: str
    calibrated: str
    course: Course

    def figures(self) -> dict[str, Figure]:
        """Return the figures by name."""
        return {k: v for k, v in vars(self).items() if isinstance(v, Figure)}

    def release(self, area_m2: float) -> Release:
        """Return what the coat gives to the room from a face of so many square metres."""
        if not area_m2 > 0:
            raise Refusal("area", f"{area_m2} m2 cannot be coated", "measure the face")
        grams = {
            name: np.maximum.accumulate(np.maximum(left[0] - left, 0.0)) * area_m2
            for name, left in self.course.left_g_m2.items()
            if name != WATER
        }
        return Release(self.course.times_s, grams,
                       f"the model of the drying coat, {self.calibrated}")  # fmt: skip


def dry(
    *, coat: WetCoat, air: Air, under: Sequence[Under] = (), board: Board | None = None,
    hand: Hand | None = None, wet_ln_sd: float | None = None, draws: Draws | None = None,
) -> Drying:  # fmt: skip
    """Dry one coat.

    Parameters
    ----------
    coat : WetCoat
        The coat that is asked about, just laid.
    air : Air
        Temperature, humidity, speed of the air (it must be known) and the vapours already in it.
    under : sequence of Under
        Coats below that it dissolves again, the oldest first, laid in the same air.
    board : Board, optional
        What it lies on; 20 mm of maple at the room's temperature if left out.
    hand : Hand, optional
        Own figures: `drying.air`, `drying.diffusion`, `drying.water_tolerance`.
    wet_ln_sd : float, optional
        Spread (ln sd) of the coat about the stated wet film; a row of the table if left out, 0.03
        or so for a weighed one.
    draws : Draws, optional
        64 draws if left out.

    Returns
    -------
    Drying

    Raises
    ------
    Refusal
        For air of unknown speed or with a vapour that no table has.

    Notes
    -----
    The haze index of a coat on coats is the larger of two: with those below, into which its water
    goes as fast as the model mixes them, and by itself.

    Not modelled: what soaks into bare wood, what is lost in a spray plume, wax, oil of the pad,
    aged lac that stays soft.
    """
    hand, board, draws = hand or {}, board or Board(), draws or Draws(DRAWS)
    model = kernel()
    temp, rh, speed, vapour = still_known(air)
    packed = stack(coat, under, board)
    case = base_case(packed, temp_c=temp, rh=rh, speed_m_s=speed, vapour_pa=vapour,
                     least_end_s=model.DAY, end_s=HORIZON_S, stop=4)  # fmt: skip
    spread = hand_.wet_ln_sd_default() if wet_ln_sd is None else wet_ln_sd

    def drawn(one: Stack, case: Array) -> tuple[Array, Array]:
        water_at = model.P_AIR + len(one.substances) - 1
        cases = hand_.drawn(case, water_at=water_at, rh=rh, hand=hand, draws=draws,
                            wet_ln_sd=spread)  # fmt: skip
        return cases, rh * cases[:, water_at] / cases[0, water_at]

    cases, humid = drawn(packed, case)
    which = np.zeros(len(cases), dtype=np.int64)
    at = np.concatenate([[0.0], np.geomspace(1.0, HORIZON_S, COURSE_TIMES)])
    central, course = run([packed], cases[:1], which[:1], at_s=at)
    told = np.concatenate([central, run([packed], cases[1:], which[1:])[0]])
    if under:
        alone = stack(coat, (), board)
        first = base_case(alone, temp_c=temp, rh=rh, speed_m_s=speed, vapour_pa=vapour,
                          least_end_s=0.0, end_s=HORIZON_S, stop=1)  # fmt: skip
        by_itself = run([alone], drawn(alone, first)[0], which)[0]
        told[:, model.HAZE] = worse_haze(told[:, model.HAZE], by_itself[:, model.HAZE])
    # The kernel counts the resin with the density of the table.
    assert coat.resin_density_g_ml is not None
    told[:, [model.LEFT_1H, model.LEFT_24H]] *= resin_density_g_ml() / coat.resin_density_g_ml
    dew = np.asarray(dew_point_c(temp_c=temp, rh=humid))
    return _told(told, temp, dew, _course(course[0], packed.substances), hand)


def verdict(*, haze_index: float, dew_margin_k: float) -> tuple[str, str]:
    """Return the word for a coat and the reason: of the film alone, never an assurance.

    Parameters
    ----------
    haze_index : float
        NaN where the film does not get touch-dry.
    dew_margin_k : float
        Film minimum less dew point [K].

    Returns
    -------
    (str, str)
        The word and the reason.

    Examples
    --------
    >>> verdict(haze_index=0.7, dew_margin_k=4.2)[0]
    'marginal'
    >>> verdict(haze_index=0.2, dew_margin_k=-0.5)
    ('will whiten', 'the film gets 0.5 K colder than the dew point')
    """
    if dew_margin_k <= 0:
        return WHITENS, f"the film gets {-dew_margin_k:.1f} K colder than the dew point"
    if np.isnan(haze_index):
        return WHITENS, "the film does not get touch-dry in this air"
    if haze_index > constant("haze_whitens"):
        return WHITENS, f"water finds no room in the film: haze index {haze_index:.2f}"
    if haze_index >= constant("haze_marginal"):
        return MARGINAL, f"water is near what the film can hold: haze index {haze_index:.2f}"
    return NO_STOP, f"haze index {haze_index:.2f}, dew point {dew_margin_k:.1f} K below the film"


def _told(told: Array, temp: float, dew_draws: Array, course: Course, hand: Hand) -> Drying:
    model = kernel()
    state = hand_.state(hand)
    constants = hand_.constants_of(hand)
    gas = [constants[hand_.AIR].figure(), table("drying")["nu_flat"].figure(),
           table("drying")["board_factor"].figure()]  # fmt: skip
    late = [*gas, constants[hand_.STEP].figure(), table("drying")["resin_glass"].figure()]
    water = [*gas, constants[hand_.TOLERANCE].figure()]
    beyond = f"cannot estimate: not within {HORIZON_S / 86400:g} days"

    def figure(column: int, unit: str, inputs: list[Figure], shift: float = 0.0,
               rows: Array | None = None) -> Figure:  # fmt: skip
        row = (told if rows is None else rows)[:, column] - shift
        if np.isnan(row[0]):
            return unknown(unit, beyond)
        # A draw that is not reached lies beyond the horizon.
        row = np.where(np.isnan(row), HORIZON_S, row)
        return _figure(row, unit, inputs, state.words)

    film = figure(model.FILM_MIN, "C", gas, ZERO_C_K)
    room = given(temp, "C", "the air of the room")
    dew_0, dew_low, dew_high = band(dew_draws)
    dew = given(dew_0, "C", "dew point of the air of the room", low=dew_low, high=dew_high)
    coldest = told[:, model.FILM_MIN] - ZERO_C_K
    margin = computed(MARGIN_FORMULA, "K", {"film_min_c": film, "dew_point_c": dew},
                      draws=coldest - dew_draws)  # fmt: skip
    haze = figure(model.HAZE, "1", water)
    limit = constant("haze_withheld")
    haze_0 = float(told[0, model.HAZE])
    # Later times of draws that end two-phase mean nothing either.
    sound = ~(told[:, model.HAZE] > limit)
    later = told[sound] if sound[0] else told
    word, reason = verdict(haze_index=haze_0, dew_margin_k=margin.number())
    times = {
        name: figure(column, unit, late, rows=later) if not haze_0 > limit else unknown(
            unit, f"withheld: haze index {haze_0:.2f} is above {limit:g}, the film may be "
            "two-phase and the model does not hold for it")
        for name, column, unit in (
            ("print_free_s", model.PRINT_AT, "s"), ("recoat_s", model.RECOAT_AT, "s"),
            ("sandable_s", model.SAND_AT, "s"), ("left_1h", model.LEFT_1H, "g/g"),
            ("left_24h", model.LEFT_24H, "g/g"),
        )
    }  # fmt: skip
    return Drying(
        film_min_c=film, film_min_s=figure(model.FILM_MIN_AT, "s", gas),
        chill_k=computed(CHILL_FORMULA, "K", {"room_c": room, "film_min_c": film},
                         draws=temp - coldest),
        dew_point_c=dew, dew_margin_k=margin, haze_index=haze,
        touch_dry_s=figure(model.TOUCH_AT, "s", gas), **times,
        verdict=word, reason=reason, calibrated=state.words, course=course,
    )  # fmt: skip


def _figure(row: Array, unit: str, inputs: list[Figure], words: str) -> Figure:
    value, low, high = band(row)
    mark = weakest(Mark.REMEMBERED, *(f.mark for f in inputs))
    source = f"the model of the drying coat (explanation, equations 1 to 16), {words}"
    return Figure(value, low, high, unit, Basis.COMPUTED, mark, source)


def _course(rows: Array, substances: tuple[str, ...]) -> Course:
    model = kernel()
    seen = rows[~np.isnan(rows[:, -1])]
    return Course(
        times_s=seen[:, -1], film_c=seen[:, model.C_TEMP] - ZERO_C_K,
        haze_index=seen[:, model.C_HAZE],
        left_g_m2={k: 1000 * seen[:, model.C_MASS + i] for i, k in enumerate(substances)},
    )  # fmt: skip
