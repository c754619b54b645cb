"""`lacwright label`."""

import json

import pytest

from lacwright.cli.main import run

KNOWN = ("label", "--alcohol", "ethanol 85, methanol 10, water 5", "--name", "spirit can")


def told(capsys, *args):
    assert run([*args, "--json"]) == 0, capsys.readouterr().err
    return json.loads(capsys.readouterr().out)


def test_hazard_lines_are_those_that_were_copied(capsys):
    bare = told(capsys, *KNOWN)
    assert bare["hazards"] == []
    assert bare["precautions"] == []
    assert bare["missing"]["signal"] == "not copied"
    out = told(capsys, *KNOWN, "--codes", "h225 H319, P210", "--signal", "danger")
    assert [line["code"] for line in out["hazards"]] == ["H225", "H319"]
    assert out["precautions"][0]["code"] == "P210"
    assert out["signal"] == "Danger"
    text = _text(capsys, *KNOWN, "--codes", "H225")
    assert "copied from the supplier's safety data sheet" in text


def test_methanol_is_named_and_an_unknown_alcohol_may_contain_it(capsys):
    assert told(capsys, *KNOWN)["methanol"] == "contains methanol"
    unknown = told(capsys, "label", "--alcohol", "unknown")
    assert unknown["methanol"] == "may contain methanol"
    assert unknown["solvents"] == [{"of": "alcohol of unknown composition", "percent": None}]
    assert unknown["missing"]["solvents.0.percent"] == "composition not known"
    assert told(capsys, "label", "--alcohol", "ethanol-190")["methanol"] is None


def test_it_says_that_it_is_no_label_under_the_law(capsys):
    text = _text(capsys, *KNOWN)
    assert text.splitlines()[0] == "spirit can"
    assert "no label under the law" in text
    assert "Caution: This alcohol holds methanol" in text


def test_the_label_of_a_jar_says_what_the_book_has_in_it(capsys, tmp_path):
    home = ("--home", str(tmp_path / "shop"))
    assert run(["lot", "add", "amber-1", "--kind", "flakes", "--amount", "500 g", "--grade",
                "amber", *home]) == 0  # fmt: skip
    assert run(["lot", "add", "can", "--kind", "alcohol", "--amount", "2 l", "--alcohol",
                "ethanol 90, methanol 10", *home]) == 0  # fmt: skip
    assert run(["jar", "mix", "J1", "--take", "amber-1: 48 g", "--take", "can: 200 ml",
                *home]) == 0  # fmt: skip
    capsys.readouterr()
    out = told(capsys, "label", "--jar", "J1", *home)
    assert out["name"] == "J1"
    assert out["contents"] == "2-lb cut of amber"
    assert out["methanol"] == "contains methanol"
    assert {s["of"]: round(s["percent"]) for s in out["solvents"]} == {"ethanol": 90,
                                                                      "methanol": 10}  # fmt: skip


@pytest.mark.parametrize(
    ("args", "said"),
    [
        ((*KNOWN, "--codes", "H9"), "--codes"),
        ((*KNOWN, "--codes", "H999"), "not on file"),
        ((*KNOWN, "--signal", "Caution"), "--signal"),
        (("label",), "exactly one"),
        ((*KNOWN, "--jar", "J1"), "exactly one"),
    ],
)
def test_what_cannot_be_worked_with_is_refused_in_a_line(capsys, args, said):
    assert run(list(args)) == 2
    err = capsys.readouterr().err
    assert said in err
    assert len(err.splitlines()) == 1


def _text(capsys, *args):
    assert run(list(args)) == 0
    return capsys.readouterr().out
