"""Every table of the trade: mark and source on every row, and marks that say what sources say."""

import contextlib
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lacwright.figures import Basis, Mark, Refusal
from lacwright.trade import names, table

NO_SOURCE = ("common practice", "from memory", "remembered", "guess")


def number(cell):
    try:
        return float(cell) if math.isfinite(float(cell)) else None
    except ValueError:
        return None


def test_there_are_tables():
    assert len(names()) >= 5
    assert all(len(table(name).rows) > 0 for name in names())


def contradicts(row):
    source = row.source.lower()
    match row.mark:
        case Mark.PUBLISHED | Mark.LIBRARY:
            return any(words in source for words in NO_SOURCE)
        case Mark.PRACTICE:  # what is sourced of such a row may be named beside it
            return "common practice" not in source
        case Mark.REMEMBERED:
            return "from memory" not in source and "remembered" not in source
    return False


@pytest.mark.parametrize("name", names())
def test_mark_and_source_say_the_same(name):
    """No remembered, guessed or common-practice row is called published, and the other way."""
    assert {row.key: f"{row.mark}: {row.source}" for row in table(name) if contradicts(row)} == {}


def faults(row):
    for column in row.fields:
        base = column.removesuffix("_low").removesuffix("_high")
        numeric = column in ("value", "low", "high") or base != column
        numeric = numeric or f"{column}_low" in row.fields
        if not (numeric and row.has(column)):
            continue
        if number(row.text(column)) is None:
            yield f"{column} is no number: {row.text(column)}"
        elif base == column and column not in ("low", "high"):
            sides = ("low", "high") if column == "value" else (f"{column}_low", f"{column}_high")
            if any(side not in row.fields for side in sides):
                yield f"{column} has no columns {sides}"
            elif row.has(sides[0]) != row.has(sides[1]):
                yield f"{column} has half a band"
            elif row.has(sides[0]):
                low, value, high = (row.number(c) for c in (sides[0], column, sides[1]))
                if not low <= value <= high:
                    yield f"{column}: {low} <= {value} <= {high} is wrong"


@pytest.mark.parametrize("name", names())
def test_numbers_are_numbers_and_bands_hold_them(name):
    assert {row.key: found for row in table(name) if (found := list(faults(row)))} == {}


@pytest.mark.parametrize("name", names())
def test_a_column_of_numbers_is_all_numbers(name):
    for column in next(iter(table(name))).fields:
        if column in ("key", "also", "mark", "source"):
            continue
        cells = [row.text(column) for row in table(name) if row.has(column)]
        wrong = [cell for cell in cells if number(cell) is None]
        assert not wrong or len(wrong) > 0.2 * len(cells), f"{column}: {wrong}"


@pytest.mark.parametrize("name", names())
def test_a_name_means_one_row_and_every_name_is_found(name):
    meaning: dict[str, str] = {}
    for row in table(name):
        for word in row.names():
            assert meaning.setdefault(word.lower(), row.key) == row.key, word
            assert table(name).find(word, "w").key == row.key
            assert table(name).find(f" {word.upper()} ".replace(" ", "_"), "w").key == row.key


@pytest.mark.parametrize("name", names())
def test_a_slip_of_the_pen_is_answered_with_the_right_name(name):
    for row in table(name):
        if len(row.key) >= 6 and (slip := row.key[:-2] + row.key[-1]) not in table(name):
            with pytest.raises(Refusal, match="w: ") as refusal:
                table(name).find(slip + "q", "w")
            assert "did you mean '" in refusal.value.mend


@given(st.text(max_size=20))
def test_any_name_is_a_row_or_a_refusal(text):
    for name in names():
        with contextlib.suppress(Refusal):
            assert table(name).find(text, "w").key in table(name)


@pytest.mark.parametrize("name", [n for n in names() if "value" in next(iter(table(n))).fields])
def test_a_row_becomes_a_figure_with_its_mark_and_source(name):
    for row in table(name):
        if row.has("value"):
            figure = row.figure("value", None if "unit" in row.fields else "1")
            assert (figure.mark, figure.source) == (row.mark, row.source)
            assert (figure.value, figure.basis) == (row.number("value"), Basis.DEFAULT)
