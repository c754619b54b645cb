"""The air of a plan: its stops and figures join the plan's, a class needs a session."""

import datetime as dt
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from lacwright.figures import Refusal, given
from lacwright.files.piece import read_piece
from lacwright.plan import RoomSpec, make_plan
from lacwright.plan.keys import plan_keys
from lacwright.plan.vapour_told import air_lines
from lacwright.room import Facts, Room, estimate

EXAMPLES = Path(__file__).parents[2] / "examples"
TODAY = dt.date(2027, 2, 1)
UK = RoomSpec(volume_m3=60, air=given(2.0, "1/h"), jurisdiction="uk", facts=Facts(pilot_off=True))


def planned(name="table", room=UK, **more):
    piece = read_piece(EXAMPLES / f"{name}.toml")
    # Without the air of the shop the waits are those of practice, and no model is loaded.
    shop = replace(piece.shop, temp_c=None, rh=None)
    return make_plan(replace(piece, shop=shop, room=room, **more), today=TODAY, n=40)


@pytest.fixture(scope="module")
def table():
    return planned()


def test_stops_and_cautions_of_the_air_join_those_of_the_plan(table):
    assert {"mixture", "short-term"} <= {s.code for s in table.stops}
    codes = [c.code for c in table.cautions]
    assert "air-not-estimated" not in codes
    assert {"model-only", "wet-surface", "limits", "dust"} <= set(codes)
    assert codes[-1] == "standing"
    assert len(codes) == len(set(codes))
    # An estimate with a stop never says that there is none.
    assert "no-stop" not in codes


def test_a_stop_names_the_limit_its_mark_and_how_another_counts(table):
    named = next(s.text for s in table.stops if s.code == "mixture")
    assert "ethanol 1000 ppm over 8 hours (uk, remembered, undated)" in named
    assert "jurisdiction" not in named
    lowest = planned(room=replace(UK, jurisdiction=None))
    text = next(s.text for s in lowest.stops if s.code == "mixture")
    assert "ethanol 138 ppm over 8 hours (nl, remembered, undated)" in text
    assert "The lowest limit on file counts" in text
    assert "(jurisdiction)" in text
    assert "(limit)" in text


def test_figures_of_the_air_are_figures_of_the_plan(table):
    index = table.figures["air.mixture_index"]
    assert index.value == table.air.estimate.mixture_index.value
    grams = table.figures["air.evaporated_total_g"]
    used = sum(c.laying.used.number() for c in {c.laying.key: c for c in table.coats}.values())
    # A litre of a 2-lb cut holds 653 g of ethanol with its water; a fifth comes on top.
    assert 0.9 * used * 0.62 < grams.number() < 1.4 * used * 0.653


def test_each_change_that_is_proposed_lifts_the_stops_of_the_numbers(table):
    air = table.air
    kinds = [c.kind for c in air.changes]
    assert kinds[-2:] == ["more_air", "larger_room"]
    for change in air.changes[-2:]:
        room = Room(60, 2.0)
        room = (replace(room, air_changes_per_h=change.amount) if change.kind == "more_air"
                else replace(room, volume_m3=change.amount))  # fmt: skip
        made = estimate(air.sources, room, jurisdiction="uk", facts=UK.facts)
        assert {"mixture", "short-term", "lel"}.isdisjoint(s.code for s in made.stops)
        less = (replace(room, air_changes_per_h=0.93 * change.amount)
                if change.kind == "more_air" else
                replace(room, volume_m3=0.93 * change.amount))  # fmt: skip
        stopped = estimate(air.sources, less, jurisdiction="uk", facts=UK.facts)
        assert {"mixture", "short-term", "lel"} & {s.code for s in stopped.stops}


def test_the_changes_are_those_of_all_days_though_the_worst_is_tried_first():
    plan = planned("ukulele", room=replace(UK, volume_m3=30, air=given(0.3, "1/h"),
                                           jurisdiction="nl"))  # fmt: skip
    air, how = plan.air, {"jurisdiction": "nl", "facts": UK.facts}
    assert len({s.start_h // 24 for s in air.sources}) > 1
    volume = next(c.amount for c in air.changes if c.kind == "larger_room")
    bigger = estimate(air.sources, Room(volume, 0.3), **how)
    assert "mixture" not in {s.code for s in bigger.stops}


def test_without_a_room_it_says_for_want_of_what():
    plan = planned(room=None)
    assert plan.air is None
    assert plan.no_air.where == "[room] volume"
    keys, missing = plan_keys(plan)
    assert keys["air"] is None
    assert missing["air"].startswith("cannot estimate the air without the volume")
    assert air_lines(plan)[0].startswith("not estimated: cannot estimate the air without")
    caution = next(c for c in plan.cautions if c.code == "air-not-estimated")
    assert "room size and ventilation are not in this plan" in caution.text


def test_with_the_volume_alone_the_two_bounds_are_told():
    plan = planned(room=RoomSpec(volume_m3=60))
    made = plan.air.estimate
    one, every = (made.bound_ppm[k]["ethanol"].number() for k in ("one_coat", "all"))
    assert every > one > 0
    assert made.mixture_index.value is None
    assert "no-air-data" in {s.code for s in plan.stops}
    assert plan.air.changes == ()


def test_an_alcohol_that_is_not_said_gives_no_estimate():
    piece = read_piece(EXAMPLES / "table.toml")
    mix = replace(piece.mixes[0], alcohol=None)
    shelf = tuple(lot for lot in piece.shelf if lot.kind != "alcohol")
    plan = planned(mixes=(mix,), shelf=shelf)
    assert plan.air is None
    assert "without the alcohol of mix body" in plan.no_air.what
    caution = next(c for c in plan.cautions if c.code == "air-not-estimated")
    assert "without the alcohol of mix body" in caution.text


def test_emissions_have_the_same_bounds():
    bounds = {}
    for kind in ("first-order", "instant"):
        made = planned(room=replace(UK, emission=kind)).air.estimate
        bounds[kind] = made.bound_ppm["all"]["ethanol"].number()
    assert bounds["instant"] == pytest.approx(bounds["first-order"])


class TestClass:
    ROOM = replace(UK, volume_m3=150, air=given(3.0, "1/h"), session_h=0.75)

    def test_all_lay_a_coat_within_the_session(self):
        plan = planned("class", room=self.ROOM)
        coats = [s for s in plan.air.sources if s.takes_extra]
        assert len(coats) == 12  # 4 brushed, 8 padded
        assert {(s.over_h, s.heads) for s in coats} == {(0.75, 7)}
        # What everybody lays is what the class is told to mix, less spare and what is lost.
        ml = sum(s.liquid_ml for s in coats)
        each = sum(plan.figures[f"class.exercise.{e.name}"].number()
                   for e in plan.piece.course.exercises)  # fmt: skip
        assert ml == pytest.approx(7 * each)
        starts = [s.start_h for s in coats if "brushed" in s.what]
        assert np.diff(starts) == pytest.approx(2.75)  # session and the usual wait
        assert any("within a session of 45 minutes" in n for n in plan.air.notes)

    def test_without_a_session_there_is_no_estimate(self):
        plan = planned("class", room=replace(self.ROOM, session_h=None))
        assert plan.air is None
        assert "how long all of them take to lay one coat" in plan.no_air.what

    def test_each_breathes_the_air_about_his_own_work(self):
        plan = planned("class", room=self.ROOM)
        together = tuple(replace(s, heads=1) for s in plan.air.sources)
        one = estimate(together, Room(150, 3.0), jurisdiction="uk")
        near, room = (one.peak_ppm[z]["ethanol"].number() for z in ("near", "room"))
        mine = plan.air.estimate.peak_ppm["near"]["ethanol"].number()
        assert room < mine < near

    def test_the_plan_says_how_many_learn(self):
        keys, missing = plan_keys(planned("class", room=self.ROOM))
        assert keys["students"] == 6
        assert plan_keys(planned())[1]["students"] == "it is no class"
        assert "students" not in missing


def test_options_go_before_the_file():
    file = replace(UK, furnished=True, limits=())
    said = RoomSpec(air=given(0.5, "1/h"), facts=Facts(gloves="butyl")).over(file)
    assert (said.volume_m3, said.jurisdiction, said.air.value) == (60, "uk", 0.5)
    assert said.facts == Facts(pilot_off=True, gloves="butyl")
    assert not RoomSpec(volume_m3=20).over(file).furnished


def test_a_flow_of_clean_air_counts_over_the_volume():
    room, notes = RoomSpec(volume_m3=40, air=given(100.0, "m3/h")).space()
    assert room.air_changes_per_h == pytest.approx(2.5)
    assert any("100 m3/h" in n for n in notes)
    with pytest.raises(Refusal, match="volume"):
        RoomSpec().space()
