"""lacwright coats-to-go."""

import json
import math

import pytest

from lacwright.cli.main import run

FILE = """\
scale = "reflectance"
target = 15
tolerance = 0.5
reading = [
  { coats = 1, value = [40, 40.2, 39.8] }, { coats = 2, value = 32 }, { coats = 4, value = 20.48 },
]
[piece]
coats = 2
area = "0.5 m2"
coat_price = 40
currency = "EUR"
[coat]
spread = "80 ml/m2"
loss = "10 %"
cut = 2
"""


@pytest.fixture
def ask(tmp_path, capsys, monkeypatch):
    monkeypatch.chdir(tmp_path)

    def asked(text=FILE, *more):
        (tmp_path / "readings.toml").write_text(text)
        code = run(["coats-to-go", "readings.toml", *more])
        return code, capsys.readouterr()

    return asked


def test_json_has_the_answer(ask):
    code, said = ask(FILE, "--json")
    assert code == 0
    out = json.loads(said.out)
    coats = math.log(15 / 32) / math.log(0.8)
    # 39.8 and 40.2 do not average to 40 in logarithms: by less than 1e-5
    assert out["factor_per_coat"] == pytest.approx(0.8, abs=1e-4)
    assert out["coats_to_go"] == pytest.approx(coats, abs=2e-3)
    assert out["coats_to_go_low"] < coats < out["coats_to_go_high"]
    assert [(w["n"], w["inside"]) for w in out["whole_coats"]] == [
        (2, False), (3, False), (4, False), (5, False),
    ]  # fmt: skip
    assert out["last_coat"]["full_coats"] == 3
    assert out["last_coat"]["dark_share"] == pytest.approx(coats - 3, abs=2e-3)
    assert out["dark_ml"] == pytest.approx(0.5 * 80 * coats, abs=0.1)
    assert out["clear_ml"] == pytest.approx(0.5 * 80 * (4 - coats), abs=0.1)
    assert out["film_added_um"] == pytest.approx(4 * 80 * 0.9 * 0.1737, rel=0.01)
    assert out["change_price"] == 160
    assert any("panel first" in n for n in out["notes"])
    assert any("signed" in n for n in out["notes"])


def test_first_line_says_what_to_do(ask):
    _, said = ask()
    assert said.out.splitlines()[0] == (
        "No whole number of coats is inside the tolerance: lay 3 coats, then one of 40 % dark mix "
        "in clear mix; that comes to 15.0."
    )
    _, said = ask(FILE.replace("tolerance = 0.5", "tolerance = 1.5"))
    assert said.out.splitlines()[0] == (
        "Lay 3 more coats: that comes to 16.4, inside 15 within 1.5."
    )
    _, said = ask(FILE.replace("target = 15", "target = 32.3"))
    assert said.out.startswith("Lay none")


def test_what_is_not_said_is_null_with_its_reason(ask):
    bare = FILE.partition("[piece]")[0]
    _, said = ask(bare, "--json")
    out = json.loads(said.out)
    for key in ("dark_ml", "clear_ml", "film_added_um", "resin_added_g_per_m2", "change_price"):
        assert out[key] is None
        assert out["missing"][key].startswith("cannot estimate without")
    assert out["on_piece_coats"] == 0


def test_other_coats_on_the_panel(ask):
    _, said = ask(FILE + '[panel_coat]\nspread = "160 ml/m2"\nloss = "10 %"\ncut = 2\n', "--json")
    assert json.loads(said.out)["factor_per_coat"] == pytest.approx(math.sqrt(0.8), abs=1e-4)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("target = 15", "target = 40", "only darkens"),
        ("target = 15", "target = 400", "up to 100"),
        ("target = 15", "", "target: it is missing"),
        ("tolerance = 0.5", "tolerance = 0", "not above 0"),
        ('"reflectance"', '"density"', "no scale of a reading"),
        ("value = 32", "value = 50", "only darkens"),
        ("value = 32", 'value = "32"', "no reading"),
        ("{ coats = 2, value = 32 }, { coats = 4, value = 20.48 },", "", "two bands"),
        ("coats = 2\n", "coats = -1\n", "below 0"),
        ("coats = 2\n", "cots = 2\n", "did you mean 'coats'"),
        ('loss = "10 %"', 'loss = "110 %"', "more than the whole"),
        ("[coat]", "[panel_coat]", "give spread and cut in [coat]"),
        ("tolerance = 0.5", 'tolerance = 0.5\nzero_is = "white"', '"bare" or "sealed"'),
    ],
)
def test_odd_files_are_refused_in_one_line(ask, old, new, words):
    assert old in FILE
    code, said = ask(FILE.replace(old, new, 1))
    assert code == 2
    assert said.out == ""
    assert words in said.err
    assert said.err.startswith("readings.toml")
    assert len(said.err.splitlines()) == 1


def test_no_file_is_one_line(capsys):
    assert run(["coats-to-go", "nowhere.toml"]) == 2
    assert "no such file" in capsys.readouterr().err
