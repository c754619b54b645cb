"""The formula evaluator: arithmetic in the given names, and nothing else."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lacwright.figures import Working, evaluate_formula
from lacwright.figures import given as said
from lacwright.figures.figure import unknown

NAMES = {"a": 2.0, "b": 0.5, "n": 7.0}


@pytest.mark.parametrize(
    ("formula", "value"),
    [
        ("a + b * n", 5.5),
        ("(a + b) * n", 17.5),
        ("-a ** 2", -4),
        ("n / a - 1", 2.5),
        ("exp(log(n))", 7),
        ("sqrt(a * a)", 2),
        ("ceil(n / a) + floor(b)", 4),
        ("min(a, b, n) + max(a, b, n)", 7.5),
        ("abs(b - a)", 1.5),
        ("round(n / 3, 2)", 2.33),
        ("a if a > b else b", 2),
        ("a if a <= b else b", 0.5),
        ("phi(1.6448536269514722)", 0.95),
        ("  a  ", 2),
    ],
)
def test_arithmetic(formula, value):
    assert evaluate_formula(formula, NAMES) == pytest.approx(value)


@pytest.mark.parametrize(
    "formula",
    [
        "c", "a.real", "a[0]", "__import__('os')", "().__class__", "open('x')", "exp", "exp(a)(b)",
        "'a'", "True", "None", "[a]", "lambda: a", "a and b", "not a", "a < b < n", "a; b", "a = b",
        "a +", "", "exp(x=a)", "exp(*a)", "f'{a}'", "1j", "(a := 3)", "a @ b", "a // b", "a % b",
        "[x for x in (1, 2)]", "exp(a, b, n)", "9**9**9", "9**9**9**9**9", "1e308 * 10",
        "(-a) ** b", "log(0)", "log(-a)", "a / 0", "sqrt(-1)", "1e999 - 1e999", "\0",
        "(" * 300 + "a" + ")" * 300, "a" + " + a" * 20000,
    ],
)  # fmt: skip
def test_anything_else_is_a_value_error(formula):
    with pytest.raises(ValueError, match=r".+"):
        evaluate_formula(formula, NAMES)


@given(st.text(max_size=30))
def test_any_string_gives_a_finite_number_or_a_value_error(formula):
    try:
        value = evaluate_formula(formula, NAMES)
    except ValueError:
        return
    assert math.isfinite(value)


def test_working_uses_the_central_values():
    working = Working("a * b", (("a", said(2, "g", low=1, high=9)), ("b", said(3, "1"))))
    assert working.evaluate() == 6
    with pytest.raises(ValueError, match="input a"):
        Working("a", (("a", unknown("g", "not weighed")),)).evaluate()
