"""Air: what is known of the air at a place and time."""

import pickle
from datetime import datetime

import numpy as np
import pytest

from lacwright.climate import Air, dew_point_c
from lacwright.figures import Refusal

EVENING = datetime(2025, 3, 4, 19, 0)


def test_it_knows_its_dew_point_and_invents_nothing():
    air = Air(EVENING, 21.0, 0.5)
    assert air.dew_point_c == dew_point_c(temp_c=21.0, rh=0.5)
    assert (air.speed_m_s, dict(air.vapour_pa)) == (None, {})
    with pytest.raises(AttributeError):
        air.temp_c = 5


def test_it_takes_draws():
    air = Air(None, np.array([20.0, 19.0, 21.0]), np.array([0.5, 0.4, 0.6]), speed_m_s=0.1)
    assert air.dew_point_c.shape == air.water_pa.shape == (3,)


def test_its_vapours_are_its_own():
    mine = {"ethanol": 200.0}
    air = Air(EVENING, 21.0, 0.5, 0.1, mine)
    mine["ethanol"] = 9.0
    assert air.vapour_pa["ethanol"] == 200.0
    # It travels to a spawned worker as it is.
    assert pickle.loads(pickle.dumps(air)).vapour_pa == {"ethanol": 200.0}


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"temp_c": 80.0}, "temperature"),
        ({"rh": 0.0}, "relative humidity"),
        ({"speed_m_s": -0.1}, "air speed"),
        ({"speed_m_s": np.nan}, "air speed"),
        ({"speed_m_s": np.inf}, "air speed"),
        ({"vapour_pa": {"ethanol": -1.0}}, "vapour of ethanol"),
        ({"vapour_pa": {"ethanol": np.nan}}, "vapour of ethanol"),
    ],
)
def test_what_cannot_be_is_refused(values, words):
    with pytest.raises(Refusal, match=words):
        Air(**{"at": EVENING, "temp_c": 21.0, "rh": 0.5} | values)
