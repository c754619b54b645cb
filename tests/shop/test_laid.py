"""A coat of the record as the model of the drying coat sees it."""

import datetime as dt
import subprocess
import sys
from pathlib import Path

import pytest

import lacwright
from lacwright.figures import Refusal
from lacwright.plan.wet import SESSION, SOAKS_IN, UNKNOWN

AREA = 0.5


@pytest.fixture
def top(bench):
    """Return a bench with a sealed top of half a square metre and a jar of a 2-lb cut."""
    from lacwright.shop.services.pieces import add_piece

    bench.shelf()
    bench.mix("J1", 1, 480, 2000)
    add_piece(name="table", wood="cherry", areas_m2={"top": AREA}, entry=bench.at(1))
    lay(bench, 2, used_ml=60)
    return bench


def lay(bench, day, hour=12.0, **more):
    from lacwright.shop.services.coats import lay_coat

    told = {"piece": "table", "jar": "J1", "method": "brush", "parts": ["top"], **more}
    return lay_coat(entry=bench.at(day, hour), **told)


def read_air(bench, day, hour=11.0, temp_c=20.0, rh=0.5, **more):
    from lacwright.shop.services.readings import add_reading

    return add_reading(temp_c=temp_c, rh=rh, entry=bench.at(day, hour), **more)


def last(bench, day, hour=13.0, piece="table"):
    from lacwright.shop.models import Piece
    from lacwright.shop.queries.wet_now import wet_coats

    return wet_coats(Piece.objects.get(key=piece), now_us=bench.us(day, hour))


def test_what_landed_over_the_area_is_the_wet_film(top):
    # 50 ml left the jar for 0.5 m2, 4 % of their resin stayed in the brush: 96 ml/m2, 96 um.
    from lacwright.shop.models import Jar
    from lacwright.shop.queries.contents import contents

    per_ml = float(contents(Jar.objects.get(key="J1").place.key).mix.resin_g_per_l) / 1000
    lay(top, 4, used_ml=50, left_g=0.04 * 50 * per_ml)
    (one,) = last(top, 4)
    assert one.coat.wet_um == pytest.approx(96, rel=1e-4)
    assert one.amount == "measured"
    assert one.wet_ln_sd is None
    # 480 g in 2 l of alcohol: 240 g/l, 2.0029 lb/gal; 190 proof is 92.42 % ethanol by weight.
    assert one.coat.cut_lb_per_gal == pytest.approx(240 / 119.82643, rel=1e-4)
    assert one.coat.parts["ethanol"] == pytest.approx(0.9242, abs=1e-4)
    assert sum(one.coat.parts.values()) == pytest.approx(1)
    assert one.parts == ("top",)
    assert one.board.wood == "cherry"
    assert one.board.length_m == pytest.approx(AREA**0.5)
    assert "20 mm thick" in one.assumed


def test_without_weights_the_usual_film_stands_in_and_is_said(top):
    from lacwright.plan.own import default_figure

    lay(top, 4)
    (one,) = last(top, 4)
    spread, lost = (default_figure(f"{n}.brush").number() for n in ("spread", "lost"))
    assert one.coat.wet_um == pytest.approx(spread * (1 - lost), rel=1e-4)
    assert one.amount == "not weighed: the usual spread of the method"
    assert one.wet_ln_sd is not None
    from lacwright.shop.services.pieces import add_piece

    add_piece(name="stool", wood="oak", entry=top.at(1))
    for day in (4, 5):
        lay(top, day, piece="stool", parts=[], used_ml=20)
    (one,) = last(top, 5, piece="stool")
    assert one.amount == "its area is not on record: the usual wet film of the method"


def test_coats_below_are_those_of_the_part_with_their_age(top):
    from lacwright.shop.services.pieces import describe_piece

    describe_piece(name="table", changes={"areas_m2": {"legs": 0.2}}, entry=top.at(1))
    second = lay(top, 4, 9, used_ml=45)
    lay(top, 4, 10, used_ml=20, parts=["legs"])
    third = lay(top, 4, 15, used_ml=45, until_us=top.us(4, 15.5))
    both = lay(top, 5, 9, used_ml=60, parts=[])
    found = {one.parts: one for one in last(top, 5)}
    assert {one.event.root_id for one in found.values()} == {both.movement}
    on_top, on_legs = found["top",], found["legs",]
    assert on_top.below[-2:] == (second.movement, third.movement)
    assert [u.age_s / 3600 for u in on_top.under][-2:] == pytest.approx([24, 17.5])
    # The first coat on the legs soaked in; what of it lies above the wood is dissolved again.
    assert on_top.coat.wet_um == pytest.approx(on_legs.coat.wet_um)
    assert all(u.coat.wet_um < 100 for u in on_legs.under)
    assert len(last(top, 5, 8)) == 2  # before the coat on both, the last of each


def test_eight_coats_of_a_month_count(top):
    for day in range(3, 14):
        lay(top, day, used_ml=45)
    (one,) = last(top, 13)
    assert [u.age_s / 86400 for u in one.under] == pytest.approx(range(8, 0, -1))
    lay(top, 42, used_ml=45)
    (one,) = last(top, 42)
    assert [u.age_s / 86400 for u in one.under] == pytest.approx([30, 29])


def test_where_the_model_has_no_say_it_is_said(top):
    from lacwright.shop.services.events import strip
    from lacwright.shop.services.pieces import add_piece

    add_piece(name="chair", wood="oak", areas_m2={"whole": 0.5}, entry=top.at(1))

    def silent(day):
        (one,) = last(top, day, piece="chair")
        assert one.coat is None
        return one.why_not

    lay(top, 3, piece="chair", parts=[], used_ml=50)
    assert silent(3) == SOAKS_IN
    lay(top, 4, piece="chair", parts=[], what="session", method="french-polish", used_ml=20)
    assert silent(4) == SESSION
    top.alcohol("tin", alcohol="")
    top.mix("J2", 1, 100, 400, spirit="tin")
    lay(top, 5, piece="chair", parts=[], jar="J2", used_ml=50)
    assert silent(5) == UNKNOWN
    lay(top, 6, piece="chair", parts=[], used_ml=50)
    assert silent(6) == "the composition of the alcohol of a coat below it is not known"
    strip(piece="chair", entry=top.at(7))
    assert last(top, 7, 13, "chair") == ()
    lay(top, 8, piece="chair", parts=[], used_ml=50)
    assert silent(8) == SOAKS_IN  # bare again
    assert last(top, 20, piece="chair") == ()  # older than a week


def test_the_reading_nearest_in_time_is_its_air(top):
    lay(top, 4, used_ml=45)
    (one,) = last(top, 4)
    assert one.air is None
    assert "not read" in one.silent
    read_air(top, 4, 3.0, rh=0.6)
    read_air(top, 4, 14.0, temp_c=21.0, rh=0.4, board_temp_c=18.0)
    read_air(top, 4, 12.5, temp_c=25.0, rh=None)
    (one,) = last(top, 4)
    assert (one.air.temp_c, one.air.rh) == (25.0, 0.4)  # each as near as it was read
    assert one.silent == ""
    assert one.air.speed_m_s == 0.1


def test_how_far_the_last_coat_has_dried(top):
    from lacwright.shop.models import Piece
    from lacwright.shop.queries.wet_now import wet_coats, wet_now

    read_air(top, 4)
    lay(top, 4, used_ml=45)
    piece = Piece.objects.get(key="table")

    def at(hour):
        now = top.us(4, hour)
        (one,) = wet_now(wet_coats(piece, now_us=now), now_us=now)
        return one

    wet, later = at(12.02), at(13)
    assert wet.state == "wet"
    assert not wet.coldest_passed
    assert later.state == "touch-dry"
    assert later.coldest_passed
    assert later.left_g_m2 < wet.left_g_m2
    assert later.film_c > wet.film_c
    moments = later.moments
    touch = (moments["touch_dry"].at_us - top.us(4)) / 1e6
    assert touch == pytest.approx(later.made.touch_dry_s.number(), abs=1)
    order = [moments[name].at_us for name in ("touch_dry", "print_free", "recoat", "sandable")]
    assert order == sorted(order)
    assert moments["recoat"].low_us < moments["recoat"].at_us < moments["recoat"].high_us
    assert not later.ready
    hours = (moments["recoat"].at_us - top.us(4)) / 3.6e9
    assert at(12 + hours + 0.1).ready
    assert later.warning == ""
    keys = later.as_json(dt.UTC)
    assert keys["calibrated"] == "uncalibrated"
    assert {k for k, v in keys.items() if v is None} == set(keys["missing"])


def test_a_coat_in_damp_air_is_warned_of_and_late_times_are_withheld(top):
    from lacwright.shop.models import Piece
    from lacwright.shop.queries.wet_now import wet_coats, wet_now
    from lacwright.shop.services.pieces import add_piece

    # Oak that drank a fat first coat months ago: nothing is left below to take the water up.
    add_piece(name="lid", wood="oak", areas_m2={"whole": 0.1}, entry=top.at(1))
    lay(top, 2, piece="lid", parts=[], used_ml=40)
    read_air(top, 60, rh=0.85)
    lay(top, 60, piece="lid", parts=[], used_ml=10)
    now = top.us(60, 12.5)
    (one,) = wet_now(wet_coats(Piece.objects.get(key="lid"), now_us=now), now_us=now)
    assert one.made.verdict == "will whiten"
    assert "never a wet brush in that air" in one.warning
    assert "no flame" in one.warning
    assert one.moments["recoat"].at_us is None
    assert "withheld" in one.moments["recoat"].why


def test_in_few_queries(top, django_queries):
    for day in range(3, 9):
        lay(top, day, used_ml=45)
    read_air(top, 8)
    with django_queries() as few:
        last(top, 8)
    for hour in (13, 14, 15, 16):
        lay(top, 8, hour, used_ml=45)
    with django_queries() as many:
        last(top, 8, 17)
    assert len(few) == len(many)
    assert len(few) <= 16


def test_reading_the_record_loads_no_compiler():
    program = """
import sys
from lacwright.shop import find_home, open_record
import tempfile
open_record(find_home(tempfile.mkdtemp()), create=True)
from lacwright.shop.queries.own_figures import drying_hand, own_figures
from lacwright.shop.queries import laid, wet_now
from lacwright.shop.services import drying_tests, proving
assert drying_hand() == {}
own_figures()
assert "numba" not in sys.modules
"""
    env = {"PYTHONPATH": str(Path(lacwright.__file__).parents[1]), "PATH": "", "TZ": "UTC"}
    subprocess.run([sys.executable, "-c", program], env=env, check=True)


def test_a_coat_that_is_none_is_refused(top):
    from lacwright.shop.services.proving import record_test

    with pytest.raises(Refusal, match="no coat on table"):
        record_test(of_kind="piece", of="table", test="whitened",
                    result={"whitened": True, "coat": 1}, entry=top.at(5))  # fmt: skip
