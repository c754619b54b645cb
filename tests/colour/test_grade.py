"""Grades: what a name, a Gardner number or panels say of absorption."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lacwright.colour import (
    BY_MASS,
    BY_VOLUME,
    WAVELENGTHS,
    find_grade_colour,
    grade_of_gardner,
    grade_of_panels,
    tube_absorbance,
)
from lacwright.figures import Mark, Refusal
from lacwright.trade import table


def test_every_grade_has_a_colour_by_all_its_names_or_a_plain_refusal():
    for row in table("grades"):
        for name in row.names():
            if row.key == "sticklac":  # raw lac on twigs: nobody lays it
                with pytest.raises(Refusal, match="no colour of sticklac is on file") as refusal:
                    find_grade_colour(name)
                assert "Gardner number" in refusal.value.mend
                continue
            colour = find_grade_colour(name)
            assert colour.basis == "grade name only"
            assert colour.mark == Mark.GUESS
            assert (colour.absorption() > 0).all()
    with pytest.raises(Refusal, match="did you mean 'garnet'"):
        find_grade_colour("garnett")


def test_what_a_name_of_the_table_says_of_wax_is_what_scatters():
    for row in table("grades"):
        if row.key in table("colour_grades"):
            hazy = find_grade_colour(row.key).haze_per_g_m2 > 0
            assert hazy == (row.text("wax") == "waxed")
    garnet = find_grade_colour("garnet")
    assert garnet.with_wax(0).haze_per_g_m2 == 0
    assert garnet.with_wax(0.08).haze_per_g_m2 == pytest.approx(2 * garnet.haze_per_g_m2)
    with pytest.raises(Refusal, match="wax"):
        garnet.with_wax(0.5)


def test_only_what_is_named_for_its_red_or_unwashed_has_the_band_of_the_dye():
    red = {row.key for row in table("colour_grades") if row.number("band") > 0}
    assert red == {"button", "seedlac", "garnet", "ruby"}
    garnet = find_grade_colour("garnet").absorption()
    straight = grade_of_gardner(16).absorption()
    extra = garnet - 1.8 * straight
    assert WAVELENGTHS[int(np.argmax(extra))] == 490
    assert "guess" in table("colour_grades")["garnet"].source


@settings(max_examples=60, deadline=None)
@given(st.floats(1, 17))
def test_the_tube_that_was_matched_takes_what_it_took(number):
    """20 g in 100 ml over 10.65 mm are 2130 g/m2: by volume no density is needed."""
    grade = grade_of_gardner(number, BY_VOLUME)
    assert grade.absorption() * 2130 == pytest.approx(tube_absorbance(number), rel=1e-9)


def test_by_mass_the_same_tube_holds_less():
    one, other = grade_of_gardner(12, BY_MASS), grade_of_gardner(12, BY_VOLUME)
    assert (one.absorption() > other.absorption()).all()
    by_hand = 0.2 / (0.2 / 1.14 + 0.8 / 0.78945) * 10650
    assert math.exp(other.params[0] - one.params[0]) == pytest.approx(by_hand / 2130, rel=1e-9)
    # The density of the resin hardly matters.
    light = grade_of_gardner(12, BY_MASS, resin_density_g_ml=1.035)
    assert light.params[0] == pytest.approx(one.params[0], abs=0.02)


@pytest.mark.crosscheck
def test_depth_of_film_that_equals_the_tube():
    """Computed by an earlier trial: 1559 um at 1.15 g/ml, 1571 at 1.14, 1852 by volume."""
    for density, um in ((1.15, 1559), (1.14, 1571)):
        grade = grade_of_gardner(12, BY_MASS, resin_density_g_ml=density)
        load = tube_absorbance(12)[0] / grade.absorption()[0]
        # It took 0.789 g/ml for ethanol, the table has 0.78945.
        assert load / density == pytest.approx(um, abs=1.5)
    load = tube_absorbance(12)[0] / grade_of_gardner(12, BY_VOLUME).absorption()[0]
    assert load / 1.15 == pytest.approx(1852, abs=0.6)


@pytest.mark.parametrize("number", [0, 0.5, 17.5, 18, float("nan")])
def test_a_number_that_fixes_no_strength_is_refused(number):
    with pytest.raises(Refusal, match="outside 1 to 17"):
        grade_of_gardner(number)
    with pytest.raises(Refusal, match="not one of two strengths"):
        grade_of_gardner(12, "25 %")


def test_draws_spread_as_they_say_and_a_number_is_surer_than_a_name():
    rng = np.random.default_rng(3)
    amber = find_grade_colour("amber")
    drawn = amber.param_draws(4000, rng)
    # 4000 draws know a spread to 1.1 %: four of that.
    assert drawn[:, :2].std(axis=0) == pytest.approx(amber.sd[:2], rel=0.045)
    assert amber.draws(5, rng).shape == (5, 81)
    assert (find_grade_colour("garnet").param_draws(4000, rng)[:, 2] >= 0).all()
    number = grade_of_gardner(12.5)
    assert number.sd[0] < amber.sd[0]
    assert number.sd[1] < amber.sd[1]
    assert number.basis == "Gardner number"


def test_panels_speak_with_their_covariance():
    cov = np.array([[0.04, -0.01, 0.0], [-0.01, 0.02, 0.0], [0.0, 0.0, 1e-8]])
    mine = grade_of_panels("amber", (-7.0, -2.0, 0.0003), cov, source="three boards")
    assert (mine.basis, mine.mark, mine.source) == ("own panels", Mark.OWN, "three boards")
    drawn = mine.param_draws(20_000, np.random.default_rng(4))
    # A correlation of 20 000 draws is known to 0.007: four of that.
    assert np.corrcoef(drawn[:, :2].T)[0, 1] == pytest.approx(-0.01 / np.sqrt(8e-4), abs=0.03)
