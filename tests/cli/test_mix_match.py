"""`mix match` and its recipe file."""

import json

import pytest

from lacwright.cli.main import run
from lacwright.figures import evaluate_formula

RECIPE = """
[recipe]
cut = "2-lb"
make = "600 ml"
resin = [{ grade = "garnet", share = "60 %" }, { grade = "blonde", share = 0.4 }]
alcohol = [{ name = "ethanol-190" }]
dye = "1 %"

[[flakes]]
lot = "bag 12"
grade = "garnet"
have = "GARNET"

[[flakes]]
lot = "bag 3"
grade = "blonde"
have = "1 lb"

[[jar]]
name = "thick garnet"
have = "120 ml"
cut = 3
resin = [{ lot = "bag 12" }]
alcohol = [{ name = "ethanol-190" }]
tested = true

[[jar]]
name = "ruby jar"
have = "1 cup"
cut = 2
resin = [{ grade = "ruby" }]

[[alcohol]]
name = "blue can"
composition = "ethanol-190"
have = "2 l"

[[dye]]
name = "brown dye"
have = "20 ml"
"""


@pytest.fixture
def match(tmp_path, capsys):
    def ask(text, *args, code=0):
        path = tmp_path / "recipe.toml"
        path.write_text(text, encoding="utf-8")
        assert run(["mix", "match", str(path), *args]) == code
        told = capsys.readouterr()
        return told.err if code else told.out

    return ask


def test_exact(match):
    out = json.loads(match(RECIPE.replace("GARNET", "60 g"), "--json"))
    assert out["exact"]
    assert out["solution_ml"] == pytest.approx(600)
    assert out["cut_lb_per_gal"] == pytest.approx(2)
    lots = {row["name"]: row for row in out["per_lot"]}
    assert lots["thick garnet"]["left"] == pytest.approx(0, abs=1e-9)
    assert lots["ruby jar"]["not_used"] == "ruby is not in the recipe"
    assert lots["bag 12"]["use"] + lots["bag 3"]["use"] == pytest.approx(out["add_resin_g"])
    assert not any(row["reorder"] for row in out["per_lot"])
    for row in out["per_lot"]:
        assert row["use"] + row["left"] == pytest.approx(row["have"])
    assert out["reorder"] == []
    assert out["ready_now"]["cut_lb_per_gal"] == pytest.approx(2)
    assert "garnet 100% of the resin instead of 60%" in out["ready_now"]["differs"]
    assert "stop at an edge" in out["wet_edge"]
    for name, figure in out["figures"].items():
        if figure["working"]:
            inputs = {k: v["value"] for k, v in figure["working"]["inputs"].items()}
            found = evaluate_formula(figure["working"]["formula"], inputs)
            assert found == pytest.approx(out[name], rel=1e-9), name


def test_short(match):
    text = RECIPE.replace("GARNET", "20 g")
    out = json.loads(match(text, "--json"))
    assert not out["exact"]
    assert [row["line"] for row in out["reorder"]] == ["garnet"]
    assert {row["name"] for row in out["per_lot"] if row["reorder"]} == {"bag 12"}
    assert 0 < out["exact_solution_ml"] < 600
    lines = match(text).splitlines()
    assert lines[0].startswith("Take 20.0 g of bag 12")
    assert lines[1].startswith("Short: ")
    # Once as much garnet is bought as is short, the recipe is met.
    more = 20 + out["reorder"][0]["short"] + 0.01
    assert json.loads(match(RECIPE.replace("GARNET", f"{more} g"), "--json"))["exact"]


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("tested", "testd", "did you mean 'tested'"),
        ('make = "600 ml"', "", "recipe.make: it is missing"),
        ('make = "600 ml"', 'make = "6 oz"', "fl oz"),
        ('cut = "2-lb"', 'cut = "200"', "thicker than anything"),
        ('have = "2 l"', 'have = "2 kg"', "a weight, a volume is wanted"),
        ('lot = "bag 12" }', 'lot = "bag 99" }', "no lot of"),
        ('composition = "ethanol-190"', "", 'composition = "ethanol 95'),
        ("[recipe]", "[recipe", "not TOML"),
        ('cut = "2-lb"', "cut = 1e-300", "recipe.cut: 1e-300 is far too small"),
        ('make = "600 ml"', 'make = "1e-320 ml"', "far too small"),
        ('dye = "1 %"', 'dye = "2 l/l"', "share of dye"),
        ('share = "60 %"', 'share = "160 %"', "more than all"),
        ('grade = "blonde"\nhave', 'grade = "blond-ish"\nhave', "did you mean 'blond"),
    ],
)
def test_refusals_name_the_place_and_the_mend(match, old, new, words):
    text = RECIPE.replace("GARNET", "60 g")
    assert old in text
    assert words in match(text.replace(old, new, 1), code=2)


def test_all_faults_of_the_form_at_once(match):
    text = (
        RECIPE.replace("GARNET", "60 g").replace("tested", "testd").replace('make = "600 ml"', "")
    )
    assert len(match(text, code=2).strip().splitlines()) == 2


def test_dye_is_written_as_in_a_piece_file_too(match):
    text = RECIPE.replace("GARNET", "60 g")
    drops = text.replace('dye = "1 %"', 'dye = "10 ml/l"')
    assert match(drops, "--json") == match(text, "--json")


def test_what_is_unknown_is_named_where_weights_are_missing(match):
    text = RECIPE.replace("GARNET", "60 g").replace(
        '[{ name = "ethanol-190" }]\ntested', '[{ name = "unknown" }]\ntested'
    )
    text = text.replace('dye = "1 %"', 'dye = "1 %"\nany_alcohol = true')
    missing = json.loads(match(text, "--json"))["missing"]
    assert "the alcohol of thick garnet: its composition is unknown" in missing["alcohol_g"]
    text = text.replace('alcohol = [{ name = "unknown" }]\ntested', "tested")
    missing = json.loads(match(text, "--json"))["missing"]
    assert "the alcohol of thick garnet: nobody said" in missing["alcohol_g"]


@pytest.mark.parametrize(
    ("text", "words"),
    [("x = " + "[" * 5000, "nested too deeply"), ("#" * 1_000_001, "larger than 1 MB")],
    ids=["deep", "large"],
)
def test_a_file_that_is_no_recipe_is_refused(match, text, words):
    assert words in match(text, code=2)
