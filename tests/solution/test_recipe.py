import pytest

from lacwright.figures import Refusal
from lacwright.solution import make, read_recipe, resin_named
from lacwright.solution.resin import ageing_class


def cut(text, *, alcohol=0.80, resin=1.14):
    return read_recipe(text).cut_lb_per_gal(resin_density_g_ml=resin, alcohol_density_g_ml=alcohol)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("2-lb cut", 2.0),
        ("1.5 lb/imp gal", 1.5 * 3.785411784 / 4.54609),
        ("1 lb per imperial gallon", 3.785411784 / 4.54609),
        ("240 g/l", 240 / 119.826427),
        ("2 oz per cup", 2.0),
        ("12 oz / imp pint", 12 / 16 * 8 * 3.785411784 / 4.54609),
        ("4 oz per pint of alcohol", 2.0),
        ("20 g in 100 ml", 200 / 119.826427),
        ("3 lb/gal of mix", 3 / (1 - 3 * 0.119826427 / 1.14)),
        ("200 g/l of finished mix", 200 / (1 - 0.2 / 1.14) / 119.826427),
        ("20 % by weight", 0.2 / 0.8 * 800 / 119.826427),
        ("20% w/w", 0.2 / 0.8 * 800 / 119.826427),
        ("1:4", 0.25 * 800 / 119.826427),
        ("1 to 4 by weight", 0.25 * 800 / 119.826427),
    ],
)
def test_read(text, expected):
    assert cut(text) == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("20 %", "by weight or by volume"),
        ("lots", "is not"),
        ("0:4", "part of nothing"),
        ("120 % by weight", "leaves no alcohol"),
        ("2 oz per", "is not"),
    ],
)
def test_refused(text, words):
    with pytest.raises(Refusal, match=words):
        read_recipe(text)


def test_so_much_per_mix_leaves_no_room():
    with pytest.raises(Refusal, match="no room for alcohol"):
        cut("10 lb/gal of mix")


@pytest.mark.parametrize(
    "text", ["2-lb cut", "3 lb/gal of mix", "20 % by weight", "1:4", "200 g/l of mix"]
)
def test_the_mix_has_what_was_written(text):
    written = read_recipe(text)
    mix = make(cut_lb_per_gal=cut(text), alcohol_ml=1000.0)  # stands in at 0.80 g/ml
    has = {
        "alcohol": mix.resin_g_per_l_alcohol, "mix": mix.resin_g_per_l,
        "weight": mix.solids_mass_fraction, "parts": mix.total_resin_g / mix.alcohol_g,
    }[written.how]  # fmt: skip
    assert has == pytest.approx(written.amount, rel=1e-9)


def test_wax_is_asked_and_never_the_colour():
    assert resin_named("garnet").waxed
    assert not resin_named("garnet").wax_stated
    dewaxed = resin_named("dewaxed garnet")
    assert not dewaxed.waxed
    assert dewaxed.wax_stated
    assert dewaxed.grade == "garnet"
    assert resin_named("orange").grade == "amber"
    with pytest.raises(Refusal, match="contradict"):
        resin_named("dewaxed garnet", wax="waxed")
    with pytest.raises(Refusal, match="garnet"):
        resin_named("garnett")


def test_ageing_class():
    assert ageing_class(resin_named("bleached")) == "bleached"
    assert ageing_class(resin_named("dewaxed garnet")) == "dewaxed"
    assert ageing_class(resin_named("garnet")) == "waxed"
    assert ageing_class(resin_named()) == "bleached"
