"""Whole plans against arithmetic done by hand: every figure is given, so nothing is a default."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

import pytest

from lacwright.plan import Plan

Planned = Callable[..., Plan]
MONDAY = dt.date(2027, 3, 1)

BOARD = """
title = "board"
resin_density = "1.2 g/ml"
[wish]
use = ["indoors"]
start = 2027-03-01
by = 2027-03-20
[[part]]
name = "board"
shape = "panel"
wood = "maple"
size = "1000x500x20 mm"
finish = ["top"]
method = "brush"
[[mix]]
name = "body"
cut = 2
grade = "amber"
alcohol = "ethanol-190"
reserve = 0
[hand]
edge_cut = 2
least_left = "1 um"
[hand.spread]
brush = "90 ml/m2"
[hand.lost]
brush = "0 %"
[hand.left_in]
brush = "10 ml"
[hand.absorption]
dense = "0 ml/m2"
[hand.removal]
scuff = "2 um"
level = "5 um"
[hand.wait]
brush = "2 h"
[hand.coats_per_day]
brush = 2
[hand.dissolve]
hours = "20 h"
"""
STEPS = """
[[step]]
what = "coat"
[[step]]
what = "scuff"
[[step]]
what = "coat"
times = 2
[[step]]
what = "level"
[[step]]
what = "harden"
rest = "7 days"
"""


def value(plan: Plan, name: str) -> float:
    return plan.figures[name].number()


def test_amounts(planned: Planned) -> None:
    plan = planned(BOARD + STEPS)
    # 0.5 m2 x 3 coats x 90 ml/m2 = 135 ml; 10 ml stay in the brush; no reserve.
    assert value(plan, "area.total") == pytest.approx(0.5)
    assert value(plan, "mix.body.coats") == pytest.approx(135.0)
    assert value(plan, "mix.body.solution") == pytest.approx(145.0)
    # A 2-lb cut: 239.6529 g/l alcohol, which takes up 239.6529 / 1200 = 0.199711 l.
    assert value(plan, "mix.body.alcohol") == pytest.approx(145 / 1.199711, rel=1e-5)
    assert value(plan, "mix.body.resin") == pytest.approx(145 / 1.199711 * 0.2396529, rel=1e-5)


def test_film_with_only_the_edge_cut_given(planned: Planned) -> None:
    plan = planned(BOARD + STEPS)
    # 239.6529 / 1.199711 = 199.76 g/l; 90 ml/m2 carry 17.978 g/m2 = 14.982 um; three coats 44.946.
    assert value(plan, "film.flat") == pytest.approx(44.946, abs=0.001)
    assert value(plan, "film.flat_left") == pytest.approx(44.946 - 7, abs=0.001)
    # Only the edge cut is given: film there as on the flat, sanding takes twice as much.
    assert value(plan, "film.edge") == pytest.approx(44.946, abs=0.001)
    assert value(plan, "film.edge_left") == pytest.approx(44.946 - 14, abs=0.001)
    assert any("edge" in note and "given" in note for note in plan.notes)


def test_what_is_lost_lands_nowhere(planned: Planned) -> None:
    plan = planned((BOARD + STEPS).replace('brush = "0 %"', 'brush = "10 %"'))
    assert value(plan, "mix.body.coats") == pytest.approx(135.0)
    assert value(plan, "film.flat") == pytest.approx(44.946 * 0.9, abs=0.001)


def test_a_net_deposit_has_nothing_deducted(planned: Planned) -> None:
    text = BOARD.replace('dense = "0 ml/m2"', 'dense = "30 ml/m2"') + STEPS.replace(
        'what = "coat"\n', 'what = "coat"\ndeposit = "4 um"\n'
    )
    plan = planned(text)
    assert value(plan, "film.flat") == pytest.approx(12.0)
    # 4 um x 1.2 g/ml = 4.8 g/m2 = 24.029 ml/m2 of 199.76 g/l, on 0.5 m2, three times.
    assert value(plan, "mix.body.coats") == pytest.approx(3 * 0.5 * 4800 / 199.76, rel=1e-4)


def test_a_session_given_in_ml(planned: Planned) -> None:
    text = BOARD + STEPS.replace('what = "coat"\n', 'what = "coat"\nuses = "20 ml"\n')
    plan = planned(text)
    assert value(plan, "mix.body.coats") == pytest.approx(60.0)
    assert value(plan, "film.flat") == pytest.approx(3 * 40 * 0.19976 / 1.2, rel=1e-4)


def test_a_coat_that_soaks_in_leaves_no_film(planned: Planned) -> None:
    text = BOARD + STEPS.replace('what = "coat"\n', 'what = "coat"\nsoaks_in = true\n', 1)
    plan = planned(text.replace('[[step]]\nwhat = "scuff"\n', ""))
    assert value(plan, "film.flat") == pytest.approx(2 * 14.982, abs=0.001)
    assert value(plan, "mix.body.coats") == pytest.approx(135.0)


def test_a_reserve_is_its_own_line(planned: Planned) -> None:
    plan = planned((BOARD + STEPS).replace("reserve = 0", 'reserve = "20 %"'))
    assert value(plan, "mix.body.reserve") == pytest.approx(29.0)
    assert value(plan, "mix.body.solution") == pytest.approx(174.0)


def test_a_sanding_that_would_go_through_is_refused_and_not_done(planned: Planned) -> None:
    text = (BOARD + STEPS).replace('level = "5 um"', 'level = "25 um"')
    plan = planned(text)
    assert plan.film is not None
    (refused,) = plan.film.run.refused
    # On the edge: 2 x 25 um are wanted, 44.946 - 2 x 2 um lie there.
    assert refused.place == "arris"
    assert refused.need_um == pytest.approx(50.0)
    assert refused.have_um == pytest.approx(44.946 - 4, abs=0.001)
    assert value(plan, "film.flat_left") == pytest.approx(44.946 - 2, abs=0.001)


def test_the_days(planned: Planned) -> None:
    plan = planned(BOARD + STEPS)
    assert plan.calendar is not None
    assert plan.finish is not None
    days = [(e.date.isoformat(), e.what.split(" (")[0]) for e in plan.calendar.entries]
    # Monday 9:00 into the jar, 20 h: Tuesday. Two coats a day, the third on Wednesday; levelled
    # after 2 h; seven calendar days to harden: Wednesday the 10th.
    assert days[0] == ("2027-03-01", "Put flakes into alcohol to dissolve: body")
    assert ("2027-03-02", "Coat 1") in days
    assert ("2027-03-02", "Coat 2") in days
    assert ("2027-03-03", "Coat 3") in days
    assert plan.finish.earliest == dt.date(2027, 3, 10)
    assert plan.finish.days_late == 0
    # From Monday the 8th the third coat falls on Wednesday the 10th and it ends on the 17th;
    # from Thursday the 11th: coats on Friday and Monday, 22nd. The last start in time is
    # Wednesday the 10th: coats on the 11th and 12th, hard on the 19th.
    assert plan.finish.latest_start == dt.date(2027, 3, 10)


def test_not_by_that_day_is_said_and_no_rest_is_shortened(planned: Planned) -> None:
    plan = planned(BOARD + STEPS, by=dt.date(2027, 3, 5))
    assert plan.finish is not None
    assert plan.finish.earliest == dt.date(2027, 3, 10)
    assert plan.finish.days_late == 5
    assert plan.finish.latest_start is not None
    assert plan.finish.latest_start < MONDAY


def test_coats_are_computed_from_the_wished_film(planned: Planned) -> None:
    text = BOARD.replace("[wish]", '[wish]\nfilm_left = "50 um"') + STEPS.replace("times = 2\n", "")
    plan = planned(text)
    # Two open entries of coats, each as often as needed: n + n coats of 14.982 um less 7 um must
    # leave 50 um: n = 2 gives 52.9.
    assert value(plan, "film.flat_left") == pytest.approx(4 * 14.982 - 7, abs=0.001)
    usual = planned(BOARD.replace("[wish]", '[wish]\nfilm_left = "50 um"'))
    assert value(usual, "film.flat_left") >= 50
    coats = value(usual, "coats.brush")
    assert value(usual, "film.flat") == pytest.approx(coats * 14.982, abs=0.01)


SHELF = """
[[lot]]
name = "amber 7"
kind = "flakes"
grade = "amber"
have = "20 g"
price = 30
for = "1 kg"
[[lot]]
name = "can 2"
kind = "alcohol"
alcohol = "ethanol-190"
have = "1 l"
price = 12
for = "1 l"
[quote]
currency = "EUR"
rate = 40
contingency = "10 %"
contingency_on = "labour"
[[quote.hours]]
what = "set up"
fixed = "1 h"
[[quote.hours]]
what = "coats"
per_m2_coat = "30 min"
per_coat = "15 min"
faces = ["top"]
"""


def test_shelf_and_quote(planned: Planned) -> None:
    text = (BOARD + STEPS + SHELF).replace(
        "[hand.wait]", '[hand.cleaning]\nbrush = "30 ml"\n[hand.wait]'
    )
    plan = planned(text)
    resin, alcohol = 145 / 1.199711 * 0.2396529, 145 / 1.199711
    lots = {line.lot: line for line in plan.shelf}
    assert lots["amber 7"].word == "reorder"
    assert lots["amber 7"].left == pytest.approx(20 - resin, rel=1e-5)
    # Cleaning on two days of coats.
    assert lots["can 2"].need.number() == pytest.approx(alcohol + 60, rel=1e-5)
    assert lots["can 2"].word == "enough"
    # 1 h + 3 coats x 15 min + 0.5 m2 x 3 coats x 30 min = 2.5 h at 40.
    assert value(plan, "quote.labour") == pytest.approx(100.0)
    materials = resin * 0.03 + (alcohol + 60) * 0.012
    assert value(plan, "quote.materials") == pytest.approx(materials, rel=1e-5)
    assert value(plan, "quote.contingency") == pytest.approx(10.0)
    assert value(plan, "quote.total") == pytest.approx(110 + materials, rel=1e-5)


def test_a_quote_without_rates_says_why(planned: Planned) -> None:
    plan = planned(BOARD + STEPS)
    assert plan.figures["quote.total"].value is None
    assert "cannot estimate without" in str(plan.figures["quote.total"].missing)


CLASS = """
title = "class"
resin_density = "1.2 g/ml"
[[mix]]
name = "body"
cut = 2
grade = "amber"
alcohol = "ethanol-190"
reserve = 0
[[lot]]
name = "amber 7"
kind = "flakes"
grade = "amber"
have = "500 g"
price = 30
for = "1 kg"
[[lot]]
name = "can 2"
kind = "alcohol"
alcohol = "ethanol-190"
have = "5 l"
price = 12
for = "1 l"
[class]
students = 6
demonstrators = 1
spare = "20 %"
cleaning = "50 ml"
[[class.exercise]]
name = "board"
area = "0.1 m2"
per_person = 2
coats = 3
mix = "body"
spread = "90 ml/m2"
[class.lost]
body = "16 ml"
[[class.item]]
what = "brush"
per_person = 1
price = 5
"""


def test_a_class(planned: Planned) -> None:
    plan = planned(CLASS)
    # 2 boards x 3 coats x 0.1 m2 x 90 ml/m2 + 16 ml = 70 ml; 7 at work, a fifth spare: 588 ml.
    assert value(plan, "class.per_head") == pytest.approx(70.0)
    assert value(plan, "class.total") == pytest.approx(588.0)
    assert value(plan, "mix.body.solution") == pytest.approx(588.0)
    alcohol = 588 / 1.199711
    resin = alcohol * 0.2396529
    materials = resin * 0.03 + (alcohol + 350) * 0.012
    assert value(plan, "quote.per_student") == pytest.approx((materials + 35) / 6, rel=1e-5)


TWO_METHODS = """
title = "table"
[wish]
use = ["indoors"]
grade = "amber"
[[part]]
name = "top"
shape = "panel"
wood = "maple"
size = "1000x500x20 mm"
finish = ["top"]
method = "brush"
[[part]]
name = "knob"
shape = "area"
wood = "maple"
area = "0.1 m2"
method = "pad"
[[mix]]
name = "body"
cut = 2
grade = "amber"
[[step]]
what = "coat"
[[step]]
what = "rub"
[hand.rest]
before_rub = "6 days"
"""


def test_a_written_course_keeps_the_method_of_each_part_and_the_makers_rest(
    planned: Planned,
) -> None:
    plan = planned(TWO_METHODS)
    assert {(c.part, c.laying.method) for c in plan.coats} == {("top", "brush"), ("knob", "pad")}
    last = plan.coats[-1].wait
    assert last.rest_days == 6
    assert last.figure.number() == 144  # in hours
    assert last.source == "piece file, hand.rest.before_rub"


def test_two_faces_with_courses_of_their_own(planned: Planned) -> None:
    text = (BOARD + STEPS).replace('finish = ["top"]', 'finish = ["top", "bottom"]')
    text = text.replace('what = "coat"\n', 'what = "coat"\nfaces = ["top"]\n', 1)
    plan = planned(text.replace('[[step]]\nwhat = "scuff"\n', ""))
    # The top has three coats, the bottom two; both lose 5 um.
    assert value(plan, "film.board.top.flat_left") == pytest.approx(3 * 14.982 - 5, abs=0.001)
    assert value(plan, "film.board.bottom.flat_left") == pytest.approx(2 * 14.982 - 5, abs=0.001)
    assert value(plan, "film.flat_left") == value(plan, "film.board.bottom.flat_left")


def test_a_failed_lot_is_a_stop(planned: Planned) -> None:
    text = (
        BOARD
        + STEPS
        + SHELF.replace('have = "20 g"', 'have = "90 g"\ntested = 2027-02-20\npassed = false')
    )
    plan = planned(text)
    assert any(s.code == "lot-failed" and "amber 7" in s.text for s in plan.stops)
    assert {line.lot: line.word for line in plan.shelf}["amber 7"] == "failed its test"


def test_the_usual_waits_are_questioned_in_other_air(planned: Planned) -> None:
    text = BOARD.replace('[hand.wait]\nbrush = "2 h"\n', "") + STEPS + '[shop]\ntemp = "10 C"\n'
    plan = planned(text)
    assert any("10 C" in note and "touch and nail" in note for note in plan.notes)
    usual = planned(text.replace("10 C", "21 C"))
    assert not any("touch and nail" in note for note in usual.notes)


def test_lines_of_the_same_name_are_all_counted(planned: Planned) -> None:
    text = (
        BOARD
        + STEPS
        + SHELF.replace(
            "[[quote.hours]]",
            """[[quote.material]]
what = "felt"
amount = 2
price = 3
[[quote.material]]
what = "felt"
amount = 1
price = 5
[[quote.hours]]
what = "coats"
fixed = "30 min"
[[quote.hours]]""",
            1,
        )
    )
    plan = planned(text)
    assert value(plan, "quote.material.felt") == 6
    assert value(plan, "quote.material.felt (2)") == 5
    assert value(plan, "quote.labour") == pytest.approx(120.0)  # half an hour more


def test_remarks_beside_the_numbers(planned: Planned) -> None:
    text = (
        BOARD
        + STEPS.replace('what = "coat"\n', 'what = "washcoat"\n', 1)
        + """
[[lot]]
name = "jar 4"
kind = "jar"
grade = "amber"
cut = 2
have = "300 ml"
date = 2027-02-01
tested = 2027-02-20
passed = true
"""
    )
    notes = planned(text).notes
    assert any("washcoat is laid from mix body, a 2-lb cut" in note for note in notes)
    assert any("jar 'jar 4' passed its test" in note for note in notes)
    edges = text.replace("edge_cut = 2", "edge_cut = { value = 2, low = 2, high = 12 }")
    assert any("in a bad case" in note for note in planned(edges).notes)


def test_a_plan_keeps_its_schedule_its_layers_and_its_mixes_by_mass(planned: Planned) -> None:
    plan = planned(BOARD + STEPS)
    assert [type(s).__name__ for s in plan.schedule] == ["Coat", "Abrade", "Coat", "Coat", "Abrade"]
    (layer,) = plan.layers
    (resin,) = layer.resin_g_m2
    assert resin.grade == "amber"
    # What is left of the film, by mass: 37.946 um of 1.2 g/ml.
    assert layer.resin_g_m2[resin][0] == pytest.approx(37.946 * 1.2, rel=1e-4)
    (amount,) = plan.mixes
    assert amount.mix is not None
    assert amount.mix.total_resin_g == pytest.approx(value(plan, "mix.body.resin"))
    assert amount.mix.solution_ml == pytest.approx(145.0)


def test_a_dyed_mix_weighs_its_dye(planned: Planned) -> None:
    plan = planned((BOARD + STEPS).replace("reserve = 0", 'reserve = 0\ndye = "100 ml/l"'))
    (amount,) = plan.mixes
    assert amount.mix is not None
    alcohol = 145 / (1 + 0.2396529 / 1.2 + 0.1)
    assert value(plan, "mix.body.alcohol") == pytest.approx(alcohol, rel=1e-6)
    assert amount.mix.dye_ml == pytest.approx(alcohol / 10, rel=1e-6)
    assert amount.mix.solution_ml == pytest.approx(145.0)


def test_a_mix_that_nothing_is_laid_from_is_no_fault(planned: Planned) -> None:
    text = (
        BOARD
        + STEPS
        + '[[mix]]\nname = "spare"\ncut = 1\ngrade = "amber"\nalcohol = "ethanol-190"\n'
    )
    plan = planned(text)
    assert value(plan, "mix.spare.solution") == 0
    assert plan.mixes[1].mix is None
