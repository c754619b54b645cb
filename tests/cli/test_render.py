"""`lacwright render`."""

import json

import numpy as np
import pytest
from PIL import Image

from lacwright.cli.main import run


@pytest.fixture
def board(tmp_path, monkeypatch):
    """A pale board of even colour on a dark bench, which takes the lowest fifth."""
    monkeypatch.chdir(tmp_path)
    code = np.full((300, 400, 3), [222, 198, 166], dtype=np.uint8)
    code[240:] = [60, 62, 66]
    Image.fromarray(code).save("board.png")
    return tmp_path


def rendered(capsys, *args):
    assert run(["render", "board.png", *args]) == 0, capsys.readouterr().err
    return capsys.readouterr().out


def told(capsys, *args):
    return json.loads(rendered(capsys, *args, "--json"))


def test_a_picture_of_its_own_size_and_the_bench_untouched(board, capsys):
    said = told(capsys, "--wood", "maple", "--grade", "garnet", "--coats", "3", "--load", "8 g/m2",
                "--mask", "0,0,1,0.8", "-o", "out.png")  # fmt: skip
    made = np.asarray(Image.open("out.png"))
    before = np.asarray(Image.open("board.png"))
    assert made.shape == before.shape
    assert (made[290] == before[290]).all()
    film = said["pictures"][0]
    # The first row is board under the film, its mean colour as told.
    assert "#" + "".join(f"{v:02x}" for v in made[0, 0]) == film["hex"]
    assert film["load_g_m2"] == 24
    assert film["lab"][0] < said["board"]["lab"][0] - 10
    assert said["board"]["share"] == pytest.approx(0.8)
    assert said["missing"] == {"method": "a load was given", "card_de00": "no card in the photo"}


def test_a_guess_is_said_in_the_text_and_across_the_picture(board, capsys):
    out = rendered(capsys, "--grade", "amber", "--coats", "4", "-o", "out.png")
    assert out.startswith("4 coats of amber: ")
    assert "darker" in out.splitlines()[0]
    assert "a guess, said across it; direction and rank only" in out
    assert "Chatoyance" in out
    assert "No ageing" in out
    assert "A screen that was not calibrated" in out
    made = np.asarray(Image.open("out.png").convert("RGB"))
    white = (made > 240).all(axis=2)
    assert white[: made.shape[0] // 2].sum() == 0
    assert white[made.shape[0] // 2 :].sum() > 200  # letters


def test_own_panels_take_the_guess_away(board, capsys):
    (board / "mine.toml").write_text("[hand.colour.amber]\nlevel = 0.0016\n", encoding="utf-8")
    args = ["--grade", "amber", "--coats", "4", "-o", "out.png", "--hand", "mine.toml"]
    code = run(["render", "board.png", *args, "--json"])
    said = capsys.readouterr()
    assert code == 0, said.err
    film = json.loads(said.out)["pictures"][0]
    assert film["guessed"] is False
    assert film["basis"].startswith("own panels")
    made = np.asarray(Image.open("out.png").convert("RGB"))[:240]
    assert len(np.unique(made.reshape(-1, 3), axis=0)) == 1  # no letters on the even board


def test_the_usual_coat_stands_in(board, capsys):
    # 95 ml/m2 of a 2-lb cut, 5 % lost: 90.25 ml/m2 of 196 g/l of resin.
    said = told(capsys, "--grade", "blonde", "--coats", "1", "-o", "out.png")
    assert said["load_per_coat_g_m2"] == pytest.approx(0.09025 * 197, rel=0.02)
    assert said["method"] == "brush"
    pad = told(capsys, "--grade", "blonde", "--coats", "1", "--method", "pad", "-o", "out.png")
    assert pad["load_per_coat_g_m2"] == pytest.approx(0.020 * 153, rel=0.03)
    figure = said["figures"]["load_per_coat_g_m2"]
    assert figure["low"] < figure["value"] < figure["high"]


def test_several_pictures_and_a_panel(board, capsys):
    said = told(capsys, "--grade", "blonde", "--grade", "amber", "--coats", "2", "--coats", "5",
                "-o", "out.jpg")  # fmt: skip
    assert [p["file"] for p in said["pictures"]] == [
        "out-blonde-2.jpg", "out-blonde-5.jpg", "out-amber-2.jpg", "out-amber-5.jpg",
    ]  # fmt: skip
    assert not (board / "out.jpg").exists()
    assert all((board / p["file"]).exists() for p in said["pictures"])
    out = rendered(capsys, "--grade", "blonde", "--grade", "garnet", "--coats", "5", "--load",
                   "6 g/m2", "--panel", "-o", "steps.png")  # fmt: skip
    assert "2 rows" in out.splitlines()[0]
    made = np.asarray(Image.open("steps.png").convert("RGB"))
    assert made.shape[1] == 400
    assert made.shape[0] > 2 * 300 + 40
    head = 2 * 12 + 2 * 6
    across = made[head + 10, 33::67]  # one point of each band of the first row
    assert across[0].tolist() == [222, 198, 166]
    assert (np.diff(across[:, 2].astype(int)) <= 0).all()


def test_the_measured_colour_of_the_board(board, capsys):
    said = told(capsys, "--wood", "maple", "--bare", "78,5,20", "--grade", "amber", "--coats", "2",
                "--mask", "0,0,1,0.8", "-o", "out.png")  # fmt: skip
    assert said["light"] == "measured colour"
    assert said["board"]["lab"] == pytest.approx([78, 5, 20], abs=0.2)
    assert said["pictures"][0]["basis"] == "grade name only; measured colour"
    other = told(capsys, "--bare", "78,5,20", "--light", "D50", "--observer", "10", "--grade",
                 "amber", "--coats", "2", "--mask", "0,0,1,0.8", "-o", "out.png")  # fmt: skip
    # White is white under any light: the same numbers mean the same on the screen.
    assert other["board"]["lab"] == pytest.approx([78, 5, 20], abs=3)


@pytest.mark.parametrize(("args", "says"), [
    (["--grade", "amber", "--coats", "2", "-o", "board.png"], "the photo itself"),
    (["--grade", "amber", "--coats", "2", "-o", "out.tiff"], "no JPEG or PNG"),
    (["--grade", "purple", "--coats", "2", "-o", "out.png"], "grade"),
    (["--grade", "amber", "--coats", "0", "-o", "out.png"], "coats"),
    (["--grade", "amber", "--coats", "2", "--load", "0 g/m2", "-o", "out.png"], "coat of nothing"),
    (["--grade", "amber", "--coats", "2", "--load", "3 g/m2", "--cut", "2", "-o", "out.png"],
     "another way"),
    (["--grade", "amber", "--coats", "2", "--coats", "3", "--panel", "-o", "out.png"], "--coats"),
    (["--grade", "amber", "--coats", "2", "--bare", "70,5", "-o", "out.png"], "no colour"),
    (["--grade", "amber", "--coats", "2", "--light", "D50", "-o", "out.png"], "--bare"),
    (["--grade", "amber", "--coats", "2", "--bare", "30,5,5", "-o", "out.png"], "too far"),
    (["--grade", "amber", "--coats", "2", "--mask", "0,0,0,1", "-o", "out.png"], "holds nothing"),
    (["--grade", "amber", "--coats", "2", "--card", "0,0 1,0 1,1 0,1", "-o", "out.png"], "card"),
])  # fmt: skip
def test_refusals_write_nothing(board, capsys, args, says):
    assert run(["render", "board.png", *args]) == 2
    said = capsys.readouterr().err
    assert says in said
    assert said.count("\n") == 1
    assert sorted(p.name for p in board.iterdir()) == ["board.png"]
