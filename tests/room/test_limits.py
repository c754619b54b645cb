"""Which limit counts, and that a missing one is missing."""

import pytest

from lacwright.figures import Mark, Refusal
from lacwright.room import hazard_lines, lel_of, limits_of, methanol_words, own_limit
from lacwright.room.limits import NONE_ON_FILE, strictest_for_fire
from lacwright.solution import alcohol_named, read_alcohol
from lacwright.trade import table


def test_without_a_jurisdiction_the_lowest_on_file_counts():
    found = limits_of(["ethanol", "n-butyl acetate", "n-butanol"])
    # 260 mg/m3, from memory, is 138 ppm: 260 * 24.45 / 46.07.
    assert found["ethanol"].day.ppm == pytest.approx(138, abs=0.1)
    assert (found["ethanol"].day.where, found["ethanol"].day.mark) == ("nl", Mark.REMEMBERED)
    assert found["n-butyl acetate"].day.ppm == 50
    assert found["n-butanol"].day.ppm == 20
    for substance in found:
        rows = [r for r in table("room_limits") if r.text("substance") == substance
                and r.text("kind") == "8h" and r.text("unit") == "ppm"]  # fmt: skip
        assert found[substance].day.ppm <= min(r.number("value") for r in rows)


def test_a_jurisdiction_sets_its_own():
    found = limits_of(["ethanol", "methanol"], jurisdiction="United Kingdom")
    assert found["ethanol"].day.ppm == 1000
    assert found["methanol"].short.ppm == 250
    assert {x.where for x in (found["ethanol"].day, found["methanol"].day)} == {"uk"}


def test_a_missing_short_term_limit_is_three_times_that_of_the_day():
    found = limits_of(["ethanol"], jurisdiction="us-osha")["ethanol"]
    assert found.short.ppm == 3 * found.day.ppm == 3000
    assert found.short.mark is Mark.REMEMBERED
    assert any(NONE_ON_FILE in note for note in found.notes)


def test_a_ceiling_is_no_missing_short_term_limit():
    found = limits_of(["n-butanol"], jurisdiction="us-niosh")["n-butanol"]
    assert found.short is None
    assert found.ceiling.ppm == 50


def test_where_a_jurisdiction_has_nothing_the_lowest_stands_in_and_it_is_said():
    found = limits_of(["isobutanol"], jurisdiction="de")["isobutanol"]
    assert found.day.ppm == 50
    assert found.day.where != "de"
    assert f"{NONE_ON_FILE}: isobutanol, 8 hours, de" in found.notes[0]


def test_no_limit_is_neither_zero_nor_infinite():
    for row in table("room_limits"):
        assert 0 < row.number("value") < 1e6
        assert row.text("kind") in ("8h", "15min", "ceiling", "idlh")
        assert row.text("where") in table("room_jurisdictions")
        assert row.text("substance") in table("substances")
        assert row.text("dated")


def test_every_solvent_of_the_tables_but_an_unnamed_rest_has_a_limit_and_a_lel():
    named = [r.key for r in table("substances") if r.key not in ("water", "other")]
    assert all(x.day is not None for x in limits_of(named).values())
    assert set(lel_of(named)) == set(named)


def test_withdrawn_values_are_not_on_file():
    # 29 CFR 1910.1000 values of 1989 (isobutanol 50, isopropanol STEL 500) were set aside by a
    # court in 1992 (www.cdc.gov/niosh/pel88); they are not shown as law.
    law = [r for r in table("room_limits") if r.text("where") == "us-osha"]
    isobutanol = [r.number("value") for r in law if r.text("substance") == "isobutanol"]
    assert isobutanol == [100]
    assert not [r for r in law if r.text("kind") == "15min"]


def test_a_limit_of_ones_own_goes_first():
    own = own_limit("ethanol", mg_m3=1900)
    assert own.ppm == pytest.approx(1008.4, abs=0.1)
    found = limits_of(["ethanol"], jurisdiction="uk", own=[own])["ethanol"]
    assert found.day is own
    assert found.day.mark is Mark.OWN


@pytest.mark.parametrize("substance", ["other", "water", "wine"])
def test_nobody_limits_what_has_no_name(substance):
    with pytest.raises(Refusal):
        own_limit(substance, ppm=5)


def test_a_limit_or_lel_that_cannot_be_is_refused():
    with pytest.raises(Refusal):
        own_limit("ethanol", ppm=0)
    with pytest.raises(Refusal):
        lel_of(["ethanol"], own={"ethanol": 0.0})


def test_the_strictest_for_fire_has_the_fewest_grams():
    # heptane: 0.85 % of 100.2 g/mol is 34.8 g/m3; toluene has 37.7, turpentine 44.6
    assert strictest_for_fire() == "heptane"


def test_entries_of_a_library_that_are_wrong_do_not_reach_a_user():
    # chemicals 1.5.2: flash point of isobutanol -40 C (NFPA 497 set), of ethanol -13 C and
    # methanol -31 C (DIPPR set), no limit at all for ethanol; and LEL 4.3 and 7.3 % of old tables.
    rows = table("room_flammability")
    assert rows["isobutanol"].number("flash_c") == 28
    assert rows["ethanol"].number("flash_c") == 12
    assert rows["methanol"].number("flash_c") == 9
    assert limits_of(["ethanol"])["ethanol"].day is not None
    assert rows["ethanol"].number("lel_percent") == 3.1
    assert rows["methanol"].number("lel_percent") == 6.0


def test_hazard_lines_come_from_the_codes_that_were_copied():
    told = dict(hazard_lines("H225, h319; P210 P303 + P361 + P353"))
    assert list(told) == ["H225", "H319", "P210", "P303+P361+P353"]
    assert told["H225"] == "Highly flammable liquid and vapour"


def test_no_code_no_line_and_an_unknown_code_is_refused():
    for codes in ("", "flammable", "H999", "P403+P999"):
        with pytest.raises(Refusal):
            hazard_lines(codes)


def test_a_label_says_what_is_known_of_methanol():
    assert methanol_words(alcohol_named("unknown")) == "may contain methanol"
    assert methanol_words(alcohol_named("sda-30")) == "contains methanol"
    assert methanol_words(alcohol_named("ethanol-190")) == ""
    assert methanol_words(read_alcohol("ethanol 98, methanol 2")) == ""
