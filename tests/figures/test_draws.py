"""Draws: one name, one factor; column 0 is the central case."""

import numpy as np
import pytest

from lacwright.figures.draws import Draws, band


def test_same_name_same_draws_other_name_other_draws():
    draws = Draws(500)
    assert draws.z("hand") is draws.z("hand")
    np.testing.assert_array_equal(Draws(500).z("hand"), draws.z("hand"))
    # Independent factors: |r| of 500 pairs stays below 0.2 in all but one of 10^5 cases.
    assert abs(np.corrcoef(draws.z("hand")[1:], draws.z("coat.1")[1:])[0, 1]) < 0.2


def test_the_order_of_asking_does_not_matter():
    one, two = Draws(50), Draws(50)
    one.z("a"), two.z("b")
    np.testing.assert_array_equal(one.z("b"), two.z("b"))
    np.testing.assert_array_equal(one.z("a"), two.z("a"))


def test_seed_repeats_and_changes_a_run():
    np.testing.assert_array_equal(Draws(50, seed=3).z("a"), Draws(50, seed=3).z("a"))
    assert not np.array_equal(Draws(50, seed=3).z("a"), Draws(50, seed=4).z("a"))


@pytest.mark.parametrize(
    ("low", "mid", "high"), [(0.5, 0.65, 0.8), (1, 2.5, 6), (0, 1, 3), (-1, 0, 2), (2, 2, 2)]
)
def test_between_has_the_wanted_quantiles(low, mid, high):
    row = Draws(20_000).between("x", low, mid, high)
    assert row[0] == mid
    # 20,000 draws: the 5 % quantile stands within about 0.5 % of probability (three standard
    # errors), which is 5 % of the half band at most.
    room = 0.05 * max(high - mid, mid - low) + 1e-12
    assert np.quantile(row[1:], [0.05, 0.5, 0.95]) == pytest.approx([low, mid, high], abs=room)
    assert low < 0 or row.min() >= 0


def test_lognormal_is_central_in_column_0():
    row = Draws(20_000).lognormal("x", 3.0, 0.2)
    assert row[0] == 3.0
    assert np.std(np.log(row[1:])) == pytest.approx(0.2, rel=0.02)  # standard error 0.5 %
    assert row.min() > 0


def test_no_draws_leave_the_central_case():
    assert band(Draws(0).between("x", 1, 2, 3)) == (2, 2, 2)


def test_band_is_centre_and_percentiles_of_the_rest():
    row = np.concatenate([[7.0], np.arange(101.0)])
    assert band(row) == (7, 5, 95)
