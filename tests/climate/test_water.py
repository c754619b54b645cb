"""Vapour in room air: shapes, order, range, and what happens outside."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lacwright.climate import (
    absolute_humidity_g_m3,
    dew_margin_k,
    dew_point_c,
    saturation_pa,
    vapour_pa,
)
from lacwright.figures import Refusal

TEMPS, HUMIDITIES = st.floats(-20, 60), st.floats(0.001, 1)


@given(temp_c=TEMPS, rh=HUMIDITIES)
def test_air_cooled_to_its_dew_point_is_saturated(temp_c, rh):
    dew = dew_point_c(temp_c=temp_c, rh=rh)
    assert dew <= temp_c
    if dew >= -20:
        there, here = saturation_pa(temp_c=dew), vapour_pa(temp_c=temp_c, rh=rh)
        assert there == pytest.approx(here, rel=1e-7)


@given(temp_c=TEMPS)
def test_saturated_air_is_at_its_dew_point(temp_c):
    assert dew_point_c(temp_c=temp_c, rh=1) == pytest.approx(temp_c, abs=1e-6)


def test_more_humid_or_warmer_air_has_the_higher_dew_point():
    rh = np.linspace(0.01, 1, 200)
    assert np.all(np.diff(dew_point_c(temp_c=20.0, rh=rh)) > 0)
    temps = np.linspace(-20, 60, 400)  # through the change from ice to water
    assert np.all(np.diff(dew_point_c(temp_c=temps, rh=0.6)) > 0)
    assert np.all(np.diff(saturation_pa(temp_c=temps)) > 0)


def test_arrays_broadcast_and_scalars_stay_scalars():
    temps, rh = np.array([[10.0], [20.0], [30.0]]), np.array([0.3, 0.6])
    table = dew_point_c(temp_c=temps, rh=rh)
    assert table.shape == (3, 2)
    for i, temp in enumerate((10.0, 20.0, 30.0)):
        for k, humidity in enumerate((0.3, 0.6)):
            one = dew_point_c(temp_c=temp, rh=humidity)
            assert isinstance(one, float)
            assert table[i, k] == pytest.approx(one, abs=1e-9)
    assert dew_margin_k(surface_c=18.0, temp_c=20.0, rh=rh).shape == (2,)
    assert absolute_humidity_g_m3(temp_c=temps, rh=0.5).shape == (3, 1)


def test_margin_is_surface_less_dew_point():
    dew = dew_point_c(temp_c=21, rh=0.5)
    assert dew_margin_k(surface_c=dew, temp_c=21, rh=0.5) == pytest.approx(0)
    assert dew_margin_k(surface_c=dew + 3, temp_c=21, rh=0.5) == pytest.approx(3)
    with pytest.raises(Refusal, match="temperature"):
        dew_margin_k(surface_c=99, temp_c=21, rh=0.5)


@pytest.mark.parametrize("function", [vapour_pa, dew_point_c, absolute_humidity_g_m3])
@pytest.mark.parametrize(
    ("temp_c", "rh", "words"),
    [
        (-20.1, 0.5, "temperature: -20.1 C is outside -20 to 60 C"),
        (60.1, 0.5, "temperature: 60.1 C"),
        (70, 0.5, "name the unit: 70 F"),
        (np.nan, 0.5, "temperature: nan"),
        (20, 0, "relative humidity: air without any water"),
        (20, -0.1, "relative humidity: -10 %"),
        (20, 1.01, "relative humidity: 101 %"),
        (20, 45, "relative humidity: 4500 %"),
        (20, np.nan, "relative humidity: nan"),
        (np.array([20.0, 20.0]), np.array([0.5, 2.0]), "relative humidity: 200 %"),
    ],
)
def test_outside_the_range_is_refused(function, temp_c, rh, words):
    with pytest.raises(Refusal) as refusal:
        function(temp_c=temp_c, rh=rh)
    assert words in str(refusal.value)


@pytest.mark.parametrize(("temp_c", "rh"), [(-20, 1), (60, 1), (-20, 1e-3), (60, 1e-6)])
def test_the_ends_of_the_range_are_answered(temp_c, rh):
    assert -100 <= dew_point_c(temp_c=temp_c, rh=rh) <= 60


def test_air_too_dry_for_the_equation_is_refused():
    with pytest.raises(Refusal, match="below -100 C"):
        dew_point_c(temp_c=-20, rh=1e-6)
