"""Single changes: each makes a go, a step less does not, and none is ever methanol or unknown."""

import os
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lacwright.climate import absolute_humidity_g_m3, dew_point_c, vapour_pa
from lacwright.drying import NO_STOP, Rooms, Rule, Task, WetCoat, dry_many, judge
from lacwright.drying.changes import (
    DRIER,
    DRY,
    ORDER,
    SLOW,
    THINNER,
    WARM,
    Search,
    by_rule,
    drier,
    least,
    slowed,
    warmed,
    water_g_m3,
)
from lacwright.figures import Refusal
from lacwright.solution import alcohol_named
from lacwright.trade import table

SPIRIT_190 = {"ethanol": 92.4176, "water": 7.5824}
BRUSH = WetCoat(100, 2, SPIRIT_190)


def step(key):
    return table("drying_changes")[key].number("value")


def search(coats, temp, rh, rule=None):
    rule = rule or Rule()
    tasks = [Task(c) for c in coats]
    rooms = Rooms.of(temp_c=temp, rh=rh, speed_m_s=0.1)
    judged = judge(tasks=tasks, rooms=rooms, rule=rule)
    return Search(tasks=tasks, rooms=rooms, rule=rule, judged=judged)


def go(coat, temp, rh, margin=None):
    """Return whether a coat is a go, asked of the model directly."""
    told = dry_many(tasks=[Task(coat)], temp_c=temp, rh=rh, speed_m_s=0.1, until="touch_dry",
                    board_c=temp)  # fmt: skip
    if margin is not None:
        return bool(told.dew_margin_k[0, 0] >= margin)
    return told.verdict[0, 0] == NO_STOP


def changed(kind, coat, temp, rh, level):
    """Apply so many steps of a change by hand: coat, temperature and humidity after it."""
    if kind == WARM:
        by = level * step("warm_step")
        after = vapour_pa(temp_c=temp, rh=rh) / vapour_pa(temp_c=temp + by, rh=1.0)
        return coat, temp + by, float(after)
    if kind == DRY:
        return coat, temp, rh - level * step("dry_step")
    if kind == DRIER:
        alcohol = coat.alcohol if level == 0 else dict(drier(coat)[level - 1].parts)
        return replace(coat, alcohol=alcohol), temp, rh
    if kind == SLOW:
        share = level * step("slow_step")
        parts = {k: (1 - share) * v for k, v in coat.parts.items()}
        parts["n-butanol"] = parts.get("n-butanol", 0) + share
        return replace(coat, alcohol=parts), temp, rh
    return replace(coat, wet_um=coat.wet_um * (1 - level * step("thinner_step"))), temp, rh


@settings(
    max_examples=25, deadline=None, derandomize=bool(os.environ.get("LACWRIGHT_CI"))
)  # fmt: skip
@given(
    temp=st.floats(10, 27), rh=st.floats(0.45, 0.85), wet=st.floats(15, 130),
    water=st.floats(0, 13), margin=st.one_of(st.none(), st.floats(1, 8)),
)  # fmt: skip
def test_the_change_makes_it_a_go_and_a_step_less_does_not(temp, rh, wet, water, margin):
    coat = WetCoat(wet, 2, {"ethanol": 100 - water, "water": water})
    found = search([coat], temp, rh, Rule(margin_k=margin))
    for levels in found.levels():
        kind = levels.kind
        level = int(levels.cells[0, 0])
        assert level == levels.hours[0]
        if level:
            assert not go(coat, temp, rh, margin)
            assert go(*changed(kind, coat, temp, rh, level), margin)
            if not (kind == DRIER and level == 1):
                assert not go(*changed(kind, coat, temp, rh, level - 1), margin)
        elif not go(coat, temp, rh, margin):
            most = int(found.most(kind, np.array([0]), np.array([0]))[0])
            assert most == 0 or not go(*changed(kind, coat, temp, rh, most), margin)


def test_the_shown_change_is_the_room_after_it():
    rooms = Rooms.of(temp_c=[18.0], rh=0.7, board_c=15.0)
    warm = warmed(rooms, np.array([4.0]))
    assert (warm.temp_c[0], warm.board_c[0]) == (22, 19)
    kept = [vapour_pa(temp_c=r.temp_c, rh=r.rh) for r in (rooms, warm)]
    assert kept[0] == pytest.approx(kept[1])
    water = water_g_m3(rooms, np.array([0.5]))
    held = [absolute_humidity_g_m3(temp_c=18.0, rh=x) for x in (0.7, 0.5)]
    assert water[0] == pytest.approx(held[0] - held[1])
    # Remembered: saturated air of 18 C holds 15.4 g/m3, so 20 points of it are 3.1 g.
    assert water[0] == pytest.approx(3.1, abs=0.05)


def test_one_change_serves_all_coats_of_an_hour():
    coats = [WetCoat(um, 2, SPIRIT_190) for um in (12, 60, 100)]
    found = search(coats, [20.0] * 3, [0.40, 0.54, 0.66])
    levels = {each.kind: each for each in found.levels()}
    for kind in (WARM, DRY, SLOW):
        each, whole = levels[kind].cells, levels[kind].hours
        assert whole[0] == 0
        assert whole[2] == each[2].max() > 0
    cap = found.thinnest(levels[THINNER].cells)
    assert cap[1] < 100
    assert levels[THINNER].hours[1] > 0
    assert all(go(replace(c, wet_um=min(c.wet_um, cap[1])), 20.0, 0.54) for c in coats)


def test_the_least_level_is_found_whatever_it_is():
    rng = np.random.default_rng(3)
    wanted = rng.integers(1, 50, 300)
    most = rng.integers(0, 40, 300)
    shapes = (
        lambda rows, level: np.where(level >= wanted[rows], -1.0, 1.0),
        lambda rows, level: (wanted[rows] - level) ** 3 / 100.0,
        lambda rows, level: np.where(level >= wanted[rows], -np.inf, np.inf),
        lambda rows, level: np.exp((wanted[rows] - level) / 2.0) - 1,
    )
    for shape in shapes:
        every = np.arange(300)
        found = least(shape, most, shape(every, np.zeros(300)))
        assert (found == np.where(wanted <= most, wanted, 0)).all()


@pytest.mark.parametrize("row", [r.key for r in table("alcohols")])
def test_no_drier_alcohol_is_methanol_unknown_or_unnamed(row):
    spirit = alcohol_named(row)
    if spirit.parts is None:
        return
    try:
        coat = WetCoat(100, 2, dict(spirit.parts))
    except Refusal:
        return
    before = coat.parts.get("water", 0.0)
    for one in drier(coat):
        assert one.parts is not None
        assert not {"methanol", "other"} & set(dict(one.parts))
        assert dict(one.parts).get("water", 0.0) < before
        before = dict(one.parts).get("water", 0.0)


def test_weak_spirit_is_offered_the_nearest_drier_one_first():
    weak = WetCoat(100, 2, {"ethanol": 86, "water": 14})
    assert [a.lot for a in drier(weak)] == ["ethanol-190", "ethanol-200"]
    assert [a.lot for a in drier(BRUSH)] == ["ethanol-200"]
    assert drier(WetCoat(100, 2, {"methanol": 95, "water": 5})) == ()


def test_a_slow_alcohol_is_one_of_the_table():
    assert slowed(BRUSH, 0.05).parts["n-butanol"] == pytest.approx(0.05)
    assert slowed(BRUSH, 0.05).parts["water"] == pytest.approx(0.95 * 0.075824)
    for name in ("methanol", "unknown", "ethanol-200"):
        with pytest.raises(Refusal, match="use n-butanol or isobutanol"):
            slowed(BRUSH, 0.05, name)


def test_an_own_chill_is_answered_by_hand():
    """20 C and 65 %: dew point 13.2 C. Chill 5 K, margin 4 K: 2.2 K are lacking.

    Warmed by that, the vapour kept, the humidity is 65 % p(20)/p(22.2); dried, the dew point must
    be 11 C: p(11)/p(20). Saturation pressures remembered: 2339 Pa at 20 C, 1313 Pa at 11 C, 2677
    Pa at 22.2 C.
    """
    rooms = Rooms.of(temp_c=20.0, rh=0.65)
    rule = Rule(chill_k=5, chill_slow_k=2, margin_k=4)
    judged, slow = (judge(tasks=[], rooms=rooms, rule=rule, slow=s) for s in (False, True))
    found = by_rule(rooms, judged, judged_slow=slow)
    assert found[WARM][0] == pytest.approx([2.2], abs=0.05)
    assert found[WARM][1] == pytest.approx([0.65 * 2339 / 2677], abs=0.003)
    assert found[DRY][1] == pytest.approx([1313 / 2339], abs=0.002)
    assert found[SLOW][0] == [1]
    # Applied, the rule is just kept; a thousandth less and it is not.
    for short, kept in ((0.0, True), (1e-3, False)):
        warm = warmed(rooms, found[WARM][0] - short)
        assert judge(tasks=[], rooms=warm, rule=rule).go.all() == kept
        dried = replace(rooms, rh=found[DRY][1] + short)
        assert judge(tasks=[], rooms=dried, rule=rule).go.all() == kept
    assert dew_point_c(temp_c=20.0, rh=found[DRY][1][0]) == pytest.approx(11)


def test_nothing_is_offered_beyond_its_ends():
    """A rule that a hot and a dry room cannot keep; a coat that no warmth saves."""
    rooms = Rooms.of(temp_c=[28.0, 20.0], rh=0.9)
    rule = Rule(chill_k=20, margin_k=10)
    found = by_rule(rooms, judge(tasks=[], rooms=rooms, rule=rule))
    assert all(np.isnan(v).all() for pair in found.values() for v in pair)
    hot = search([BRUSH], [29.8], [0.97])
    assert all((each.cells == 0).all() for each in hot.levels() if each.kind == WARM)
    assert {each.kind for each in hot.levels()} == set(ORDER) - {"another_hour"}
