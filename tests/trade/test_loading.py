"""Loading a table: what is not in order is a fault of the package and stops it."""

import sys

import pytest

from lacwright.figures import Basis, Mark
from lacwright.trade.table import Row, table

HEAD = "key,also,value,low,high,unit,mark,source\n"
GOOD = 'oak_red,red oak;oak,2.5,1,6,um,common practice,"common practice, no source"\n'


@pytest.fixture
def load(tmp_path, monkeypatch):
    (tmp_path / "tables").mkdir()
    monkeypatch.setattr(sys.modules[Row.__module__], "files", lambda package: tmp_path)

    def write(text):
        (tmp_path / "tables" / "woods.csv").write_text(text, encoding="utf-8")
        table.cache_clear()
        return table("woods")

    yield write
    table.cache_clear()


def test_a_good_row(load):
    row = load("# said once\n\n" + HEAD + GOOD)["oak_red"]
    figure = row.figure()
    assert (figure.value, figure.low, figure.high, figure.unit) == (2.5, 1, 6, "um")
    assert (figure.basis, figure.mark) == (Basis.DEFAULT, Mark.PRACTICE)
    assert row.names() == ("oak_red", "red oak", "oak")


def test_a_prior_takes_low_and_high_as_5_and_95_per_cent(load):
    learned = load(HEAD + GOOD)["oak_red"].learned("scuff")
    figure = learned.figure()
    # The ends lie unevenly about the middle (2.5 / 1 and 6 / 2.5): the ratio of the ends is kept.
    assert (learned.mid, figure.value) == (2.5, pytest.approx(2.5))
    assert figure.high / figure.low == pytest.approx(6)


@pytest.mark.parametrize("name", ["oak_red", "OAK RED", "oak-red", " red  oak ", "Red-Oak", "oak"])
def test_case_hyphen_and_underscore_do_not_matter(load, name):
    assert load(HEAD + GOOD).find(name, "wood").key == "oak_red"


@pytest.mark.parametrize(
    "rows",
    [
        "oak,,2,,,um,,a book\n",
        "oak,,2,,,um,seen,a book\n",
        "oak,,2,,,um,published,\n",
        ",,2,,,um,published,a book\n",
        "oak,,2,,,um,published\n",
        "oak,,2,,,um,published,a book,page 3\n",
        GOOD + GOOD,
    ],
)
def test_a_row_without_mark_or_source_stops_it(load, rows):
    with pytest.raises(ValueError, match="row"):
        load(HEAD + rows)


def test_a_table_without_a_column_of_marks_stops_it(load):
    with pytest.raises(ValueError, match="not a mark"):
        load("key,value,source\noak,2,a book\n")


def test_an_empty_cell_is_no_number():
    row = Row("woods", "oak", {"value": " "}, Mark.OWN, "x")
    assert not row.has("value")
    with pytest.raises(KeyError, match="woods/oak"):
        row.number("value")
