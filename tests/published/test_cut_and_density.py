"""Cut and densities against the United States regulations and a federal specification."""

import pytest

from lacwright.figures.units import LB_G, OZ_G, US_GAL_ML
from lacwright.solution import (
    alcohol_named,
    blend_density,
    dissolve,
    ethanol_share_of_strength,
    ethanol_water_density,
    make,
    read_recipe,
    resin_named,
    substance_density,
)
from lacwright.trade import table

SIXTY_F = (60 - 32) / 1.8


def pounds_per_gallon_in_air(density_g_ml: float) -> float:
    """Weight in air of 1.2 kg/m3 against brass of 8400 kg/m3, as the regulation weighs."""
    in_air = (density_g_ml - 0.0012) / (1 - 0.0012 / 8.4)
    return in_air * US_GAL_ML / LB_G


@pytest.mark.published
def test_cut_counts_alcohol_not_mix_tt_s_300a():
    # Federal Specification TT-S-300A (1977), footnote 1: pounds of resin to one gallon of solvent.
    mix = dissolve(resin_g=2 * LB_G, alcohol_ml=US_GAL_ML)
    assert mix.cut_lb_per_gal == pytest.approx(2.0, rel=1e-12)
    assert mix.solution_ml > US_GAL_ML


@pytest.mark.published
def test_formula_45_27_cfr_21_80():
    # 27 CFR 21.80: 300 lb of refined shellac in 100 gal of alcohol; 359.48 g/l has five digits.
    mix = dissolve(resin_g=300 * LB_G, alcohol_ml=100 * US_GAL_ML)
    assert mix.cut_lb_per_gal == pytest.approx(3.0, rel=1e-12)
    assert mix.resin_g_per_l_alcohol == pytest.approx(359.48, abs=0.005)


@pytest.mark.published
@pytest.mark.parametrize(
    ("ethanol_by_weight", "pounds"),
    [
        # 27 CFR 30.64: 0.14718 gal/lb at 190 proof -> 6.7944; 0.30258 proof gal/lb at 200 proof
        # -> 6.6098. Five-digit factors and the tables' own basis leave 0.001 lb/gal.
        (None, 6.7944),
        (1.0, 6.6098),
    ],
)
def test_pounds_per_gallon_27_cfr_30_64(ethanol_by_weight, pounds):
    share = ethanol_by_weight or ethanol_share_of_strength(strength=0.95, temp_c=SIXTY_F)
    density = ethanol_water_density(ethanol_share=share, temp_c=SIXTY_F)
    assert pounds_per_gallon_in_air(density) == pytest.approx(pounds, abs=0.001)


@pytest.mark.published
def test_gallons_of_a_pound_of_water_27_cfr_30_41():
    density = ethanol_water_density(ethanol_share=0.0, temp_c=SIXTY_F)
    # 0.120074 gal/lb is printed with six digits.
    assert 1 / pounds_per_gallon_in_air(density) == pytest.approx(0.120074, abs=2e-6)


@pytest.mark.published
def test_worked_examples_27_cfr_30_64():
    share = ethanol_share_of_strength(strength=0.95, temp_c=SIXTY_F)
    # "1,000 lb of 200 proof to 190 proof: 82.03 lb of water", from five-digit factors.
    assert 1000 / share - 1000 == pytest.approx(82.03, abs=0.02)
    # "81,000 lb of 190 proof: 11,921.6 gal": the factor's fifth digit is worth 0.8 gal.
    density = ethanol_water_density(ethanol_share=share, temp_c=SIXTY_F)
    assert 81000 / pounds_per_gallon_in_air(density) == pytest.approx(11921.6, abs=0.9)


@pytest.mark.published
def test_190_proof_is_92_42_per_cent_by_weight():
    # OIML R 22 (1975): 95 % by volume at 60 F.
    share = ethanol_share_of_strength(strength=0.95, temp_c=SIXTY_F)
    assert share == pytest.approx(0.9242, abs=0.0003)
    assert alcohol_named("ethanol-190").share("ethanol") == pytest.approx(share, abs=2e-6)
    weaker = ethanol_share_of_strength(strength=0.925, temp_c=SIXTY_F)
    assert alcohol_named("ethanol-185").share("ethanol") == pytest.approx(weaker, abs=2e-6)


@pytest.mark.published
def test_oiml_densities():
    # OIML R 22: ethanol 789.24, and 811.35 kg/m3 for 190 proof at 20 C, printed to 0.01.
    assert ethanol_water_density(ethanol_share=1.0) == pytest.approx(0.78924, abs=1e-5)
    assert alcohol_named("ethanol-190").density_g_ml() == pytest.approx(0.81135, abs=1e-5)
    assert alcohol_named("ethanol-190").density_g_ml(15.0) == pytest.approx(0.8156, abs=1e-4)
    assert alcohol_named("ethanol-190").density_g_ml(25.0) == pytest.approx(0.80701, abs=1e-5)


@pytest.mark.crosscheck
@pytest.mark.parametrize(
    ("substance", "at_15", "at_25", "tolerance"),
    [
        # Library check (thermo 0.6.1), not published: kg/m3; a straight expansion is off by 0.1.
        ("methanol", 795.68, 786.32, 0.1),
        ("isopropanol", 791.57, 781.87, 0.1),
        ("isobutanol", 806.56, 798.38, 0.1),
        ("n-butanol", 812.40, 804.08, 0.1),
    ],
)
def test_densities_against_a_library(substance, at_15, at_25, tolerance):
    for temp_c, expected in ((15.0, at_15), (25.0, at_25)):
        density = 1000 * substance_density(substance=substance, temp_c=temp_c)
        assert density == pytest.approx(expected, abs=tolerance)


# Derived rows (computed elsewhere from the definition at resin density 1.14): a cross-check of
# two computations, not a published table. Columns: cut, g/l alcohol, % by weight in 200 proof,
# in 190 proof, in methanol, volume factor, g/l of mix, % by volume. Printed to the digits shown.
CROSS = [
    (0.25, 29.96, 3.66, 3.56, 3.65, 1.0263, 29.2, 2.56),
    (0.5, 59.91, 7.06, 6.88, 7.04, 1.0526, 56.9, 4.99),
    (1.0, 119.83, 13.18, 12.87, 13.16, 1.1051, 108.4, 9.51),
    (1.5, 179.74, 18.55, 18.14, 18.52, 1.1577, 155.3, 13.62),
    (2.0, 239.65, 23.29, 22.80, 23.25, 1.2102, 198.0, 17.37),
    (3.0, 359.48, 31.29, 30.70, 31.25, 1.3153, 273.3, 23.97),
    (4.0, 479.31, 37.78, 37.14, 37.73, 1.4204, 337.4, 29.60),
    (5.0, 599.13, 43.15, 42.48, 43.10, 1.5256, 392.7, 34.45),
    (8.0, 958.61, 54.85, 54.16, 54.79, 1.8409, 520.7, 45.68),
]


@pytest.mark.crosscheck
@pytest.mark.parametrize("row", CROSS, ids=lambda r: f"{r[0]}-lb")
def test_cut_conversion_cross_check(row):
    cut, per_l, w200, w190, methanol, factor, per_l_mix, by_volume = row
    for name, expected in (("ethanol-200", w200), ("ethanol-190", w190), ("methanol", methanol)):
        mix = make(cut_lb_per_gal=cut, alcohol_ml=1000.0, alcohol=alcohol_named(name))
        assert 100 * mix.solids_mass_fraction == pytest.approx(expected, abs=0.006)
    assert mix.resin_g_per_l_alcohol == pytest.approx(per_l, abs=0.006)
    assert mix.solution_ml / 1000 == pytest.approx(factor, abs=6e-5)
    assert mix.resin_g_per_l == pytest.approx(per_l_mix, abs=0.06)
    assert 100 * mix.solids_volume_fraction == pytest.approx(by_volume, abs=0.02)


@pytest.mark.published
@pytest.mark.parametrize(
    ("pounds", "gallons", "made", "tolerance"),
    [
        # LOOSE checks, printed to a round fraction of a gallon (+-5-10 %): an early 20th c. US
        # finishing manual (4 1/2 lb; 31 lb in 10 1/4 gal), a formula book (10 lb), a magazine.
        (4.5, 1.0, 1.5, 0.05),
        (10.0, 2.0, 3.0, 0.05),
        (31.0, 10.25, 13.333, 0.05),
        (2.0, 1.0, 1.2, 0.03),
    ],
)
def test_loose_yields(pounds, gallons, made, tolerance):
    mix = dissolve(resin_g=pounds * LB_G, alcohol_ml=gallons * US_GAL_ML)
    assert mix.solution_ml / US_GAL_ML == pytest.approx(made, rel=tolerance)


@pytest.mark.crosscheck
def test_two_ounces_to_a_cup_common_practice():
    # Common practice, and arithmetic: 2 oz by weight to a US cup is a 2-lb cut.
    mix = dissolve(resin_g=2 * OZ_G, alcohol_ml=US_GAL_ML / 16)
    assert mix.cut_lb_per_gal == pytest.approx(2.0, rel=1e-12)


@pytest.mark.published
def test_glaze_range_usp():
    # USP28-NF23 Pharmaceutical Glaze: 20.0-57.0 % anhydrous shellac by weight. The cuts 1.69 and
    # 8.97 lb in 190 proof are derived from it (three digits).
    density = alcohol_named("ethanol-190").density_g_ml()
    for percent, cut in ((20.0, 1.69), (57.0, 8.97)):
        written = read_recipe(f"{percent} % by weight")
        found = written.cut_lb_per_gal(resin_density_g_ml=1.14, alcohol_density_g_ml=density)
        assert found == pytest.approx(cut, abs=0.006)


@pytest.mark.published
def test_wax_limits_usp():
    # USP28-NF23 Shellac: at most 0.2 % wax in dewaxed types, 5.5 % in waxed ones.
    assert resin_named("dewaxed amber").wax_share <= 0.002
    assert 0.002 < resin_named("amber", wax="waxed").wax_share <= 0.055


@pytest.mark.published
def test_denaturing_formulas_by_volume():
    # 27 CFR 21.32, 21.57, 21.47: 4 and 10 gal methanol, 8 gal acetone to 100 gal: 3.85, 9.09,
    # 7.41 % by volume (three digits).
    for name, substance, percent in (
        ("sda-1", "methanol", 3.85), ("sda-30", "methanol", 9.09), ("sda-23a", "acetone", 7.41),
    ):  # fmt: skip
        alcohol = alcohol_named(name)
        spirit = {s: w for s, w in alcohol.parts if s in ("ethanol", "water")}
        total = sum(spirit.values())
        base = blend_density(parts=[(s, w / total) for s, w in spirit.items()], temp_c=SIXTY_F)
        added = alcohol.share(substance) / substance_density(substance=substance, temp_c=SIXTY_F)
        assert 100 * added / (added + total / base) == pytest.approx(percent, abs=0.006)


@pytest.mark.crosscheck
def test_no_remembered_row_is_called_published():
    for name in ("alcohols", "substances", "grades", "solution", "ageing", "dissolving",
                 "solution_cautions", "dilution_chart", "ethanol_water"):  # fmt: skip
        for row in table(name):
            said = row.source.lower()
            if "memory" in said or said.startswith("common practice"):
                assert row.mark in ("remembered", "common practice", "guess"), (name, row.key)
