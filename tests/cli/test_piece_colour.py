"""`lacwright piece test`: how a panel reads, what a film is to look like, how it came out."""

import json

import pytest

from lacwright.cli.main import run

STRIP = """\
[[panel]]
grade = "amber"
load_per_coat = "3.5 g/m2"
[[panel.band]]
coats = "bare"
lab = [70.0, 6.0, 20.0]
[[panel.band]]
coats = 2
lab = [62.9, 8.1, 27.0]
[[panel.band]]
coats = 6
lab = [60.6, 9.3, 33.0]
"""


@pytest.fixture
def strip(tmp_path, monkeypatch, capsys):
    monkeypatch.setenv("LACWRIGHT_HOME", str(tmp_path / "shop"))
    made = tmp_path / "strip.toml"
    made.write_text(STRIP)
    assert run(["piece", "add", "panel 3", "--panel", "--wood", "oak", "--now",
                "2027-02-01 09:00"]) == 0  # fmt: skip
    capsys.readouterr()
    return made


def told(capsys, *args, now="2027-02-10 09:00"):
    assert run([*map(str, args), "--now", now, "--json"]) == 0, capsys.readouterr().err
    return json.loads(capsys.readouterr().out)


def refused(capsys, *args):
    assert run(["piece", "test", "panel 3", *map(str, args), "--now", "2027-02-10 09:00"]) == 2
    return capsys.readouterr().err


def test_a_look_is_foretold_then_a_panel_read_and_the_look_with_it(capsys, strip):
    first = told(capsys, "piece", "test", "panel 3", "--foretell", "amber 7 g/m2",
                 "--foretell", "amber 7 g/m2", "--bare-lab", "70,6,20")  # fmt: skip
    assert first["result"]["film"] == {"amber": 14.0}
    assert first["verdict"] == "running"
    panel = told(capsys, "piece", "test", "panel 3", "--colour", strip)
    assert "says" not in panel["learned"]
    assert panel["result"]["wood"] == "oak"
    assert [row["band"] for row in panel["foretold"]] == ["2 coats amber", "6 coats amber"]
    read = told(capsys, "piece", "test", "panel 3", "--read-lab", "61.4, 8.8, 30.2")
    assert read["went_on"] is True
    assert read["hit"]["lab"] == [61.4, 8.8, 30.2]
    out = told(capsys, "own-figures", "foretold")
    assert (out["of"], len(out["foretold"])) == (3, 3)
    own = told(capsys, "own-figures", "colour.amber.level")["own_figures"][0]
    assert (own["n"], own["basis"]) == (1, "learned")


@pytest.mark.parametrize(
    ("args", "says"),
    [
        (("--bare-lab", "70,6,20"), "--bare-lab: of which film is not said"),
        (("--foretell", "amber"), "--foretell: 'amber' is no grade and load"),
        (("--foretell", "ambre 3 g/m2"), "did you mean 'amber'"),
        (("--foretell", "amber 3 parsec"), "--foretell: "),
        (("--foretell", "amber 3 g/m2", "--read-lab", "1,2,3"), "--read-lab: it is read after"),
        (("--foretell", "amber 3 g/m2", "--water", "4 h"), "two tests are asked for"),
        (("--read-lab", "60,5,20"), "--read-lab: nothing was foretold of panel 3"),
        (("--colour", "none.toml"), "there is no such file"),
    ],
)
def test_what_cannot_be_is_refused_by_its_option(capsys, strip, args, says):
    assert says in refused(capsys, *args)


def test_a_file_for_the_record_has_one_panel(capsys, strip):
    strip.write_text(STRIP + STRIP)
    assert "there is not just one [[panel]] in it" in refused(capsys, "--colour", strip)
    strip.write_text(STRIP)
    line = refused(capsys, "--colour", strip, "--foretell", "amber 3 g/m2")
    assert line.startswith("--colour: a panel and a look are two tests")


def test_piece_show_tells_what_they_say(capsys, strip):
    told(capsys, "piece", "test", "panel 3", "--foretell", "amber 7 g/m2")
    told(capsys, "piece", "test", "panel 3", "--colour", strip)
    assert run(["piece", "show", "panel 3"]) == 0
    out = capsys.readouterr().out
    assert "look foretold: Foretold for 7 g/m2 amber: " in out
    assert "colour read: By itself it says that amber is " in out
    assert "not judged" not in out
    assert "colour-panel" not in out
