"""A piece drawn from its sizes: each part to its own scale, bare faces dashed."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from lacwright.bench.charts.draw import NARROW, WIDE, Point, Sheet
from lacwright.files.parts import shapes
from lacwright.surface import Part, body_of, instrument
from lacwright.trade import table

CELL = 220.0
ROOM_W, ROOM_H = 280.0, 130.0
DEPTH = 0.45
"""How long a depth is drawn against a width."""
LEAST = 3.0
"""Thinner stuff is drawn that thick."""


def drawing(parts: Sequence[Part], tables: Sequence[Mapping[str, Any]], width: float = WIDE) -> str:
    """Return all parts of a piece.

    Parameters
    ----------
    parts : sequence of Part
        As read.
    tables : sequence of mapping
        Their tables in the piece file, in the same order.
    width : float
        Of the drawing.
    """
    columns = 1 if width <= NARROW else 2
    rows = math.ceil(len(parts) / columns)
    told = " ".join(
        f"{_caption(p)}: {sizes(t) or p.shape}." for p, t in zip(parts, tables, strict=True)
    )
    sheet = Sheet(width, CELL * rows, "The parts of the piece", told)
    for n, (part, fields) in enumerate(zip(parts, tables, strict=True)):
        left = width / columns * (n % columns)
        top = CELL * (n // columns)
        pen = _Pen(sheet, part, left + (width / columns - ROOM_W) / 2, top + 8)
        key = str(fields.get("shape", "")).lower().replace("_", "-").replace(" ", "-")
        model = shapes()[key].model_validate({**fields, "shape": key})
        _DRAW.get(key, _area)(pen, model)
        sheet.text(left + width / columns / 2, top + 172, _caption(part), "m")
        sheet.text(left + width / columns / 2, top + 192, sizes(fields), "m soft")
    return sheet.svg()


def sizes(fields: Mapping[str, Any]) -> str:
    """Return the sizes of a part as they were written."""
    words = [str(fields[k]) for k in ("size", "diameter", "length", "thickness", "head", "foot",
                                      "area", "developed", "body") if k in fields]  # fmt: skip
    rows = fields.get("rows")
    if isinstance(rows, list):
        words += [f"{r.get('count', 1)} of {r.get('size')}" for r in rows if isinstance(r, Mapping)]
    text = ", ".join(words)
    return text if len(text) <= 44 else f"{text[:43]}…"


def _caption(part: Part) -> str:
    many = f"{part.count} x " if part.count > 1 else ""
    return f"{many}{part.name}, {part.shape}"


class _Pen:
    """Draws one part into its room, to a scale of its own."""

    def __init__(self, sheet: Sheet, part: Part, left: float, top: float) -> None:
        self.sheet, self.part, self.left, self.top = sheet, part, left, top
        self.scale, self.x0, self.y0 = 1.0, left, top

    def fit(self, width: float, height: float) -> None:
        """Take the scale at which so much fits into the room, and put it into the middle."""
        self.scale = min(ROOM_W / max(width, 1e-9), ROOM_H / max(height, 1e-9))
        self.x0 = self.left + (ROOM_W - width * self.scale) / 2
        self.y0 = self.top + (ROOM_H - height * self.scale) / 2

    def at(self, x: float, y: float) -> Point:
        """Return a place on the sheet; y goes down."""
        return self.x0 + x * self.scale, self.y0 + y * self.scale

    def face(self, points: Sequence[Point], face: str) -> None:
        """Draw a face: full if it is finished, dashed if not."""
        kind = "shape" if any(z.face == face for z in self.part.zones) else "hidden"
        self.sheet.area([self.at(x, y) for x, y in points], kind)

    def shape(self, points: Sequence[Point], kind: str = "shape") -> None:
        """Draw an outline."""
        self.sheet.area([self.at(x, y) for x, y in points], kind)

    def line(self, points: Sequence[Point], kind: str = "hidden") -> None:
        """Draw a line."""
        self.sheet.line([self.at(x, y) for x, y in points], kind)


def _block(
    pen: _Pen, wide: float, deep: float, high: float, top: str, front: str, side: str
) -> tuple[float, float]:  # fmt: skip
    """Draw a block seen from the front, above and the right; return the shift of its depth."""
    shift = deep * DEPTH
    dx, dy = shift, shift * 0.6
    pen.fit(wide + dx, high + dy)
    high = max(high, LEAST / pen.scale)
    pen.face([(0, dy), (wide, dy), (wide + dx, 0), (dx, 0)], top)
    pen.face([(wide, dy), (wide + dx, 0), (wide + dx, high), (wide, dy + high)], side)
    pen.face([(0, dy), (wide, dy), (wide, dy + high), (0, dy + high)], front)
    return dx, dy


def _panel(pen: _Pen, model: Any) -> None:
    long, wide, thick = model.size
    _block(pen, long, wide, thick, "top", "side edges", "end edges")


def _box(pen: _Pen, model: Any) -> None:
    long, wide, high = model.size
    dx, dy = _block(pen, long, wide, high, "outside top" if model.lid else "", "outside sides",
                    "outside sides")  # fmt: skip
    if not model.lid:
        t = min(model.wall or 0.0, wide / 3)
        s = t / wide
        pen.line([(t + dx * s, dy * (1 - s)), (long - t + dx * s, dy * (1 - s)),
                  (long - t + dx * (1 - s), dy * s), (t + dx * (1 - s), dy * s),
                  (t + dx * s, dy * (1 - s))])  # fmt: skip


def _carcase(pen: _Pen, model: Any) -> None:
    high, wide, deep = model.size
    _, dy = _block(pen, wide, deep, high, "outside top", "inside back", "outside sides")
    t = model.thickness
    pen.shape([(t, dy + t), (wide - t, dy + t), (wide - t, dy + high - t), (t, dy + high - t)])
    for k in range(min(model.shelves, 30)):
        y = dy + t + (high - 2 * t) * (k + 1) / (model.shelves + 1)
        pen.line([(t, y), (wide - t, y)], "second")


def _frame(pen: _Pen, model: Any) -> None:
    high, wide, _ = model.size
    pen.fit(wide, high)
    pen.face([(0, 0), (wide, 0), (wide, high), (0, high)], "front")
    left, top, bottom = model.stile, model.top_rail, high - model.bottom_rail
    pen.face([(left, top), (wide - left, top), (wide - left, bottom), (left, bottom)], "front")
    for x in (left, wide - left):
        pen.line([(x, 0), (x, high)], "second")


def _disc(pen: _Pen, model: Any) -> None:
    d, thick = model.diameter, model.thickness
    pen.fit(d, d * DEPTH + thick)
    thick = max(thick, LEAST / pen.scale)
    r, flat = d / 2, d * DEPTH / 2
    under = [(r + r * math.cos(a), flat + thick + flat * math.sin(a)) for a in _turn(0, math.pi)]
    pen.face([(d, flat), *under, (0, flat)], "side edges")
    pen.face([(r + r * math.cos(a), flat + flat * math.sin(a)) for a in _turn(0, 2 * math.pi)],
             "top")  # fmt: skip


def _rod(pen: _Pen, model: Any) -> None:
    _round(pen, [0.0, model.length], [model.diameter, model.diameter])


def _turned(pen: _Pen, model: Any) -> None:
    places = [x for x, _ in model.stations]
    _round(pen, [x - places[0] for x in places], [d for _, d in model.stations])


def _round(pen: _Pen, places: Sequence[float], diameters: Sequence[float]) -> None:
    long, wide = places[-1], max(diameters)
    pen.fit(long, wide)
    upper = [(x, (wide - d) / 2) for x, d in zip(places, diameters, strict=True)]
    lower = [(x, (wide + d) / 2) for x, d in zip(places, diameters, strict=True)]
    pen.face([*upper, *reversed(lower)], "round")
    pen.line([(0, wide / 2), (long, wide / 2)])


def _leg(pen: _Pen, model: Any) -> None:
    long, head, foot = model.length, model.head, model.foot
    wide = max(head, foot)
    pen.fit(long, wide)
    a, b = head / 2, foot / 2
    middle = wide / 2
    pen.face([(0, middle - a), (long, middle - b), (long, middle + b), (0, middle + a)], "sides")
    pen.line([(0, middle - a), (0, middle + a)], "line")


def _moulding(pen: _Pen, model: Any) -> None:
    if model.profile:
        xs, ys = [x for x, _ in model.profile], [y for _, y in model.profile]
        pen.fit(max(max(xs) - min(xs), 1e-6), max(max(ys) - min(ys), 1e-6))
        pen.line([(x - min(xs), max(ys) - y) for x, y in model.profile], "line")
        return
    pen.fit(model.length, model.developed or model.length / 20)
    flat = max(model.developed or 0.0, LEAST / pen.scale)
    pen.face([(0, 0), (model.length, 0), (model.length, flat), (0, flat)], "front")


def _rows(pen: _Pen, model: Any) -> None:
    sticks = [row.size for row in model.rows for _ in range(min(row.count, 12))][:24]
    gap = max(s[1] for s in sticks) * 0.3
    long, high = max(s[0] for s in sticks), sum(s[1] + gap for s in sticks)
    pen.fit(long, high)
    y = 0.0
    for stick in sticks:
        pen.shape([(0, y), (stick[0], y), (stick[0], y + stick[1]), (0, y + stick[1])])
        y += stick[1] + gap


def _area(pen: _Pen, model: Any) -> None:
    side = math.sqrt(model.area)
    pen.fit(side, side)
    pen.shape([(0, 0), (side, 0), (side, side), (0, side)])
    pen.line([(0, side), (side, 0)])


def _instrument(pen: _Pen, model: Any) -> None:
    body = body_of(instrument(model.size)) if model.size else None
    long, upper, waist, lower = (
        float(getattr(body or model, name + ("_mm" if body else "")))
        for name in ("body", "upper", "waist", "lower")
    )
    edge = _outline(long, upper, waist, lower, model.family)
    wide = max(upper, lower)
    pen.fit(long, wide)
    middle = wide / 2
    pen.face([*((x, middle - y) for x, y in edge), *((x, middle + y) for x, y in reversed(edge))],
             "top")  # fmt: skip
    if model.family == "guitar":
        x, r = long * 0.35, waist * 0.2
        pen.line([(x + r * math.cos(a), middle + r * math.sin(a)) for a in _turn(0, 2 * math.pi)])
    pen.line([(0, middle), (long, middle)])


def _outline(
    long: float, upper: float, waist: float, lower: float, family: str
) -> list[Point]:  # fmt: skip
    """Return half the outline as the area is reckoned from it: ellipse-like ends, a waved waist."""
    row = table("instrument_outlines")[family]
    at_u, at_w, at_l, n = (row.number(k) for k in ("upper_at", "waist_at", "lower_at", "exponent"))
    turn = _turn(0, math.pi / 2, 24)
    out = [(at_u * long * (1 - math.cos(a) ** (2 / n)), upper / 2 * math.sin(a) ** (2 / n))
           for a in turn]  # fmt: skip
    for begin, end, first, last in ((at_u, at_w, upper, waist), (at_w, at_l, waist, lower)):
        for k in range(1, 25):
            wave = (1 - math.cos(math.pi * k / 24)) / 2
            out.append((long * (begin + (end - begin) * k / 24),
                        (first * (1 - wave) + last * wave) / 2))  # fmt: skip
    out += [(long - (1 - at_l) * long * (1 - math.cos(a) ** (2 / n)),
             lower / 2 * math.sin(a) ** (2 / n)) for a in reversed(turn)]  # fmt: skip
    return out


def _turn(begin: float, end: float, n: int = 40) -> list[float]:
    # Cosines of a right angle are a hair below zero; a power of that is no number.
    return [min(max(begin + (end - begin) * k / n, begin), end - 1e-9) for k in range(n + 1)]


_DRAW = {
    "panel": _panel, "box": _box, "carcase": _carcase, "frame-and-panel": _frame, "disc": _disc,
    "rod": _rod, "turned": _turned, "leg": _leg, "moulding": _moulding, "rows": _rows,
    "guitar": _instrument, "violin": _instrument, "viola": _instrument, "ukulele": _instrument,
}  # fmt: skip
