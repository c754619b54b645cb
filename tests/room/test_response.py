"""The closed forms against an integrator and against what must hold for any of them."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lacwright.figures import Refusal
from lacwright.film import Release
from lacwright.room import EmissionCurve, FirstOrder, Instant, Laid
from lacwright.room.response import decay

EMISSIONS = {
    "instant": Instant(),
    "first order": FirstOrder(6.0),
    "while laying": Laid(Instant(), 0.2),
    "first order while laying": Laid(FirstOrder(6.0), 0.2),
    "curve": EmissionCurve(np.array([0, 0.1, 0.5, 3.0]), np.array([0, 0.4, 0.9, 1.0])),
    "curve while laying": Laid(
        EmissionCurve(np.array([0, 0.1, 0.5, 3.0]), np.array([0, 0.4, 0.9, 1.0])), 0.2
    ),
}
RATES = (0.0, 0.05, 0.4, 6.0, 6.0 + 1e-9, 40.0)


def integrated(emission, rate, hours):
    """Return what is left by an integrator: what was set free, less what the air took away."""

    from scipy.integrate import solve_ivp

    def released(t):
        return float(emission.released(np.array([t]))[0])

    breaks = np.unique(np.concatenate([emission.ends_h, [hours]]))
    at, taken = 0.0, 0.0
    for end in breaks[(breaks > 0) & (breaks <= hours)]:
        told = solve_ivp(lambda t, b: rate * (released(t) - b), (at, end), [taken], rtol=1e-8,
                         atol=1e-11)  # fmt: skip
        at, taken = end, float(told.y[0, -1])
    return released(hours) - taken


@pytest.mark.parametrize("rate", RATES)
@pytest.mark.parametrize("name", EMISSIONS)
def test_a_closed_form_is_what_an_integrator_has(name, rate):
    emission, hours = EMISSIONS[name], np.array([0.15, 0.7, 3.5])
    closed = emission.response(hours, rate, 0)
    for t, value in zip(hours, closed, strict=True):
        # What the integrator is asked for, through some dozens of its steps.
        assert integrated(emission, rate, t) == pytest.approx(value, abs=1e-6)


@pytest.mark.parametrize("order", [1, 2])
@pytest.mark.parametrize("rate", [0.0, 0.4, 6.0])
@pytest.mark.parametrize("name", EMISSIONS)
def test_each_order_is_the_integral_of_the_one_before(name, rate, order):
    from scipy.integrate import quad

    emission = EMISSIONS[name]

    def before(t):
        return float(emission.response(np.array([t]), rate, order - 1)[0])

    for end in (0.05, 0.6, 5.0):
        points = [p for p in emission.ends_h if 0 < p < end]
        area = quad(before, 0, end, points=points or None, limit=200)[0]
        assert emission.response(np.array([end]), rate, order)[0] == pytest.approx(area, rel=1e-6)


@pytest.mark.parametrize("name", EMISSIONS)
def test_the_integral_over_all_time_is_one_over_the_rate_whatever_the_emission(name):
    # The invariant: the integral of C dt is m / Q'.
    for rate in (0.1, 0.4, 5.0):
        total = EMISSIONS[name].response(np.array([400.0]), rate, 1)[0]
        assert total == pytest.approx(1 / rate, rel=1e-9)


@pytest.mark.parametrize("name", EMISSIONS)
def test_mass_is_conserved_where_no_air_is_exchanged(name):
    hours = np.linspace(0, 6, 61)
    emission = EMISSIONS[name]
    assert emission.response(hours, 0.0, 0) == pytest.approx(emission.released(hours), abs=1e-12)


def test_nothing_is_there_before_the_start():
    for emission in EMISSIONS.values():
        assert (emission.response(np.array([-1.0, -1e-9]), 0.4, 0) == 0).all()


@given(
    rate=st.floats(0, 500), hours=st.floats(1e-6, 100), order=st.integers(1, 3),
)  # fmt: skip
@settings(max_examples=60, deadline=None)
def test_the_series_and_the_closed_form_meet(rate, hours, order):
    # The definition, by the integrals themselves: each order grows by the one before.
    step = hours * 1e-4
    rise = decay(np.array([hours + step]), rate, order) - decay(np.array([hours]), rate, order)
    middle = decay(np.array([hours + step / 2]), rate, order - 1)[0]
    # Second order in the step: (rate step)^2 / 24 of the value, and rounding of the difference.
    size = decay(np.array([hours]), rate, order)[0]
    allowed = middle * max((rate * step) ** 2, 1e-8) + 1e-14 * size / step + 1e-15
    assert rise[0] / step == pytest.approx(middle, abs=10 * allowed)


def test_two_equal_rates_are_the_limit_of_two_near_ones():
    hours = np.array([0.3, 2.0])
    same = FirstOrder(0.4).response(hours, 0.4, 0)
    # k = rate: C = k t exp(-k t), to the square of 1e-4 by which they are moved apart.
    assert same == pytest.approx(0.4 * hours * np.exp(-0.4 * hours), rel=1e-8)


def test_a_curve_is_made_of_a_release():
    release = Release(np.array([0.0, 600, 3600]), {"ethanol": np.array([0, 3.0, 4.0])}, "a test")
    curve = EmissionCurve.of(release, "ethanol", laid_g=5.0)
    # A fifth stays in the film for as long as the curve reaches.
    assert curve.released(np.array([1.0, 50.0])) == pytest.approx([0.8, 0.8])
    assert curve.response(np.array([100.0]), 0.5, 1)[0] == pytest.approx(0.8 / 0.5)


@pytest.mark.parametrize(
    ("times", "share"),
    [([0, 1], [0.5, 0.2]), ([1, 2], [0, 1]), ([0, 1], [0, 1.2]), ([0, 0], [0, 1])],
)
def test_a_curve_that_cannot_be_is_refused(times, share):
    with pytest.raises(Refusal):
        EmissionCurve(np.array(times, float), np.array(share, float))


def test_a_rate_of_nothing_is_refused():
    with pytest.raises(Refusal):
        FirstOrder(0.0)
    with pytest.raises(Refusal):
        Laid(Instant(), 0.0)
