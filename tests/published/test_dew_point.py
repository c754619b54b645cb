"""Dew point, vapour pressure and absolute humidity against the ASHRAE Handbook and PsychroLib."""

import numpy as np
import pytest

from lacwright.climate import absolute_humidity_g_m3, dew_point_c, saturation_pa, vapour_pa

pytestmark = pytest.mark.published

# ASHRAE Handbook - Fundamentals (2017), ch. 1, Table 3 (C, Pa), as quoted in PsychroLib's own test
# suite (tests/test_psychrolib_si.py). The handbook holds the equation true within 300 ppm.
TABLE_3 = {-20: 103.24, -5: 401.74, 5: 872.6, 25: 3169.7, 50: 12351.3}


@pytest.mark.parametrize(("temp_c", "pressure"), TABLE_3.items())
def test_saturation_pressures_of_the_handbook(temp_c, pressure):
    assert saturation_pa(temp_c=temp_c) == pytest.approx(pressure, rel=3e-4)


@pytest.mark.parametrize(("temp_c", "dew"), [(50, 25), (50, 5), (25, 5), (25, -5), (5, -20)])
def test_dew_points_between_rows_of_the_handbook(temp_c, dew):
    # Air that holds the vapour of one row at the temperature of another. Twice 300 ppm of
    # pressure is 0.012 K where pressure grows by 5 % a kelvin, its slowest here.
    rh = TABLE_3[dew] / TABLE_3[temp_c]
    assert dew_point_c(temp_c=temp_c, rh=rh) == pytest.approx(dew, abs=0.012)


def test_example_1_of_the_handbook():
    # ASHRAE Handbook - Fundamentals (2017), ch. 1, Example 1 (40 C, wet bulb 20 C, read from the
    # chart): 14 % and a dew point of 7 C. The humidity is read to 1 %, which is 1 K here.
    assert dew_point_c(temp_c=40, rh=0.14) == pytest.approx(7, abs=1)


def test_dew_points_of_psychrolib(psychrolib):
    # PsychroLib 2.5.0, whose own search stops within 0.001 K.
    for temp in np.linspace(-20, 60, 41):
        for rh in (0.001, 0.05, 0.2, 0.45, 0.7, 0.95, 1.0):
            expected = psychrolib.GetTDewPointFromRelHum(float(temp), rh)
            assert dew_point_c(temp_c=float(temp), rh=rh) == pytest.approx(expected, abs=0.001)


def test_vapour_pressures_of_psychrolib(psychrolib):
    for temp in (-20.0, -0.01, 0.0, 0.005, 0.01, 0.02, 10.0, 21.0, 60.0):
        expected = psychrolib.GetVapPresFromRelHum(temp, 0.5)
        assert vapour_pa(temp_c=temp, rh=0.5) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(
    ("temp_c", "printed"),
    [
        (50, (8.3, 16.6, 24.9, 33.2, 41.5, 49.8, 58.1, 66.4, 74.7, 83.0)),
        (40, (5.1, 10.2, 15.3, 20.5, 25.6, 30.7, 35.8, 40.9, 46.0, 51.1)),
        (30, (3.0, 6.1, 9.1, 12.1, 15.2, 18.2, 21.3, 24.3, 27.3, 30.4)),
        (25, (2.3, 4.6, 6.9, 9.2, 11.5, 13.8, 16.1, 18.4, 20.7, 23.0)),
        (20, (1.7, 3.5, 5.2, 6.9, 8.7, 10.4, 12.1, 13.8, 15.6, 17.3)),
        (10, (0.9, 1.9, 2.8, 3.8, 4.7, 5.6, 6.6, 7.5, 8.5, 9.4)),
    ],
)
def test_absolute_humidity_of_a_printed_table(temp_c, printed):
    # "Climate/humidity table", scribd.com/doc/39380596: 10, 20 ... 100 % in g/m3, printed to 0.1.
    # Water vapour is up to 0.3 % heavier than the ideal gas at 50 C, less when colder. (The whole
    # degrees of dew point beside them are up to 1.6 K off PsychroLib's and are not used.)
    for rh, value in zip(np.arange(0.1, 1.05, 0.1), printed, strict=True):
        computed = absolute_humidity_g_m3(temp_c=temp_c, rh=min(rh, 1.0))
        assert computed == pytest.approx(value, abs=0.051 + 0.003 * value)
