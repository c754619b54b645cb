"""Questions as a maker types them, against numbers worked by hand.

The hand numbers use the exact factor 119.8264273 g/l for one pound to the US gallon, resin of
1.14 g/ml and 190 proof alcohol of 0.81135 g/ml at 20 C (OIML R 22, International Alcoholometric
Tables, 1975); they were worked to five figures, hence the tolerance of 1e-4.
"""

import json

import pytest

from lacwright.cli.main import run

NEAR = 1e-4
E190 = ["--alcohol", "ethanol-190"]


@pytest.fixture
def ask(capsys):
    def asked(*args):
        assert run([*args, "--json"]) == 0
        return json.loads(capsys.readouterr().out)

    return asked


@pytest.fixture
def told(capsys):
    def words(*args):
        assert run(list(args)) == 0
        return capsys.readouterr().out

    return words


@pytest.fixture
def match(tmp_path, ask):
    def asked(shelf, make="500 ml"):
        path = tmp_path / "more.toml"
        path.write_text(
            f'[recipe]\ncut = "2-lb"\nmake = "{make}"\nresin = [{{ grade = "garnet" }}]\n'
            'alcohol = [{ name = "ethanol-190" }]\n' + shelf,
            encoding="utf-8",
        )
        return ask("mix", "match", str(path))

    return asked


def flakes(have):
    return f'[[flakes]]\nlot = "bag"\ngrade = "garnet"\nhave = "{have}"\n'


def alcohol(have):
    return f'[[alcohol]]\nname = "ethanol-190"\nhave = "{have}"\n'


def jar(name, have, cut, *lines, grade="garnet"):
    return (
        f'[[jar]]\nname = "{name}"\nhave = "{have}"\ncut = "{cut}"\n'
        f'resin = [{{ grade = "{grade}" }}]\nalcohol = [{{ name = "ethanol-190" }}]\n'
        + "\n".join(lines)
        + "\n"
    )


def uses(out):
    return {row["name"]: row["use"] for row in out["per_lot"]}


def test_a_gallon_of_finished_mix(ask):
    # 3785.41 ml hold 3785.41 / (1 + 0.239653 / 1.14) = 3127.87 ml of alcohol.
    out = ask("mix", "make", "--cut", "2", "--solution", "1 gal", *E190)
    assert out["alcohol_ml"] == pytest.approx(3127.87, rel=NEAR)
    assert out["resin_g"] == pytest.approx(749.60, rel=NEAR)
    assert out["solution_g"] == pytest.approx(749.60 + 3127.87 * 0.81135, rel=NEAR)


def test_thinned_to_five_per_cent_by_weight(ask):
    # 350 ml of 3-lb hold 95.655 g in 266.09 ml; 5 % asks for 19 x 95.655 = 1817.44 g of alcohol.
    out = ask("mix", "thin", "--have", "350 ml", "--cut", "3", "--to-solids", "5 %", *E190)
    assert out["add_alcohol_ml"] == pytest.approx(1817.44 / 0.81135 - 266.09, rel=NEAR)
    assert out["solids_mass_fraction"] == pytest.approx(0.05)


@pytest.mark.parametrize("proof", ["ethanol-190", "ethanol 85, methanol 10, water 5", "sda-1"])
def test_nothing_is_lost_from_jar_to_jar(ask, proof):
    given = ["--alcohol", proof]
    jar_of_3 = ask("mix", "make", "--cut", "3", "--solution", "350 ml", *given)
    thin = ask("mix", "thin", "--have", "350 ml", "--cut", "3", "--to", "1", *given)
    assert thin["resin_g"] == pytest.approx(jar_of_3["resin_g"])
    assert thin["alcohol_g"] == pytest.approx(jar_of_3["alcohol_g"] + thin["add_alcohol_g"])
    open_jar = ask("mix", "loss", "--have", "350 ml", "--cut", "3", "--lost", "35 g", *given)
    assert open_jar["resin_g"] == pytest.approx(jar_of_3["resin_g"])
    assert open_jar["solution_g"] == pytest.approx(jar_of_3["solution_g"] - 35)


@pytest.mark.parametrize("slow", ["turpentine", "isobutanol"])
def test_a_slow_solvent_keeps_its_own_weight(ask, slow):
    # The issue asks for each solvent to 0.1 %; turpentine alone puts the sum off by 0.36 %.
    before = ask("mix", "make", "--cut", "2", "--solution", "500 ml", *E190)
    out = ask(
        "mix", "slow", "--have", "500 ml", "--cut", "2", "--slow", slow, "--share", "10%",
        "--odd", *E190,
    )  # fmt: skip
    whole = before["solution_g"] + out["add_alcohol_g"]
    assert out["solution_g"] == pytest.approx(whole, rel=1e-6)


def test_a_thin_mix_corrected_with_two_coats_laid(ask):
    # 40 g in 900 ml make 935.088 ml; 735.088 ml are left with 707.505 ml of alcohol.
    out = ask(
        "mix", "correct", "--resin", "40 g", "--solvent", "900 ml", "--used", "200 ml", "--to",
        "2", "--coats-laid", "2", "--coats-planned", "5", "--spread", "75 ml/m2",
    )  # fmt: skip
    assert out["add_resin_g"] == pytest.approx(707.505 * 0.2396529 - 31.4447, rel=NEAR)
    assert out["planned_coats_equivalent"] == pytest.approx(2 * 42.7767 / 198.0239, rel=NEAR)
    assert out["coats_due"] == pytest.approx(5 - 0.432036, rel=NEAR)
    assert out["laid_resin_g_m2"] == pytest.approx(2 * 0.075 * 42.7767, rel=NEAR)


def test_a_strong_mix_is_corrected_with_alcohol(ask):
    # 40 g want 166.908 ml; 100 were given and 20 of 135.088 ml are used.
    out = ask(
        "mix", "correct", "--resin", "40 g", "--solvent", "100 ml", "--used", "20 ml", "--to", "2"
    )
    assert out["add_alcohol_ml"] == pytest.approx(66.9081 * (1 - 20 / 135.0877), rel=NEAR)
    assert out["add_resin_g"] == 0


def test_two_jars_alone_meet_in_between(ask):
    out = ask(
        "mix", "blend", "--jar", "300 ml 3-lb garnet", "--jar", "200 ml 1-lb blonde", "--to", "2",
        "--solution", "250 ml", "--only-jars",
    )  # fmt: skip
    # Equal alcohol from both: 1 ml of alcohol lies in 1.315334 ml of 3-lb and 1.105111 of 1-lb.
    assert out["pour_1_ml"] / out["pour_2_ml"] == pytest.approx(1.315334 / 1.105111, rel=NEAR)
    assert out["pour_1_ml"] + out["pour_2_ml"] == pytest.approx(250)


def test_grades_are_those_of_what_was_poured(ask):
    out = ask(
        "mix", "blend", "--jar", "300 ml 3-lb garnet", "--jar", "200 ml 1-lb blonde", "--to", "2",
        "--solution", "250 ml", "--only-jars",
    )  # fmt: skip
    # The same alcohol comes from a 3-lb and from a 1-lb jar: three parts of resin to one.
    assert out["grades"]["garnet"] == pytest.approx(0.75)


@pytest.mark.parametrize(
    ("text", "grams_per_litre"),
    [
        ("1.5 lb/imp gal", 1.5 * 99.776373),
        ("3 lb/gal of mix", 359.4793 / (1 - 0.3594793 / 1.14)),
        ("200 g/l of mix", 200 / (1 - 0.2 / 1.14)),
        ("20 % by weight", 811.353 / 4),
        ("1:5", 811.353 / 5),
        ("4 oz per imp pint", 4 * 28.349523 / 0.56826125),
        ("8 oz to a quart", 8 * 28.349523 / 0.946352946),
    ],
)
def test_recipes_as_written(ask, text, grams_per_litre):
    out = ask("mix", "read", text, *E190)
    assert out["resin_g_per_l_alcohol"] == pytest.approx(grams_per_litre, rel=NEAR)


def test_a_warm_summer_ages_a_jar_faster(ask):
    # 142 days at 20 C and 92 at 28 C, 2.2 times faster for each 10 K (remembered).
    out = ask(
        "mix", "age", "--mixed", "2025-01-10", "--kind", "garnet", "--on", "2025-09-01",
        "--period", "2025-06-01 to 2025-09-01 at 28 C",
    )  # fmt: skip
    assert out["equivalent_days_20c"] == pytest.approx(142 + 92 * 2.2**0.8, rel=NEAR)


def test_a_test_counts_for_four_weeks_and_no_longer(ask):
    asked = ["mix", "age", "--mixed", "2025-01-10", "--kind", "bleached", "--passed"]
    fresh = ask(*asked, "--tested", "2027-08-25", "--on", "2027-09-01")
    assert fresh["good_until"] == "2027-09-22"
    assert "passed" in fresh["word"]
    assert ask(*asked, "--tested", "2027-05-25", "--on", "2027-09-01")["word"].startswith("test")


def test_jars_first_then_flakes_then_alcohol(match):
    # 150 ml of 3-lb hold 114.039 ml and 40.995 g; 500 ml of 2-lb want 413.147 ml and 99.012 g.
    shelf = flakes("200 g") + alcohol("1 l") + jar("pot 7", "150 ml", "3-lb", "tested = true")
    out = match(shelf + jar("old", "200 ml", "2-lb"))
    assert out["exact"]
    assert uses(out)["pot 7"] == pytest.approx(150)
    assert uses(out)["old"] == 0
    assert uses(out)["bag"] == pytest.approx(58.0172, rel=NEAR)
    assert uses(out)["ethanol-190"] == pytest.approx(299.108, rel=NEAR)
    # Ready now: pot 7 with alcohol to 2-lb is 1.5 x 114.039 ml of alcohol in 1.210222 times that.
    assert out["ready_now"]["solution_ml"] == pytest.approx(171.059 * 1.210222, rel=NEAR)
    assert out["ready_now"]["differs"] == []


def test_too_much_alcohol_in_the_pot_wants_only_flakes(match):
    # 400 ml of 1-lb hold 361.955 ml of alcohol: 43.372 g more make it 2-lb.
    pot = jar("pot", "400 ml", "1-lb", "tested = true", "use_all = true")
    out = match(flakes("500 g") + pot, make="300 ml")
    assert uses(out)["bag"] == pytest.approx(43.3717, rel=NEAR)
    assert out["solution_ml"] == pytest.approx(438.045, rel=NEAR)


def test_short_of_flakes_says_how_much_and_what_can_be_had(match):
    out = match(flakes("60 g") + alcohol("1 l"))
    assert out["reorder"][0]["short"] == pytest.approx(99.0120 - 60, rel=NEAR)
    assert out["exact_solution_ml"] == pytest.approx(500 * 60 / 99.0120, rel=NEAR)


def test_a_mix_that_differs_is_not_called_exact(match):
    pot = jar("pot", "100 ml", "1-lb", "tested = true", "use_all = true", grade="blonde")
    out = match(flakes("500 g") + alcohol("1 l") + pot)
    assert out["differs"]
    assert not out["exact"]


def test_an_untested_jar_is_tested_before_it_is_poured(match):
    out = match(jar("old", "600 ml", "2-lb"))
    assert out["ready_now"] is None
    assert "test" in out["wet_edge"]


def test_a_mix_of_another_cut_does_not_go_on_a_wet_edge(match):
    out = match(jar("pot", "390 ml", "3-lb", "tested = true"))
    assert out["differs"]
    assert "go on while" not in out["wet_edge"]


def test_ounces_of_flakes_stay_a_weight_beside_a_bulk_density(ask):
    out = ask("mix", "cut", "--resin", "2 oz", "--solvent", "1 cup", "--bulk-density", "0.4 g/ml")
    assert out["cut_lb_per_gal"] == pytest.approx(2)


@pytest.mark.parametrize(
    "args",
    [
        ["mix", "make", "--cut", "2", "--solution", "1e300 ml"],
        ["mix", "thin", "--have", "1e300 ml", "--cut", "3", "--to", "1"],
        ["mix", "wax", "--beeswax", "1e308 g"],
    ],
)
def test_a_number_out_of_all_measure_is_refused(capsys, args):
    assert run(args) == 2
    assert capsys.readouterr().err.count("\n") == 1


@pytest.mark.parametrize(
    ("args", "words"),
    [
        (["loss", "--have", "400 ml", "--cut", "2", "--lost", "500 g"], "only"),
        (["residue", "--sample", "5 g", "--dry", "6 g"], "less than wet"),
        (["cut", "--resin", "2 oz", "--solvent", "8 oz"], "fl oz"),
        (["cut", "--resin", "2 g", "--solvent", "1 cup"], "--odd"),
        (["age", "--mixed", "2025-09-10", "--kind", "garnet", "--on", "2025-01-01"], "dates"),
        (["make", "--cut", "2", "--solution", "1 l", "--alcohol", "ethanol 60, ethanol 40"],
         "twice"),
    ],
)  # fmt: skip
def test_a_slip_is_told_in_one_line(capsys, args, words):
    assert run(["mix", *args]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.count("\n") == 1
    assert words in told.err


def test_first_line_says_what_to_do_and_never_assures(told):
    text = told("mix", "make", "--cut", "2", "--solution", "600 ml", "--alcohol", "methanol")
    assert text.startswith("Weigh 118.8 g of flakes into 496 ml of alcohol")
    assert "240 g per litre of alcohol" in text.splitlines()[0]
    assert "methanol, which poisons" in text
    assert not {"safe", "ok", "harmless"} & set(text.lower().replace(".", " ").split())
