"""Moisture of wood in room air: order, range, and the way back."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lacwright.climate import emc_percent, rh_of_emc
from lacwright.figures import Refusal

TEMPS, HUMIDITIES = st.floats(-1.1, 60), st.floats(0.05, 0.95)


@given(temp_c=TEMPS, rh=HUMIDITIES)
def test_there_and_back(temp_c, rh):
    moisture = emc_percent(temp_c=temp_c, rh=rh)
    assert rh_of_emc(temp_c=temp_c, emc_percent=moisture) == pytest.approx(rh, abs=1e-9)


def test_wood_is_wetter_in_humid_air_and_drier_in_warm_air():
    assert np.all(np.diff(emc_percent(temp_c=20.0, rh=np.linspace(0.05, 0.95, 91))) > 0)
    assert np.all(np.diff(emc_percent(temp_c=np.linspace(5, 60, 56), rh=0.5)) < 0)


def test_arrays_broadcast():
    table = emc_percent(temp_c=np.array([[10.0], [20.0]]), rh=np.array([0.3, 0.5, 0.7]))
    assert table.shape == (2, 3)
    back = rh_of_emc(temp_c=np.array([[10.0], [20.0]]), emc_percent=table)
    assert back == pytest.approx(np.array([[0.3, 0.5, 0.7]] * 2))
    assert isinstance(emc_percent(temp_c=20, rh=0.5), float)
    assert isinstance(rh_of_emc(temp_c=20, emc_percent=8), float)


@pytest.mark.parametrize(
    ("temp_c", "rh", "words"),
    [
        (-1.2, 0.5, "-1.2 C is outside -1.11 to 60 C"),
        (60.1, 0.5, "60.1 C"),
        (20, 0.04, "4 % is outside 5 to 95 %"),
        (20, 0.96, "96 %"),
        (20, np.nan, "nan"),
        (np.nan, 0.5, "nan"),
    ],
)
def test_outside_the_table_is_refused(temp_c, rh, words):
    with pytest.raises(Refusal, match="wood moisture: ") as refusal:
        emc_percent(temp_c=temp_c, rh=rh)
    assert words in str(refusal.value)


@pytest.mark.parametrize("moisture", [0, 1.2, 24.5, 30, np.nan])
def test_moisture_that_no_air_gives_is_refused(moisture):
    with pytest.raises(Refusal, match=r"wood moisture: .* % MC"):
        rh_of_emc(temp_c=20, emc_percent=moisture)
