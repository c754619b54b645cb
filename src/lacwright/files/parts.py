"""The `[[part]]` tables of a piece file: shapes as people write them, to parts with zones."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, StrictBool, ValidationError
from pydantic import ValidationInfo as Info

from lacwright.figures import Mark, Refusal, Refusals, nearest
from lacwright.figures import units as u
from lacwright.figures.quantities import read, read_size
from lacwright.figures.spoken import an
from lacwright.files.part_refusals import refusals_of
from lacwright.files.words import shown
from lacwright.surface import (
    Kind,
    Part,
    Zone,
    box,
    carcase,
    developed,
    disc,
    frame_and_panel,
    make_part,
    moulding,
    panel,
    plain,
    rod,
    strip,
    tapered_leg,
    turned,
)
from lacwright.trade import table

PART_TABLE = "part"
"""The one top-level table of a piece file that is read here."""


def read_parts(
    tables: object, where: str = PART_TABLE, *, wood: str | None = None
) -> tuple[Part, ...]:
    """Return the parts that the `[[part]]` tables describe.

    Parameters
    ----------
    tables : list of dict
        As tomllib gives `[[part]]`.
    where : str
        What the tables are called, for refusals: "part 2 (leg): length".
    wood : str or None
        Wood of the parts that do not say theirs; None = each must say it.

    Raises
    ------
    Refusals
        All that is wrong, each with its place.
    """
    if not isinstance(tables, list) or not all(isinstance(t, dict) for t in tables):
        raise Refusal(where, "parts are not written as tables",
                      f"begin each part with [[{where}]]")  # fmt: skip
    if not tables:
        raise Refusal(where, "there is no part", f"describe at least one [[{where}]]")
    parts: list[Part] = []
    wrong: list[Refusal] = []
    seen: dict[str, int] = {}
    for n, fields in enumerate(tables, start=1):
        name = fields.get("name")
        place = f"{where} {n} ({name})" if isinstance(name, str) and name else f"{where} {n}"
        if isinstance(name, str) and name in seen:
            wrong.append(Refusal(f"{place}: name", f"{where} {seen[name]} has the same name",
                                 "give each its own, or one part with a count"))  # fmt: skip
        elif isinstance(name, str):
            seen[name] = n
        try:
            parts.append(_part({"wood": wood, **fields} if wood else fields))
        except Refusals as several:
            wrong += [r.at(f"{place}: {r.where}") for r in several.each]
        except Refusal as one:
            wrong.append(one.at(f"{place}: {one.where}"))
    if wrong:
        raise Refusals(wrong)
    return tuple(parts)


def _length(value: Any, info: Info) -> float:
    return _quantity(value, u.LENGTH, info)


def _area(value: Any, info: Info) -> float:
    return _quantity(value, u.AREA, info)


def _quantity(value: Any, kind: u.Kind, info: Info) -> float:
    field = info.field_name or kind.name
    if not isinstance(value, str | int | float):
        raise Refusal(field, f"it is not {an(kind.name)}", f'write e.g. "{kind.example}"')
    return read(value, kind, field)


def _size(value: Any, info: Info) -> tuple[float, ...]:
    field = info.field_name or "size"
    if not isinstance(value, str):
        raise Refusal(field, "it is not a size with its unit", 'write e.g. "1200x700x22 mm"')
    return read_size(value, field)


def _names(value: Any, info: Info) -> tuple[str, ...]:
    names = [value] if isinstance(value, str) else value
    if not isinstance(names, list | tuple) or not all(isinstance(n, str) for n in names):
        raise Refusal(info.field_name or "finish", "it is not a list of faces",
                      'write e.g. ["top", "edges"]')  # fmt: skip
    return tuple(names)


def _wood(value: Any, info: Info) -> str:
    field = info.field_name or "wood"
    if not isinstance(value, str):
        raise Refusal(field, "it is not the name of a wood", 'write e.g. "cherry"')
    return table("woods").find(value, field).key


def _kind(value: Any, info: Info) -> str:
    known = {"face": "face", "edge": "edge", "end": "end", "end grain": "end"}
    if not isinstance(value, str) or value.lower() not in known:
        raise Refusal(info.field_name or "kind", f"'{value}' is not a kind of surface",
                      nearest(str(value), known))  # fmt: skip
    return known[value.lower()]


Length = Annotated[float, BeforeValidator(_length)]
Area = Annotated[float, BeforeValidator(_area)]
Size = Annotated[tuple[float, ...], BeforeValidator(_size)]
Names = Annotated[tuple[str, ...], BeforeValidator(_names)]
Wood = Annotated[str, BeforeValidator(_wood)]
Count = Annotated[int, Field(ge=1, le=100_000, strict=True)]
Points = Annotated[list[tuple[float, float]], Field(min_length=2)]


class PartFields(BaseModel):
    """What every part may say, whatever its shape."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)

    name: Annotated[str, Field(min_length=1, strict=True)]
    shape: str
    wood: Wood
    count: Count = 1
    finish: Names = ("all",)
    hidden: Names = ()
    method: Annotated[str, Field(min_length=1, strict=True)] | None = None

    def zones(self) -> tuple[Zone, ...]:
        """Return the zones of one piece."""
        raise NotImplementedError

    def woods(self) -> Mapping[str, str]:
        """Return the woods of faces that are not of the part's wood."""
        return {}

    def marks(self) -> Sequence[Mark]:
        """Return the marks of the sizes; the maker's own by default."""
        return (Mark.OWN,)

    def source(self) -> str:
        """Return where the sizes are from."""
        return "sizes given"

    def warnings(self) -> Sequence[str]:
        """Return what the shape leaves out."""
        return ()

    def part(self) -> Part:
        """Return the part."""
        return make_part(
            self.name, self.zones(), wood=self.wood, count=self.count, finish=self.finish,
            hidden=self.hidden, woods=self.woods(), method=self.method, shape=self.shape,
            marks=self.marks(), source=self.source(), warnings=self.warnings(),
        )  # fmt: skip


class PanelFields(PartFields):
    """A board or table top: size = length along the grain x width x thickness."""

    size: Size

    def zones(self) -> tuple[Zone, ...]:
        """Return the zones of one piece."""
        long, wide, thick = _three(self.size, "length x width x thickness")
        return panel(length_mm=long, width_mm=wide, thickness_mm=thick)


class DiscFields(PartFields):
    """A round top."""

    diameter: Length
    thickness: Length

    def zones(self) -> tuple[Zone, ...]:
        """Return the zones of one piece."""
        return disc(diameter_mm=self.diameter, thickness_mm=self.thickness)


class BoxFields(PartFields):
    """A box: size = length x width x height outside."""

    size: Size
    wall: Length | None = None
    lid: StrictBool = True
    bottom: StrictBool = True
    inside: StrictBool = False

    def zones(self) -> tuple[Zone, ...]:
        """Return the zones of one piece."""
        long, wide, high = _three(self.size, "length x width x height")
        return box(length_mm=long, width_mm=wide, height_mm=high, wall_mm=self.wall,
                   lid=self.lid, bottom=self.bottom, inside=self.inside)  # fmt: skip

    def warnings(self) -> Sequence[str]:
        """Return what the shape leaves out."""
        said = ["end grain that shows at corner joints is counted as face"]
        if self.lid:
            said.append("the meeting rims of lid and walls are not counted")
        return said


class CarcaseFields(PartFields):
    """A bookcase or cabinet open in front: size = height x width x depth."""

    size: Size
    thickness: Length
    shelves: Annotated[int, Field(ge=0, le=1000, strict=True)] = 0
    shelf: Length | None = None
    back: StrictBool = True

    def zones(self) -> tuple[Zone, ...]:
        """Return the zones of one piece."""
        high, wide, deep = _three(self.size, "height x width x depth")
        return carcase(height_mm=high, width_mm=wide, depth_mm=deep, back=self.back,
                       thickness_mm=self.thickness, shelves=self.shelves,
                       shelf_mm=self.shelf)  # fmt: skip

    def warnings(self) -> Sequence[str]:
        """Return what the shape leaves out."""
        return ("end grain that shows at corner joints is counted as face",)


class FrameFields(PartFields):
    """A frame-and-panel door: size = height x width x thickness."""

    size: Size
    stile: Length
    top_rail: Length
    bottom_rail: Length
    inset: Length = 0.0
    sticking: Length | None = None
    sticking_width: Length = 0.0

    def zones(self) -> tuple[Zone, ...]:
        """Return the zones of one piece."""
        high, wide, thick = _three(self.size, "height x width x thickness")
        return frame_and_panel(
            height_mm=high, width_mm=wide, thickness_mm=thick, stile_mm=self.stile,
            top_rail_mm=self.top_rail, bottom_rail_mm=self.bottom_rail, inset_mm=self.inset,
            sticking_mm=self.sticking, sticking_width_mm=self.sticking_width,
        )  # fmt: skip


class MouldingFields(PartFields):
    """A moulding: its run, and its profile as points or as the width laid flat."""

    length: Length
    developed: Length | None = None
    profile: Points | None = None
    unit: str | None = None

    def zones(self) -> tuple[Zone, ...]:
        """Return the zones of one piece."""
        if (self.developed is None) == (self.profile is None):
            raise Refusal("developed", "a moulding has either a developed width or a profile",
                          "give one of the two")  # fmt: skip
        width = self.developed
        if width is None:
            scale = _scale(self.unit)
            width = float(developed([(x * scale, y * scale) for x, y in self.profile or ()]))
        return moulding(run_mm=self.length, developed_mm=width)

    def warnings(self) -> Sequence[str]:
        """Return what the shape leaves out."""
        return ("only the show face of the moulding is counted, not its back and cut ends",)


class TurnedFields(PartFields):
    """A turning: [place, diameter] from one end to the other, in `unit`."""

    stations: Points
    unit: str | None = None
    smooth: StrictBool = False

    def zones(self) -> tuple[Zone, ...]:
        """Return the zones of one piece."""
        scale = _scale(self.unit)
        return turned(stations_mm=[x * scale for x, _ in self.stations],
                      diameters_mm=[d * scale for _, d in self.stations],
                      smooth=self.smooth)  # fmt: skip

    def warnings(self) -> Sequence[str]:
        """Return what the shape leaves out."""
        if self.smooth:
            return ("a smooth curve is drawn through the stations",)
        return ("straight tapers are drawn between the stations; smooth = true draws a curve",)


class LegFields(PartFields):
    """A square leg, tapered alike on all sides. Its head lies against the top."""

    length: Length
    head: Length
    foot: Length
    hidden: Names = ("head",)

    def zones(self) -> tuple[Zone, ...]:
        """Return the zones of one piece."""
        return tapered_leg(head_mm=self.head, foot_mm=self.foot, length_mm=self.length)


class RodFields(PartFields):
    """A round leg or rod."""

    diameter: Length
    length: Length

    def zones(self) -> tuple[Zone, ...]:
        """Return the zones of one piece."""
        return rod(diameter_mm=self.diameter, length_mm=self.length)


class Row(BaseModel):
    """A row of a list of sticks: length x width for one face, x thickness for all round."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    size: Size
    count: Count = 1


class RowsFields(PartFields):
    """A list of slats or sticks."""

    rows: Annotated[list[Row], Field(min_length=1)]

    def zones(self) -> tuple[Zone, ...]:
        """Return the zones of one piece."""
        zones: list[Zone] = []
        for n, row in enumerate(self.rows, start=1):
            if len(row.size) == 2:
                one = strip(length_mm=row.size[0], width_mm=row.size[1])
            elif len(row.size) == 3:
                long, wide, thick = row.size
                one = panel(length_mm=long, width_mm=wide, thickness_mm=thick)
            else:
                raise Refusal(f"rows {n}: size", f"it has {len(row.size)} lengths",
                              "write length x width, or length x width x thickness")  # fmt: skip
            zones += make_part("row", one, count=row.count).zones
        return tuple(zones)

    def warnings(self) -> Sequence[str]:
        """Return what the shape leaves out."""
        if any(len(row.size) == 2 for row in self.rows):
            return ("a row of length x width counts one face of each stick",)
        return ()


class AreaFields(PartFields):
    """An area that the maker measured himself."""

    area: Area
    kind: Annotated[str, BeforeValidator(_kind)] = "face"
    length: Length = 0.0

    def zones(self) -> tuple[Zone, ...]:
        """Return the zones of one piece."""
        kinds: dict[str, Kind] = {"face": "face", "edge": "edge", "end": "end"}
        return plain(area_m2=self.area, kind=kinds[self.kind], length_mm=self.length)

    def source(self) -> str:
        """Return where the sizes are from."""
        return "area given"


def shapes() -> dict[str, type[PartFields]]:
    """Return the shapes of a piece file by name, each with its fields."""
    from lacwright.files.instruments import GuitarFields, UkuleleFields, ViolinFields

    return {
        "panel": PanelFields, "disc": DiscFields, "box": BoxFields, "carcase": CarcaseFields,
        "frame-and-panel": FrameFields, "moulding": MouldingFields, "turned": TurnedFields,
        "leg": LegFields, "rod": RodFields, "guitar": GuitarFields, "violin": ViolinFields,
        "viola": ViolinFields, "ukulele": UkuleleFields, "rows": RowsFields,
        "area": AreaFields,
    }  # fmt: skip


def _part(fields: Mapping[str, Any]) -> Part:
    known = shapes()
    shape = fields.get("shape")
    if not isinstance(shape, str):
        said = "it is missing" if shape is None else f"{shown(shape)} is not a shape"
        raise Refusal("shape", said, nearest("", known))
    key = "-".join(shape.lower().replace("_", " ").replace("-", " ").split())
    if key not in known:
        raise Refusal("shape", f"'{shape}' is not a shape", nearest(key, known))
    try:
        return known[key].model_validate({**fields, "shape": key}).part()
    except ValidationError as error:
        raise Refusals(refusals_of(error, known[key], {"rows": Row})) from None


def _three(size: tuple[float, ...], words: str) -> tuple[float, float, float]:
    if len(size) != 3:
        raise Refusal("size", f"it has {len(size)} lengths", f"write {words}")
    return size[0], size[1], size[2]


def _scale(unit: str | None) -> float:
    if unit is None:
        raise Refusal("unit", "the points have no unit", 'write unit = "mm" (or "in") beside them')
    return read(f"1 {unit}", u.LENGTH, "unit")
