"""Timed coats and whitenings in the record: what they teach is kept, corrected, taken back."""

import math

import pytest

from lacwright import drying
from lacwright.climate import Air
from lacwright.drying import Board, TimedCoat, WetCoat
from lacwright.figures import Refusal, Refusals

TOLD = {"wet": "100 um", "size": "100x100 mm", "cut": 2, "alcohol": "ethanol-190",
        "thickness": "20 mm"}  # fmt: skip
TIMED = {**TOLD, "touch_dry": "9 min", "print_free": "25 min"}
AIR = {"temp_c": 20.0, "rh": 0.45}


@pytest.fixture
def panel(bench):
    """Return a bench with a panel of maple and a jar of a 2-lb cut."""
    from lacwright.shop.services.pieces import add_piece

    bench.shelf()
    bench.mix("J1", 1, 480, 2000)
    add_piece(name="panel 3", kind="panel", wood="maple", areas_m2={"face": 0.01},
              entry=bench.at(1))  # fmt: skip
    return bench


def tried(bench, result, day=3, test="timed-coat", of="panel 3", **more):
    from lacwright.shop.services.proving import record_test

    return record_test(of_kind="piece", of=of, test=test, result=result,
                       **{"entry": bench.at(day), **AIR, **more})  # fmt: skip


def lay(bench, day, hour=12.0, **more):
    from lacwright.shop.services.coats import lay_coat

    told = {"piece": "panel 3", "jar": "J1", "method": "brush", **more}
    return lay_coat(entry=bench.at(day, hour), **told)


def line(name):
    from lacwright.shop.queries.own_figures import own_figures

    return own_figures(only=[name])[name]


def body(movement):
    from lacwright.shop.models import Event

    return Event.objects.get(root=movement).movement.body


def test_a_timed_coat_teaches_air_and_step(panel):
    made = tried(panel, TIMED)
    coat = WetCoat(100, 2, {"ethanol": 0.924176, "water": 0.075824})
    alone = drying.calibrate(TimedCoat(
        coat=coat, air=Air(None, 20, 0.45, 0.1), touch_dry_s=540, late_s=1500, source="",
        board=Board("maple", 20, length_m=0.1),
    ))  # fmt: skip
    learned = body(made.movement)["learned"]
    assert learned["air"] == pytest.approx(alone.air_factor, rel=1e-4)
    assert learned["diffusion"] == pytest.approx(alone.step, rel=1e-4)
    assert learned["prior"] == {"air": drying.prior(drying.AIR).mid,
                                "diffusion": drying.prior(drying.STEP).mid}  # fmt: skip
    assert body(made.movement)["result"] == {**TIMED, "wood": "maple"}  # as it was typed
    air = line("drying.air")
    mid, ln_sd = drying.prior(drying.AIR).observe(learned["air"], 0.1).posterior()
    assert air.figure.value == pytest.approx(mid, rel=1e-6)
    assert air.figure.high == pytest.approx(mid * math.exp(1.6448536 * ln_sd), rel=1e-6)
    assert (air.n, air.calibrated_on) == (1, "panel 3, 2027-03-03")
    assert air.prior.value == 1.0


def test_a_corrected_one_is_reckoned_anew_and_one_taken_back_teaches_nothing(panel):
    from lacwright.shop.services.amend import amend, undo

    made = tried(panel, TIMED)
    before = line("drying.air").seen[0].value
    result = body(made.movement)["result"]
    amend(movement=made.movement, changes={"result": {**result, "touch_dry": "7 min"}},
          entry=panel.at(4))  # fmt: skip
    after = line("drying.air").seen[0].value
    assert after > before  # dry sooner: the air takes more away
    amend(movement=made.movement, changes={"result": result}, entry=panel.at(5))
    assert line("drying.air").seen[0].value == before
    undo(movement=made.movement, entry=panel.at(6))
    assert line("drying.air").n == 0
    assert line("drying.air").figure.value == 1.0


def test_the_last_coat_on_record_is_the_one_that_was_timed(panel):
    from lacwright.shop.services.amend import amend, undo

    lay(panel, 2, used_ml=3)  # the first one soaks in
    coat = lay(panel, 3, used_ml=1.0)
    made = tried(panel, {"touch_dry": "9 min"}, entry=panel.at(3, 12.5))
    told = body(made.movement)
    assert told["result"]["coat"] == coat.movement
    assert set(told["learned"]) == {"air", "prior", "program"}
    assert line("drying.diffusion").n == 0
    # A thinner coat: dry in the same time, it is worse air. Until this one is corrected as well
    # it counts no more.
    amend(movement=coat.movement, changes={"used_ml": 0.8}, entry=panel.at(4))
    assert list(line("drying.air").reasons) == [
        "the coat it tells of was corrected since: correct this one as well, it is reckoned anew"
    ]
    amend(movement=made.movement, changes={"rh": 0.45}, entry=panel.at(4, 13))
    assert line("drying.air").seen[0].value < told["learned"]["air"]
    undo(movement=coat.movement, entry=panel.at(5))
    assert list(line("drying.air").reasons) == ["the coat it tells of was taken back"]


def test_the_jar_tells_cut_and_alcohol_and_the_reading_the_air(panel):
    from lacwright.shop.services.readings import add_reading

    reading = add_reading(temp_c=20, rh=0.45, entry=panel.at(3, 10))
    result = {k: v for k, v in TIMED.items() if k not in ("cut", "alcohol")} | {"jar": "J1"}
    made = tried(panel, result, temp_c=None, rh=None)
    told = body(made.movement)
    assert (told["temp_c"], told["rh"]) == (20, 0.45)
    assert told["result"]["read"] == reading.movement
    assert told["result"]["cut"] == pytest.approx(240 / 119.82643, rel=1e-4)
    assert told["result"]["alcohol"].startswith("ethanol 92.4")


@pytest.mark.parametrize(
    ("result", "more", "says"),
    [
        ({k: v for k, v in TIMED.items() if k != "touch_dry"}, {}, "--touch-dry: it is not said"),
        ({**TIMED, "recoat": "2 h"}, {}, "two late times"),
        ({**TIMED, "wet": "9 parsec"}, {}, "--wet: 'parsec' is not a unit"),
        ({**TIMED, "jar": "J1"}, {}, "the jar says it as well"),
        ({**TIMED, "colour": "red"}, {}, "colour"),
        ({**TIMED, "alcohol": "unknown"}, {}, "unknown"),
        ({**TIMED, "touch_dry": "2 s", "print_free": "3 s"}, {}, "no air of the model"),
        (TIMED, {"temp_c": None, "rh": None}, "--temp: temperature and humidity were not read"),
        ({"touch_dry": "9 min"}, {}, "no coat of the two days before"),
    ],
)
def test_what_cannot_be_is_refused_by_its_option(panel, result, more, says):
    from lacwright.shop.models import Movement

    before = Movement.objects.count()
    with pytest.raises((Refusal, Refusals), match=says):
        tried(panel, result, **more)
    assert Movement.objects.count() == before


def test_whitenings_bound_the_water_tolerance(panel):
    from lacwright.shop.services.amend import undo

    prior = line("drying.water_tolerance").figure.value
    bad = tried(panel, {**TOLD, "whitened": True}, test="whitened", rh=0.66)
    bound = body(bad.movement)["learned"]["tolerance"]
    alone = drying.bound_of(drying.Event(
        WetCoat(100, 2, {"ethanol": 0.924176, "water": 0.075824}), Air(None, 20, 0.66, 0.1), True,
        "", Board("maple", 20, length_m=0.1)))  # fmt: skip
    assert bound == pytest.approx(alone.tolerance, rel=1e-4)
    below = line("drying.water_tolerance")
    assert below.figure.value < prior
    good = tried(panel, {**TOLD, "whitened": False}, day=4, test="whitened", rh=0.5)
    both = line("drying.water_tolerance")
    assert both.n == 2
    assert [t.whitened for t in both.seen] == [True, False]
    assert both.seen[1].value < both.seen[0].value
    assert both.figure.source.startswith("from your log, n = 2;")
    undo(movement=bad.movement, entry=panel.at(5))
    assert line("drying.water_tolerance").figure.value > below.figure.value
    undo(movement=good.movement, entry=panel.at(5))
    assert line("drying.water_tolerance").figure.value == pytest.approx(prior)


def test_a_haze_on_a_job_is_a_bound_where_coat_and_air_are_known(panel):
    from lacwright.shop.services.amend import amend
    from lacwright.shop.services.events import fault
    from lacwright.shop.services.pieces import add_piece
    from lacwright.shop.services.readings import add_reading

    add_piece(name="lid", wood="oak", areas_m2={"top": 0.1, "edge": 0.1}, entry=panel.at(1))

    def haze(day, **more):
        return fault(piece="lid", what="grey haze", entry=panel.at(day, 13), **more)

    early = haze(2)
    assert early.data["whitening"]["why"] == "no coat of the two days before is on record there"
    lay(panel, 1, piece="lid", used_ml=20)
    assert "soaks" in haze(1).data["whitening"]["why"]
    lay(panel, 50, piece="lid", parts=["top"], used_ml=10)
    assert "not read" in haze(50).data["whitening"]["why"]
    add_reading(temp_c=20, rh=0.7, entry=panel.at(50, 11))
    made = haze(50, parts=["top"])
    kept = body(made.movement)["whitening"]
    assert 0.02 < kept["tolerance"] < 3
    assert "water tolerance below" in made.data["says"][0]
    found = line("drying.water_tolerance")
    assert [t.movement for t in found.seen] == [made.movement]
    assert found.calibrated_on == "lid, 2027-04-19"
    assert found.n == 1
    assert len(found.left_out) == 3
    # Other faults compute nothing; one that is no haze after all is no bound.
    assert "whitening" not in fault(piece="lid", what="dust", entry=panel.at(50)).data
    amend(movement=made.movement, changes={"cause": "rain"}, entry=panel.at(51))
    assert body(made.movement)["whitening"] == kept
    amend(movement=made.movement, changes={"what": "dust"}, entry=panel.at(52))
    assert line("drying.water_tolerance").n == 0


def test_who_logs_a_fault_waits_for_no_compiler(panel, monkeypatch):
    from lacwright.shop.services import drying_tests
    from lacwright.shop.services.amend import amend
    from lacwright.shop.services.events import fault
    from lacwright.shop.services.readings import add_reading

    lay(panel, 1, used_ml=3)
    add_reading(temp_c=20, rh=0.7, entry=panel.at(50, 11))
    lay(panel, 50, used_ml=1)
    with monkeypatch.context() as patch:
        patch.setattr(drying_tests, "compiled", lambda: False)
        patch.setattr(drying_tests, "bound_of", None)
        made = fault(piece="panel 3", what="blush", entry=panel.at(50, 13))
    assert "not compiled" in made.data["whitening"]["why"]
    assert line("drying.water_tolerance").n == 0
    amend(movement=made.movement, changes={"what": "blush"}, entry=panel.at(51))
    assert line("drying.water_tolerance").n == 1


def test_one_coat_counts_once(panel):
    from lacwright.shop.services.events import fault
    from lacwright.shop.services.readings import add_reading

    lay(panel, 1, used_ml=3)
    add_reading(temp_c=20, rh=0.7, entry=panel.at(50, 11))
    lay(panel, 50, used_ml=1)
    fault(piece="panel 3", what="blush", entry=panel.at(50, 13))
    tried(panel, {"whitened": True}, day=50, test="whitened", rh=0.7,
            entry=panel.at(50, 14))  # fmt: skip
    found = line("drying.water_tolerance")
    assert found.n == 1
    assert list(found.reasons) == ["a later one tells of the same coat"]


def test_a_whitening_that_no_tolerance_explains_is_kept_but_teaches_nothing(panel):
    made = tried(panel, {**TOLD, "wet": "20 um", "whitened": True, "below":
                           ["100 um 30 h ago", "100 um 20 h ago", "100 um 5 h ago"]},
                   test="whitened", rh=0.3)  # fmt: skip
    assert body(made.movement)["learned"] is None
    assert "another cause" in body(made.movement)["why_not"]
    found = line("drying.water_tolerance")
    assert found.n == 0
    assert found.figure.value == found.prior.value


def test_own_figures_of_drying_feed_plans_and_the_hand(panel):
    from lacwright.drying import own_constants, state
    from lacwright.plan.own import OwnFigures
    from lacwright.plan.wet import hand_of
    from lacwright.shop.plan_link import from_record
    from lacwright.shop.queries.own_figures import drying_hand
    from lacwright.shop.services.own_settings import set_own

    assert drying_hand() == {}
    tried(panel, TIMED)
    assert state(own_constants(drying_hand())).words == "calibrated on panel 3, 2027-03-03"
    from lacwright.figures.draws import Draws

    own = from_record(now_us=panel.us(4)).own_beside(())
    assert hand_of(OwnFigures([own], Draws(0))) == own_constants(drying_hand())
    set_own(name="drying.air", value=1.4, entry=panel.at(5))
    given = own_constants(drying_hand())
    assert given["drying.air"].posterior()[0] == 1.4
    assert given["drying.diffusion"].seen
    assert line("drying.air").figure.value == 1.4
    with pytest.raises(Refusal, match="400 is outside"):
        set_own(name="drying.air", value=400, entry=panel.at(6))


def test_it_goes_through_an_archive(panel, tmp_path):
    from lacwright.shop import close_record, find_home, open_record
    from lacwright.shop.archive import export, import_archive
    from lacwright.shop.opening import opened

    tried(panel, TIMED)
    tried(panel, {**TOLD, "whitened": True}, test="whitened", rh=0.66)
    before = {n: line(n).figure for n in ("drying.air", "drying.water_tolerance")}
    pack = tmp_path / "shop.tar"
    export(opened(), pack)
    close_record()
    home = open_record(find_home(tmp_path / "other"))
    import_archive(home, pack)
    assert {n: line(n).figure for n in before} == before


def test_own_figures_ask_as_often_however_many_there_are(panel, django_queries):
    from lacwright.shop.queries.own_figures import own_figures

    tried(panel, TIMED)
    own_figures()
    with django_queries() as few:
        own_figures()
    for day in range(4, 8):
        tried(panel, TIMED, day=day)
    own_figures()
    with django_queries() as many:
        own_figures()
    assert len(few) == len(many)
