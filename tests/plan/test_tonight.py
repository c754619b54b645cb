"""The five-minute answer."""

from __future__ import annotations

import datetime as dt

import pytest

from lacwright.figures import Refusal, given
from lacwright.plan import Lot, MixSpec, Tonight, tonight
from lacwright.surface import box_zones, make_part

EVENING = dt.datetime(2027, 3, 1, 19, 0)
OWN = {
    "resin_density": given(1.2, "g/ml"),
    "lost.brush": given(0.0, "1"),
    "left_in.brush": given(10.0, "ml"),
    "wait.brush": given(1.5, "h"),
    "dissolve.hours": given(14.0, "h"),
}


def answer(**more: object) -> Tonight:
    options: dict[str, object] = {
        "part": make_part("box", box_zones("300x200x120 mm"), wood="maple"),
        "mix": MixSpec("tonight", 2.0, grade="garnet", make_ml=100.0, reserve_ml=0.0),
        "coats": 2, "method": "brush", "begin": EVENING, "spread_ml_m2": 90.0, "hand": [OWN],
    }  # fmt: skip
    return tonight(**{**options, **more})  # type: ignore[arg-type]


def test_amounts_by_hand() -> None:
    made = answer()
    # 2 (0.3 x 0.2 + 0.3 x 0.12 + 0.2 x 0.12) = 0.24 m2; two coats of 90 ml/m2 and 10 ml.
    assert made.figures["needed"].value == pytest.approx(53.2)
    assert made.figures["left_over"].value == pytest.approx(46.8)
    alcohol = 100 / (1 + 0.239652854 / 1.2)
    assert made.mix.figures["alcohol"].value == pytest.approx(alcohol)
    assert made.mix.figures["resin"].value == pytest.approx(alcohol * 0.239652854)


def test_without_a_ready_jar_the_coats_come_after_dissolving() -> None:
    made = answer()
    assert made.ready is not None
    assert [c.at for c in made.coats] == [
        EVENING + dt.timedelta(hours=14), EVENING + dt.timedelta(hours=15.5),
    ]  # fmt: skip
    assert [c.at for c in made.at_once] == [EVENING, EVENING + dt.timedelta(hours=1.5)]


def test_a_ready_jar_is_laid_at_once() -> None:
    made = answer(ready=True)
    assert made.ready is None
    assert made.coats == made.at_once


def jar(**more: object) -> Lot:
    kind: dict[str, object] = {
        "name": "jar 5", "kind": "jar", "have": 200.0, "unit": "ml", "grade": "garnet",
        "cut_lb_per_gal": 3.0, "date": dt.date(2027, 2, 1), "tested": dt.date(2027, 2, 20),
        "passed": True,
    }  # fmt: skip
    return Lot(**{**kind, **more})  # type: ignore[arg-type]


def test_a_tested_jar_is_offered_thinned_to_the_cut() -> None:
    (offer,) = answer(shelf=(jar(),)).offers
    # From 3-lb to 2-lb: (3/2 - 1) / (1 + 3 v) parts of alcohol, v = 0.119826 / 1.14.
    parts = 0.5 / (1 + 3 * 0.119826427 / 1.14)
    assert offer.use_ml == pytest.approx(53.2 / (1 + parts), rel=1e-6)
    assert offer.use_ml + offer.add_alcohol_ml == pytest.approx(53.2)


@pytest.mark.parametrize(
    "change",
    [
        {"passed": False}, {"passed": None, "tested": None}, {"grade": "blonde"},
        {"cut_lb_per_gal": 1.0}, {"kind": "flakes"},
        {"date": dt.date(2024, 2, 1), "tested": dt.date(2024, 3, 1)},
    ],
)  # fmt: skip
def test_no_other_jar_is_offered(change: dict[str, object]) -> None:
    assert answer(shelf=(jar(**change),)).offers == ()


def test_a_jar_that_holds_too_little_is_named_as_such() -> None:
    (offer,) = answer(shelf=(jar(have=10.0),)).offers
    assert not offer.enough


@pytest.mark.parametrize("coats", [0, -1, 61])
def test_a_senseless_number_of_coats_is_refused(coats: int) -> None:
    with pytest.raises(Refusal, match="--coats"):
        answer(coats=coats)


def test_a_jar_that_failed_its_test_is_named_where_it_would_have_done() -> None:
    failed = jar(name="jar 6", passed=False)
    made = answer(shelf=(jar(), failed))
    assert [offer.lot.name for offer in made.offers] == ["jar 5"]
    assert made.shut == (failed,)
    for change in ({"grade": "blonde"}, {"cut_lb_per_gal": 1.0}, {"have": 0.0},
                   {"passed": None, "tested": None}, {"passed": True}):  # fmt: skip
        assert answer(shelf=(jar(**{"passed": False, **change}),)).shut == ()
