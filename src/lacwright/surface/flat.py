"""Flat work: panels, discs, boxes, carcases, doors, slats, an area given."""

from __future__ import annotations

import numpy as np

from lacwright.figures import Num, Refusal
from lacwright.surface.zone import Kind, Zone, positive

MM2 = 1e-6
MM = 1e-3


def panel(*, length_mm: Num, width_mm: Num, thickness_mm: Num) -> tuple[Zone, ...]:
    """Return the zones of a board or table top: 2 L W + 2 T (L + W).

    Parameters
    ----------
    length_mm : float or array
        Along the grain [mm].
    width_mm, thickness_mm : float or array
        Across the grain [mm].

    Returns
    -------
    tuple of Zone
        "top", "bottom", "side edges" (side grain), "end edges" (end grain). The four arrises
        of the length and their like below are booked with the side edges, all others with the
        end edges.

    Raises
    ------
    Refusal
        For a length of zero or less.

    Examples
    --------
    >>> zones = panel(length_mm=1200.0, width_mm=800.0, thickness_mm=22.0)
    >>> round(sum(z.area_m2 for z in zones), 6)
    2.008
    """
    positive(length_mm=length_mm, width_mm=width_mm, thickness_mm=thickness_mm)
    long, wide, thick = length_mm, width_mm, thickness_mm
    return (
        _zone("top", "face", long * wide, 0.0, thick),
        _zone("bottom", "face", long * wide, 0.0, thick),
        _zone("side edges", "edge", 2 * long * thick, 4 * long, thick),
        _zone("end edges", "end", 2 * wide * thick, 4 * (wide + thick), thick),
    )


def disc(*, diameter_mm: Num, thickness_mm: Num) -> tuple[Zone, ...]:
    """Return the zones of a round top: pi d^2 / 2 + pi d T.

    The edge is end grain where it stands within 45 degrees of the grain's direction, which is
    half the way round; the other half is side grain.

    Raises
    ------
    Refusal
        For a length of zero or less.
    """
    positive(diameter_mm=diameter_mm, thickness_mm=thickness_mm)
    plan, rim = np.pi * diameter_mm**2 / 4, np.pi * diameter_mm
    return (
        _zone("top", "face", plan, 0.0, thickness_mm),
        _zone("bottom", "face", plan, 0.0, thickness_mm),
        _zone("side edges", "edge", rim * thickness_mm / 2, rim, thickness_mm),
        _zone("end edges", "end", rim * thickness_mm / 2, rim, thickness_mm),
    )


def box(
    *, length_mm: Num, width_mm: Num, height_mm: Num, wall_mm: Num | None = None,
    lid: bool = True, bottom: bool = True, inside: bool = False,
) -> tuple[Zone, ...]:  # fmt: skip
    """Return the zones of a box, outside sizes given.

    A closed box without `inside` is its six outside faces. All are counted as faces: end grain
    that shows at finger joints and the meeting rims of a lid are not drawn.

    Parameters
    ----------
    length_mm, width_mm, height_mm : float or array
        Outside sizes [mm].
    wall_mm : float, array or None
        Thickness of walls, lid and bottom [mm]; needed for the inside and for an open rim.
    lid, bottom : bool
        Whether there is one; without it the rim of the walls shows.
    inside : bool
        Whether the inside is counted.

    Returns
    -------
    tuple of Zone
        "outside top", "outside bottom", "outside sides", "inside ...", "top rim", "bottom rim".

    Raises
    ------
    Refusal
        For a length of zero or less, a missing wall, walls that fill the box.
    """
    positive(length_mm=length_mm, width_mm=width_mm, height_mm=height_mm, wall_mm=wall_mm)
    long, wide, high = length_mm, width_mm, height_mm
    around = 2 * (long + wide)
    zones = [_zone("outside sides", "face", around * high, 4 * high, wall_mm)]
    ends = {"top": lid, "bottom": bottom}
    for end, there in ends.items():
        if there:
            zones.append(_zone(f"outside {end}", "face", long * wide, around, wall_mm))
    if lid and bottom and not inside:
        return tuple(zones)
    if wall_mm is None:
        raise Refusal("wall", "the thickness of the walls is missing",
                      "give it for an open box or for the inside, e.g. '8 mm'")  # fmt: skip
    long_in, wide_in = long - 2 * wall_mm, wide - 2 * wall_mm
    high_in = high - wall_mm * (int(lid) + int(bottom))
    if any(np.any(np.asarray(v) <= 0) for v in (long_in, wide_in, high_in)):
        raise Refusal("wall", "the walls fill the box", "give the thickness of one wall")
    around_in = 2 * (long_in + wide_in)
    for end, there in ends.items():
        if not there:
            rim = long * wide - long_in * wide_in
            zones.append(_zone(f"{end} rim", "edge", rim, around + around_in, wall_mm))
    if inside:
        zones.append(_zone("inside sides", "face", around_in * high_in, 0.0, wall_mm))
        zones += [_zone(f"inside {end}", "face", long_in * wide_in, 0.0, wall_mm)
                  for end, there in ends.items() if there]  # fmt: skip
    return tuple(zones)


def carcase(
    *, height_mm: Num, width_mm: Num, depth_mm: Num, thickness_mm: Num, shelves: int = 0,
    shelf_mm: Num | None = None, back: bool = True,
) -> tuple[Zone, ...]:  # fmt: skip
    """Return the zones of a bookcase or cabinet carcase, open in front.

    Outside + inside + shelves on both faces + front edges, less the shelf ends and the shelf
    back edges that lie hidden against sides and back.

    Parameters
    ----------
    height_mm, width_mm, depth_mm : float or array
        Outside sizes [mm]; the depth without a back that is laid on.
    thickness_mm : float or array
        Of sides, top and bottom [mm].
    shelves : int
        Fixed or loose shelves between the sides, of the full depth.
    shelf_mm : float, array or None
        Thickness of a shelf [mm]; None = as the sides.
    back : bool
        Whether there is a back. Without it the back edges show.

    Returns
    -------
    tuple of Zone
        "outside top", "outside bottom", "outside sides", "outside back", "inside", "inside
        back", "shelves", "front edges", "back edges".

    Raises
    ------
    Refusal
        For a length of zero or less, fewer than no shelves, or shelves that fill the case.
    """
    shelf = thickness_mm if shelf_mm is None else shelf_mm
    positive(height_mm=height_mm, width_mm=width_mm, depth_mm=depth_mm,
             thickness_mm=thickness_mm, shelf_mm=shelf)  # fmt: skip
    if shelves < 0:
        raise Refusal("shelves", f"{shelves} shelves", "write 0 or more")
    high, wide, deep, t = height_mm, width_mm, depth_mm, thickness_mm
    high_in, wide_in = high - 2 * t, wide - 2 * t
    if np.any(np.asarray(wide_in) <= 0) or np.any(np.asarray(high_in - shelves * shelf) <= 0):
        raise Refusal("thickness", "sides and shelves fill the case",
                      "give the thickness of one board")  # fmt: skip
    edges = high * wide - high_in * wide_in + shelves * wide_in * shelf
    rims = 2 * (high + wide) + 2 * (high_in + wide_in) + 2 * shelves * wide_in
    inside = 2 * (high_in + wide_in) * deep - 2 * shelves * deep * shelf
    zones = [
        _zone("outside top", "face", wide * deep, 0.0, t),
        _zone("outside bottom", "face", wide * deep, 0.0, t),
        _zone("outside sides", "face", 2 * high * deep, 4 * deep, t),
        _zone("inside", "face", inside, 0.0, t),
        _zone("front edges", "edge", edges, rims, t),
    ]
    if shelves:
        zones.append(_zone("shelves", "face", 2 * shelves * wide_in * deep, 0.0, shelf))
    if back:
        inner = high_in * wide_in - shelves * wide_in * shelf
        zones.append(_zone("outside back", "face", high * wide, 2 * (high + wide), None))
        zones.append(_zone("inside back", "face", inner, 0.0, None))
    else:
        zones.append(_zone("back edges", "edge", edges, rims, t))
    return tuple(zones)


def frame_and_panel(
    *, height_mm: Num, width_mm: Num, thickness_mm: Num, stile_mm: Num, top_rail_mm: Num,
    bottom_rail_mm: Num, inset_mm: Num = 0.0, sticking_mm: Num | None = None,
    sticking_width_mm: Num = 0.0,
) -> tuple[Zone, ...]:  # fmt: skip
    """Return the zones of a door: stiles, rails and one panel set in the opening.

    One side is H W + P s, with P the perimeter of the opening and s the inset: the face of the
    panel stands for the opening, the walls of the inset are added. A moulded edge of developed
    width d that takes a strip of width b out of the opening adds (d - b) (P - 4 b) instead,
    since its shadow on the plane is already in H W.

    Parameters
    ----------
    height_mm, width_mm, thickness_mm : float or array
        Of the frame [mm]; the stiles run through over the height.
    stile_mm, top_rail_mm, bottom_rail_mm : float or array
        Face widths [mm].
    inset_mm : float or array
        Depth of the panel's face behind the frame's face [mm], alike front and back.
    sticking_mm, sticking_width_mm : float or array
        Developed width of the moulded edge round the opening, and its width seen from the
        front [mm]; takes the place of the inset.

    Returns
    -------
    tuple of Zone
        "front", "back", "side edges", "end edges" (the stile ends).

    Raises
    ------
    Refusal
        For a length of zero or less, or rails and stiles that leave no opening.
    """
    positive(height_mm=height_mm, width_mm=width_mm, thickness_mm=thickness_mm,
             stile_mm=stile_mm, top_rail_mm=top_rail_mm, bottom_rail_mm=bottom_rail_mm,
             sticking_mm=sticking_mm)  # fmt: skip
    high, wide, t = height_mm, width_mm, thickness_mm
    open_h, open_w = high - top_rail_mm - bottom_rail_mm, wide - 2 * stile_mm
    if np.any(np.asarray(open_h) <= 0) or np.any(np.asarray(open_w) <= 0):
        raise Refusal("stile", "stiles and rails leave no opening",
                      "give the face width of one stile and of one rail")  # fmt: skip
    around = 2 * (open_h + open_w)
    if sticking_mm is None:
        if np.any(np.asarray(inset_mm) < 0):
            raise Refusal("inset", "it is below zero", "give the depth behind the frame's face")
        walls = around * inset_mm
    else:
        if np.any(np.asarray(sticking_mm) < np.asarray(sticking_width_mm)):
            raise Refusal("sticking", "it is developed to less than it is wide",
                          "lay a paper strip over the profile and measure that")  # fmt: skip
        walls = (sticking_mm - sticking_width_mm) * (around - 4 * sticking_width_mm)
    side = high * wide + walls
    return (
        _zone("front", "face", side, around, t),
        _zone("back", "face", side, around, t),
        _zone("side edges", "edge", 2 * (high + open_w) * t, 4 * (high + open_w), t),
        _zone("end edges", "end", 4 * stile_mm * t, 8 * stile_mm + 4 * t, t),
    )


def strip(*, length_mm: Num, width_mm: Num) -> tuple[Zone, ...]:
    """Return the one open face of a slat whose back and edges do not show: L W.

    Raises
    ------
    Refusal
        For a length of zero or less.
    """
    positive(length_mm=length_mm, width_mm=width_mm)
    return (_zone("top", "face", length_mm * width_mm, 2 * length_mm, None),)


def plain(*, area_m2: Num, kind: Kind = "face", length_mm: Num = 0.0) -> tuple[Zone, ...]:
    """Return one zone of an area that the maker measured himself.

    Raises
    ------
    Refusal
        For an area of zero or less.
    """
    positive(area_m2=area_m2)
    face = {"face": "surface", "edge": "edges", "end": "end grain"}[kind]
    return (Zone("", kind, area_m2, length_m=length_mm * MM, face=face),)


def _zone(face: str, kind: Kind, mm2: Num, arris_mm: Num, thick: Num | None) -> Zone:
    return Zone("", kind, mm2 * MM2, length_m=arris_mm * MM, thickness_mm=thick, face=face)
