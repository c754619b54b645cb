"""Zones of a surface, and a part as the sum of its zones."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from lacwright.figures import Basis, Figure, Mark, Num, Refusal, central, computed, nearest, weakest
from lacwright.figures.quantities import read_size

Kind = Literal["face", "edge", "end"]
"""Long grain laid open as a face, side grain of an edge, end grain."""

WORDS: dict[Kind, str] = {"face": "faces", "edge": "edges", "end": "end grain"}
"""The kinds as a maker calls them."""


@dataclass(frozen=True)
class Zone:
    """A stretch of surface that takes finish in one way.

    Parameters
    ----------
    part : str
        Name of the part it belongs to.
    kind : {"face", "edge", "end"}
        How the grain lies: the three drink differently.
    area_m2 : float or array
        Area [m2] of all pieces of the part together.
    wood : str
        Key of the table of woods; "unknown" is a value of its own.
    length_m : float or array
        Length of the arrises [m] booked with this zone. Each arris of a part is booked once,
        with the narrower of the two zones it parts.
    thickness_mm : float, array or None
        Thickness of the stuff [mm] where the shape has one.
    face : str
        Which face it is: "top", "side edges", "outside sides".
    low, high : float
        5th and 95th percentile of true area / `area_m2`; 1 where the shape is exact.
    """

    part: str
    kind: Kind
    area_m2: Num
    wood: str = "unknown"
    length_m: Num = 0.0
    thickness_mm: Num | None = None
    face: str = ""
    low: float = 1.0
    high: float = 1.0

    def on(self, name: str) -> bool:
        """Return whether a person who says `name` means this zone.

        "all" means every zone; otherwise all words must be among the words of the face or of
        the kind, so "edges" means both "side edges" and "end edges", and "outside" every
        outside face.
        """
        wanted = _words(name)
        if wanted == {"all"}:
            return True
        return bool(wanted) and wanted <= _words(self.face) | _KIND_WORDS[self.kind]


@dataclass(frozen=True)
class Part:
    """A part of a piece: what of it is finished and what stays bare.

    Parameters
    ----------
    name, shape : str
        The maker's name for it; the name of its shape.
    zones, bare : tuple of Zone
        Finished zones, and the visible zones that are left bare. Joined and glued faces are in
        neither.
    count : int
        How many of it there are; the zones are of all of them together.
    method : str or None
        Method of finishing, as said in the piece file; None = not said.
    mark, source
        Of the areas: measured shapes are the maker's own, tables bring their own mark.
    warnings : tuple of str
        What the shape leaves out.
    """

    name: str
    zones: tuple[Zone, ...]
    bare: tuple[Zone, ...] = ()
    count: int = 1
    method: str | None = None
    shape: str = ""
    mark: Mark = Mark.OWN
    source: str = "given"
    warnings: tuple[str, ...] = ()

    @property
    def area_m2(self) -> Num:
        """Finished area [m2]."""
        return area(self.zones)

    @property
    def area_low(self) -> float:
        """5th percentile of true area / `area_m2`, all zones erring together."""
        return _share(self.zones, [z.low for z in self.zones])

    @property
    def area_high(self) -> float:
        """95th percentile of true area / `area_m2`, all zones erring together."""
        return _share(self.zones, [z.high for z in self.zones])

    def figure(self) -> Figure:
        """Return the finished area as a figure with its working, by kind of zone."""
        inputs: dict[str, Figure] = {
            kind: _figure(area(zones), self.mark, f"{self.name}: {self.source}")
            for kind in WORDS
            if (zones := [z for z in self.zones if z.kind == kind])
        }
        whole = computed(" + ".join(inputs), "m2", inputs)
        return whole.with_band(
            self.area_low * whole.number(), self.area_high * whole.number()
        )  # fmt: skip


def area(zones: Iterable[Zone], kind: Kind | None = None) -> Num:
    """Return the area [m2] of the zones together, or of one kind of them."""
    total: Num = 0.0
    for zone in zones:
        if kind is None or zone.kind == kind:
            total = total + zone.area_m2
    return total


def total_figure(parts: Sequence[Part]) -> Figure:
    """Return the finished area of all parts as a figure with its working.

    The band adds the parts' bands as if all erred the same way: one model drew them all.
    """
    if not parts:
        raise Refusal("part", "there is no part", "describe at least one [[part]]")
    inputs = {f"part_{n}": part.figure() for n, part in enumerate(parts, start=1)}
    names = ", ".join(f"part_{n} = {part.name}" for n, part in enumerate(parts, start=1))
    whole = computed(" + ".join(inputs), "m2", inputs, note=names)
    return whole.with_band(
        sum(f.low for f in inputs.values() if f.low is not None),
        sum(f.high for f in inputs.values() if f.high is not None),
    )


def make_part(
    name: str, zones: Sequence[Zone], *, wood: str = "unknown", count: int = 1,
    finish: Sequence[str] = ("all",), hidden: Sequence[str] = (),
    woods: Mapping[str, str] | None = None, method: str | None = None, shape: str = "",
    marks: Sequence[Mark] = (Mark.OWN,), source: str = "given", warnings: Sequence[str] = (),
) -> Part:  # fmt: skip
    """Return a part from the zones of one piece of its shape.

    Parameters
    ----------
    name : str
        Name of the part.
    zones : sequence of Zone
        What a shape function returned, for one piece.
    wood : str
        Wood of all zones that `woods` (face name -> wood) does not name.
    count : int
        Number of equal pieces, at least 1.
    finish : sequence of str
        Names of the finished faces, see `Zone.on`.
    hidden : sequence of str
        Faces that are joined or glued: neither finished nor bare.

    Raises
    ------
    Refusal
        For a face that the shape does not have, or if nothing is left to finish.
    """
    if count < 1:
        raise Refusal("count", f"{count} pieces", "write 1 or more")
    for field, wanted in (("hidden", hidden), ("finish", finish)):
        for face in wanted:
            if not any(zone.on(face) for zone in zones):
                raise Refusal(field, f"the shape has no face '{face}'",
                              nearest(face, face_names(zones)))  # fmt: skip
    named = [
        replace(z, part=name, wood=(woods or {}).get(z.face, wood), area_m2=z.area_m2 * count,
                length_m=z.length_m * count)
        for z in zones
    ]  # fmt: skip
    shown = [z for z in named if not any(z.on(face) for face in hidden)]
    done = tuple(z for z in shown if any(z.on(face) for face in finish))
    bare = tuple(z for z in shown if not any(z.on(face) for face in finish))
    if not done:
        raise Refusal("finish", "no face is left to finish", "name at least one open face")
    return Part(name, done, bare, count, method, shape, weakest(*marks), source,
                (*warnings, *_bare_warning(bare)))  # fmt: skip


def face_names(zones: Iterable[Zone]) -> tuple[str, ...]:
    """Return the names that `finish` accepts for a shape with these zones."""
    names = {"all": None}
    for zone in zones:
        names |= {zone.face: None}
        names |= {w: None for w in zone.face.split() if w not in ("side", "other")}
    return tuple(names)


def box_zones(size: str, where: str = "--box") -> tuple[Zone, ...]:
    """Return the six outside faces of a plain closed box from its size as text.

    Parameters
    ----------
    size : str
        Length x width x height outside, with unit: "300x200x120 mm".
    where : str
        Option or field, for the refusal.

    Raises
    ------
    Refusal
        Without a unit, or if there are not three lengths.

    Examples
    --------
    >>> round(area(box_zones("300x200x120 mm")), 6)
    0.24
    """
    from lacwright.surface.flat import box

    lengths = read_size(size, where)
    if len(lengths) != 3:
        raise Refusal(where, f"'{size}' has {len(lengths)} lengths, a box has three",
                      "write length x width x height, e.g. 300x200x120 mm")  # fmt: skip
    length, width, height = lengths
    zones = box(length_mm=length, width_mm=width, height_mm=height)
    return make_part("box", zones).zones


def positive(**lengths: Num | None) -> None:
    """Refuse a length that is zero, negative or not a number; None passes."""
    for name, value in lengths.items():
        if value is None:
            continue
        row = np.asarray(value, dtype=float)
        if not np.all(np.isfinite(row)) or np.any(row <= 0):
            field = name.removesuffix("_mm").removesuffix("_m2")
            raise Refusal(field, "it must be above zero", "measure it and write it with its unit")


_KIND_WORDS: dict[Kind, set[str]] = {
    "face": {"face"}, "edge": {"edge"}, "end": {"end", "grain"},
}  # fmt: skip


def _words(name: str) -> set[str]:
    words = name.lower().replace("-", " ").replace("_", " ").split()
    return {w if len(w) < 4 or w.endswith("ss") else w.removesuffix("s") for w in words}


def _share(zones: Sequence[Zone], shares: Sequence[float]) -> float:
    areas = [central(z.area_m2) for z in zones]
    return sum(a * s for a, s in zip(areas, shares, strict=True)) / sum(areas)


def _figure(value: Num, mark: Mark, source: str) -> Figure:
    number = central(value)
    return Figure(number, number, number, "m2", Basis.COMPUTED, mark, source)


def _bare_warning(bare: Sequence[Zone]) -> tuple[str, ...]:
    faces = list(dict.fromkeys(z.face for z in bare))
    if not faces:
        return ()
    return (
        f"left bare: {', '.join(faces)}. Bare wood takes up and gives off moisture faster than "
        "finished wood, so a part finished on one side only may cup; seal it too, or write "
        "hidden for a joined face",
    )
