"""The constants of the drying coat that a bench can calibrate, and what they say of a result."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from lacwright.drying import params
from lacwright.drying.compiling import kernel
from lacwright.drying.params import Array, constant
from lacwright.figures import Figure, Hand, Learned, Mark, Refusal
from lacwright.figures.draws import Draws
from lacwright.figures.learned import Z95
from lacwright.trade import table

AIR, STEP, TOLERANCE = "drying.air", "drying.diffusion", "drying.water_tolerance"
"""Names of the own figures: the bench's air, a lot's step of diffusion, water a film bears."""
ROWS = {AIR: "air_factor", STEP: "diffusion_step", TOLERANCE: "water_tolerance"}
REACH = {AIR: (0.05, 20.0), STEP: (0.168, 0.672), TOLERANCE: (0.02, 3.0)}
"""Where an observation is looked for, and what may be given; outside, it is a slip."""
ROUNDING = 1e-9
ONE_SEEN = {AIR: "calibrated_touch_ln_sd", STEP: "calibrated_step_ln_sd",
            TOLERANCE: "whitening_ln_sd"}  # fmt: skip
"""Rows with the spread of one own observation, also taken for a plain value given by hand."""
HYGROMETER = "climate.hygrometer"
UNCALIBRATED = "uncalibrated"
LEAST_RH = 0.01


def prior(name: str) -> Learned:
    """Return one of the three constants as the table has it, before any own observation."""
    return table("drying")[ROWS[name]].learned(name)


def constants_of(hand: Mapping[str, Figure | Learned]) -> dict[str, Learned]:
    """Return the three constants: the hand's own where it has them, else the priors."""
    return {**{name: prior(name) for name in ROWS}, **own_constants(hand)}


def own_constants(own: Mapping[str, Figure | Learned]) -> dict[str, Learned]:
    """Return what of the maker's own figures the model of the drying coat takes.

    A plain value that is given is taken as it is, as good as one observation where it has no
    range of its own.

    Parameters
    ----------
    own : mapping of str to Figure or Learned
        Own figures by name; those of other names are left out.

    Raises
    ------
    Refusal
        For a value that no bench can have.
    """
    return {name: _constant(name, own[name]) for name in ROWS if name in own}


def _constant(name: str, said: Figure | Learned) -> Learned:
    value = said.posterior()[0] if isinstance(said, Learned) else said.number()
    low, high = REACH[name]
    # What was given once comes back from its logarithm, a last digit off at the ends.
    if not low * (1 - ROUNDING) <= value <= high * (1 + ROUNDING):
        raise Refusal(name, f"{value:g} is outside {low:g} to {high:g}",
                      "time a coat and see `lacwright calibrate-drying`")  # fmt: skip
    if isinstance(said, Learned):
        return said
    ln_sd = constant(ONE_SEEN[name])
    if said.low and said.high and said.high > said.low:
        ln_sd = math.log(said.high / said.low) / (2 * Z95)
    return Learned(name, said.unit, value, ln_sd, said.source, Mark.OWN)


@dataclass(frozen=True)
class State:
    """What of the model is calibrated.

    Parameters
    ----------
    words : str
        "uncalibrated", or on what each part is calibrated.
    air, step, tolerance : bool
        Which constants rest on own observations.
    """

    words: str
    air: bool
    step: bool
    tolerance: bool

    @property
    def key(self) -> str:
        """Key of the bands that belong to it: uncalibrated, air or bench."""
        if self.air and self.step:
            return "bench"
        return "air" if self.air else UNCALIBRATED


def state(hand: Hand) -> State:
    """Return what the hand's own figures calibrate."""
    on = {name: _rests_on(one) for name, one in constants_of(hand).items()}
    if on[AIR] and on[STEP]:
        words = f"calibrated on {on[STEP]}"
    elif on[AIR]:
        words = f"touch-dry calibrated on {on[AIR]}, later times uncalibrated"
    elif on[STEP]:
        words = f"late times calibrated on {on[STEP]}, touch-dry uncalibrated"
    else:
        words = UNCALIBRATED
    return State(words, bool(on[AIR]), bool(on[STEP]), bool(on[TOLERANCE]))


def _rests_on(one: Learned) -> str:
    """Return the last own observation of a constant, or where it was given; "" for a prior."""
    if one.seen:
        return one.seen[-1].source
    return one.source if one.mark is Mark.OWN else ""


def drawn(
    case: Array, *, water_at: int, rh: float, hand: Hand, draws: Draws, wet_ln_sd: float
) -> Array:  # fmt: skip
    """Return the case and its draws, shape (n + 1, columns): each common factor is drawn once."""
    model = kernel()
    cases = np.repeat(case[None], draws.n + 1, axis=0)
    constants = constants_of(hand)
    mid, ln_sd = constants[AIR].posterior()
    cases[:, model.AIR_FACTOR] = draws.lognormal(AIR, mid, ln_sd)
    mid, ln_sd = constants[STEP].posterior()
    cases[:, model.XI_FACTOR] = draws.lognormal(STEP, mid, ln_sd) / constant("diffusion_step")
    mid, ln_sd = constants[TOLERANCE].posterior()
    # More than all of it being water cannot be borne.
    cases[:, model.F_TOL] = np.minimum(draws.lognormal(TOLERANCE, mid, ln_sd), 1.0)
    held = table("drying_in_resin")[params.WATER].figure("interaction", "1")
    cases[:, model.CHI_WATER] = draws.between("drying.water_in_resin", *_band(held))
    board = params.constant_figure("board_factor")
    cases[:, model.BOARD_FACTOR] = draws.between("drying.board", *_band(board))
    cases[:, model.WET_FACTOR] = draws.lognormal("coat.wet", 1.0, wet_ln_sd)
    off = draws.between(HYGROMETER, *_band(params.constant_figure("hygrometer_error")))
    cases[:, water_at] = case[water_at] / rh * humidities(rh, off)
    return cases


def humidities(rh: float, off: Array) -> Array:
    """Return the humidity of each draw: what the hygrometer said, and by how much it is off."""
    return np.clip(rh + off, LEAST_RH, 1.0)


def wet_ln_sd_default() -> float:
    """Return the spread of one coat about the wet film that is stated for it."""
    return table("drying")["wet_factor"].learned("coat.wet").ln_sd


def central_factors(case: Array, hand: Hand) -> None:
    """Set the hand's central constants into a case, in place."""
    model = kernel()
    mids = {name: one.posterior()[0] for name, one in constants_of(hand).items()}
    case[..., model.AIR_FACTOR] = mids[AIR]
    case[..., model.XI_FACTOR] = mids[STEP] / constant("diffusion_step")
    case[..., model.F_TOL] = min(mids[TOLERANCE], 1.0)


def _band(figure: Figure) -> tuple[float, float, float]:
    assert figure.low is not None
    assert figure.value is not None
    assert figure.high is not None
    return figure.low, figure.value, figure.high
