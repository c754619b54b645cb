"""Learned: own observations move a log-normal prior by precision weighting."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lacwright.figures import Basis, Learned, Mark, Refusal

PRIOR = Learned("hand.brush", "1", 1.0, 0.35, "common practice, no source", Mark.PRACTICE)
WEIGHED = (82 / 100, 88 / 100, 85 / 100)  # landed of 100 reckoned, three weighed coats


@pytest.mark.parametrize(
    ("ln_sd", "factor", "sd"),
    [
        # Worked by hand: precision 1/.35^2 + 3/.10^2 = 308.16; 100 (ln .82 + ln .88 + ln .85) /
        # 308.16 = -.1586; three digits are worked, so half a unit of the third.
        (0.10, 0.853, 0.057),
        # 1/.35^2 + 3/.12^2 = 216.50; 69.44 x -.4888 / 216.50 = -.1568.
        (0.12, 0.855, 0.068),
    ],
)
def test_three_weighed_coats(ln_sd, factor, sd):
    learned = PRIOR
    for seen in WEIGHED:
        learned = learned.observe(seen, ln_sd)
    assert learned.posterior() == (pytest.approx(factor, abs=5e-4), pytest.approx(sd, abs=5e-4))
    figure = learned.figure()
    assert figure.low == pytest.approx(factor * math.exp(-1.645 * sd), rel=2e-3)
    assert figure.high == pytest.approx(factor * math.exp(1.645 * sd), rel=2e-3)


def test_prior_count_and_result_are_shown():
    assert (PRIOR.figure().basis, PRIOR.figure().mark) == (Basis.DEFAULT, Mark.PRACTICE)
    figure = PRIOR.observe(0.9, 0.1).observe(0.8, 0.1).figure()
    assert (figure.basis, figure.mark) == (Basis.LEARNED, Mark.OWN)
    assert "n = 2" in figure.source
    assert "prior 1 1 (common practice, no source)" in figure.source


def test_observing_leaves_the_prior_alone():
    PRIOR.observe(0.5, 0.1)
    assert PRIOR.seen == ()
    assert PRIOR.posterior() == (1.0, 0.35)


@given(st.lists(st.floats(0.2, 5), min_size=1, max_size=8), st.floats(0.05, 1))
def test_the_first_observation_moves_it_and_order_does_not_matter(values, ln_sd):
    learned = back = PRIOR
    last_sd = PRIOR.ln_sd
    for value in values:
        learned = learned.observe(value, ln_sd)
        assert learned.posterior()[1] < last_sd
        last_sd = learned.posterior()[1]
    for value in reversed(values):
        back = back.observe(value, ln_sd)
    assert learned.posterior() == pytest.approx(back.posterior(), rel=1e-9)
    first = PRIOR.observe(values[0], ln_sd).posterior()[0]
    assert min(1, values[0]) - 1e-12 <= first <= max(1, values[0]) + 1e-12


def test_a_constant_without_spread_is_not_called_learned():
    fixed = Learned("resin.density", "g/ml", 1.14, 0.0, "a book", Mark.PUBLISHED)
    figure = fixed.observe(1.2, 0.1).figure()
    assert (figure.value, figure.basis, figure.mark) == (1.14, Basis.DEFAULT, Mark.PUBLISHED)


@pytest.mark.parametrize(("value", "ln_sd"), [(0, 0.1), (-1, 0.1), (1, 0), (math.nan, 0.1)])
def test_an_observation_is_above_zero(value, ln_sd):
    with pytest.raises(Refusal, match=r"hand\.brush"):
        PRIOR.observe(value, ln_sd)
