import numpy as np
import pytest

from lacwright.figures import Refusal
from lacwright.solution import blend_density, ethanol_share_of_strength, ethanol_water_density


def test_takes_arrays_and_broadcasts():
    shares, temps = np.array([[0.9], [1.0]]), np.array([10.0, 20.0, 30.0])
    density = ethanol_water_density(ethanol_share=shares, temp_c=temps)
    assert density.shape == (2, 3)
    assert density[1, 1] == pytest.approx(ethanol_water_density(ethanol_share=1.0))


def test_falls_with_temperature_and_with_ethanol():
    temps = np.linspace(-20, 40, 61)
    assert np.all(np.diff(ethanol_water_density(ethanol_share=0.92, temp_c=temps)) < 0)
    shares = np.linspace(0.2, 1, 81)
    assert np.all(np.diff(ethanol_water_density(ethanol_share=shares)) < 0)


@pytest.mark.parametrize("temp_c", [-21.0, 41.0])
def test_refuses_outside_the_tables(temp_c):
    with pytest.raises(Refusal, match="-20 to 40"):
        ethanol_water_density(ethanol_share=1.0, temp_c=temp_c)
    with pytest.raises(Refusal, match="-20 to 40"):
        blend_density(parts=[("methanol", 1.0)], temp_c=temp_c)


def test_strength_is_the_inverse_of_density_times_share():
    share = ethanol_share_of_strength(strength=0.96)
    back = share * ethanol_water_density(ethanol_share=share)
    assert back / ethanol_water_density(ethanol_share=1.0) == pytest.approx(0.96, abs=1e-12)


def test_ethanol_and_water_shrink_where_ideal_mixing_would_not():
    ideal = 1 / (0.9242 / 0.78924 + 0.0758 / 0.99820)
    assert blend_density(parts=[("ethanol", 0.9242), ("water", 0.0758)]) > ideal + 0.008


def test_alcohol_in_alcohol_adds_volumes():
    density = blend_density(parts=[("methanol", 0.5), ("isopropanol", 0.5)])
    assert density == pytest.approx(1 / (0.5 / 0.79103 + 0.5 / 0.78675), rel=1e-12)
