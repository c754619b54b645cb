"""Nonvolatile matter of shellac varnishes against ASTM D 360-89(2001), section 6.1."""

import pytest

from lacwright.solution import alcohol_named, make, read_recipe, resin_named

pytestmark = pytest.mark.published

# ASTM D 360-89(2001) 6.1: minimum nonvolatile, % by weight: cut, orange, bleached.
MINIMA = [(3, 28.5, 28.0), (4, 35.0, 34.5), (4.5, 37.5, 37.0), (5, 40.0, 39.5), (6, 44.0, 43.5),
          (8, 51.0, 50.5)]  # fmt: skip

# Only the minima are published. How far theory may lie above them is a band of our own: a minimum
# leaves room for moisture and for weighing, it does not leave room for another definition of cut.
ABOVE_ORANGE, ABOVE_BLEACHED = 3.2, 0.9


@pytest.mark.parametrize(("cut", "orange", "bleached"), MINIMA)
def test_theory_meets_the_minima_and_is_near_them(cut, orange, bleached):
    spirit = alcohol_named("ethanol-190")
    dry = make(cut_lb_per_gal=cut, alcohol_ml=1000.0, alcohol=spirit, temp_c=15.56,
               resin=resin_named("amber"))  # fmt: skip
    assert orange <= 100 * dry.solids_mass_fraction <= orange + ABOVE_ORANGE
    # Bleached lac as weighed holds up to 6 % of water (USP28-NF23); cut counts it, solids do not.
    moist = make(cut_lb_per_gal=cut, alcohol_ml=1000.0, alcohol=spirit, temp_c=15.56,
                 resin=resin_named("bleached", moisture_share=0.06))  # fmt: skip
    assert bleached <= 100 * moist.solids_mass_fraction <= bleached + ABOVE_BLEACHED


@pytest.mark.parametrize(("cut", "orange", "bleached"), MINIMA)
def test_pounds_per_gallon_of_mix_would_not_pass(cut, orange, bleached):
    # The other definition of cut, per gallon of mix, leaves the band: the check can fail.
    spirit = alcohol_named("ethanol-190")
    true = read_recipe(f"{cut} lb/gal of mix").cut_lb_per_gal(
        resin_density_g_ml=1.14, alcohol_density_g_ml=spirit.density_g_ml()
    )
    mix = make(cut_lb_per_gal=true, alcohol_ml=1000.0, alcohol=spirit)
    assert 100 * mix.solids_mass_fraction > orange + ABOVE_ORANGE
    assert 94 * mix.solids_mass_fraction > bleached + ABOVE_BLEACHED
