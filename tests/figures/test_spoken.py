"""Numbers and counts as people read them."""

import pytest

from lacwright.figures.spoken import an, counted, founded, of_plural, there_are, trimmed


@pytest.mark.parametrize(
    ("value", "says"),
    [(50, "50"), (12.5, "12.5"), (4546.09, "4546"), (12345678.0, "12345678"), (0.00123, "0.00123"),
     (0, "0"), (99.96, "100"), (-4546.0, "-4546")],
)  # fmt: skip
def test_a_number_never_has_an_exponent(value, says):
    assert trimmed(value) == says


def test_one_is_told_as_one():
    assert [counted(n, "coat") for n in (0, 1, 2)] == ["0 coats", "1 coat", "2 coats"]
    assert counted(1, "pad or brush", "pads and brushes") == "1 pad or brush"
    assert there_are(1, "jar") == "1 jar is"
    assert there_are(0, "jar") == "0 jars are"


@pytest.mark.parametrize(
    ("many", "one"),
    [("jars", "1 jar"), ("pads and brushes", "1 pad or brush"), ("entries", "1 entry")],
)
def test_a_plural_is_told_as_one(many, one):
    assert of_plural(1, many) == one
    assert of_plural(2, many) == f"2 {many}"


def test_a_mark_that_the_source_tells_is_not_told_twice():
    assert founded("common practice", "common practice, no source") == "common practice, no source"
    assert founded("published", "27 CFR 21.80") == "published: 27 CFR 21.80"


@pytest.mark.parametrize(
    ("words", "says"),
    [("area", "an area"), ("cut", "a cut"), ("8-lb cut", "an 8-lb cut"), ("8.5-lb", "an 8.5-lb"),
     ("11-lb cut", "an 11-lb cut"), ("18 g", "an 18 g"), ("1.1-lb cut", "a 1.1-lb cut"),
     ("110 ml", "a 110 ml"), ("hour", "an hour"), ("use", "a use"), ("air speed", "an air speed"),
     ("0.8-lb cut", "a 0.8-lb cut")],
)  # fmt: skip
def test_the_article_is_that_of_the_sound(words, says):
    assert an(words) == says
