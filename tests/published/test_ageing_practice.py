"""Ageing: what is common practice, and how far published statements of shelf life disagree."""

import math
import statistics
from datetime import date

import pytest

from lacwright.figures import Mark
from lacwright.figures.learned import Z95
from lacwright.solution import age, ageing_factor
from lacwright.trade import table

# Statements of the life of a mix in months, midpoints on the log scale of the ranges: a shop chart
# 2013 (3), a book chapter (6), a luthiers' article 2009 (6), a finishing tip (6-12), a chemical
# trade page (12), a magazine 2009 (12-36), a question site (24-36).
STATED = [3, 6, 6, math.sqrt(6 * 12), 12, math.sqrt(12 * 36), math.sqrt(24 * 36)]


def test_six_months_and_a_year_are_common_practice():
    # Common practice, no source: six months for pale bleached, a year for garnet.
    pale, garnet = table("ageing")["bleached"].figure(), table("ageing")["waxed"].figure()
    assert (pale.value, garnet.value) == (6, 12)
    assert pale.mark is Mark.PRACTICE
    assert garnet.mark is Mark.PRACTICE


def test_band_is_the_spread_of_published_statements():
    # Loose: seven statements, so their ln sd is known to about a quarter.
    spread = statistics.stdev(map(math.log, STATED))
    assert statistics.geometric_mean(STATED) == pytest.approx(10, rel=0.1)
    for kind in ("bleached", "dewaxed", "waxed"):
        life = table("ageing")[kind].figure()
        ours = math.log(life.high / life.low) / 2 / Z95
        assert ours == pytest.approx(spread, rel=0.25)


@pytest.mark.parametrize(
    ("temp_c", "factor"),
    [(5, 0.31), (10, 0.45), (15, 0.67), (20, 1.0), (25, 1.48), (30, 2.2), (35, 3.3)],
)
def test_factors_at_q10_of_2_2(temp_c, factor):
    # Arithmetic of Q10 = 2.2 (remembered), printed with two digits.
    assert ageing_factor(temp_c=temp_c, q10=2.2) == pytest.approx(factor, rel=0.02)


def test_a_pale_mix_is_due_before_a_garnet_one():
    on = date(2026, 1, 1)
    words = [age(kind=k, mixed=date(2025, 5, 1), on=on).word for k in ("bleached", "waxed")]
    assert words == ["test before any use", "test if the surface matters"]
