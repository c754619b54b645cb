"""Levelling, scratches, strokes of a block."""

import pytest

from lacwright.figures import evaluate_formula
from lacwright.film import NEED_FORMULA, STROKES_FORMULA, THROUGH_FORMULA
from lacwright.film.removal import need_um, strokes_um, through_share, wear_mm3_nm
from lacwright.trade import table


def test_levelling_and_papers_by_hand():
    # 10 x .6 + 25.8 x .12 + 15.3 x .12 + .8 = 6 + 3.10 + 1.84 + .8 = 11.7
    papers = [table("abrasives")[f"FEPA P{n}"].number("median") for n in (600, 1200, 2500)]
    rows = table("removal")
    need = need_um(
        ridge_um=10.0, level_share=rows["level_share"].number("value"), grains_um=papers,
        scratch_share=rows["scratch_share"].number("value"), polish_um=0.8,
    )  # fmt: skip
    assert round(need, 1) == 11.7
    formula = {
        "level_share": 0.6, "ridge_um": 10.0, "scratch_share": 0.12, "grains_um": 25.8 + 15.3,
        "polish_um": 0.8,
    }  # fmt: skip
    assert evaluate_formula(NEED_FORMULA, formula) == pytest.approx(need)


def test_strokes_by_hand_and_back():
    # k .3, 10 N on 70 x 30 mm, ten strokes of 70 mm: .3 x (10 / 2100) x .70 m x 1000 = 1.00 um
    block = {"force_n": 10.0, "length_mm": 70.0, "width_mm": 30.0, "path_m": 0.7}
    removed = strokes_um(wear_mm3_nm=0.3, **block)
    assert removed == pytest.approx(1.0)
    assert wear_mm3_nm(removed_um=removed, **block) == pytest.approx(0.3)
    assert evaluate_formula(STROKES_FORMULA, {"wear_mm3_nm": 0.3, **block}) == pytest.approx(1.0)


def test_share_gone_through_by_formula_and_at_its_ends():
    named = {"need_um": 8.0, "film_um": 30.0, "unevenness": 0.25, "edge_film": 0.6, "edge_cut": 2.0}
    assert evaluate_formula(THROUGH_FORMULA, named) == pytest.approx(through_share(**named))
    assert through_share(need_um=15.0, film_um=15.0, unevenness=0.3) == pytest.approx(0.5)
    assert through_share(need_um=1.0, film_um=0.0, unevenness=0.3) == 1.0
    assert through_share(need_um=0.0, film_um=0.0, unevenness=0.3) == 0.0
