"""Waits: the model's where it has authority, practice where it has not, the maker's before both."""

from __future__ import annotations

import datetime as dt
import math
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from lacwright.climate import Air
from lacwright.drying import AIR, STEP, Under, WetCoat, dry, prior
from lacwright.figures import Basis, Hand, given
from lacwright.figures.draws import Draws
from lacwright.files.piece import read_piece
from lacwright.plan import Plan, make_plan
from lacwright.plan.wet import SESSION, SOAKS_IN, UNKNOWN, LaidCoat, laid_coats

Planned = Callable[..., Plan]
BOARD = """
title = "Board"
[wish]
start = 2027-03-01
[shop]
temp = "20 C"
rh = "48 %"
[[part]]
name = "board"
shape = "panel"
wood = "maple"
size = "1000x250x18 mm"
finish = ["top"]
method = "brush"
[[mix]]
name = "body"
cut = 2
grade = "amber"
alcohol = "ethanol-190"
[hand]
[hand.spread]
brush = "90 ml/m2"
[hand.lost]
brush = "10 %"
[hand.absorption]
dense = "0 ml/m2"
[[step]]
what = "coat"
times = 2
[[step]]
what = "level"
removes = "2 um"
[[step]]
what = "coat"
[[step]]
what = "harden"
rest = "7 days"
"""
GIVEN = BOARD.replace("[hand.spread]", '[hand.wait]\nbrush = "90 min"\n[hand.spread]')


def coat(plan: Plan, n: int) -> WetCoat:
    wet = laid_coats(plan)[n].coat
    assert wet is not None
    return wet


def why(plan: Plan) -> list[str]:
    return [wet.why_not for wet in laid_coats(plan)]


def noted(plan: Plan, *words: str) -> list[str]:
    return [note for note in plan.notes if all(w in note for w in words)]


def by_the_model(wet: LaidCoat, under: list[Under], hand: Hand | None = None) -> dict[str, float]:
    """The single coat of the drying room, hours by stage: not the batch that the plan uses."""
    assert wet.coat is not None
    air = Air(None, 20.0, 0.48, 0.1)
    told = dry(coat=wet.coat, under=under, board=wet.board, air=air, hand=hand, draws=Draws(0))
    return {k: told.figures()[f"{k}_s"].number() / 3600 for k in ("recoat", "sandable")}


def test_what_lands_is_what_the_model_gets(planned: Planned) -> None:
    plan = planned(BOARD)
    first = laid_coats(plan)[0]
    # 90 ml/m2 leave the jar, a tenth is lost: 81 ml on a square metre are 81 um.
    assert coat(plan, 0).wet_um == pytest.approx(81.0)
    assert coat(plan, 0).cut_lb_per_gal == 2
    assert coat(plan, 0).parts["ethanol"] == pytest.approx(0.9242, abs=1e-3)
    assert (first.board.wood, first.board.thickness_mm) == ("maple", 18.0)
    assert first.board.length_m == pytest.approx(0.5)  # 1.0 x 0.25 m as a square
    # The underside is left bare and open: air reaches it.
    assert first.board.free_both_sides
    both = BOARD.replace('finish = ["top"]', 'finish = ["top", "bottom"]')
    assert not laid_coats(planned(both))[0].board.free_both_sides


def test_a_coat_into_bare_wood_is_left_to_practice_and_lies_below_others(planned: Planned) -> None:
    text = BOARD.replace('dense = "0 ml/m2"', 'dense = "25 ml/m2"\nfirst_share = "70 %"')
    plan = planned(text)
    assert why(plan) == [SOAKS_IN, "", ""]
    below = laid_coats(plan)[0].below
    assert below is not None
    # The wood takes 25 (1 - exp(-0.7 x 81 s / 25)) / s, s = 1 for the 2-lb reference cut.
    taken = 25 * (1 - math.exp(-0.7 * 81 / 25))
    assert below.wet_um == pytest.approx(81 - taken, rel=2e-3)
    assert plan.coats[0].wait.model is None
    assert plan.coats[0].wait.figure.basis is Basis.DEFAULT
    assert noted(plan, "coat 1", SOAKS_IN)


def test_the_larger_is_planned_and_both_are_shown(planned: Planned) -> None:
    plan = planned(BOARD)
    laid = laid_coats(plan)
    one, two, three = (c.wait for c in plan.coats)
    alone = by_the_model(laid[0], [])
    assert one.model is not None
    # Tolerance: the two runs step on their own; the solver's is 2 %.
    assert one.model.number() == pytest.approx(alone["recoat"], rel=0.02)
    # The first is ready before the usual 2 h, which stay; the second is to be sanded: the model's.
    assert (one.stage, one.hours, one.figure.basis) == ("recoat", 2.0, Basis.DEFAULT)
    second = by_the_model(laid[1], [Under(coat(plan, 0), 2 * 3600.0)])
    assert two.stage == "sandable"
    assert two.hours == pytest.approx(second["sandable"], rel=0.02)
    assert two.figure is two.model
    assert two.figure.basis is Basis.COMPUTED
    assert "uncalibrated" in two.source
    assert two.figure.low is not None
    assert two.figure.high is not None
    assert two.figure.low < two.hours < two.figure.high
    assert two.practice.number() == 2.0
    assert three.model is None  # nothing but a rest comes after it
    key = two_key(plan)
    assert plan.figures[f"wait.{key}"].number() == two.hours
    assert plan.figures[f"wait.{key}.usual"].number() == 2.0
    assert noted(plan, "0.1 m/s", "assumption", "uncalibrated")


def two_key(plan: Plan) -> str:
    return plan.coats[1].laying.key


def test_the_calendar_keeps_the_models_wait(planned: Planned) -> None:
    plan = planned(BOARD)
    assert plan.calendar is not None
    entries = {e.what.partition(" (")[0].split(",")[0]: e for e in plan.calendar.entries}
    laid, level = entries["Coat 2"], entries["Level"]
    apart = (level.date - laid.date).days * 24 + level.hour - laid.hour
    assert apart >= plan.coats[1].wait.hours > 24


def test_the_makers_wait_stands_with_a_warning(planned: Planned) -> None:
    plan = planned(GIVEN)
    two = plan.coats[1].wait
    assert (two.hours, two.figure.number(), two.source) == (1.5, 1.5, "piece file, hand.wait.brush")
    assert two.model is not None
    assert two.model.number() > 1.5
    (warning,) = noted(plan, "your wait of 1.5 h", "stands", "before it is sanded")
    assert "before the next coat" not in warning  # there the model's is the shorter


def test_a_rest_that_the_maker_wrote_stands_too(planned: Planned) -> None:
    rest = '[[step]]\nwhat = "rest"\nrest = "1 day"\n[[step]]\nwhat = "level"'
    plan = planned(BOARD.replace('[[step]]\nwhat = "level"', rest))
    assert plan.coats[1].wait.hours == 2.0
    assert noted(plan, "your wait of 24 h", "stands")
    long = planned(BOARD.replace('[[step]]\nwhat = "level"', rest).replace(
        "1 day", "6 days"))  # fmt: skip
    assert long.coats[1].wait.hours == 2.0
    assert not noted(long, "stands; the model")


@pytest.mark.parametrize(
    ("old", "new", "reason"),
    [
        ('alcohol = "ethanol-190"', 'alcohol = "unknown"', UNKNOWN),
        ('alcohol = "ethanol-190"', "", UNKNOWN),
        ('what = "coat"', 'what = "session"\nmethod = "french-polish"', SESSION),
        ('rh = "48 %"\n', "", "without temperature and humidity"),
    ],
)
def test_where_the_model_is_silent_practice_holds_and_the_plan_says_why_once(
    planned: Planned, old: str, new: str, reason: str
) -> None:
    plan = planned(BOARD.replace(old, new))
    assert all(c.wait.model is None for c in plan.coats)
    assert all(c.wait.figure.basis is Basis.DEFAULT for c in plan.coats)
    assert len(noted(plan, "the waits are those of practice", reason)) == 1
    assert not any(name.startswith("wait.") for name in plan.figures)


def test_a_coat_over_one_of_unknown_alcohol_is_left_to_practice(planned: Planned) -> None:
    text = BOARD.replace("times = 2\n", 'times = 1\nmix = "odd"\n[[step]]\nwhat = "coat"\n')
    text = text.replace("[hand]\n", '[[mix]]\nname = "odd"\ncut = 2\ngrade = "amber"\n'
                        'alcohol = "unknown"\n[hand]\n')  # fmt: skip
    plan = planned(text)
    assert why(plan) == [UNKNOWN, "", ""]
    assert plan.coats[1].wait.model is None
    assert noted(plan, "alcohol of a coat below it is not known")


def test_heavy_coats_get_far_longer_waits_than_practice(planned: Planned) -> None:
    text = BOARD.replace("cut = 2", "cut = 4").replace("times = 2", "times = 3")
    waits = [c.wait for c in planned(text).coats]
    assert waits[1].practice.number() == 2.0
    assert waits[1].hours > 6  # coats of heavy shellac six hours apart are not ready
    assert waits[2].hours > 5 * waits[1].hours


def test_what_is_not_ready_in_a_week_is_said(planned: Planned) -> None:
    text = BOARD.replace("cut = 2", "cut = 4").replace("times = 2", "times = 4")
    plan = planned(text)
    assert plan.coats[3].wait.beyond
    assert plan.coats[3].wait.hours == 168
    assert noted(plan, "coat 4", "not ready within 7 days")


def test_air_in_which_the_film_whitens_is_a_warning(planned: Planned) -> None:
    plan = planned(BOARD.replace("48 %", "85 %"))
    assert noted(plan, "will whiten", "coat 1")
    first = plan.coats[0].wait
    assert (first.model, first.hours) == (None, 2.0)  # late times are withheld
    assert not noted(planned(BOARD.replace("48 %", "30 %")), "whiten")


def test_a_coat_whose_parts_differ_is_told_once_at_its_worst(planned: Planned) -> None:
    plate = """[[part]]
name = "plate"
shape = "panel"
wood = "spruce"
size = "300x200x3 mm"
finish = ["top"]
method = "brush"
[[mix]]"""
    text = BOARD.replace("[[mix]]", plate, 1)
    plan = planned(text.replace("48 %", "62 %"))
    (whitens,), (near,) = noted(plan, "will whiten"), noted(plan, "is near whitening")
    assert "coat 2, coat 3 will whiten" in whitens  # on the plate; on the board it is near it
    assert "(plate)" in whitens
    assert "coat 1 is near whitening" in near
    # The board alone has a time for its second coat, but as it stands it is not to be laid.
    assert {c.wait.model for c in plan.coats if c.laying.number == 2} == {None}
    alone = planned(BOARD.replace("48 %", "62 %"))
    assert alone.coats[1].wait.model is not None


def test_own_constants_of_the_bench_count_and_are_named(planned: Planned) -> None:
    learned = {AIR: prior(AIR).observe(1.4, 0.1, "panel 3"),
               STEP: prior(STEP).observe(0.44, 0.015, "panel 3")}  # fmt: skip
    plan = planned(BOARD, hand=[learned])
    first = plan.coats[0].wait.model
    assert first is not None
    assert "calibrated on panel 3" in first.source
    expected = by_the_model(laid_coats(plan)[0], [], learned)
    assert first.number() == pytest.approx(expected["recoat"], rel=0.02)
    assert first.number() != pytest.approx(by_the_model(laid_coats(plan)[0], [])["recoat"], rel=0.1)
    stated = planned(BOARD, hand=[{STEP: given(0.44, "1", "piece file, hand.drying")}])
    model = stated.coats[0].wait.model
    assert model is not None
    assert "late times calibrated on piece file, hand.drying" in model.source


SCRIPT = """
import sys
{before}
from pathlib import Path
import datetime as dt
from lacwright.files.piece import read_piece
from lacwright.plan import make_plan
plan = make_plan(read_piece(Path(sys.argv[1])), today=dt.date(2027, 3, 1), n=0)
print("numba" in sys.modules, [c.wait.hours for c in plan.coats])
print(*plan.notes, sep="\\n")
"""


def told_by(tmp_path: Path, text: str, before: str = "") -> str:
    path = tmp_path / "piece.toml"
    path.write_text(text, encoding="utf-8")
    done = subprocess.run([sys.executable, "-c", SCRIPT.format(before=before), str(path)],
                          capture_output=True, text=True, check=True)  # fmt: skip
    return done.stdout


def test_a_plan_without_the_air_of_the_room_loads_no_compiler(tmp_path: Path) -> None:
    assert told_by(tmp_path, BOARD.replace('rh = "48 %"\n', "")).startswith("False [2.0, 2.0, 2.0]")


def test_where_the_model_cannot_be_loaded_practice_holds_and_it_is_said(tmp_path: Path) -> None:
    told = told_by(tmp_path, BOARD, "sys.modules['numba'] = None")
    assert "[2.0, 2.0, 2.0]" in told
    assert "cannot be computed here" in told


def test_the_line_before_a_first_compile_reaches_the_caller(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "piece.toml"
    path.write_text(BOARD, encoding="utf-8")
    said: list[str] = []
    monkeypatch.setattr("lacwright.plan.waits.compile_model", lambda say: say("compiling"))
    make_plan(read_piece(path), today=dt.date(2027, 3, 1), n=0, say=said.append)
    assert said == ["compiling"]


def test_the_film_command_says_that_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    from lacwright.cli.main import run

    path = tmp_path / "piece.toml"
    path.write_text(BOARD, encoding="utf-8")
    monkeypatch.setattr("lacwright.plan.waits.compile_model", lambda say: say("compiling"))
    assert run(["film", str(path), "--draws", "0"]) == 0
    assert "compiling" in capsys.readouterr().err
