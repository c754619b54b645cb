"""One part from one size as people type it: "300x200x120 mm" of a box, or an area."""

from __future__ import annotations

from lacwright.figures import Refusal
from lacwright.figures import units as u
from lacwright.figures.quantities import read, read_size
from lacwright.surface.flat import panel, plain
from lacwright.surface.zone import Part, box_zones, make_part


def part_typed(shape: str, size: str, *, wood: str = "unknown", where: str = "") -> Part:
    """Return a part of a simple shape.

    Parameters
    ----------
    shape : "box", "panel" or "area"
        A closed box from outside; a board with both faces and its edges; an area.
    size : str
        Three lengths with a unit, or an area.
    wood : str
        Key of the table of woods.
    where : str
        For the refusal; the shape as an option where empty.

    Raises
    ------
    Refusal
        For a size that is none.
    """
    where = where or f"--{shape}"
    if shape == "box":
        return make_part("box", box_zones(size), wood=wood, shape="box")
    if shape == "panel":
        sizes = read_size(size, where)
        if len(sizes) != 3:
            raise Refusal(where, f"'{size}' has {len(sizes)} lengths",
                          "write length x width x thickness, e.g. 600x400x20 mm")  # fmt: skip
        length, width, thickness = sizes
        zones = panel(length_mm=length, width_mm=width, thickness_mm=thickness)
        return make_part("panel", zones, wood=wood, shape="panel")
    return part_of_area(read(size, u.AREA, where), wood=wood, where=where)


def part_of_area(area_m2: float, *, wood: str = "unknown", where: str = "--area") -> Part:
    """Return a part of which only the area is known [m2].

    Raises
    ------
    Refusal
        For an area of nothing.
    """
    if area_m2 <= 0:
        raise Refusal(where, "an area of nothing", "write e.g. 0.5 m2")
    return make_part("piece", plain(area_m2=area_m2), wood=wood, shape="area")
