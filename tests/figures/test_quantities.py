"""Quantities as people write them: what is read, what is refused, and that nothing else happens."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from lacwright.figures import Refusal
from lacwright.figures import units as u
from lacwright.figures.quantities import read, read_cut, read_rh, read_size

KINDS = [v for v in vars(u).values() if isinstance(v, u.Kind)]
OZ, CUP = 28.349523125, 236.5882365  # grams in an avoirdupois ounce, ml in a US cup (both exact)


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [
        ("2 oz", u.MASS, 2 * OZ),
        ("2oz", u.MASS, 2 * OZ),
        ("2 oz.", u.MASS, 2 * OZ),
        ("½ lb", u.MASS, 226.796185),
        ("1 lb 2 oz", u.MASS, 18 * OZ),
        ("0,5 kg", u.MASS, 500),
        (".5 kg", u.MASS, 500),
        ("+40 g", u.MASS, 40),
        ("40\u00a0g", u.MASS, 40),
        ("1.5e2 g", u.MASS, 150),
        ("1 cup", u.VOLUME, CUP),
        ("1 1/2 cups", u.VOLUME, 1.5 * CUP),
        ("1½ cups", u.VOLUME, 1.5 * CUP),
        ("2-1/2 cups", u.VOLUME, 2.5 * CUP),
        ("1/2 pint", u.VOLUME, CUP),
        ("1⁄2 pint", u.VOLUME, CUP),
        ("8 fl oz", u.VOLUME, CUP),
        ("8 fl. oz.", u.VOLUME, CUP),
        ("600 ml", u.VOLUME, 600),
        ("600ML", u.VOLUME, 600),
        ("0,125 l", u.VOLUME, 125),
        ("1 imp gal", u.VOLUME, 4546.09),
        ("1 imperial gallon", u.VOLUME, 4546.09),
        ("1 imp. gal.", u.VOLUME, 4546.09),
        ("1 UK pint", u.VOLUME, 568.26125),
        ("1 gallon", u.VOLUME, 3785.411784),
        ("1 U.S. gallon", u.VOLUME, 3785.411784),
        ("24 in", u.LENGTH, 609.6),
        ('24"', u.LENGTH, 609.6),
        ("24”", u.LENGTH, 609.6),
        ("5 ft 6 in", u.LENGTH, 1676.4),
        ("5'6\"", u.LENGTH, 1676.4),
        ("1⅜ in", u.LENGTH, 34.925),
        ("100 µm", u.LENGTH, 0.1),
        ("12 sq. ft.", u.AREA, 12 * 0.09290304),
        ("0.5 m²", u.AREA, 0.5),
        ("500 sqft/gal", u.SPREAD, 3785.411784 / (500 * 0.09290304)),
        ("12 m2/l", u.SPREAD, 1000 / 12),
        ("75 ml/m2", u.SPREAD, 75),
        ("3 mil", u.FILM, 76.2),
        ("1 h 30 min", u.TIME, 1.5),
        ("3 days", u.TIME, 72),
        ("21", u.TEMPERATURE, 21),
        ("-5 C", u.TEMPERATURE, -5),
        ("\u22125 °C", u.TEMPERATURE, -5),
        ("70 F", u.TEMPERATURE, 190 / 9),
        ("70 F.", u.TEMPERATURE, 190 / 9),
        ("-4 F", u.TEMPERATURE, -20),
        ("5 %", u.SHARE, 0.05),
        ("0.05", u.SHARE, 0.05),
        (0.05, u.SHARE, 0.05),
        ("1.14", u.DENSITY, 1.14),
        ("30 m³", u.ROOM, 30),
        ("0.5 1/h", u.AIR_CHANGES, 0.5),
    ],
)
def test_is_read(text, kind, value):
    assert read(text, kind, "--x") == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("2", 2),
        ("2 lb", 2),
        ("2-lb cut", 2),
        ("2 lb. cut", 2),
        ("1 1/2 lb cut", 1.5),
        ("1,5", 1.5),
        # 2 lb per imperial gallon is weaker than 2 lb per US gallon, by the size of the gallons
        ("2 lb/imp gal", 2 * 3785.411784 / 4546.09),
        ("2 lb per imperial gallon", 2 * 3785.411784 / 4546.09),
        ("2 oz/cup", 2),  # 2 oz x 16 cups = 32 oz = 2 lb
        ("119.826427 g/l", 1),
        ("11.9826427 g/100 ml", 1),
    ],
)
def test_cut_is_read(text, value):
    assert read_cut(text, "--cut") == pytest.approx(value, rel=1e-8)


@pytest.mark.parametrize(
    ("text", "kind", "words"),
    [
        ("8 oz", u.VOLUME, "fl oz"),  # by volume or by weight?
        ("8 oz.", u.VOLUME, "fl oz"),
        ("8 ounces", u.VOLUME, "fl oz"),
        ("1 cup", u.MASS, "a weight is wanted"),  # a cup of flakes
        ("2 fl. oz.", u.MASS, "a weight is wanted"),
        ("40 g", u.VOLUME, "weight"),
        ("40", u.MASS, "no unit"),
        (40.0, u.MASS, "no unit"),
        ("1,000 ml", u.VOLUME, "thousand"),
        ("1,000.5 ml", u.VOLUME, "thousand"),
        ("12,345,678 g", u.MASS, "thousand"),
        ("1 000 ml", u.VOLUME, "not one volume"),
        ("5-6 g", u.MASS, "not one weight"),
        ("5 to 6 g", u.MASS, "not a unit"),
        ("2 oz 3 oz", u.MASS, "not one weight"),
        ("6 in 5 ft", u.LENGTH, "not one length"),
        ("5 ft 6", u.LENGTH, "not one length"),
        ("20 C 5 C", u.TEMPERATURE, "not one temperature"),
        ("75 ml/m2 10 ml/m2", u.SPREAD, "not one spread"),
        ("1/0 cup", u.VOLUME, "zero"),
        ("1/2/3 cup", u.VOLUME, "not a unit"),
        ("-40 g", u.MASS, "below zero"),
        ("--40 g", u.MASS, "not a weight"),
        ("+-40 g", u.MASS, "not a weight"),
        ("0 sqft/gal", u.SPREAD, "zero"),
        ("10² ml", u.VOLUME, "not"),
        ("75 g/m2 wet", u.SPREAD, "not a unit"),  # the density of the mix decides
        ("40 gramms", u.MASS, "did you mean 'gram"),
        ("40 mm", u.MASS, "not a unit"),
        ("", u.MASS, "no weight was given"),
        ("   ", u.MASS, "no weight was given"),
        ("some", u.MASS, "not a weight"),
        ("nan", u.SHARE, "not a share"),
        ("inf g", u.MASS, "not a weight"),
        (math.nan, u.SHARE, "not a share"),
        (math.inf, u.DENSITY, "not a density"),
        ("1e999 ml", u.VOLUME, "more than anybody handles"),
        ("9" * 400 + "/" + "9" * 400 + " ml", u.VOLUME, "more than anybody handles"),
        (10**400, u.DENSITY, "not a density"),
        (True, u.MASS, "true or false"),
    ],
)
def test_is_refused_with_the_mend(text, kind, words):
    with pytest.raises(Refusal) as refusal:
        read(text, kind, "--x")
    assert words in str(refusal.value)
    assert str(refusal.value).startswith("--x: ")
    assert refusal.value.mend


@pytest.mark.parametrize(
    ("text", "value"),
    [("45 %", 0.45), ("45%", 0.45), ("45 percent", 0.45), ("0.45", 0.45), ("0,45", 0.45),
     (".45", 0.45), (0.45, 0.45), ("100 %", 1), ("1 %", 0.01), ("0.5 %", 0.005)],
)  # fmt: skip
def test_rh_is_read(text, value):
    assert read_rh(text, "--rh") == pytest.approx(value)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("45", "write '45 %' or 0.45"),
        (45, "write '45 %' or 0.45"),
        ("45,5", "write '45.5 %' or 0.455"),
        ("1", "write '100 %' or '1 %'"),
        (1.0, "write '100 %' or '1 %'"),
        ("1e0", "write '100 %' or '1 %'"),
        ("145 %", "145% cannot be"),
        ("-5 %", "below zero"),
        ("1.2.3", "--rh"),
        (".", "--rh"),
        ("45 C", "not a unit of share"),
        ("nan", "not a share"),
    ],
)
def test_rh_is_refused(text, words):
    with pytest.raises(Refusal, match="--rh") as refusal:
        read_rh(text, "--rh")
    assert words in str(refusal.value)


@pytest.mark.parametrize(("text", "words"), [("0", "nothing"), ("240", "240 g/l"), ("-1", "below")])
def test_cut_is_refused(text, words):
    with pytest.raises(Refusal) as refusal:
        read_cut(text, "--cut")
    assert words in str(refusal.value)


@pytest.mark.parametrize(
    ("text", "sizes"),
    [
        ("300x200x120 mm", (300, 200, 120)),
        ("300 × 200 × 120 mm", (300, 200, 120)),
        ("30 x 20 cm", (300, 200)),
        ("12 in x 8 in", (304.8, 203.2)),
        ("12x8 in", (304.8, 203.2)),
        ('12"x8"', (304.8, 203.2)),
        ("12 by 8 in", (304.8, 203.2)),
        ("1 1/2 x 2½ in", (38.1, 63.5)),
        ("5 ft 6 in x 2 ft", (1676.4, 609.6)),
    ],
)
def test_size_is_read(text, sizes):
    assert read_size(text, "--box") == pytest.approx(sizes)


@pytest.mark.parametrize("text", ["300x200", "", "x", "0x200 mm", "300x-200 mm", "ax b mm", "3 kg"])
def test_size_is_refused(text):
    with pytest.raises(Refusal, match="--box"):
        read_size(text, "--box")


NEAR_MISSES = st.text(alphabet="0123456789.,/-+ e½²%°'\"xglmozcupftinq\u2212٣", max_size=16)


@pytest.mark.parametrize("reader", [read_rh, read_cut, *KINDS], ids=lambda r: getattr(r, "name", r))
@given(text=st.one_of(st.text(max_size=20), NEAR_MISSES))
def test_any_string_gives_a_finite_number_or_a_refusal(reader, text):
    try:
        value = read(text, reader, "w") if isinstance(reader, u.Kind) else reader(text, "w")
    except Refusal as refusal:
        value, words = 0.0, str(refusal)
    else:
        words = ""
    assert not words or words.isprintable()  # one line, no terminal codes
    assert math.isfinite(value)
    assert value >= 0 or reader is u.TEMPERATURE


@given(text=st.one_of(st.text(max_size=20), NEAR_MISSES))
def test_any_size_is_lengths_or_a_refusal(text):
    try:
        sizes = read_size(text, "w")
    except Refusal:
        return
    assert sizes
    assert all(0 < s < math.inf for s in sizes)


@given(value=st.floats(0.001, 1e6), kind=st.sampled_from(KINDS), data=st.data())
def test_what_is_written_plainly_is_read_back(value, kind, data):
    name, factor = data.draw(st.sampled_from(sorted(kind.units.items())))
    if kind is u.TEMPERATURE and name.endswith("f"):
        expected = (float(f"{value:.6f}") - 32) * 5 / 9
    else:
        expected = float(f"{value:.6f}") * factor
    assume(expected <= kind.most)
    assert read(f"{value:.6f} {name}", kind, "w") == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "kind", "says"),
    [
        (" x", u.AREA, "--x: 'x' is not an area;"),
        ("-5 m2", u.AREA, "--x: an area below zero;"),
        ("\tnothing ", u.AIR_CHANGES, "--x: 'nothing' is not a number of air changes;"),
        (True, u.SPEED, "--x: true or false is not an air speed;"),
        (" x ", u.CUT, "--x: 'x' is not a cut;"),
        ("-1", u.DENSITY, "--x: a density below zero;"),
    ],
)
def test_the_article_fits_and_what_stands_round_the_text_is_not_told(text, kind, says):
    with pytest.raises(Refusal) as refused:
        read(text, kind, "--x")
    assert str(refused.value).startswith(says)
