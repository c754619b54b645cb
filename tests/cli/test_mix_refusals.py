"""Odd input to the `mix` commands is refused in one line: what, where, how to mend."""

import pytest

from lacwright.cli.main import run

MAKE = ["make", "--cut", "2", "--solution", "600 ml"]
CORRECT = ["correct", "--resin", "40 g", "--solvent", "900 ml", "--to", "2"]
AGE = ["age", "--mixed", "2025-01-01", "--kind"]

REFUSED = [
    (["make", "--cut", "2", "--solution", "6 oz"], "fl oz"),
    (["make", "--cut", "2", "--resin", "1 cup"], "weigh them"),
    (["make", "--cut", "2"], "exactly one"),
    ([*MAKE, "--resin", "40 g"], "exactly one"),
    (["make", "--cut", "0", "--solution", "600 ml"], "a cut of nothing"),
    (["make", "--cut", "20", "--solution", "600 ml"], "thicker than anything"),
    (["make", "--cut", "2", "--solution", "0 ml"], "nothing is to be made"),
    (["make", "--cut", "2", "--solution", "600"], "no unit"),
    ([*MAKE, "--grade", "garnett"], "garnet"),
    ([*MAKE, "--alcohol", "ethanl-190"], "ethanol-190"),
    ([*MAKE, "--alcohol", "ethanol 80, water 10"], "other 10"),
    ([*MAKE, "--alcohol", "rubbing alcohol"], "does not suit"),
    ([*MAKE, "--density", "11.4"], "1.035"),
    ([*MAKE, "--temp", "80"], "-20 to 40"),
    ([*MAKE, "--temp", "80"], "--temp"),
    ([*AGE, "garnet", "--on", "2025-09-01", "--temp", "90"], "--temp"),
    (["cut", "--resin", "2 kg", "--solution", "1 l"], "--solution"),
    ([*MAKE, "--alcohol-density", "1.2"], "no alcohol"),
    (["cut", "--resin", "2 g", "--solvent", "1 cup"], "was an ounce meant for a gram"),
    (["cut", "--resin", "2 lb", "--solvent", "1 cup"], "too thick to pour"),
    (["cut", "--resin", "0 g", "--solvent", "1 cup"], "no flakes"),
    (["cut", "--resin", "1 cup", "--solvent", "1 cup", "--bulk-density", "5"], "how flakes lie"),
    (["thin", "--have", "500 ml", "--cut", "1", "--to", "2"], "use strengthen"),
    (["thin", "--have", "500 ml", "--cut", "2", "--to-solids", "0.5"], "use strengthen"),
    (["thin", "--have", "0 ml", "--cut", "2", "--to", "1"], "no mix"),
    (["strengthen", "--have", "500 ml", "--cut", "3", "--to", "2"], "use thin"),
    (["correct", "--resin", "9 g", "--solvent", "1 l", "--used", "2 l", "--to", "2"], "nothing is"),
    (["loss", "--have", "400 ml", "--cut", "2", "--lost", "2 kg"], "was mix poured out"),
    (["residue", "--sample", "5 g", "--dry", "6 g"], "weight of the dish"),
    (["blend", "--jar", "300 ml garnet"], "300 ml 3-lb garnet"),
    (["blend", "--jar", "300 ml 3-lb garnet", "--jar", "9 ml 1-lb garnet", "--solution", "900 ml"],
     "the jars make"),
    (["blend", "--jar", "300 ml 3-lb garnet"], "one jar is no blend"),
    (["slow", "--have", "500 ml", "--cut", "2", "--slow", "vinegar"], "n-butanol"),
    (["slow", "--have", "1 l", "--cut", "2", "--slow", "n-butanol", "--share", "60%"], "far above"),
    (["decant", "--have", "500 ml", "--cut", "2", "--wax-share", "30 %"], "more than lac holds"),
    (["correct", "--resin", "40g", "--solvent", "900ml", "--to", "2", "--coats-laid", "2"],
     "--coats-planned"),
    (["correct", "--resin", "40g", "--solvent", "900ml", "--to", "2", "--spread", "75ml/m2"],
     "--coats-laid"),
    (["thin", "--have", "500ml", "--cut", "2", "--to-solids", "0.5"], "--to-solids: the mix is"),
    (["residue", "--sample", "1 cup", "--dry", "1 g"], "--sample: '1 cup' is a volume, a weight"),
    (["loss", "--have", "400 ml", "--cut", "2", "--lost", "50 ml"], "weigh it and write"),
    (["wax", "--beeswax", "1 cup"], "weigh it and write"),
    (["shortcut", "--flakes", "2 oxen", "--solvent", "1 cup"], "--flakes"),
    (["read", "20 % by volume"], "by weight'"),
    (["read", "1 part to 4 parts by volume"], "by weight'"),
    (["read", "2 oz per 8 oz"], "fl oz"),
    ([*MAKE, "--moisture", "50 %"], "--moisture"),
    ([*MAKE, "--density", "11.4"], "--density"),
    ([*AGE, "garnet", "--on", "2025-09-01", "--period", "2024-06-01 to 2024-09-01 at 28 C"],
     "before the mixing"),
    (["read", "20 %"], "by weight or by volume"),
    (["shortcut", "--cut", "1", "--to", "3"], "must be below"),
    (["shortcut"], "one question"),
    (["wax"], "no wax"),
    (["age", "--mixed", "03/04/2025", "--kind", "garnet", "--on", "2025-09-01"], "year-month-day"),
    ([*AGE, "granite", "--on", "2025-09-01"], "grades"),
    ([*AGE, "garnet", "--on", "2024-09-01"], "not mixed yet"),
    ([*AGE, "garnet", "--on", "2025-09-01", "--failed"], "--tested"),
    (["match", "/nowhere/recipe.toml"], "no such file"),
    (["stir"], "No such command"),
    ([*MAKE, "--scale-step", "1e-320 g"], "--scale-step"),
    (["make", "--cut", "1e-300", "--resin", "40 g", "--odd"], "--cut: 1e-300 is far too small"),
    (["thin", "--have", "350 ml", "--cut", "3", "--to", "1e-300"], "--to: 1e-300"),
    (["thin", "--have", "350 ml", "--cut", "3", "--to-solids", "1e-300 %"], "--to-solids"),
    (["cut", "--resin", "2 oz", "--solvent", "1e-320 cup"], "--solvent"),
    (["cut", "--resin", "1e-320 g", "--solvent", "1 cup", "--odd"], "--resin"),
    (["blend", "--jar", "1e-320 ml 3-lb garnet", "--jar", "1 l 1-lb garnet"], "far too small"),
    (["read", "1:" + "1" * 400], "more than anybody"),
    (["read", "1" * 400 + ":4"], "more than anybody"),
    ([*CORRECT, "--coats-laid", "1e300", "--coats-planned", "5"], "--coats-laid"),
    ([*CORRECT, "--coats-laid", "2", "--coats-planned", "nan"], "--coats-planned"),
    ([*CORRECT, "--coats-laid", "2", "--coats-planned", "5", "--planned-cut", "1e-300"],
     "--planned-cut"),
    (["residue", "--sample", "5 g", "--dry", "4.9 g", "--moisture", "20 %"], "no alcohol is left"),
    (["wax", "--beeswax", "190 g", "--firmness", "nan"], "--firmness"),
]  # fmt: skip


@pytest.mark.parametrize(("args", "words"), REFUSED, ids=[" ".join(a)[:80] for a, _ in REFUSED])
def test_refused_in_one_line(capsys, args, words):
    assert run(["mix", *args]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert words in told.err
    assert len(told.err.strip().splitlines()) == 1


def test_an_odd_amount_can_be_meant(capsys):
    assert run(["mix", "cut", "--resin", "2 g", "--solvent", "1 cup", "--odd"]) == 0
    assert "0.0705-lb" in capsys.readouterr().out


def test_years_that_no_jar_is_of_are_refused(capsys):
    for days in (["9999-01-01", "9999-12-31"], ["2025-01-01", "9999-12-31"], ["0001-01-01"] * 2):
        assert run(["mix", "age", "--kind", "garnet", "--mixed", days[0], "--on", days[1]]) == 2
        told = capsys.readouterr().err
        assert "year" in told
        assert len(told.strip().splitlines()) == 1
    coldest = ["--kind", "waxed", "--flakes", "--temp=-30"]
    assert run(["mix", "age", "--mixed", "2200-01-01", "--on", "2200-12-31", *coldest]) == 0
