"""Figure: value or reason, a band around the value, the weakest mark, the working."""

import json
import math

import numpy as np
import pytest

from lacwright.figures import (
    Basis,
    Figure,
    Mark,
    computed,
    default,
    exact,
    given,
    unknown,
    weakest,
)


def test_has_a_value_or_a_reason_and_never_both():
    with pytest.raises(ValueError, match="either"):
        Figure(None, None, None, "g", Basis.GIVEN, Mark.OWN, "")
    with pytest.raises(ValueError, match="either"):
        Figure(1.0, 1.0, 1.0, "g", Basis.GIVEN, Mark.OWN, "", missing="why")
    assert unknown("g", "cannot estimate without a density").value is None
    with pytest.raises(ValueError, match="without a density"):
        unknown("g", "cannot estimate without a density").number()


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf])
def test_is_finite(bad):
    with pytest.raises(ValueError, match="finite"):
        given(bad, "g")
    with pytest.raises(ValueError, match="finite"):
        given(1, "g", low=bad) if bad < 0 else given(1, "g", high=bad)


def test_band_holds_the_value():
    figure = given(5, "g", low=6, high=7)
    assert (figure.low, figure.high) == (5, 7)
    assert (given(5, "g").low, given(5, "g").high) == (5, 5)


def test_cannot_be_changed():
    with pytest.raises(AttributeError):
        given(5, "g").value = 6


def test_mark_is_the_weakest_of_the_inputs():
    assert weakest(Mark.OWN, Mark.PRACTICE, Mark.PUBLISHED) is Mark.PRACTICE
    assert weakest(Mark.EXACT) is Mark.EXACT
    assert weakest() is Mark.EXACT
    figure = computed("a * b", "g", {
        "a": default(2, "g", Mark.PUBLISHED, "book"),
        "b": default(3, "1", Mark.REMEMBERED, "from memory: book"),
    })  # fmt: skip
    assert (figure.value, figure.mark, figure.basis) == (6, Mark.REMEMBERED, Basis.COMPUTED)
    assert figure.source == "book; from memory: book"


def test_value_is_the_central_case_and_never_a_percentile():
    row = np.concatenate([[10.0], np.linspace(0, 100, 101)])
    figure = computed("a", "g", {"a": given(10, "g")}, draws=row)
    assert (figure.value, figure.low, figure.high) == (10, 5, 95)
    assert figure.working is not None
    assert figure.working.evaluate() == figure.value


def test_what_misses_an_input_is_missing_for_the_same_reason():
    figure = computed("a + b", "g", {"a": given(1, "g"), "b": unknown("g", "not weighed")})
    assert (figure.value, figure.missing) == (None, "not weighed")


def test_json_is_plain_and_complete():
    figure = computed("a * b", "g", {"a": given(2, "g"), "b": exact(3, "1")}, note="why")
    data = json.loads(json.dumps(figure.as_json(), allow_nan=False))
    assert data["value"] == 6
    assert data["working"]["formula"] == "a * b"
    assert data["working"]["note"] == "why"
    assert data["working"]["inputs"]["a"] == {
        "value": 2, "low": 2, "high": 2, "unit": "g", "basis": "given", "mark": "own",
        "source": "given",
    }  # fmt: skip
    assert unknown("g", "not weighed").as_json()["missing"] == "not weighed"
