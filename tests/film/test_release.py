"""What a wet coat gives to the air: shapes and rates."""

import numpy as np
import pytest

from lacwright.figures import Refusal
from lacwright.film import Release


def test_rate_is_what_left_between_two_times():
    release = Release(np.array([0.0, 10.0, 30.0]), {"ethanol": np.array([0.0, 5.0, 6.0])}, "typed")
    assert release.rate_g_s()["ethanol"] == pytest.approx([0.5, 0.05])
    assert release.total_g == {"ethanol": 6.0}


@pytest.mark.parametrize("times", [[1.0, 2.0], [0.0], [0.0, 2.0, 2.0], [[0.0, 1.0]]])
def test_times_that_do_not_rise_from_0_are_refused(times):
    with pytest.raises(Refusal, match="rise from 0"):
        Release(np.array(times), {}, "typed")


@pytest.mark.parametrize("grams", [[0.0, 2.0, 1.0], [1.0, 2.0, 3.0], [0.0, 1.0]])
def test_nothing_goes_back_into_the_film(grams):
    with pytest.raises(Refusal, match="ethanol"):
        Release(np.array([0.0, 1.0, 2.0]), {"ethanol": np.array(grams)}, "typed")
