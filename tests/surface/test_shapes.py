"""Properties that every shape keeps: scale, number, symmetry, zones that add up, draws."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lacwright.figures import Refusal
from lacwright.surface import (
    Body,
    area,
    body_zones,
    box,
    carcase,
    developed,
    disc,
    drawn_outline,
    frame_and_panel,
    make_part,
    moulding,
    panel,
    plain,
    rod,
    strip,
    tapered_leg,
    traced_outline,
    turned,
)


def a_body(k=1.0):
    return Body(355 * k, 168 * k, 112 * k, 206 * k, 30 * k, 14.5 * k, 15.5 * k)


def a_violin(k=1.0):
    return body_zones(a_body(k), drawn_outline(a_body(k), "violin"), openings_mm2=1400 * k**2)


# Every shape at k times its size.
SHAPES = {
    "panel": lambda k: panel(length_mm=1200 * k, width_mm=700 * k, thickness_mm=22 * k),
    "disc": lambda k: disc(diameter_mm=900 * k, thickness_mm=25 * k),
    "box": lambda k: box(length_mm=300 * k, width_mm=200 * k, height_mm=120 * k),
    "open box": lambda k: box(length_mm=300 * k, width_mm=200 * k, height_mm=120 * k,
                              wall_mm=8 * k, lid=False, inside=True),
    "carcase": lambda k: carcase(height_mm=1800 * k, width_mm=900 * k, depth_mm=300 * k,
                                 thickness_mm=18 * k, shelves=3, back=False),
    "door": lambda k: frame_and_panel(
        height_mm=700 * k, width_mm=450 * k, thickness_mm=20 * k, stile_mm=60 * k,
        top_rail_mm=60 * k, bottom_rail_mm=80 * k, sticking_mm=14 * k, sticking_width_mm=9 * k),
    "moulding": lambda k: moulding(run_mm=2400 * k, developed_mm=60 * k),
    "turned": lambda k: turned(stations_mm=[0, 50 * k, 50 * k, 400 * k],
                               diameters_mm=[20 * k, 40 * k, 30 * k, 0 * k]),
    "smooth": lambda k: turned(stations_mm=[0, 90 * k, 200 * k, 400 * k],
                               diameters_mm=[20 * k, 40 * k, 30 * k, 45 * k], smooth=True),
    "leg": lambda k: tapered_leg(head_mm=45 * k, foot_mm=25 * k, length_mm=400 * k),
    "rod": lambda k: rod(diameter_mm=12 * k, length_mm=900 * k),
    "strip": lambda k: strip(length_mm=600 * k, width_mm=40 * k),
    "violin": a_violin,
}  # fmt: skip


@pytest.mark.parametrize("shape", SHAPES)
@settings(max_examples=20)
@given(k=st.floats(0.05, 40.0))
def test_area_goes_with_the_square_and_arrises_with_the_size(shape, k):
    one, scaled = SHAPES[shape](1.0), SHAPES[shape](k)
    for a, b in zip(one, scaled, strict=True):
        assert b.area_m2 == pytest.approx(a.area_m2 * k**2, rel=1e-9)
        assert b.length_m == pytest.approx(a.length_m * k, rel=1e-9)


@pytest.mark.parametrize("shape", SHAPES)
def test_draws_lie_on_the_last_axis(shape):
    k = np.array([1.0, 0.5, 2.0])
    for drawn, *single in zip(SHAPES[shape](k), *(SHAPES[shape](float(v)) for v in k), strict=True):
        np.testing.assert_allclose(drawn.area_m2, [z.area_m2 for z in single], rtol=1e-12)


def test_draws_of_one_size_alone():
    waist = np.array([112.0, 108.0])
    body = Body(355.0, 168.0, waist, 206.0, 30.0, 14.5, 15.5)
    zones = body_zones(body, drawn_outline(body, "violin"))
    assert zones[0].area_m2[0] > zones[0].area_m2[1]
    stations = turned(stations_mm=[0, 100], diameters_mm=[20.0, np.array([20.0, 30.0])])
    assert stations[0].area_m2[0] == pytest.approx(math.pi * 20 * 100e-6)
    assert stations[2].area_m2[1] == pytest.approx(math.pi * 15**2 * 1e-6)


@pytest.mark.parametrize("shape", SHAPES)
@given(count=st.integers(1, 40))
@settings(max_examples=10)
def test_a_count_multiplies_and_zones_add_up(shape, count):
    zones = SHAPES[shape](1.0)
    part = make_part("p", zones, count=count)
    assert part.area_m2 == pytest.approx(count * sum(z.area_m2 for z in zones))
    kinds = sum(area(part.zones, kind) for kind in ("face", "edge", "end"))
    assert kinds == pytest.approx(part.area_m2)
    assert part.figure().number() == pytest.approx(part.area_m2)


side = st.floats(20, 2000)


@given(a=side, b=side, c=side)
def test_a_block_is_the_same_whichever_way_it_is_turned(a, b, c):
    whole = 2 * (a * b + b * c + c * a) * 1e-6
    for x, y, z in ((a, b, c), (b, c, a), (c, b, a)):
        for zones in (
            panel(length_mm=x, width_mm=y, thickness_mm=z),
            box(length_mm=x, width_mm=y, height_mm=z),
        ):
            assert area(zones) == pytest.approx(whole)
            # Twelve arrises, each booked once.
            assert sum(s.length_m for s in zones) == pytest.approx(4 * (a + b + c) * 1e-3)


@given(length=side, diameters=st.lists(st.floats(1, 200), min_size=2, max_size=6))
def test_a_turning_read_from_the_other_end_is_the_same(length, diameters):
    x = list(np.linspace(0, length, len(diameters)))
    back = turned(stations_mm=x, diameters_mm=diameters[::-1])
    there = turned(stations_mm=x, diameters_mm=diameters)
    assert area(back) == pytest.approx(area(there))
    assert there[1].area_m2 == pytest.approx(back[2].area_m2)
    # A wall is never shorter than the straight cylinder between its least diameters.
    assert there[0].area_m2 >= math.pi * min(diameters) * length * 1e-6 * (1 - 1e-12)


def test_a_cylinder_is_a_rod_and_a_shoulder_is_a_ring():
    plain_rod = rod(diameter_mm=30, length_mm=500)
    assert area(turned(stations_mm=[0, 500], diameters_mm=[30, 30])) == pytest.approx(
        area(plain_rod)
    )
    stepped = turned(stations_mm=[0, 100, 100, 200], diameters_mm=[20, 20, 40, 40])
    cylinders = math.pi * (20 + 40) * 100
    ring = math.pi * (20**2 - 10**2)
    assert stepped[0].area_m2 * 1e6 == pytest.approx(cylinders + ring)


def test_a_smooth_curve_needs_few_stations():
    # A sphere of radius 100 mm cut off before the pole: 2 pi R h. With nine stations the curve
    # comes within 0.1 %, and nearer than straight tapers.
    x = np.linspace(0.0, 80.0, 9)
    d = 2 * np.sqrt(100.0**2 - x**2)
    true = 2 * math.pi * 100 * 80 * 1e-6
    straight = turned(stations_mm=list(x), diameters_mm=list(d))[0].area_m2
    curved = turned(stations_mm=list(x), diameters_mm=list(d), smooth=True)[0].area_m2
    assert abs(curved / true - 1) < 0.001
    assert abs(curved - true) < abs(straight - true)


def test_a_smooth_curve_does_not_swing_out_between_stations():
    # A bead between two straight lengths: no diameter above the largest station.
    flat = turned(stations_mm=[0, 100, 200, 300], diameters_mm=[20, 20, 20, 20], smooth=True)
    assert flat[0].area_m2 == pytest.approx(math.pi * 20 * 300e-6)


@given(a=side, b=side, h=side)
def test_a_leg_without_taper_is_a_square_post(a, b, h):
    post = tapered_leg(head_mm=a, foot_mm=a, length_mm=h)
    assert area(post) == pytest.approx(area(panel(length_mm=h, width_mm=a, thickness_mm=a)))
    taper = tapered_leg(head_mm=a, foot_mm=b, length_mm=h)[0]
    assert taper.area_m2 >= 2 * (a + b) * h * 1e-6 * (1 - 1e-12)


def test_a_box_opened_shows_its_rim_and_its_inside():
    closed = box(length_mm=300, width_mm=200, height_mm=120)
    assert area(closed) == pytest.approx(0.24)
    opened = box(length_mm=300, width_mm=200, height_mm=120, wall_mm=10, lid=False, inside=True)
    by_face = {z.face: z.area_m2 * 1e6 for z in opened}
    assert by_face["top rim"] == pytest.approx(300 * 200 - 280 * 180)
    assert by_face["inside sides"] == pytest.approx(2 * (280 + 180) * 110)
    assert by_face["inside bottom"] == pytest.approx(280 * 180)
    assert "outside top" not in by_face
    assert "inside top" not in by_face


def test_a_carcase_without_back_shows_its_back_edges():
    sizes = {"height_mm": 1800, "width_mm": 900, "depth_mm": 300, "thickness_mm": 18}
    backed = {z.face: z for z in carcase(**sizes, shelves=4)}
    bare = {z.face: z for z in carcase(**sizes, shelves=4, back=False)}
    assert bare["back edges"].area_m2 == pytest.approx(backed["front edges"].area_m2)
    assert {"outside back", "inside back"} <= backed.keys()
    assert not {"outside back", "inside back"} & bare.keys()


def test_sticking_takes_out_its_own_shadow():
    # A flat "moulding" as wide as it is developed adds nothing; a square step is the inset.
    sizes = {"height_mm": 700, "width_mm": 450, "thickness_mm": 20, "stile_mm": 60,
             "top_rail_mm": 60, "bottom_rail_mm": 80}  # fmt: skip
    plain_door = area(frame_and_panel(**sizes))
    flat = frame_and_panel(**sizes, sticking_mm=9, sticking_width_mm=9)
    assert area(flat) == pytest.approx(plain_door)
    step = frame_and_panel(**sizes, sticking_mm=6, sticking_width_mm=0)
    assert area(step) == pytest.approx(area(frame_and_panel(**sizes, inset_mm=6)))
    # A chamfer of 45 degrees, 10 wide: four trapezia between the opening and its inner edge.
    slant = 10 * math.sqrt(2)
    chamfer = frame_and_panel(**sizes, sticking_mm=slant, sticking_width_mm=10)
    opening, inner = 330 * 560, 310 * 540
    by_hand = 700 * 450 - opening + (opening - inner) * math.sqrt(2) + inner
    assert chamfer[0].area_m2 * 1e6 == pytest.approx(by_hand)


def test_a_developed_profile():
    assert developed([(0, 0), (20, 0), (20, 12), (32, 28)]) == pytest.approx(20 + 12 + 20)
    turn = np.linspace(0, 2 * math.pi, 65)
    circle = developed(list(zip(np.cos(turn), np.sin(turn), strict=True)))
    # 64 chords: 1 - (pi / 64)^2 / 6 = 0.04 % short.
    assert circle == pytest.approx(2 * math.pi * (1 - (math.pi / 64) ** 2 / 6), rel=1e-6)


def test_the_edge_of_a_disc_is_half_end_grain():
    zones = disc(diameter_mm=900, thickness_mm=25)
    assert area(zones, "end") == pytest.approx(area(zones, "edge"))
    assert area(zones) == pytest.approx((math.pi * 900**2 / 2 + math.pi * 900 * 25) * 1e-6)


def test_an_ellipse_is_drawn_exactly_where_the_rule_is_an_ellipse():
    # All widths alike and exponent 2: two half ellipses with a straight middle.
    from lacwright.surface import outline

    plan, border = outline(body_mm=400, upper_mm=200, waist_mm=200, lower_mm=200, upper_at=0.25,
                           waist_at=0.5, lower_at=0.75, exponent=2)  # fmt: skip
    assert plan == pytest.approx(200 * 200 + math.pi * 100 * 100, rel=1e-4)
    assert border == pytest.approx(2 * 200 + 2 * math.pi * 100, rel=1e-4)


def test_arching_adds_about_two_per_cent():
    back = {z.face: z.area_m2 for z in a_violin()}["back"]
    plan = drawn_outline(a_body(), "violin").plan_mm2 * 1e-6
    assert 1.017 < back / plan < 1.022


def test_a_traced_outline_is_taken_as_it_is():
    line = traced_outline(plan_mm2=51_000, border_mm=1120)
    zones = body_zones(a_body(), line)
    assert zones[2].area_m2 == pytest.approx(1120 * 30e-6)
    assert zones[0].high - zones[0].low < 0.05


@pytest.mark.parametrize(
    "make",
    [
        lambda: panel(length_mm=0, width_mm=1, thickness_mm=1),
        lambda: panel(length_mm=math.nan, width_mm=1, thickness_mm=1),
        lambda: disc(diameter_mm=-1, thickness_mm=1),
        lambda: box(length_mm=10, width_mm=10, height_mm=10, wall_mm=5, inside=True),
        lambda: box(length_mm=10, width_mm=10, height_mm=10, inside=True),
        lambda: carcase(height_mm=100, width_mm=100, depth_mm=50, thickness_mm=10, shelves=8),
        lambda: carcase(height_mm=100, width_mm=100, depth_mm=50, thickness_mm=10, shelves=-1),
        lambda: frame_and_panel(height_mm=100, width_mm=100, thickness_mm=20, stile_mm=50,
                                top_rail_mm=20, bottom_rail_mm=20),
        lambda: moulding(run_mm=0, developed_mm=10),
        lambda: developed([(0, 0)]),
        lambda: turned(stations_mm=[0], diameters_mm=[10]),
        lambda: turned(stations_mm=[0, 10, 5], diameters_mm=[10, 10, 10]),
        lambda: turned(stations_mm=[0, 10], diameters_mm=[10, -1]),
        lambda: turned(stations_mm=[0, 10], diameters_mm=[0, 0]),
        lambda: turned(stations_mm=[0, 5, 5, 9], diameters_mm=[9, 9, 5, 5], smooth=True),
        lambda: rod(diameter_mm=1, length_mm=0),
        lambda: tapered_leg(head_mm=1, foot_mm=0, length_mm=10),
        lambda: plain(area_m2=0),
        lambda: traced_outline(plan_mm2=54_000, border_mm=500),
        lambda: drawn_outline(Body(355, 100, 112, 206, 30), "violin"),
        lambda: body_zones(a_body(), drawn_outline(a_body(), "violin"), openings_mm2=60_000),
        lambda: body_zones(Body(355, 168, 112, 206, 30, 60, 0),
                           drawn_outline(a_body(), "violin")),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused(make):
    with pytest.raises(Refusal):
        make()
