"""Parts: which zones are finished, which stay bare, how far the area is known."""

import pytest

from lacwright.figures import Mark, Refusal, default
from lacwright.surface import (
    Body,
    Zone,
    area,
    body_zones,
    box_zones,
    drawn_outline,
    face_names,
    make_part,
    panel,
    total_figure,
)


def top(**more):
    zones = panel(length_mm=1200, width_mm=700, thickness_mm=22)
    return make_part("top", zones, wood="cherry", **more)


def test_only_the_named_faces_are_finished_and_the_bare_ones_are_told():
    part = top(finish=("top", "edges"))
    assert [z.face for z in part.zones] == ["top", "side edges", "end edges"]
    assert [z.face for z in part.bare] == ["bottom"]
    assert part.area_m2 == pytest.approx(0.84 + 2 * 1.9 * 0.022)
    assert "bottom" in part.warnings[0]
    assert "moisture" in part.warnings[0]


def test_a_hidden_face_is_neither_finished_nor_bare():
    part = top(hidden=("bottom",))
    assert part.bare == ()
    assert part.warnings == ()
    assert "bottom" not in {z.face for z in part.zones}


@pytest.mark.parametrize(
    ("name", "faces"),
    [
        ("all", {"top", "bottom", "side edges", "end edges"}),
        ("edges", {"side edges", "end edges"}),
        ("edge", {"side edges", "end edges"}),
        ("Side-Edges", {"side edges"}),
        ("end grain", {"end edges"}),
        ("faces", {"top", "bottom"}),
        ("outside", set()),
        ("", set()),
    ],
)
def test_a_name_means_the_faces_that_carry_its_words(name, faces):
    zones = panel(length_mm=1200, width_mm=700, thickness_mm=22)
    assert {z.face for z in zones if z.on(name)} == faces


def test_every_name_on_offer_means_something():
    zones = box_zones("300x200x120 mm")
    for name in face_names(zones):
        assert any(z.on(name) for z in zones), name


def test_a_face_that_is_not_there_is_refused_with_the_nearest():
    with pytest.raises(Refusal, match="did you mean 'top'"):
        top(finish=("top", "topp"))
    with pytest.raises(Refusal, match="hidden"):
        top(hidden=("lid",))
    with pytest.raises(Refusal, match="no face is left"):
        top(finish=("top",), hidden=("top",))
    with pytest.raises(Refusal, match="1 or more"):
        top(count=0)


def test_a_face_can_be_of_another_wood():
    body = Body(490.0, 280.0, 240.0, 370.0, 97.0)
    part = make_part("guitar", body_zones(body, drawn_outline(body, "guitar")), wood="walnut",
                     woods={"top": "spruce"})  # fmt: skip
    assert {z.face: z.wood for z in part.zones} == {
        "top": "spruce", "back": "walnut", "ribs": "walnut",
    }  # fmt: skip


def test_an_exact_shape_has_no_band_and_a_drawn_one_has():
    assert (top().area_low, top().area_high) == (1.0, 1.0)
    body = Body(355.0, 168.0, 112.0, 206.0, 30.0, 14.5, 15.5)
    neck = default(0.016, "m2", Mark.PRACTICE, "common practice, no source", low=0.012, high=0.02)
    zones = body_zones(body, drawn_outline(body, "violin"), neck=neck)
    part = make_part("violin", zones, marks=(Mark.PUBLISHED, Mark.GUESS))
    assert 0.90 < part.area_low < 0.95
    assert 1.05 < part.area_high < 1.10
    assert part.mark is Mark.GUESS
    figure = part.figure()
    assert figure.low == pytest.approx(part.area_low * part.area_m2)
    assert figure.mark is Mark.GUESS


def test_the_total_shows_its_working():
    legs = make_part("legs", (Zone("", "face", 0.05, face="sides"),), count=4)
    total = total_figure([top(finish=("top",)), legs])
    assert total.number() == pytest.approx(0.84 + 0.2)
    assert total.unit == "m2"
    assert total.working is not None
    assert total.working.evaluate() == pytest.approx(total.number())
    with pytest.raises(Refusal):
        total_figure([])


def test_a_plain_box_is_its_six_outside_faces():
    assert area(box_zones("300x200x120 mm")) == pytest.approx(0.24)
    assert area(box_zones("12 x 8 x 5 in")) == pytest.approx(
        2 * (96 + 60 + 40) * 0.0254**2
    )  # fmt: skip
    assert {z.kind for z in box_zones("300x200x120 mm")} == {"face"}
    assert {z.part for z in box_zones("300x200x120 mm")} == {"box"}
    with pytest.raises(Refusal, match="three"):
        box_zones("300x200 mm")
    with pytest.raises(Refusal, match="no unit"):
        box_zones("300x200x120")
