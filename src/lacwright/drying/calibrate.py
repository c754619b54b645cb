"""Own figures from a timed coat and from coats that whitened or did not."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np

from lacwright.climate import Air
from lacwright.drying import hand as hand_
from lacwright.drying.cases import base_case, run, stack, still_known, worse_haze
from lacwright.drying.coat import Board, Under, WetCoat
from lacwright.drying.compiling import kernel
from lacwright.drying.dry import HORIZON_S
from lacwright.drying.many import UNTIL
from lacwright.drying.params import Array, constant
from lacwright.figures import Hand, Learned, Refusal

LATE = ("print_free", "recoat")
ROOT_STEPS = 60
GRID = np.linspace(-10.0, 10.0, 4001)


@dataclass(frozen=True)
class TimedCoat:
    """A coat on a panel, timed.

    Parameters
    ----------
    coat : WetCoat
        Its wet film by weight, over its area.
    air : Air
        Thermometer and hygrometer beside it, and the speed that will be said of this bench.
    touch_dry_s : float
        From the laying until a fingertip takes nothing off [s].
    source : str
        "panel 3, 2027-02-01", say: what "calibrated on" will name.
    late_s : float, optional
        Until `late` [s].
    late : str
        "print_free" (it can be handled) or "recoat" (the next coat lies clean).
    board : Board
        The panel: its length is the panel's.
    under : tuple of Under
        Coats below.
    """

    coat: WetCoat
    air: Air
    touch_dry_s: float
    source: str
    late_s: float | None = None
    late: str = "print_free"
    board: Board = field(default_factory=Board)
    under: tuple[Under, ...] = ()


@dataclass(frozen=True)
class Calibration:
    """What a timed coat taught.

    Parameters
    ----------
    air_factor, step : float or None
        What the coat alone says; step is None without a late time.
    air, diffusion : Learned or None
        The hand's own figures with this observation added: prior, what was seen, posterior.
    """

    air_factor: float
    step: float | None
    air: Learned
    diffusion: Learned | None

    def hand(self) -> dict[str, Learned]:
        """Return the own figures as a hand."""
        known = {hand_.AIR: self.air}
        if self.diffusion is not None:
            known[hand_.STEP] = self.diffusion
        return known


def calibrate(timed: TimedCoat, *, hand: Hand | None = None) -> Calibration:
    """Bench air factor and step of diffusion from one timed coat.

    The air factor is what makes the model touch-dry at the time that was seen, the step of
    diffusion what then makes it print-free (or fit to recoat) at the later one; each the root of
    a rising or falling function.

    Parameters
    ----------
    timed : TimedCoat
    hand : Hand, optional
        Own figures so far; the observation is added to theirs.

    Returns
    -------
    Calibration

    Raises
    ------
    Refusal
        If no air or no resin of the model gives such times, or the film was two-phase.
    """
    hand = hand or {}
    if timed.late not in LATE:
        raise Refusal("late time", f"'{timed.late}' cannot be judged by hand",
                      "use one of: " + ", ".join(LATE))  # fmt: skip
    if timed.late_s is not None and not timed.touch_dry_s < timed.late_s < HORIZON_S:
        raise Refusal(timed.late, "does not come after touch-dry, within a week", "read it again")
    if not 1 <= timed.touch_dry_s < HORIZON_S:
        raise Refusal("touch-dry", f"{timed.touch_dry_s:g} s cannot be", "time it again")
    model = kernel()
    go = _runner(timed.coat, timed.air, timed.under, timed.board, hand)

    def touch(factor: float) -> float:
        return float(go({model.AIR_FACTOR: factor}, UNTIL["touch_dry"])[model.TOUCH_AT])

    air = _root(touch, timed.touch_dry_s, hand_.REACH[hand_.AIR])
    if air is None:
        raise Refusal("touch-dry", f"no air of the model dries this coat in {timed.touch_dry_s:g} "
                      "s", "look at wet film, cut and alcohol")  # fmt: skip
    learned = observed(hand, hand_.AIR, air, timed.source)
    if timed.late_s is None:
        return Calibration(air, None, learned, None)
    column = model.PRINT_AT if timed.late == "print_free" else model.RECOAT_AT

    def later(factor: float) -> float:
        told = go({model.AIR_FACTOR: air, model.XI_FACTOR: factor}, UNTIL[timed.late])
        if told[model.HAZE] > constant("haze_withheld"):
            raise Refusal("timed coat", f"its haze index was {told[model.HAZE]:.2f}: the film may "
                          "have been two-phase", "time one in drier air")  # fmt: skip
        return float(told[column])

    low, high = hand_.REACH[hand_.STEP]
    usual = constant("diffusion_step")
    step = _root(later, timed.late_s, (low / usual, high / usual))
    if step is None:
        raise Refusal(timed.late, f"no resin of the model is ready in {timed.late_s:g} s",
                      "look at wet film and cut")  # fmt: skip
    step *= usual
    return Calibration(air, step, learned, observed(hand, hand_.STEP, step, timed.source))


def observed(hand: Hand, name: str, value: float, source: str) -> Learned:
    """Return a constant of the hand with one more own observation of the usual spread.

    Parameters
    ----------
    hand : Hand
        Own figures so far.
    name : str
        `AIR` or `STEP`.
    value : float
        What one timed coat alone says.
    source : str
        Which coat and day.
    """
    known = hand_.constants_of(hand)[name]
    return known.observe(value, constant(hand_.ONE_SEEN[name]), source)


@dataclass(frozen=True)
class Event:
    """A coat that whitened, or did not.

    Parameters
    ----------
    coat, air, board, under
        As in `dry`.
    whitened : bool
        Whether it did.
    source : str
        Which coat and day.
    """

    coat: WetCoat
    air: Air
    whitened: bool
    source: str
    board: Board = field(default_factory=Board)
    under: tuple[Under, ...] = ()


@dataclass(frozen=True)
class Tolerance:
    """What events say of the water that a film bears.

    Parameters
    ----------
    bounds : tuple of (str, float)
        For each event "above" or "below" and the tolerance that would put it at haze index 1.
    low, high : float or None
        The tightest bound from below and from above; they may contradict each other.
    learned : Learned
        Prior, and the events together as one observation that gives the same posterior.
    """

    bounds: tuple[tuple[str, float], ...]
    low: float | None
    high: float | None
    learned: Learned


@dataclass(frozen=True)
class Bound:
    """What one coat says of the water that a film bears.

    Parameters
    ----------
    whitened : bool
        Then the tolerance lies below the bound, else above it.
    tolerance : float
        What would have put this coat at haze index 1.
    source : str
        Which coat and day.
    """

    whitened: bool
    tolerance: float
    source: str


def learn_tolerance(events: Sequence[Event], *, hand: Hand | None = None) -> Tolerance:
    """Water tolerance from coats that whitened or stayed clear.

    A coat that whitened had more water than it could hold: the tolerance is below what would put
    it at haze index 1. One that stayed clear: above. Each bound is as soft as the reading of the
    hygrometer, and none is a point; the posterior is prior times all of them.

    Parameters
    ----------
    events : sequence of Event
    hand : Hand, optional
        Own figures of the bench, for its air.

    Returns
    -------
    Tolerance

    Raises
    ------
    Refusal
        Without an event.
    """
    return tolerance_of([bound_of(event, hand=hand) for event in events])


def bound_of(event: Event, *, hand: Hand | None = None) -> Bound:
    """Return the tolerance that would have put a coat at haze index 1.

    Parameters
    ----------
    event : Event
    hand : Hand, optional
        Own figures of the bench, for its air.
    """
    model = kernel()
    go = _runner(event.coat, event.air, event.under, event.board, hand or {})

    def haze(f: float) -> float:
        return float(go({model.F_TOL: f}, UNTIL["touch_dry"])[model.HAZE])

    low, high = hand_.REACH[hand_.TOLERANCE]
    at = _root(haze, 1.0, (low, high))
    if at is None:  # at every tolerance on the same side
        at = low if haze(low) < 1 else high
    return Bound(event.whitened, at, event.source)


def tolerance_of(bounds: Sequence[Bound]) -> Tolerance:
    """Return what bounds say together; the compiled model is not needed for it.

    Parameters
    ----------
    bounds : sequence of Bound

    Raises
    ------
    Refusal
        Without a bound.
    """
    if not bounds:
        raise Refusal("whitening", "there is no event", "log one, or its absence")
    first = hand_.prior(hand_.TOLERANCE)
    soft = constant("whitening_ln_sd")
    ln_f = math.log(first.mid) + first.ln_sd * GRID
    ln_p = -0.5 * GRID**2
    ends = hand_.REACH[hand_.TOLERANCE]
    for bound in bounds:
        if bound.tolerance in ends:
            continue  # on one side whatever a film bears: the model is wrong about this coat
        side = 1.0 if bound.whitened else -1.0
        ln_p = ln_p + _ln_normal(side * (math.log(bound.tolerance) - ln_f) / soft)
    weight = np.exp(ln_p - ln_p.max())
    weight /= weight.sum()
    mean = float((weight * ln_f).sum())
    variance = float((weight * (ln_f - mean) ** 2).sum())
    learned = first
    gained = 1 / variance - 1 / first.ln_sd**2
    if gained > 1e-3:
        seen = (mean / variance - math.log(first.mid) / first.ln_sd**2) / gained
        learned = first.observe(math.exp(seen), gained**-0.5,
                                "; ".join(bound.source for bound in bounds))  # fmt: skip
    below = [b.tolerance for b in bounds if b.whitened]
    above = [b.tolerance for b in bounds if not b.whitened]
    return Tolerance(
        tuple(("below" if b.whitened else "above", b.tolerance) for b in bounds),
        max(above, default=None), min(below, default=None), learned,
    )  # fmt: skip


def _runner(
    coat: WetCoat, air: Air, under: Sequence[Under], board: Board, hand: Hand
) -> Callable[[dict[int, float], int], Array]:
    """Return a function that dries the coat with some columns of the case replaced."""
    temp, rh, speed, vapour = still_known(air)
    model, which = kernel(), np.zeros(1, dtype=np.int64)

    def runs(below: Sequence[Under]) -> Callable[[dict[int, float], int], Array]:
        packed = stack(coat, below, board)
        case = base_case(packed, temp_c=temp, rh=rh, speed_m_s=speed, vapour_pa=vapour,
                         least_end_s=0.0, end_s=HORIZON_S, stop=1)  # fmt: skip
        hand_.central_factors(case, hand)

        def go(changes: dict[int, float], stop: int) -> Array:
            one = case.copy()
            one[model.STOP] = stop
            for column, value in changes.items():
                one[column] = value
            return np.asarray(run([packed], one[None], which)[0][0])

        return go

    whole, by_itself = runs(under), runs(())
    if not under:
        return whole

    def both(changes: dict[int, float], stop: int) -> Array:
        told = whole(changes, stop)
        alone = by_itself(changes, UNTIL["touch_dry"])[model.HAZE]
        told[model.HAZE] = worse_haze(told[model.HAZE], alone)
        return told

    return both


def _root(
    function: Callable[[float], float], wanted: float, reach: tuple[float, float]
) -> float | None:
    """Return where a monotone positive function is `wanted`, or None if that is out of reach.

    Regula falsi with Illinois' halving in logarithms of both; NaN stands for infinity.
    """
    low, high = math.log(reach[0]), math.log(reach[1])

    def off(x: float) -> float:
        value = function(math.exp(x))
        return math.log(max(value, 1e-12) / wanted) if math.isfinite(value) else 50.0

    f_low, f_high = off(low), off(high)
    if f_low * f_high > 0:
        return None
    side = 0
    middle = low
    for _ in range(ROOT_STEPS):
        middle = (low * f_high - high * f_low) / (f_high - f_low)
        # A corner (a cut-off at infinity) would hold the line back: halve then.
        if max(abs(f_low), abs(f_high)) > 5:
            middle = (low + high) / 2
        f = off(middle)
        if abs(f) < 1e-5 or high - low < 1e-9:
            break
        if f * f_high > 0:
            high, f_high = middle, f
            f_low = f_low / 2 if side == 1 else f_low
            side = 1
        else:
            low, f_low = middle, f
            f_high = f_high / 2 if side == -1 else f_high
            side = -1
    return math.exp(middle)


def _ln_normal(z: Array) -> Array:
    """Logarithm of the cumulative normal distribution."""
    erfc = np.vectorize(math.erfc, otypes=[float])
    return np.asarray(np.log(np.maximum(0.5 * erfc(-z / math.sqrt(2)), 1e-300)))
