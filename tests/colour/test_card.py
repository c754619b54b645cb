"""A reference card in a photograph, drawn by the tests with a camera that is known."""

import numpy as np
import pytest

from lacwright.colour import Viewing, de00
from lacwright.colour.card import Card, fit_card, read_patches, reference_card
from lacwright.colour.correction import LINEAR, ROOTS, Correction, terms_of
from lacwright.colour.screen import code_of_light, light_of_xyz, xyz_of_light
from lacwright.colour.spaces import lab_of_xyz, xyz_of_lab
from lacwright.figures import Mark, Refusal

CARD = reference_card()
WIDTH, HEIGHT = 900, 600
SQUARE = np.array([[0.1, 0.15], [0.9, 0.15], [0.9, 0.85], [0.1, 0.85]])
CAMERA = np.array([[0.80, 0.10, 0.02], [0.15, 0.85, 0.10], [0.05, 0.05, 0.70]])


def light_of(card):
    return light_of_xyz(xyz_of_lab(card.lab, card.viewing), card.viewing)


def photographed(*, camera=CAMERA, exposure=0.8, falls=0.0, turned=False, noise=0.01, keystone=0.0):
    """Return a photo of the card in even rows and columns, or seen at a slant."""
    rng = np.random.default_rng(5)
    light = np.maximum(light_of(CARD) @ camera, 0) * exposure
    x, y = np.meshgrid((np.arange(WIDTH) + 0.5) / WIDTH, (np.arange(HEIGHT) + 0.5) / HEIGHT)
    # A slant: the nearer side is larger. This is a projective map, worked out by hand.
    scale = 1 + keystone * (x - 0.5)
    u = (x - 0.1) / 0.8 if not keystone else ((x - 0.5) / scale + 0.4) / 0.8
    v = ((y - 0.5) / scale + 0.35) / 0.7
    on = (u >= 0) & (u < 1) & (v >= 0) & (v < 1)
    patch = np.clip(v * 4, 0, 3).astype(int) * 6 + np.clip(u * 6, 0, 5).astype(int)
    if turned:
        patch = 23 - patch
    seen = np.where(on[..., None], light[patch], 0.2)
    seen = seen * np.exp(falls * (x - 0.5))[..., None]
    seen = seen * (1 + noise * rng.normal(size=(HEIGHT, WIDTH, 1)))
    code = np.rint(255 * code_of_light(seen)).astype(np.uint32)
    return code[..., 0] | code[..., 1] << 8 | code[..., 2] << 16


def corners(keystone=0.0):
    if not keystone:
        return SQUARE
    out = []
    for u, v in ((0, 0), (1, 0), (1, 1), (0, 1)):
        a = 0.8 * u - 0.4  # (x - 0.5) / (1 + k (x - 0.5)) = a
        along = a / (1 - keystone * a)
        out.append([0.5 + along, 0.5 + (0.7 * v - 0.35) * (1 + keystone * along)])
    return np.array(out)


def fitted(at=SQUARE, **how):
    return fit_card(read_patches(photographed(**how), at, CARD), CARD)


def test_a_camera_that_is_a_matrix_is_undone():
    fit = fitted()
    # 24 x 24 points of 1 % noise in each patch, and 8 bits: about 0.1.
    assert fit.mean_de00 < 0.3
    assert fit.left_out < 0.4
    wood = np.array([[65.0, 10.5, 21.5], [84.0, 3.2, 16.5], [43.0, 7.0, 13.5]])
    light = light_of_xyz(xyz_of_lab(wood, CARD.viewing), CARD.viewing)
    back = fit.correction.light(light @ CAMERA * 0.8)
    lab = lab_of_xyz(xyz_of_light(back, CARD.viewing), CARD.viewing)
    assert de00(lab, wood).max() < 0.5
    assert fit.mark is Mark.LIBRARY


def test_a_card_at_a_slant_and_one_that_lies_the_other_way_round():
    assert fitted(corners(0.5), keystone=0.5).mean_de00 < 0.3
    fit = fitted(turned=True)
    assert fit.mean_de00 < 0.3
    assert fit.turned == 2
    assert "third corner" in fit.words()


def test_the_light_that_falls_off_is_told_and_refused():
    # ln(light) falls by 0.1 over the photo, of whose width the card takes 0.8.
    assert fitted(falls=0.1).gradient == pytest.approx((0.08, 0.0), abs=0.01)
    with pytest.raises(Refusal, match="uneven"):
        fitted(falls=0.4)


@pytest.mark.parametrize(("how", "at", "says"), [
    ({"exposure": 1.7}, SQUARE, "clipped"),
    ({"exposure": 0.01}, SQUARE, "too dark"),
    ({}, SQUARE + np.array([0.06, 0.0]), "not even"),
    ({}, SQUARE[::-1], "clockwise"),
    ({}, SQUARE * 2, "in the photo"),
    ({}, 0.5 + SQUARE * 0.02, "smaller than"),
])  # fmt: skip
def test_what_cannot_be_used_is_refused_with_the_reason(how, at, says):
    with pytest.raises(Refusal, match=says):
        fitted(at, **how)


def test_another_card_does_not_fit():
    mixed = np.random.default_rng(3).permutation(24)
    other = Card(4, 6, CARD.lab[mixed], CARD.viewing)
    with pytest.raises(Refusal, match="do not fit"):
        fit_card(read_patches(photographed(), SQUARE, CARD), other)


def test_roots_keep_the_exposure():
    rng = np.random.default_rng(2)
    light = rng.uniform(0, 1, (50, 3))
    correction = Correction(ROOTS, rng.normal(size=(6, 3)))
    assert correction.light(3 * light) == pytest.approx(3 * correction.light(light))
    assert terms_of([0.25, 1.0, 0.04], ROOTS)[3:] == pytest.approx([0.5, 0.2, 0.1])


def test_own_chips_need_a_few_and_a_colour_each():
    with pytest.raises(Refusal, match="fix no correction"):
        Card(1, 3, np.full((3, 3), 50.0), Viewing())
    with pytest.raises(Refusal, match="colours"):
        Card(2, 3, np.full((5, 3), 50.0), Viewing())
    lab = np.array([[85, 3, 17], [65, 10, 22], [45, 8, 14], [55, 13, 40], [30, 5, 8], [75, 1, 2]])
    chips = Card(2, 3, lab.astype(float), Viewing("D65", 2))
    light = light_of(chips) @ CAMERA
    code = np.rint(255 * code_of_light(light)).astype(np.uint32).reshape(2, 3, 3)
    photo = np.kron(code[..., 0] | code[..., 1] << 8 | code[..., 2] << 16,
                    np.ones((60, 60), dtype=np.uint32))  # fmt: skip
    whole = [[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]]
    fit = fit_card(read_patches(photo, whole, chips), chips)
    assert fit.correction.kind == LINEAR
    assert fit.mean_de00 < 0.5  # rounding to 8 bits
