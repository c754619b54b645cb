"""Coats still to go: readings fall by the same share with each coat."""

import math

import numpy as np
import pytest

from lacwright.colour.coats_to_go import (
    LIGHTNESS,
    REFLECTANCE,
    LastCoat,
    Reading,
    coats_to_go,
    fitted,
    luminance,
    reading_of,
)
from lacwright.colour.laid import Laid, amounts
from lacwright.figures import Refusal, evaluate_formula

EXACT = [Reading(n, 50 * 0.8**n) for n in (1, 2, 4)]
"""Reflectances of a panel of which each coat leaves 0.8."""


def to_go(**more):
    asked = {"readings": EXACT, "scale": REFLECTANCE, "target": 15.0, "tolerance": 1.0,
             "on_piece": 2}  # fmt: skip
    return coats_to_go(**{**asked, **more})


@pytest.mark.crosscheck
def test_luminance_is_that_of_colour_science():
    """CIELAB of 1976 (CIE 15), both its branches, against the general colour library."""
    colour = pytest.importorskip("colour")
    for lightness in (0.5, 7.9, 8.1, 25, 50, 84, 100):
        right = float(colour.colorimetry.luminance_CIE1976(lightness, 100))
        # 27/24389 and 16/116 are exact; the library rounds its own less than this
        assert luminance(lightness, LIGHTNESS) == pytest.approx(right, rel=1e-9)
        assert reading_of(right, LIGHTNESS) == pytest.approx(lightness, rel=1e-9)


def test_exact_readings_give_the_factor_and_the_coats():
    told = to_go()
    assert told.figures["factor_per_coat"].number() == pytest.approx(0.8)
    # 50 x 0.8^2 = 32 to 15: ln(15/32) / ln 0.8
    coats = told.figures["coats_to_go"].number()
    assert coats == pytest.approx(math.log(15 / 32) / math.log(0.8))
    assert told.last == LastCoat(3, pytest.approx(coats - 3), pytest.approx(15.0))
    reads = {w.n: w.reading for w in told.whole}
    assert reads == {n: pytest.approx(32 * 0.8**n) for n in (2, 3, 4, 5)}
    assert [w.n for w in told.whole if w.inside] == []
    assert told.advised == told.last
    assert told.now == pytest.approx(32)


def test_lightness_is_converted_first():
    """The same panel read as L* gives the same coats; L* itself does not fall evenly."""
    light = [Reading(r.coats, reading_of(r.value, LIGHTNESS)) for r in EXACT]
    told = coats_to_go(readings=light, scale=LIGHTNESS, target=reading_of(15, LIGHTNESS),
                       tolerance=1, on_piece=2)  # fmt: skip
    assert told.figures["factor_per_coat"].number() == pytest.approx(0.8)
    assert told.figures["coats_to_go"].number() == pytest.approx(math.log(15 / 32) / math.log(0.8))
    straight = np.polyfit([r.coats for r in light], [r.value for r in light], 1)
    assert abs(np.polyval(straight, 9) - reading_of(50 * 0.8**9, LIGHTNESS)) > 5


def test_a_whole_number_inside_the_tolerance_goes_before_a_part():
    told = to_go(target=20.6, tolerance=1.0)
    assert told.advised == LastCoat(2, 0.0, pytest.approx(20.48))
    assert told.last.share == pytest.approx(math.log(20.6 / 32) / math.log(0.8) - 1)


def test_its_own_reading_goes_before_the_panel():
    told = to_go(now=30.0)
    assert told.now_known
    assert told.figures["coats_to_go"].number() == pytest.approx(math.log(15 / 30) / math.log(0.8))


def test_a_bare_piece_is_compared_with_the_bare_band():
    panel = [Reading(0, 60.0), *EXACT]
    told = to_go(readings=panel, on_piece=0, now=54.0)
    # bare it reads 0.9 of the panel, so all of its coats do
    assert told.now == pytest.approx(0.9 * 50)
    assert [w.n for w in told.whole if w.n < 1] == []
    with pytest.raises(Refusal, match="no bare band"):
        to_go(on_piece=0, now=54.0)


def test_bare_wood_is_no_part_of_the_line_and_sealed_wood_is():
    panel = [Reading(0, 70.0), *EXACT]
    assert fitted(panel, REFLECTANCE).fall == pytest.approx(math.log(0.8))
    sealed = [Reading(0, 50.0), *EXACT]
    line = fitted(sealed, REFLECTANCE, sealed=True)
    assert (line.first, line.fall) == (0, pytest.approx(math.log(0.8)))
    with pytest.raises(Refusal, match="bare wood is none"):
        fitted([Reading(0, 70), Reading(2, 50)], REFLECTANCE)


def test_a_lighter_coat_on_the_piece_takes_more_of_them():
    told = to_go(load_ratio=0.5, now=32.0)
    assert told.figures["factor_per_coat"].number() == pytest.approx(math.sqrt(0.8))
    assert told.figures["coats_to_go"].number() == pytest.approx(
        2 * math.log(15 / 32) / math.log(0.8)
    )


def test_a_clear_mix_that_colours_too_needs_less_of_the_dark_one():
    clear, plain = to_go(clear_factor=0.97), to_go()
    assert clear.last.share < plain.last.share
    assert clear.last.reading == plain.last.reading == pytest.approx(15.0)
    with pytest.raises(Refusal, match="as much light"):
        to_go(clear_factor=0.7)


def test_the_band_is_that_of_many_panels():
    """Fieller's ends against fits of 4,000 panels read with a known scatter."""
    rng = np.random.default_rng(3)
    sd, at = 1.0, np.repeat([1.0, 2.0, 4.0, 6.0], 3)
    y = np.log(50 * 0.8**at)
    found = []
    design = np.column_stack([np.ones_like(at), at])
    for _ in range(4000):
        read = np.exp(y) + sd * rng.standard_normal(len(at))
        weight = np.exp(y) / sd
        (start, fall), *_ = np.linalg.lstsq(design * weight[:, None], np.log(read) * weight,
                                            rcond=None)  # fmt: skip
        found.append((math.log(15) - start) / fall - 2)
    told = to_go(readings=[Reading(int(n), v) for n, v in zip(at, np.exp(y), strict=True)],
                 scatter=sd)  # fmt: skip
    low, high = np.percentile(found, [5, 95])
    coats = told.figures["coats_to_go"]
    # 4,000 draws know a 5 % point of a spread of 0.12 to about 0.005, and ln is not quite linear
    assert coats.low == pytest.approx(low, abs=0.03)
    assert coats.high == pytest.approx(high, abs=0.03)


def test_readings_that_scatter_widen_the_band_and_say_so():
    still = [Reading(n, 50 * 0.8**n) for n in (1, 2, 3, 4, 5)]
    noisy = [Reading(r.coats, r.value * (1.08 if r.coats % 2 else 0.93)) for r in still]
    calm, wide = (to_go(readings=r, scatter=0.4, target=18.0) for r in (still, noisy))
    assert not calm.notes
    assert any("scatter" in note for note in wide.notes)
    factors = [t.figures["factor_per_coat"] for t in (calm, wide)]
    spans = [f.high - f.low for f in factors]
    assert spans[1] > 3 * spans[0]
    assert factors[1].low < 0.8 < factors[1].high


def test_bands_that_hardly_differ_set_no_upper_end():
    told = to_go(readings=[Reading(1, 50.0), Reading(2, 49.8)], target=45, scatter=1.0)
    assert not told.bounded
    assert any("no upper end" in note for note in told.notes)


def test_beyond_the_panel_is_said():
    assert any("beyond the panel" in note for note in to_go().notes)
    assert not to_go(target=25.0).notes


def test_a_piece_that_is_there_needs_none():
    told = to_go(target=32.5)
    assert told.advised == LastCoat(0, 0.0, pytest.approx(32))
    assert told.figures["coats_to_go"].number() == 0


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"target": 40.0}, "only darkens"),
        ({"target": 0.0}, "lies above 0"),
        ({"target": 1e-30}, "no finish"),
        ({"target": math.nan}, "lies above 0"),
        ({"tolerance": 0.0}, "no tolerance"),
        ({"readings": EXACT[:1]}, "1 band"),
        ({"readings": []}, "0 bands"),
        ({"readings": [Reading(2, 40.0), Reading(2, 41.0)]}, "1 band"),
        ({"readings": [Reading(1, 40.0), Reading(2, 45.0)]}, "only darkens"),
        ({"readings": [Reading(1, 40.0), Reading(2, 40.0)]}, "do not fall"),
        ({"readings": [Reading(1, 0.4), Reading(2, 0.3)]}, "percent"),
        ({"readings": [Reading(1, 140.0), Reading(2, 30.0)]}, "up to 100"),
        ({"readings": [Reading(-1, 40.0), Reading(2, 30.0)]}, "cannot be"),
        ({"scale": "density"}, "no scale"),
        ({"on_piece": -1}, "cannot be"),
        ({"scatter": 0.0}, "no spread"),
        ({"load_ratio": 0.0}, "nothing"),
        ({"clear_factor": 1.1}, "no share"),
    ],
)
def test_what_cannot_be_is_refused(more, words):
    with pytest.raises(Refusal, match=words):
        to_go(**more)


def test_amounts_by_hand_and_every_working_gives_its_value():
    laid = Laid(spread_ml_m2=75, lost_share=0.1, cut_lb_per_gal=2, resin_density_g_ml=1.14)
    takes = amounts(LastCoat(3, 0.25, 15.0), laid, 0.8)
    assert takes["dark_ml"].number() == pytest.approx(0.8 * 75 * 3.25)
    assert takes["clear_ml"].number() == pytest.approx(0.8 * 75 * 0.75)
    # 67.5 ml land on a m2; 239.65 g of lac in a litre of alcohol make 1.2102 l: 198.0 g/l
    assert takes["resin_g_m2"].number() == pytest.approx(4 * 0.0675 * 198.02, rel=1e-3)
    assert takes["film_um"].number() == pytest.approx(takes["resin_g_m2"].number() / 1.14)
    for figure in (*takes.values(), *to_go().figures.values()):
        values = {name: one.value for name, one in figure.working.inputs}
        assert evaluate_formula(figure.working.formula, values) == pytest.approx(figure.value)


def test_without_spread_or_cut_nothing_is_made_up():
    plan = LastCoat(2, 0.0, 20.0)
    assert amounts(plan, Laid(), 1.0) == {}
    assert set(amounts(plan, Laid(spread_ml_m2=75), 1.0)) == {"dark_ml", "clear_ml"}
    assert set(amounts(plan, Laid(75, 0.0, 2.0), None)) == {"resin_g_m2", "film_um"}
