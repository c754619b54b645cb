"""Examples worked by hand with a pencil (resin 1.10 g/ml, alcohol 0.805 g/ml), to their digits."""

import math

import numpy as np
import pytest

from lacwright.figures import Learned, Mark, evaluate_formula
from lacwright.film import (
    ADDED_FORMULA,
    LANDED_FORMULA,
    SOAKED_FORMULA,
    STRENGTH_FORMULA,
    WEIGHED_FILM_FORMULA,
    Abrade,
    Coat,
    calibrate,
    coats_needed,
    m2_per_l,
    need_um,
    next_coat_ln_sd,
    run_schedule,
    sqft_per_gal,
    through_share,
    used_ml_m2,
    weighed_film_um,
)
from lacwright.solution import Alcohol, Recipe, Resin


def brushed(mix, **more):
    return Coat("top", "brush", mix, load_ml_m2=95.0, lost_share=0.05, **more)


def test_three_brushed_coats_on_open_pored_wood(mix, ground, rules):
    coat = brushed(mix(2.0))
    run = run_schedule(
        grounds=[ground()],
        schedule=(coat, Abrade("top", "scuff", 2.5), coat, coat, Abrade("top", "rub", 9.0)),
        rules=rules(),
    )
    # one digit after the point is what the hand-worked example gives
    assert [round(s.flat_um, 1) for s in run.steps] == [12.0, 9.5, 25.3, 41.5, 32.5]
    assert [s.what for s in run.steps] == ["coat 1", "scuff 1", "coat 2", "coat 3", "rub 1"]
    laid = run.of_main("top")
    assert [round(x.landed_ml_m2, 2) for x in laid] == [90.25] * 3
    assert [round(x.soaked_ml_m2, 2) for x in laid] == [23.00, 1.84, 0.15]
    assert round(run.layers[0].soaked_ml_m2, 2) == 24.99
    assert not run.refused


def test_two_pound_cut_and_its_spreading_rate():
    # w = 239.65 / (239.65 + 805) = .2294; 1217.9 ml from a litre of alcohol; .8578 g/ml; .1789 by
    # volume; at half a mil dry 574 ft2/gal, which is 14.09 m2/l
    alcohol = Alcohol("example", None, measured_g_ml=0.805)
    mix = Recipe(2.0, {Resin(density_g_ml=1.10): 1.0}, {alcohol: 1.0}).make(alcohol_ml=1000.0)
    assert round(mix.solids_mass_fraction, 4) == 0.2294
    assert round(mix.solution_ml, 1) == 1217.9
    assert round(mix.density_g_ml, 4) == 0.8578
    assert round(mix.solids_volume_fraction, 4) == 0.1789
    phi = mix.solids_volume_fraction
    assert round(sqft_per_gal(solids_volume_fraction=phi, dry_mil=0.5)) == 574
    assert round(m2_per_l(solids_volume_fraction=phi, dry_um=12.7), 2) == 14.09


def test_spray_lands_the_same_film_whatever_the_gun_wastes(mix, ground, rules):
    # 110 ml/m2 must land on 0.5 m2: 47.2 g of solution, 72.6 g from an HVLP jar, 157 g from a
    # high-pressure one; 19.7 um either way on sealed wood
    density = (239.65 + 805) / 1217.9
    for landed_share, jar_g in ((0.65, 72.6), (0.30, 157.0), (1.0, 47.2)):
        coat = Coat("top", "spray-hvlp", mix(2.0), wet_um=110.0, lost_share=1 - landed_share)
        run = run_schedule(grounds=[ground(0.0)], schedule=(coat,), rules=rules())
        assert run.steps[0].flat_um == pytest.approx(19.7, abs=0.05)
        used = run.laid[0].used_ml_m2 * 0.5 * density
        assert used == pytest.approx(jar_g, abs=0.5 if jar_g > 100 else 0.05)
    assert used_ml_m2(landed_ml_m2=65.0, lost_share=0.35) == pytest.approx(100.0)


def test_weighed_violin_coat():
    inputs = {
        "jar_loss_g": 9.0, "evaporated_g": 0.3, "solids_mass_fraction": 0.25,
        "left_in_applicator_g": 0.15, "resin_density_g_ml": 1.10, "area_m2": 0.155,
    }  # fmt: skip
    assert round(weighed_film_um(**inputs), 1) == 11.9
    assert evaluate_formula(WEIGHED_FILM_FORMULA, inputs) == pytest.approx(
        weighed_film_um(**inputs)
    )


def test_resolution_of_the_scale():
    nothing_else = {
        "evaporated_g": 0.0, "left_in_applicator_g": 0.0, "resin_density_g_ml": 1.10,
    }  # fmt: skip
    on_a_violin = weighed_film_um(
        jar_loss_g=0.1, solids_mass_fraction=1.0, area_m2=0.155, **nothing_else
    )
    kitchen_scale = weighed_film_um(
        jar_loss_g=1.0, solids_mass_fraction=0.2294, area_m2=1.0, **nothing_else
    )
    assert round(on_a_violin, 2) == 0.59
    assert round(kitchen_scale, 2) == 0.21


def test_calibration_by_three_weighed_coats():
    hand = calibrate(pairs=[(100, 82), (100, 88), (100, 85)], prior_ln_sd=0.35, obs_ln_sd=0.10)
    factor, ln_sd = hand.posterior()
    assert (round(factor, 3), round(ln_sd, 3)) == (0.853, 0.057)
    assert math.log(factor) == pytest.approx(-0.1586, abs=5e-5)  # printed with four digits
    # the same in millilitres: a prior of 100 and the weighings themselves
    in_ml = Learned("load", "ml", 100.0, 0.35, "example", Mark.GUESS)
    for weighed in (82, 88, 85):
        in_ml = in_ml.observe(weighed, 0.10)
    assert in_ml.posterior()[0] == pytest.approx(100 * factor)


def test_one_weighed_coat_already_moves_the_hand_and_later_ones_go_on_from_it():
    first = calibrate(pairs=[(95, 80)])
    assert 80 / 95 < first.posterior()[0] < 1
    both = calibrate(pairs=[(95, 80), (95, 82)])
    later = calibrate(pairs=[(95, 82)], prior=first)
    assert later.posterior() == pytest.approx(both.posterior())


def test_spread_of_the_next_coat_keeps_its_own_noise():
    assert next_coat_ln_sd(hand_ln_sd=0.05, coat_ln_sd=0.12) == pytest.approx(0.13)
    assert next_coat_ln_sd(hand_ln_sd=0.0) == pytest.approx(0.12)  # the table's own


def test_share_sanded_through():
    # ridges of 10 um, P600 to P1200 to P2500, polish: need 11.7 um. Unevenness .25, flats of 15,
    # 25, 40 um: 19 %, 1.7 %, .24 %
    need = need_um(
        ridge_um=10.0, level_share=0.6, grains_um=(25.8, 15.3, 8.4), scratch_share=0.12,
        polish_um=0.8,
    )  # fmt: skip
    assert round(need, 1) == 11.7
    shares = through_share(need_um=need, film_um=np.array([15.0, 25.0, 40.0]), unevenness=0.25)
    assert shares == pytest.approx([0.19, 0.017, 0.0024], rel=0.025)  # two digits were given
    # at an arris even 40 um mostly goes through
    at_edge = through_share(
        need_um=need, film_um=40.0, unevenness=0.25, edge_film=0.6, edge_cut=np.array([2.0, 3.0])
    )
    assert at_edge[0] > 0.4
    assert at_edge[1] > 0.9


def test_the_printed_formulas_give_what_the_run_gives(mix, ground, rules):
    thin, full = mix(0.5), mix(2.0)
    wash = Coat("top", "wipe", thin, load_ml_m2=40.0, lost_share=0.12)
    run = run_schedule(
        grounds=[ground(15.0)], schedule=(wash, brushed(full), brushed(full)), rules=rules()
    )
    before = 0.0
    for laid, coat in zip(run.laid, (wash, brushed(full), brushed(full)), strict=True):
        names = {
            "load_ml_m2": coat.load_ml_m2, "lost_share": coat.lost_share,
            "resin_g_per_l": coat.mix.resin_g_per_l, "resin_density_g_ml": 1.10,
            "reference_cut": 2.0, "lb_per_gal": 119.826427, "capacity_ml_m2": 15.0,
            "start_share": 0.7, "before_ml_m2": before,
        }  # fmt: skip
        names["landed_ml_m2"] = evaluate_formula(LANDED_FORMULA, names)
        names["strength"] = evaluate_formula(STRENGTH_FORMULA, names)
        names["soaked_ml_m2"] = evaluate_formula(SOAKED_FORMULA, names)
        assert laid.before_ml_m2 == pytest.approx(before)
        assert laid.strength == pytest.approx(names["strength"])
        assert laid.soaked_ml_m2 == pytest.approx(names["soaked_ml_m2"])
        assert laid.added_um == pytest.approx(evaluate_formula(ADDED_FORMULA, names))
        before += names["landed_ml_m2"] * names["strength"]
    sealed = dict(names, capacity_ml_m2=0.0)
    assert evaluate_formula(SOAKED_FORMULA, sealed) == 0.0


def test_coats_for_a_wished_film(mix, ground, rules):
    # each coat 16.15 um less 23.00, 1.84, .15 ml/m2 of soak; 2.5 scuffed, 9 rubbed:
    # two coats leave 16.3, three 32.5, four 48.6 um
    def course(n):
        coat = brushed(mix(2.0))
        return (coat, Abrade("top", "scuff", 2.5), *([coat] * (n - 1)), Abrade("top", "rub", 9.0))

    def needed(wish):
        return coats_needed(
            grounds=[ground()], build=course, part="top", film_left_um=wish, rules=rules(),
            most=20,
        )  # fmt: skip

    assert [needed(w) for w in (16.0, 17.0, 32.4, 32.6, 48.5)] == [2, 3, 3, 4, 4]
