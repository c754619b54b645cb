"""Panels whose colour was read, and looks that were foretold, in the record."""

import math

import pytest

from lacwright.colour.calibrate import calibrate
from lacwright.colour.hand import bare_for, grade_for
from lacwright.colour.panels import Band, Panel
from lacwright.figures import Refusal, Refusals

LABS = {"bare": [83.2, 3.5, 17.1], "sealed": [79.6, 4.6, 22.0], 2: [78.0, 4.9, 26.4],
        4: [76.6, 5.4, 29.9], 9: [73.2, 7.0, 37.3]}  # fmt: skip
TOLD = {
    "grade": "amber", "sealed_with": "blonde",
    "load_per_coat": {"blonde": "3 g/m2", "amber": "3.5 g/m2"},
    "band": [{"coats": coats, "lab": lab} for coats, lab in LABS.items()],
}  # fmt: skip
LEVEL = "colour.amber.level"


@pytest.fixture
def bench_(bench):
    """Return a bench with a panel of maple."""
    from lacwright.shop.services.pieces import add_piece

    add_piece(name="panel 7", kind="panel", wood="maple", areas_m2={"face": 0.05},
              entry=bench.at(1))  # fmt: skip
    return bench


def tried(bench, result, day=3, test="colour-panel", of="panel 7", **more):
    from lacwright.shop.services.proving import record_test

    return record_test(of_kind="piece", of=of, test=test, result=result,
                       **{"entry": bench.at(day), **more})  # fmt: skip


def body(movement):
    from lacwright.shop.models import Event

    return Event.objects.get(root=movement).movement.body


def line(name):
    from lacwright.shop.queries.own_figures import own_figures

    return own_figures(only=[name])[name]


def hand():
    from lacwright.shop.queries.own_figures import colour_hand

    return colour_hand()


def test_a_panel_teaches_grade_and_wood(bench_):
    made = tried(bench_, TOLD)
    loads = {"bare": {}, "sealed": {"blonde": 3.0}} | {
        n: {"blonde": 3.0, "amber": 3.5 * n} for n in (2, 4, 9)
    }
    coats = {"bare": {}, "sealed": {"blonde": 1}} | {n: {"blonde": 1, "amber": n}
                                                     for n in (2, 4, 9)}  # fmt: skip
    alone = calibrate([Panel("panel 7", "hard-maple", tuple(
        Band(tuple(lab), coats[n], loads[n]) for n, lab in LABS.items()
    ))])  # fmt: skip
    found = line(LEVEL)
    assert math.log(found.figure.value) == pytest.approx(alone.grades["amber"].params[0], abs=1e-4)
    assert (found.n, found.calibrated_on) == (1, "panel 7, 2027-03-03")
    assert found.prior.value == pytest.approx(
        math.exp(alone.before.value(LEVEL)), rel=1e-6
    )  # fmt: skip
    own = hand()
    assert grade_for("amber", own).basis == "own panels"
    assert bare_for("maple", own).lab == (83.2, 3.5, 17.1)
    kept = body(made.movement)
    assert kept["result"] == {**TOLD, "wood": "maple"}  # as it was typed
    assert kept["learned"]["program"]
    assert len(kept["foretold"]) == 4


def test_panels_add_up_and_the_newest_reading_of_a_strip_holds(bench_):
    from lacwright.shop.services.pieces import add_piece

    tried(bench_, TOLD, day=3)
    first = line(LEVEL).figure
    add_piece(name="panel 8", kind="panel", wood="walnut", entry=bench_.at(4))
    bands = {"bare": [53, 7, 17], "sealed": [43, 9, 20], 2: [42.2, 9.5, 22.0], 6: [41, 10.4, 24.8]}
    tried(bench_, {**TOLD, "band": [{"coats": n, "lab": lab} for n, lab in bands.items()]},
          day=5, of="panel 8")  # fmt: skip
    both = line(LEVEL)
    assert both.n == 2
    assert both.figure.high / both.figure.low < first.high / first.low
    assert "n = 2: panel 7, 2027-03-03; panel 8, 2027-03-05" in both.figure.source
    # The same strip once more: it is no second board.
    again = tried(bench_, TOLD, day=12)
    assert line(LEVEL).n == 2
    assert list(line(LEVEL).reasons) == ["the panel was read again later"]
    assert {t.movement for t in line(LEVEL).seen} >= {again.movement}


def test_it_is_corrected_and_taken_back(bench_):
    from lacwright.shop.services.amend import amend, undo

    made = tried(bench_, TOLD)
    before = line(LEVEL).figure.value
    result = body(made.movement)["result"]
    amend(movement=made.movement, entry=bench_.at(4), changes={"result": {
        **result, "load_per_coat": {"blonde": "3 g/m2", "amber": "7 g/m2"}}})  # fmt: skip
    # Twice the load for the same colour: half as deep.
    assert line(LEVEL).figure.value == pytest.approx(before / 2, rel=0.1)
    undo(movement=made.movement, entry=bench_.at(5))
    assert line(LEVEL).n == 0
    assert hand() == {}


def test_what_he_set_himself_goes_before_panels(bench_):
    from lacwright.shop.services.own_settings import set_own

    tried(bench_, TOLD)
    set_own(name=LEVEL, value="0.004 m2/g", entry=bench_.at(4))
    assert line(LEVEL).figure.value == 0.004
    assert math.exp(grade_for("amber", hand()).params[0]) == pytest.approx(0.004)


@pytest.fixture
def laid(bench_):
    """Return a bench with a panel in bands whose coats are on record."""
    from lacwright.shop.services.coats import lay_coat
    from lacwright.shop.services.pieces import add_piece

    bench_.flakes("pale", grade="blonde")
    bench_.alcohol("spirit")
    bench_.mix("J1", 1, 240, 1000, flakes="pale", spirit="spirit")
    areas = dict.fromkeys(("bare", "one", "two"), 0.02)
    add_piece(name="strip", kind="panel", wood="walnut", areas_m2=areas, entry=bench_.at(1, 13))

    def coat(day, parts, ml):
        return lay_coat(piece="strip", jar="J1", method="brush", parts=parts, used_ml=ml,
                        area_m2=0.02 * len(parts), left_g=0.0, entry=bench_.at(day))  # fmt: skip

    bench_.coats = [coat(2, ["one", "two"], 4.0), coat(3, ["two"], 2.0)]
    return bench_


BANDS = {"geometry": "45/0", "band": [
    {"part": "bare", "lab": [53.0, 7.0, 17.0]}, {"part": "one", "lab": [43.0, 8.9, 19.6]},
    {"part": "two", "lab": [42.6, 9.1, 20.6]},
]}  # fmt: skip


def test_the_coats_on_record_say_what_lies_on_a_part(laid):
    made = tried(laid, BANDS, day=10, of="strip")
    kept = body(made.movement)["result"]
    bare, one, two = kept["bands"]
    assert bare["coats"] == "bare"
    assert (one["coats"], two["coats"]) == ({"blonde": 1}, {"blonde": 2})
    load = {k: float(v.partition(" ")[0]) for k, v in two["load"].items()}["blonde"]
    # 240 g of flakes of 1.14 g/ml and 1000 ml make 1210 ml: 0.1983 g/ml; 4 ml on 0.04 m2 and
    # 2 ml on 0.02 m2 are 100 ml/m2 each. By hand, to the usual share that stays in the brush.
    assert load == pytest.approx(2 * 100 * 0.1983, rel=0.02)
    assert float(one["load"]["blonde"].partition(" ")[0]) == pytest.approx(load / 2, rel=1e-3)
    assert [row["coat"] for row in kept["coats_of"]] == [c.movement for c in laid.coats]
    assert line("colour.blonde.level").n == 1
    assert line("colour.walnut.wetting").n == 1


def test_a_corrected_coat_silences_its_panel_until_it_is_corrected_too(laid):
    from lacwright.shop.services.amend import amend, undo

    made = tried(laid, BANDS, day=10, of="strip")
    before = float(body(made.movement)["result"]["bands"][2]["load"]["blonde"].partition(" ")[0])
    amend(movement=laid.coats[1].movement, changes={"used_ml": 4.0}, entry=laid.at(11))
    name = "colour.blonde.level"
    assert line(name).n == 0
    assert list(line(name).reasons) == [
        "a coat it tells of was corrected since: correct this one as well, it is reckoned anew"
    ]
    amend(movement=made.movement, changes={"rh": 0.5}, entry=laid.at(12))
    assert line(name).n == 1
    after = float(body(made.movement)["result"]["bands"][2]["load"]["blonde"].partition(" ")[0])
    assert after == pytest.approx(1.5 * before, rel=1e-3)
    undo(movement=laid.coats[1].movement, entry=laid.at(13))
    assert list(line(name).reasons) == ["a coat it tells of was taken back"]


def test_a_look_is_foretold_kept_and_read_later(bench_):
    from lacwright.shop.queries.colour_seen import foretold, tally

    look = {"film": {"amber": 14.0, "blonde": 3.0}, "bare": "83.2, 3.5, 17.1"}
    made = tried(bench_, look, day=2, test="colour-look", anew=True)
    kept = body(made.movement)
    assert kept["verdict"] == "running"
    told = kept["result"]["foretold"]
    assert told["basis"] == "grade name only; measured board"
    assert [g["name"] for g in told["grades"]] == ["amber", "blonde"]
    (one,) = foretold()
    assert (one.inside, one.read, one.what) == (None, None, "14 g/m2 amber and 3 g/m2 blonde")
    tried(bench_, TOLD, day=3)  # what is learned since does not change what was foretold
    gone_on = tried(bench_, {"read": [76.6, 5.4, 29.9]}, day=10, test="colour-look")
    assert gone_on.data["went_on"]
    assert body(made.movement)["result"]["foretold"] == told
    hit = body(made.movement)["hit"]
    assert hit["inside"] is (hit["de00"] <= told["de00_band"])
    looks = [one for one in foretold("panel 7") if one.movement == made.movement]
    assert [one.read for one in looks] == [(76.6, 5.4, 29.9)]
    inside, read = tally(foretold())
    assert read == 5  # this look and the four bands of the panel
    assert 0 < inside <= read
    # The same film is foretold otherwise now, and surer.
    second = tried(bench_, look, day=11, test="colour-look", anew=True)
    now = body(second.movement)["result"]["foretold"]
    assert now["de00_band"] < told["de00_band"]
    assert now["basis"].startswith("own panels")


def test_a_look_far_off_is_a_miss(bench_):
    made = tried(bench_, {"film": {"amber": 14.0}}, day=2, test="colour-look", anew=True)
    tried(bench_, {"read": "40, 20, 30"}, day=10, test="colour-look")
    assert body(made.movement)["hit"]["inside"] is False
    assert "outside" in body(made.movement)["says"][0]


@pytest.mark.parametrize(
    ("test", "result", "says"),
    [
        ("colour-panel", {**TOLD, "grade": "ambre"}, "did you mean 'amber'"),
        ("colour-panel", {**TOLD, "band": TOLD["band"][1:]}, "no band is bare"),
        ("colour-panel", {**TOLD, "band": 3}, "band"),
        ("colour-panel", {**TOLD, "name": "panel 9"}, "is not 'panel 7'"),
        ("colour-panel", {**TOLD, "date": "2027-02-01"}, "say the moment with --at"),
        ("colour-panel", {**TOLD, "says": {}}, "works out by itself"),
        ("colour-panel", {**TOLD, "load_per_coat": {"blonde": "3 g/m2"}}, "is not said"),
        ("colour-panel", {**TOLD, "band": [{"part": "top", "lab": [1, 2, 3]}]}, "is no part"),
        ("colour-panel", {**TOLD, "band": [{"part": "face", "coats": 2}]}, "say it as well"),
        ("colour-look", {"read": "1, 2, 3"}, "nothing was foretold"),
        ("colour-look", {"film": {}}, "of no film"),
        ("colour-look", {"film": {"amber": 3.0}, "bare": "x"}, "--bare-lab: "),
        ("colour-look", {"film": {"amber": 3.0}, "light": "candle"}, "not on file"),
        ("colour-look", {"film": {"amber": 3.0}, "shade": 3}, "shade: it is nothing of a look"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_written(bench_, test, result, says):
    from lacwright.shop.models import Movement

    before = Movement.objects.count()
    with pytest.raises((Refusal, Refusals)) as caught:
        tried(bench_, result, test=test)
    assert says in str(caught.value)
    assert Movement.objects.count() == before


def test_archive_and_audit_keep_them(bench_, home, tmp_path):
    from lacwright.shop import close_record, find_home, open_record
    from lacwright.shop.archive import export, import_archive
    from lacwright.shop.audit import audit

    tried(bench_, TOLD)
    tried(bench_, {"film": {"amber": 14.0}}, day=4, test="colour-look", anew=True)
    value = line(LEVEL).figure.value
    assert audit(home).findings == ()
    path = export(home, tmp_path / "all.tar").path
    close_record()
    new = open_record(find_home(tmp_path / "new"))
    import_archive(new, path)
    assert line(LEVEL).figure.value == value
    assert audit(new).findings == ()


def test_nothing_of_colour_is_imported_where_no_panel_was_read(bench_, monkeypatch):
    import sys

    from lacwright.shop.queries.own_figures import own_figures

    for name in [n for n in sys.modules if n.startswith("lacwright.colour")]:
        monkeypatch.delitem(sys.modules, name)
    own_figures()
    assert [n for n in sys.modules if n.startswith("lacwright.colour")] == []
