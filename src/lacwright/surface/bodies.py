"""Bodies of instruments: an outline from length and three widths, plates, ribs, neck."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from lacwright.figures import Figure, Mark, Num, Refusal, weakest
from lacwright.surface.flat import MM, MM2
from lacwright.surface.zone import Zone, positive
from lacwright.trade import Row, table

POINTS = 300
"""Points on each end of a drawn outline: border and area are then within 1e-4."""
CM2_MM2 = 100.0


@dataclass(frozen=True)
class Outline:
    """A closed outline seen from above.

    Parameters
    ----------
    plan_mm2, border_mm : float or array
        Area [mm2] and length of its border [mm].
    plan_low, plan_high : float
        5th and 95th percentile of the true area / `plan_mm2`.
    rib, rib_low, rib_high : float
        True length of the ribs / `border_mm`: central, 5th and 95th percentile.
    """

    plan_mm2: Num
    border_mm: Num
    plan_low: float = 1.0
    plan_high: float = 1.0
    rib: float = 1.0
    rib_low: float = 1.0
    rib_high: float = 1.0


@dataclass(frozen=True)
class Body:
    """The sizes of an instrument's body and where they come from.

    Parameters
    ----------
    body_mm, upper_mm, waist_mm, lower_mm : float or array
        Length and the three widths [mm].
    ribs_mm : float or array
        Mean height of the ribs [mm].
    arch_back_mm, arch_belly_mm : float or array
        Height of the arching [mm]; 0 = flat.
    """

    body_mm: Num
    upper_mm: Num
    waist_mm: Num
    lower_mm: Num
    ribs_mm: Num
    arch_back_mm: Num = 0.0
    arch_belly_mm: Num = 0.0
    mark: Mark = Mark.OWN
    source: str = "given"


def outline(
    *, body_mm: Num, upper_mm: Num, waist_mm: Num, lower_mm: Num, upper_at: float,
    waist_at: float, lower_at: float, exponent: float,
) -> tuple[Num, Num]:  # fmt: skip
    """Return area [mm2] and border [mm] of an outline drawn from length and three widths.

    A quarter of a superellipse (|x/a|^n + |y/b|^n = 1) from each end to the widest place, half
    a cosine wave from there to the waist. Corners are not drawn.

    Parameters
    ----------
    body_mm : float or array
        Length [mm].
    upper_mm, waist_mm, lower_mm : float or array
        Widths of the upper bout, the waist and the lower bout [mm].
    upper_at, waist_at, lower_at : float
        Where they lie, as a share of the length from the neck, in this order.
    exponent : float
        n of both ends, above 1; 2 is an ellipse.

    Raises
    ------
    Refusal
        For a length of zero or less, or a waist wider than a bout.
    """
    positive(body_mm=body_mm, upper_mm=upper_mm, waist_mm=waist_mm, lower_mm=lower_mm)
    if np.any(np.asarray(waist_mm) > np.minimum(upper_mm, lower_mm)):
        raise Refusal("waist", "it is wider than a bout",
                      "give the narrowest width between the two bouts")  # fmt: skip
    turn = np.linspace(0.0, np.pi / 2, POINTS)
    along = 1 - np.cos(turn) ** (2 / exponent)
    across = np.sin(turn) ** (2 / exponent)
    wave = (1 - np.cos(np.pi * np.linspace(0.0, 1.0, POINTS))) / 2
    place = np.linspace(0.0, 1.0, POINTS)
    pieces = (
        (upper_at * along, across, 0 * across),
        (upper_at + (waist_at - upper_at) * place, 1 - wave, wave),
        (waist_at + (lower_at - waist_at) * place, wave, 1 - wave),
        (1 - (1 - lower_at) * along[::-1], across[::-1], 0 * across),
    )
    length, upper, waist, lower = np.broadcast_arrays(
        *(np.asarray(v, dtype=float) for v in (body_mm, upper_mm, waist_mm, lower_mm))
    )
    half_plan: Num = 0.0
    half_border: Num = 0.0
    for (x_share, wide, narrow), bout in zip(pieces, (upper, upper, lower, lower), strict=True):
        x = np.multiply.outer(x_share, length)
        y = np.multiply.outer(wide, bout / 2) + np.multiply.outer(narrow, waist / 2)
        dx, dy = np.diff(x, axis=0), np.diff(y, axis=0)
        half_plan = half_plan + ((y[1:] + y[:-1]) / 2 * dx).sum(axis=0)
        half_border = half_border + np.hypot(dx, dy).sum(axis=0)
    return 2 * half_plan, 2 * half_border


def drawn_outline(body: Body, family: str) -> Outline:
    """Return the outline of a body by the drawing rule of its family, with its error.

    Parameters
    ----------
    body : Body
        Length and widths.
    family : str
        Key of the table of outlines: "violin" or "guitar".

    Raises
    ------
    Refusal
        See `outline`.
    """
    row = table("instrument_outlines")[family]
    plan, border = outline(
        body_mm=body.body_mm, upper_mm=body.upper_mm, waist_mm=body.waist_mm,
        lower_mm=body.lower_mm, upper_at=row.number("upper_at"), waist_at=row.number("waist_at"),
        lower_at=row.number("lower_at"), exponent=row.number("exponent"),
    )  # fmt: skip
    return Outline(plan, border, row.number("plan_low"), row.number("plan_high"),
                   row.number("rib"), row.number("rib_low"), row.number("rib_high"))  # fmt: skip


def traced_outline(*, plan_mm2: Num, border_mm: Num) -> Outline:
    """Return an outline that the maker traced himself, corners and all, with its error.

    Parameters
    ----------
    plan_mm2 : float or array
        Area [mm2], say by weighing the cut-out card against a square of the same card.
    border_mm : float or array
        Length of its border [mm], say by a thread.

    Raises
    ------
    Refusal
        For values of zero or less, or a border shorter than that of a circle of this area.
    """
    positive(plan_mm2=plan_mm2, border_mm=border_mm)
    if np.any(np.asarray(border_mm) ** 2 < 4 * np.pi * np.asarray(plan_mm2)):
        raise Refusal("border", "it is too short to hold that area",
                      "lay a thread once round the outline and measure it")  # fmt: skip
    row = table("instrument_outlines")["traced"]
    return Outline(plan_mm2, border_mm, row.number("plan_low"), row.number("plan_high"),
                   row.number("rib"), row.number("rib_low"), row.number("rib_high"))  # fmt: skip


def arch_factor(*, arch_mm: Num, length_mm: Num, width_mm: Num) -> Num:
    """Return the area of an arched plate / the area of its plan.

    A shallow parabolic cap of height h over an ellipse with half axes a and b:
    1 + h^2 (1 / a^2 + 1 / b^2) / 2, which for a circle is the spherical cap's 1 + (h / a)^2.
    Good to 0.001 for h below a quarter of the width.

    Parameters
    ----------
    arch_mm : float or array
        Height h [mm], 0 = flat.
    length_mm, width_mm : float or array
        Both axes of the ellipse [mm]: the body's length, the mean of its three widths.

    Raises
    ------
    Refusal
        For an arch below zero or above a quarter of the width.
    """
    positive(length_mm=length_mm, width_mm=width_mm)
    arch = np.asarray(arch_mm, dtype=float)
    if np.any(arch < 0) or np.any(arch > np.asarray(width_mm) / 4):
        raise Refusal("arch", "it is below zero or higher than a quarter of the width",
                      "give its height over the edge, 0 for a flat plate")  # fmt: skip
    return 1 + arch_mm**2 * (4 / length_mm**2 + 4 / width_mm**2) / 2


def body_zones(
    body: Body, line: Outline, *, openings_mm2: Num = 0.0, neck: Figure | None = None
) -> tuple[Zone, ...]:
    """Return the zones of an instrument: top, back, ribs, and the neck if its area is known.

    Parameters
    ----------
    body : Body
        Sizes.
    line : Outline
        Its outline, drawn or traced.
    openings_mm2 : float or array
        Sound hole or f-holes [mm2], taken off the top.
    neck : Figure or None
        Area of neck and scroll or head [m2]; None = not counted.

    Returns
    -------
    tuple of Zone
        "top", "back", "ribs", "neck"; the arrises of the plates are booked with the ribs.

    Raises
    ------
    Refusal
        For ribs of no height, or openings larger than the top.
    """
    positive(ribs_mm=body.ribs_mm)
    bout = (body.upper_mm + body.waist_mm + body.lower_mm) / 3
    sizes = {"length_mm": body.body_mm, "width_mm": bout}
    top = line.plan_mm2 * arch_factor(arch_mm=body.arch_belly_mm, **sizes) - openings_mm2
    back = line.plan_mm2 * arch_factor(arch_mm=body.arch_back_mm, **sizes)
    if np.any(np.asarray(top) <= 0):
        raise Refusal("openings", "they are larger than the top", "give the area of the holes")
    border = line.border_mm * line.rib
    low, high = line.plan_low, line.plan_high
    zones = [
        Zone("", "face", top * MM2, face="top", low=low, high=high),
        Zone("", "face", back * MM2, face="back", low=low, high=high),
        Zone("", "face", border * body.ribs_mm * MM2, face="ribs", length_m=2 * border * MM,
             low=line.rib_low / line.rib, high=line.rib_high / line.rib),
    ]  # fmt: skip
    if neck is not None:
        area = neck.number()
        zones.append(Zone("", "face", area, face="neck", low=(neck.low or area) / area,
                          high=(neck.high or area) / area))  # fmt: skip
    return tuple(zones)


def instrument(name: str, where: str = "size") -> Row:
    """Return the row of a named size of instrument ("violin 3/4", "classical guitar").

    Raises
    ------
    Refusal
        For an unknown name, with the nearest right one.
    """
    return table("instruments").find(name, where)


def body_of(row: Row) -> Body:
    """Return the body of a named size."""
    return Body(
        row.number("body"), row.number("upper"), row.number("waist"), row.number("lower"),
        row.number("ribs"), row.number("arch_back"), row.number("arch_belly"), row.mark,
        f"{row.source} ({row.key})",
    )  # fmt: skip


def extra(row: Row, what: str) -> Figure:
    """Return neck or openings [m2] of a named size, scaled with the square of the body."""
    entry = table("instrument_extras")[f"{row.text('extras')}.{what}"]
    scale = (row.number("body") / entry.number("body")) ** 2 * CM2_MM2 * MM2
    figure = entry.figure(unit="m2")
    low, high = figure.low or 0.0, figure.high or 0.0
    return Figure(figure.number() * scale, low * scale, high * scale, "m2", figure.basis,
                  figure.mark, figure.source)  # fmt: skip


def outline_mark(family: str, body: Body) -> Mark:
    """Return the mark of areas that rest on a drawn outline."""
    return weakest(body.mark, table("instrument_outlines")[family].mark)
