"""A photograph under films: table against the model, masks, bands, background."""

from itertools import pairwise

import numpy as np
import pytest

from lacwright.colour import de00, find_bare, find_grade_colour, lab_of_srgb, lab_under
from lacwright.colour.correction import brought_to
from lacwright.colour.photo import (
    PHOTO,
    band_edges,
    bare_table,
    exact_srgb,
    film_table,
    lab_of_light,
    lut,
    paint,
    paint_bands,
    palette_of,
    polygon,
    prepare,
)
from lacwright.colour.spaces import srgb_of_lab
from lacwright.figures import Refusal

MAPLE = find_bare("maple")


def packed(code):
    code = np.asarray(code, dtype=np.uint32)
    return code[..., 0] | code[..., 1] << 8 | code[..., 2] << 16


def opened(pixels):
    return np.stack([pixels & 255, pixels >> 8 & 255, pixels >> 16], axis=-1)


def of_wood(n, seed=0):
    """Screen values over the colours that wood has: L* 25 to 92, a* 0 to 18, b* 4 to 34."""
    rng = np.random.default_rng(seed)
    lab = rng.uniform([25, 0, 4], [92, 18, 34], (n, 3))
    return np.rint(255 * srgb_of_lab(lab, PHOTO)).astype(np.uint8)


@pytest.mark.parametrize(("grade", "load"), [("blonde", 60.0), ("amber", 20.0), ("garnet", 70.0)])
def test_the_table_holds_the_model(grade, load):
    lac = [find_grade_colour(grade)]
    code = of_wood(3000)
    palette = palette_of(packed(code).reshape(50, 60))
    made = paint(palette, film_table(prepare(palette, bare=MAPLE), grades=lac, loads_g_m2=[load]))
    right = exact_srgb(code / 255, bare=MAPLE, grades=lac, loads_g_m2=[load])
    seen = opened(made).reshape(-1, 3) / 255
    off = de00(lab_of_srgb(seen, PHOTO), lab_of_srgb(right, PHOTO))
    # Rounding to 8 bits alone leaves 0.2 on average; 0.5 is what the speed is compared at.
    assert off.mean() < 0.5
    assert off.max() < 2.5


def test_the_model_of_a_photo_is_that_of_a_colour():
    # One board of one colour, by the photograph and by `lab_under`: the same film on it.
    amber = find_grade_colour("amber")
    code = srgb_of_lab(np.array(MAPLE.lab), PHOTO)
    lab = lab_of_srgb(exact_srgb(code, bare=MAPLE, grades=[amber], loads_g_m2=[30.0]), PHOTO)
    right = lab_under(bare=MAPLE, grades=[amber], loads_g_m2=[30.0], viewing=PHOTO)
    assert lab == pytest.approx(right, abs=0.01)  # the colour is recovered to 1e-4 of Lab


def test_more_coats_are_never_lighter_and_grades_rank():
    code = of_wood(400, seed=2)
    palette = palette_of(packed(code).reshape(20, 20))
    prepared = prepare(palette, bare=MAPLE)

    def lightness(grade, load):
        # Without wax: its haze makes dark wood lighter.
        lac = find_grade_colour(grade).with_wax(0.0)
        table = film_table(prepared, grades=[lac], loads_g_m2=[load])
        return lab_of_srgb(opened(table) / 255, PHOTO)[:, 0]

    light = [lightness("amber", load) for load in (0, 10, 30, 90)]
    for thin, thick in pairwise(light):
        assert (thick <= thin + 0.5).all()  # half a level of 255 on either side
    depth = [lightness(g, 40.0).mean() for g in ("blonde", "amber", "garnet")]
    assert depth[0] > depth[1] > depth[2]


def test_the_whole_table_runs_red_fastest():
    amber = [find_grade_colour("amber")]
    table = lut(bare=MAPLE, grades=amber, loads_g_m2=[20.0])
    assert table.shape == (17, 17, 17, 3)
    node = np.array([14, 11, 8]) / 16
    right = exact_srgb(node, bare=MAPLE, grades=amber, loads_g_m2=[20.0])
    assert table[8, 11, 14] == pytest.approx(255 * right, abs=0.51)


def test_background_stays_and_every_point_has_its_own_colour():
    rng = np.random.default_rng(1)
    code = rng.integers(0, 256, (40, 30, 3))
    code[20:] = code[:20]  # the same colours on the board and beside it
    board = np.zeros((40, 30), dtype=bool)
    board[:20] = True
    palette = palette_of(packed(code), board)
    assert palette.board_share == 0.5
    assert (opened(palette.codes[palette.index] @ [1, 256, 65536]) == code).all()
    prepared = prepare(palette, bare=MAPLE)
    assert (paint(palette, bare_table(prepared)) == packed(code)).all()
    made = paint(palette, film_table(prepared, grades=[find_grade_colour("garnet")],
                                     loads_g_m2=[50.0]))  # fmt: skip
    assert (made[20:] == packed(code)[20:]).all()
    assert (made[:20] != packed(code)[:20]).mean() > 0.95


def test_many_colours_take_wider_places():
    levels = np.arange(256)
    code = np.stack(np.meshgrid(levels, levels, [90, 160], indexing="ij"), axis=-1)
    palette = palette_of(packed(code.reshape(512, 256, 3)))
    assert palette.index.dtype == np.uint32
    assert len(palette.codes) == 2 * 256 * 256
    assert (palette.counts == 1).all()


def test_bands_are_bare_then_films():
    code = np.full((10, 50, 3), [220, 190, 150])
    palette = palette_of(packed(code))
    prepared = prepare(palette, bare=MAPLE)
    films = [film_table(prepared, grades=[find_grade_colour("garnet")], loads_g_m2=[10.0 * n])
             for n in range(1, 5)]  # fmt: skip
    made = opened(paint_bands(palette, [bare_table(prepared), *films]))
    assert band_edges(50, 5) == [0, 10, 20, 30, 40, 50]
    assert (made[:, :10] == code[:, :10]).all()
    green = [int(made[0, 10 * n + 5, 1]) for n in range(5)]
    assert green == sorted(green, reverse=True)
    assert len(set(green)) == 5
    with pytest.raises(Refusal, match="bands do not fit"):
        band_edges(10, 11)


def test_polygon_by_hand():
    square = polygon([[0.25, 0.25], [0.75, 0.25], [0.75, 0.75], [0.25, 0.75]], 8, 8)
    assert square.sum() == 16
    assert square[2:6, 2:6].all()
    # Half of a square, cut along its diagonal; the points on it go to one side.
    triangle = polygon([[0, 0], [1, 0], [0, 1]], 100, 100)
    assert triangle.sum() == pytest.approx(5000, abs=50)
    assert triangle[0, 98]
    assert not triangle[99, 99]
    # A corner between two points of a row: area by the shoelace formula is 0.5 * 0.8 * 0.9.
    skew = polygon([[0.1, 0.05], [0.9, 0.35], [0.2, 0.95]], 400, 300)
    assert skew.mean() == pytest.approx(0.5 * abs(0.8 * 0.9 - 0.1 * 0.3), rel=0.01)
    for wrong in ([[0, 0], [1, 1]], [[0, 0], [1.2, 0], [1, 1]]):
        with pytest.raises(Refusal):
            polygon(wrong, 10, 10)


def test_a_photo_is_brought_to_a_measured_colour():
    code = of_wood(900, seed=3)
    code = code[code.max(axis=1) < 200][:400]  # a dark exposure
    palette = palette_of(packed(code).reshape(1, -1))
    wished = [75.0, 6.0, 19.0]
    correction = brought_to(palette.mean_light, wished, PHOTO)
    mean = lab_of_light(correction.light(palette.mean_light))
    assert mean == pytest.approx(wished, abs=0.01)
    with pytest.raises(Refusal, match="too far"):
        brought_to(palette.mean_light / 50, wished, PHOTO)


def test_nothing_marked_and_a_wrong_load_are_refused():
    pixels = packed(np.full((4, 4, 3), 180))
    with pytest.raises(Refusal, match="nothing of the photo"):
        palette_of(pixels, np.zeros((4, 4), dtype=bool))
    prepared = prepare(palette_of(pixels), bare=MAPLE)
    lac = [find_grade_colour("amber")]
    for loads in ([-1.0], [float("nan")], [1.0, 2.0]):
        with pytest.raises(Refusal):
            film_table(prepared, grades=lac, loads_g_m2=loads)


def test_overexposed_share():
    code = np.full((10, 10, 3), 180)
    code[:3] = [255, 240, 200]
    assert palette_of(packed(code)).clipped_share == pytest.approx(0.3)
