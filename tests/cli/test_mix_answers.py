"""What the `mix` answers say where it matters: testing, coats, wax, what differs, what is named."""

import json
import re

import pytest

from lacwright.cli.main import run

E190 = ["--alcohol", "ethanol-190"]
CORRECT = ["correct", "--resin", "40 g", "--solvent", "900 ml", "--used", "200 ml", "--to", "2"]
FLAKES = '[[flakes]]\nlot = "bag"\ngrade = "garnet"\nhave = "{}"\n'
CAN = '[[alcohol]]\nname = "{}"\ncomposition = "{}"\nhave = "1 l"\n'


@pytest.fixture
def ask(capsys):
    def asked(*args):
        assert run(["mix", *args, "--json"]) == 0
        return json.loads(capsys.readouterr().out)

    return asked


@pytest.fixture
def told(capsys):
    def words(*args, code=0):
        assert run(["mix", *args]) == code
        said = capsys.readouterr()
        return said.err if code else said.out

    return words


@pytest.fixture
def file(tmp_path):
    def written(shelf, recipe='resin = [{ grade = "garnet" }]\nalcohol = [{ name = "can" }]\n'):
        path = tmp_path / "recipe.toml"
        path.write_text(f'[recipe]\ncut = "2-lb"\nmake = "500 ml"\n{recipe}{shelf}', "utf-8")
        return str(path)

    return written


def jar(name, ml, cut, grade="garnet", *more):
    return "\n".join([
        "[[jar]]", f'name = "{name}"', f'have = "{ml} ml"', f'cut = "{cut}-lb"',
        f'resin = [{{ grade = "{grade}" }}]', 'alcohol = [{ name = "ethanol-190" }]', *more, "",
    ])  # fmt: skip


ALL = FLAKES.format("500 g") + CAN.format("can", "ethanol-190")


# --- match --------------------------------------------------------------------------------------


def test_a_strange_pot_is_counted_and_told(ask, told, file):
    path = file(ALL + jar("pot", 600, 1, "blonde", "tested = true", "use_all = true"))
    out = ask("match", path)
    assert not out["exact"]
    assert out["cut_lb_per_gal"] == pytest.approx(2)
    assert out["grades"]["blonde"] == pytest.approx(0.5)
    assert "blonde 50% of the resin instead of 0%" in out["differs"]
    text = told("match", path)
    assert "exactly the recipe" not in text
    # 600 ml of 1-lb hold 542.9 ml of alcohol, and with it make 657 ml of 2-lb.
    assert "What had to go in makes 157 ml more than the 500 ml asked." in text


@pytest.mark.parametrize("more", [(), ("use_all = true",)])
def test_an_untested_jar_is_named_before_it_is_poured(ask, told, file, more):
    short = FLAKES.format("40 g") + CAN.format("can", "ethanol-190")
    path = file(short + jar("old", 400, 2, "garnet", *more))
    out = ask("match", path)
    assert out["test_first"] == ["old"]
    assert [row["tested"] for row in out["per_lot"] if row["kind"] == "jar"] == [False]
    text = told("match", path)
    assert text.startswith("Test old first (a drop on glass beside a fresh control), then take ")
    assert "go on" not in text.lower()


def test_go_on_only_with_what_meets_the_recipe(ask, file):
    tested = jar("pot", 300, 2, "garnet", "tested = true")
    whole = CAN.format("can", "ethanol-190") + jar("pot", 600, 2, "garnet", "tested = true")
    assert "go on while" in ask("match", file(whole))["wet_edge"]
    assert ask("match", file(ALL + tested))["wet_edge"].startswith("Go on with 300 ml")
    thin = ask("match", file(ALL + jar("pot", 300, 1, "garnet", "tested = true")))["wet_edge"]
    assert "another cut shows" in thin
    assert "go on" not in thin.lower()


def test_the_volume_gives_before_the_cut(ask, told, file):
    path = file(FLAKES.format("60 g") + CAN.format("can", "ethanol-190"))
    out = ask("match", path)
    # 500 ml of 2-lb take 99.012 g of flakes.
    assert out["solution_ml"] == pytest.approx(500 * 60 / 99.012, rel=1e-4)
    assert out["cut_lb_per_gal"] == pytest.approx(2)
    assert out["differs"] == []
    assert not out["exact"]
    assert "exactly the recipe, but less than the 500 ml asked." in told("match", path)
    whole = ask("match", path, "--whole")
    assert whole["cut_lb_per_gal"] < 1.3
    assert whole["exact_solution_ml"] == pytest.approx(out["solution_ml"], rel=1e-5)


def test_a_recipe_without_alcohol_takes_the_only_one(ask, told, file):
    resin = 'resin = [{ grade = "garnet" }]\n'
    unsaid = jar("pot", 100, 3).replace('alcohol = [{ name = "ethanol-190" }]\n', "")
    path = file(FLAKES.format("300 g") + CAN.format("blue", "ethanol-190") + unsaid, resin)
    out = ask("match", path)
    assert out["alcohol_taken"] == "blue"
    assert {row["name"]: row["use"] for row in out["per_lot"]}["blue"] > 0
    assert "The recipe names no alcohol: blue is taken" in told("match", path)
    several = (
        FLAKES.format("300 g") + CAN.format("blue", "ethanol-190") + CAN.format("red", "sda-1")
    )
    said = told("match", file(several, resin), code=2)
    assert "blue, red" in said
    assert 'alcohol = [{ name = "blue" }]' in said


def test_unknown_is_served_by_a_can_of_unknown_composition(ask, file):
    unknown = 'resin = [{ grade = "garnet" }]\nalcohol = [{ name = "unknown" }]\n'
    out = ask("match", file(FLAKES.format("300 g") + CAN.format("green", "unknown"), unknown))
    assert out["exact"]
    assert out["alcohol_g"] is None
    # There is no --alcohol here: the mend is one for the file.
    assert "--alcohol" not in out["missing"]["alcohol_g"]
    assert "alcohol-unknown" in [c["code"] for c in out["cautions"]]


@pytest.mark.parametrize(
    ("recipe", "words"),
    [
        ('resin = [{ grade = "garnet" }, { grade = "blonde" }]', "sum to 2"),
        ('resin = [{ grade = "garnet", share = 0.5 }]', "sum to 0.5"),
        ('resin = [{ grade = "garnet", share = 0.5 }, { grade = "garnet", share = 0.5 }]', "twice"),
        ('alcohol = [{ name = "can", share = 0.5 }, { name = "can", share = 0.5 }]', "twice"),
        ('alcohol = [{ name = "can", share = "40 %" }]', "sum to 0.4"),
    ],
)
def test_shares_are_of_a_whole(told, file, recipe, words):
    assert words in told("match", file(ALL, recipe + "\n"), code=2)


def test_what_a_shelf_cannot_hold(told, file):
    said = told("match", file(ALL.replace("500 g", "2 cups")), code=2)
    assert "weigh the bag" in said
    assert "--bulk-density" not in said
    said = told("match", file(FLAKES.format("9 g") + CAN.format("can", "rubbing alcohol")), code=2)
    assert "does not suit shellac" in said


def test_the_example_of_the_help_is_a_recipe_file(told, tmp_path, capsys):
    assert run(["mix", "match", "--help"]) == 0
    text = capsys.readouterr().out
    assert "docs/reference/recipe-file.md" in text
    lines = re.findall(r"^ +((?:recipe|flakes|jar|alcohol|dye) = .*)$", text, re.M)
    assert len(lines) == 5
    path = tmp_path / "help.toml"
    path.write_text("\n".join(lines), encoding="utf-8")
    assert "exactly the recipe" in told("match", str(path))


# --- correct, slow, blend -----------------------------------------------------------------------


def test_coats_due_say_of_which_cut(ask, told):
    asked = [*CORRECT, "--coats-laid", "2", "--coats-planned", "5", "--planned-cut", "1"]
    out = ask(*asked)
    # Grams per litre of mix: 42.777 as mixed, 119.826/1.105111 of 1-lb, 239.653/1.210222 of 2-lb.
    due = 5 - 2 * 42.7767 / (119.8264 / 1.105111)
    assert out["coats_due"] == pytest.approx(due, rel=1e-4)
    assert out["coats_due_at_new_cut"] == pytest.approx(due * 108.4293 / 198.0239, rel=1e-4)
    assert out["coats_due_whole"] == 3
    text = told(*asked)
    assert "4.21 coats of the planned 1-lb cut are due" in text
    assert "2.31 of the new 2-lb cut, so lay 3 more" in text
    assert "warm" in text


def test_too_many_coats_are_told(ask, told):
    asked = ["correct", "--resin", "400 g", "--solvent", "900 ml", "--to", "2", "--coats-laid", "2",
             "--coats-planned", "3", "--planned-cut", "1"]  # fmt: skip
    out = ask(*asked)
    assert out["coats_due"] == 0
    assert out["coats_too_many"] == pytest.approx(out["planned_coats_equivalent"] - 3)
    assert "coats too many; none is due" in told(*asked)
    # Alcohol is added, nothing is to dissolve.
    assert "hand-warm water" not in told(*asked)


def test_turpentine_is_no_alcohol(ask):
    plain = ask("make", "--cut", "2", "--solution", "500 ml", *E190)
    out = ask("slow", "--have", "500 ml", "--cut", "2", "--slow", "turpentine", *E190)
    for key in ("alcohol_ml", "alcohol_g", "cut_lb_per_gal", "resin_g_per_l_alcohol"):
        assert out[key] == pytest.approx(plain[key]), key
    assert out["solution_ml"] == pytest.approx(500 + out["add_alcohol_ml"])
    unnamed = ask("slow", "--have", "500 ml", "--cut", "2", "--slow", "turpentine")
    assert unnamed["add_alcohol_g"] == pytest.approx(out["add_alcohol_g"])
    assert unnamed["alcohol_g"] is None


def test_nothing_is_poured_of_a_jar_that_is_not_needed(ask, told):
    asked = ["blend", "--jar", "300 ml 3-lb garnet", "--jar", "200 ml 1-lb blonde", "--to", "1",
             "--solution", "200 ml", "--only-jars"]  # fmt: skip
    out = ask(*asked)
    assert min(out["left_ml"]) >= 0
    assert out["grades"] == {"blonde": pytest.approx(1.0)}
    assert not re.search(r"\b0 ml", told(*asked))
    assert "Add nothing" in told("thin", "--have", "350 ml", "--cut", "3", "--to", "3")


# --- decant, cut, shortcut, age -----------------------------------------------------------------


def test_dewaxed_lac_leaves_nothing_to_speak_of(ask, told):
    asked = ["decant", "--have", "500 ml", "--cut", "2"]
    for more in (["--grade", "blonde"], ["--grade", "garnet", "--wax", "dewaxed"]):
        out = ask(*asked, *more)
        assert out["wax_g"] == 0
        assert out["cut_lb_per_gal"] == pytest.approx(2)
        assert "nothing to speak of settles" in told(*asked, *more)
        assert "USP28-NF23" in told(*asked, *more)
    assert "a default (3%-6%, published: CAMEO" in told(*asked)
    assert "a default" not in told(*asked, "--grade", "garnet")
    given = told(*asked, "--wax-share", "5 %")
    assert "(resin density in solution)" in given
    assert "(wax in the flakes)" not in given
    assert ask(*asked, "--wax-share", "0.3 %")["wax_g"] > 0
    assert ask(*asked, "--wax-share", "30 %", "--odd")["cut_lb_per_gal"] == pytest.approx(1.4)


def test_a_weight_needs_no_bulk_density(ask):
    out = ask("shortcut", "--flakes", "2 oz", "--solvent", "1 cup")
    assert out["cut_lb_per_gal"] == pytest.approx(2)
    figure = out["figures"]["cut_lb_per_gal"]
    assert figure["low"] == figure["high"]
    out = ask("cut", "--resin", "57 g", "--solvent", "1 cup", "--bulk-density", "0.3")
    assert out["resin_g"] == pytest.approx(57)


@pytest.mark.parametrize(
    ("text", "grams"),
    [
        ("25 g per 100 g of alcohol", 0.25 * 811.353),
        ("1 part to 4 parts by weight", 0.25 * 811.353),
        ("1.5 lb/gal imperial", 1.5 * 99.776373),
    ],
)
def test_more_recipes_as_written(ask, text, grams):
    # 190 proof weighs 0.811353 g/ml (OIML R 22); 1 lb to the imperial gallon is 99.776373 g/l.
    assert ask("read", text, *E190)["resin_g_per_l_alcohol"] == pytest.approx(grams, rel=1e-4)


def test_moisture_is_read_as_a_share(ask):
    out = ask("cut", "--resin", "2 oz", "--solvent", "1 cup", "--moisture", "5 %", *E190)
    dry = ask("cut", "--resin", "2 oz", "--solvent", "1 cup", *E190)
    assert out["solids_mass_fraction"] == pytest.approx(0.95 * dry["solids_mass_fraction"])


def test_pale_is_six_months_and_garnet_twelve(ask):
    # Common practice, no source: half a year for bleached and refined pale mixes, a year for dark.
    asked = ["age", "--mixed", "2025-01-01", "--on", "2025-09-01"]
    assert ask(*asked, "--kind", "pale")["time_to_test_months_20c"] == 6
    assert ask(*asked, "--kind", "garnet")["time_to_test_months_20c"] == 12


def test_age_words_are_about_testing(ask, told):
    asked = ["age", "--mixed", "2020-01-01", "--kind", "garnet", "--on", "2025-09-01"]
    assert ask(*asked)["word"] == "too old to trust untested"
    lapsed = told(*asked, "--tested", "2025-01-01", "--passed")
    assert "The test passed on 2025-01-01 has lapsed" in lapsed
    failed = [*asked, "--tested", "2025-08-01", "--failed"]
    assert ask(*failed)["word"] == "failed its test"
    assert ask(*failed)["good_until"] is None
    for text in (told(*asked), lapsed, told(*failed)):
        assert "discard" not in text
        assert "fail;" not in text.lower()


# --- all ----------------------------------------------------------------------------------------


def test_an_end_of_a_band_that_cannot_be_is_no_refusal(ask):
    # At the light end of the resin density only a little more was made than was used.
    out = ask("correct", "--resin", "40 g", "--solvent", "900 ml", "--used", "934 ml", "--to", "2")
    assert 0 < out["left_ml"] < 2
    left = out["figures"]["left_ml"]
    assert 0 <= left["low"] < left["value"] < left["high"]


def test_what_does_not_suit_is_said_even_with_odd(told):
    said = told("make", "--cut", "2", "--solution", "1 l", "--alcohol", "rubbing alcohol", "--odd")
    assert "rubbing-alcohol does not suit shellac" in said


@pytest.mark.parametrize(
    "asked",
    [
        ["loss", "--have", "400 ml", "--cut", "2", "--lost", "50 g", *E190],
        ["decant", "--have", "500 ml", "--cut", "2"],
    ],
)
def test_every_source_is_named_once(ask, asked):
    for figure in ask(*asked)["figures"].values():
        sources = figure["source"].split("; ")
        assert len(sources) == len(set(sources))


@pytest.mark.parametrize(
    ("command", "example"),
    [
        ("cut", '--bulk-density "0.36 g/ml"'),
        ("loss", '--lost "50 g"'),
        ("wax", '--beeswax "190 g"'),
    ],
)
def test_the_help_shows_fitting_examples(capsys, command, example):
    assert run(["mix", command, "--help"]) == 0
    assert example in capsys.readouterr().out
