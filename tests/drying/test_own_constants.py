"""Constants that the maker gives by hand, and bounds that were found before."""

import pytest

from lacwright.drying import (
    AIR,
    STEP,
    TOLERANCE,
    Bound,
    observed,
    own_constants,
    prior,
    state,
    tolerance_of,
)
from lacwright.drying.hand import REACH
from lacwright.figures import Mark, Refusal, given


def test_a_plain_value_is_taken_as_good_as_one_observation():
    own = own_constants({AIR: given(1.3, "1", "hand file"), "wait.brush": given(2, "h")})
    assert set(own) == {AIR}
    mid, ln_sd = own[AIR].posterior()
    assert mid == pytest.approx(1.3)
    assert 0 < ln_sd < prior(AIR).ln_sd
    assert own[AIR].mark is Mark.OWN


def test_a_range_is_taken_as_it_is():
    own = own_constants({STEP: given(0.42, "1", "hand file", low=0.41, high=0.43)})
    # By hand: ln(0.43 / 0.41) / (2 * 1.645) = 0.0145.
    assert own[STEP].posterior() == pytest.approx((0.42, 0.0145), abs=0.0001)


def test_what_is_given_is_named_as_the_calibration():
    own = own_constants({AIR: given(1.3, "1", "hand file, hand.drying.air")})
    told = state(own)
    assert told.words == (
        "touch-dry calibrated on hand file, hand.drying.air, later times uncalibrated"
    )
    assert (told.air, told.step, told.tolerance, told.key) == (True, False, False, "air")


@pytest.mark.parametrize("name", [AIR, STEP, TOLERANCE])
@pytest.mark.parametrize("end", [0, 1])
def test_the_ends_of_the_reach_are_taken_and_taken_again(name, end):
    value = REACH[name][end]
    once = own_constants({name: given(value, "1")})
    assert own_constants(own_constants(once))[name].posterior()[0] == pytest.approx(value)


@pytest.mark.parametrize(("name", "value"), [(AIR, 50), (AIR, 0.01), (STEP, 2), (TOLERANCE, 4)])
def test_a_value_no_bench_can_have_is_refused(name, value):
    with pytest.raises(Refusal, match="outside"):
        own_constants({name: given(value, "1")})


def test_an_observation_is_added_to_what_is_known():
    once = observed({}, AIR, 1.2, "panel 3")
    twice = observed({AIR: once}, AIR, 1.2, "panel 4")
    assert [s.source for s in twice.seen] == ["panel 3", "panel 4"]
    assert 1.2 > twice.posterior()[0] > once.posterior()[0] > prior(AIR).mid


def test_bounds_pull_the_tolerance_to_their_side():
    usual = prior(TOLERANCE).mid
    clear = tolerance_of([Bound(False, usual, "foot")]).learned.posterior()
    white = tolerance_of([Bound(True, usual, "lid")]).learned.posterior()
    assert white[0] < usual < clear[0]
    both = tolerance_of([Bound(False, 0.55, "foot"), Bound(True, 0.6, "lid")])
    assert (both.low, both.high) == (0.55, 0.6)
    assert 0.55 < both.learned.posterior()[0] < 0.6
    assert both.learned.posterior()[1] < min(clear[1], white[1])
    with pytest.raises(Refusal, match="no event"):
        tolerance_of([])
