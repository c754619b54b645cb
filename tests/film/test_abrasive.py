"""Abrasives by system and number together."""

import pytest

from lacwright.figures import Refusal
from lacwright.film import find_abrasive, median_um


@pytest.mark.parametrize(
    ("written", "key"),
    [
        ("P400", "FEPA P400"), ("p 400", "FEPA P400"), ("FEPA P400", "FEPA P400"),
        ("FEPA 400", "FEPA P400"), ("ISO P400", "FEPA P400"), ("P400 grit", "FEPA P400"),
        ("CAMI 400", "CAMI 400"), ("400 CAMI", "CAMI 400"), ("cami #400", "CAMI 400"),
        ("ANSI 400", "CAMI 400"), ("JIS #400", "JIS #400"), ("400 JIS", "JIS #400"),
        ("#1000 JIS", "JIS #1000"), ("water stone 1000", "water stone 1000"),
        ("0000", "steel wool 0000"), ("0000 wool", "steel wool 0000"),
        ("steel wool 000", "steel wool 000"), ("FFFF pumice", "pumice FFFF"),
        ("rottenstone", "rottenstone"), ("fine non-woven pad", "non-woven pad ultra fine"),
    ],
)  # fmt: skip
def test_names_as_people_write_them(written, key):
    assert find_abrasive(written, "--abrasive").key == key


@pytest.mark.parametrize("bare", ["400", "400 grit", "#400", "grit 400"])
def test_a_bare_number_is_refused_with_both_meanings(bare):
    with pytest.raises(Refusal, match="P400 is 35 um, CAMI 400 is 23 um") as caught:
        find_abrasive(bare, "--abrasive")
    assert caught.value.where == "--abrasive"
    assert "say which" in caught.value.mend


def test_a_number_of_no_system_is_refused_too():
    with pytest.raises(Refusal, match="system and number together"):
        find_abrasive("417", "--abrasive")
    with pytest.raises(Refusal, match="is not in the table"):
        find_abrasive("P417", "--abrasive")


def test_a_powder_without_a_size_says_so():
    with pytest.raises(Refusal, match="no grain size of pumice FFF"):
        median_um(find_abrasive("pumice FFF", "rub"), "rub")
    assert median_um(find_abrasive("P600", "rub"), "rub") == 25.8
