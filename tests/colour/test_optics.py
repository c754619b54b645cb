"""Light in a film: identities, an independent ray count, the table against its integral."""

import importlib.util
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lacwright.colour import film_over, haze_over, internal_reflectance
from lacwright.colour.optics import TABLE_ERROR, exact_back, exact_escape
from lacwright.figures import Refusal
from lacwright.film import fresnel

_spec = importlib.util.spec_from_file_location("rays", Path(__file__).with_name("monte_carlo.py"))
rays = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(rays)

shares = st.floats(0.0, 0.99)
depths = st.floats(0.0, 100.0)
ways = st.sampled_from(["45/0", "8/d"])


@pytest.mark.parametrize("index", [1.33, 1.445, 1.5, 1.52, 1.55, 2.0])
def test_what_is_held_back_inside_follows_from_what_is_mirrored_outside(index):
    """1 - r_i = (1 - r_e) / n^2: etendue, exact. r_e here by its own integral over the angle."""
    nodes, share = np.polynomial.legendre.leggauss(200)
    angle = (nodes + 1) * np.pi / 4
    outside = sum(
        s * np.pi / 4 * np.sin(2 * a) * fresnel(index=index, angle_deg=np.degrees(a))
        for a, s in zip(angle, share, strict=True)
    )
    inside = internal_reflectance(0.0, index)
    assert 1 - inside == pytest.approx((1 - outside) / index**2, abs=1e-9)
    # And what does not stay leaves.
    assert exact_back([0.0], index) + exact_escape([0.0], index) == pytest.approx(1, abs=1e-12)


@pytest.mark.parametrize("index", [1.33, 1.52, 1.6])
def test_the_table_is_as_near_its_integral_as_it_says(index):
    rng = np.random.default_rng(1)
    tau = np.concatenate([[0.0], np.exp(rng.uniform(np.log(1e-6), np.log(20), 500))])
    back = exact_back(tau, index)
    assert np.abs(internal_reflectance(tau, index) - back).max() < TABLE_ERROR
    # A film in a sphere takes its escape from the other table.
    slant = 1 / np.sqrt(1 - (np.sin(np.radians(8)) / index) ** 2)
    mirror = fresnel(index=index, angle_deg=8)
    enter = (1 - mirror) * np.exp(-slant * tau) * exact_escape(tau, index)
    exact = mirror + enter * 0.5 / (1 - 0.5 * back)
    assert np.abs(film_over(0.5, tau, "8/d", index) - exact).max() < TABLE_ERROR


def test_the_integral_is_that_of_exponential_integrals():
    """Where all is mirrored, 2 E3: below the critical angle against scipy's function."""
    from scipy.special import expn

    index = 1.52
    edge = np.sqrt(1 - 1 / index**2)
    nodes, share = np.polynomial.legendre.leggauss(200)
    for tau in (1e-4, 0.01, 0.3, 2.0):
        # Rays that cannot leave: integral of 2 mu exp(-2 tau / mu) from 0 to the edge.
        held = 2 * edge**2 * expn(3, 2 * tau / edge)
        mu = edge + (1 - edge) * ((nodes + 1) / 2) ** 2  # fine towards the edge
        weight = share / 2 * (1 - edge) * (nodes + 1)
        part = rays.mirrored(mu, 1 / index)
        passed = (weight * 2 * mu * part * np.exp(-2 * tau / mu)).sum()
        # 1e-6: the mirrored share falls like a root at the critical angle.
        assert exact_back([tau], index) == pytest.approx(held + passed, abs=1e-6)


@pytest.mark.parametrize("geometry", ["45/0", "8/d"])
@pytest.mark.parametrize("index", [1.33, 1.52])
@pytest.mark.parametrize(("rho", "tau"), [(0.1, 0.0), (0.5, 0.1), (0.85, 0.6), (0.85, 0.0)])
def test_rays_followed_one_by_one_come_to_the_same(geometry, index, rho, tau):
    """200 000 rays: their own spread is below 0.0005."""
    seen = rays.film_on_base(rho=rho, tau=tau, index=index, geometry=geometry)
    assert film_over(rho, tau, geometry, index) == pytest.approx(seen, abs=0.0012)


@settings(max_examples=60, deadline=None)
@given(shares, depths, ways, st.sampled_from([1.0, 1.33, 1.52, 2.0]))
def test_no_film_gives_back_more_than_it_got(rho, tau, geometry, index):
    assert 0 <= film_over(rho, tau, geometry, index) <= 1


@settings(max_examples=60, deadline=None)
@given(shares, depths, st.floats(0, 5), ways)
def test_more_film_gives_back_less_and_a_paler_base_more(rho, tau, more, geometry):
    one = film_over(rho, tau, geometry)
    assert film_over(rho, tau + more, geometry) <= one + 1e-12
    assert film_over(min(rho + more / 10, 0.995), tau, geometry) >= one - 1e-12


def test_no_film_at_all_is_no_film():
    """At index 1 nothing is mirrored or held: the base shows as it is."""
    assert film_over([0.1, 0.5, 0.9], 0.0, "45/0", 1.0) == pytest.approx([0.1, 0.5, 0.9], abs=1e-9)
    assert film_over([0.1, 0.5, 0.9], 0.0, "8/d", 1.0) == pytest.approx([0.1, 0.5, 0.9], abs=1e-9)


@settings(max_examples=60, deadline=None)
@given(shares, st.floats(0, 3), st.floats(0, 3))
def test_two_layers_of_haze_are_one_of_their_sum(rho, one, two):
    assert haze_over(haze_over(rho, one), two) == pytest.approx(haze_over(rho, one + two), abs=1e-9)
    assert rho - 1e-12 <= haze_over(rho, one) <= 1


def test_what_is_not_known_is_refused():
    with pytest.raises(Refusal, match="45/0, 8/d"):
        film_over(0.5, 0.1, "sce")
    with pytest.raises(Refusal, match="refractive index"):
        film_over(0.5, 0.1, "45/0", 3.0)


@pytest.mark.crosscheck
def test_computed_values_of_an_earlier_trial():
    """Computed by an earlier trial of the same equations, four digits printed: no publication."""
    got = [float(internal_reflectance(0, n)) for n in (1.33, 1.50, 1.52, 1.55)]
    assert got == pytest.approx([0.47195, 0.59635, 0.60817, 0.62500], abs=1e-5)
    assert 1 - (1 - got[2]) * 1.52**2 == pytest.approx(0.09471, abs=1e-5)  # r_e
    assert fresnel(index=1.567, angle_deg=60) == pytest.approx(0.10006, abs=1e-5)
    assert fresnel(index=1.52, angle_deg=60) == pytest.approx(0.09248, abs=1e-5)
    sphere = film_over(0.5, [0, 0.1, 0.6, 2.0], "8/d", 1.52)
    assert sphere == pytest.approx([0.3121, 0.2309, 0.0965, 0.0452], abs=5e-5)
    assert film_over(0.85, 0.1, "8/d", 1.52) == pytest.approx(0.4285, abs=5e-5)
    assert film_over(0.1, 0, "8/d", 1.52) == pytest.approx(0.0825, abs=5e-5)
    assert film_over(0.85, 0.6, "8/d", 1.33) == pytest.approx(0.1421, abs=5e-5)
