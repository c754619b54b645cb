"""Parts of a piece file that are bodies of instruments."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cached_property
from typing import Annotated, Any, ClassVar

from pydantic import BeforeValidator
from pydantic import ValidationInfo as Info

from lacwright.figures import Figure, Mark, Refusal, given
from lacwright.figures import units as u
from lacwright.figures.quantities import read
from lacwright.files.parts import Area, Length, PartFields, Wood
from lacwright.surface import (
    Body,
    Outline,
    Zone,
    body_of,
    body_zones,
    drawn_outline,
    extra,
    instrument,
    outline_mark,
    traced_outline,
)
from lacwright.trade import Row

M2_MM2 = 1e6


def _neck(value: Any, info: Info) -> float | str:
    field = info.field_name or "neck"
    if isinstance(value, str) and value.strip().lower() == "usual":
        return "usual"
    if not isinstance(value, str | int | float):
        raise Refusal(field, "it is not an area", 'write e.g. "600 cm2", or "usual"')
    return read(value, u.AREA, field)


class BodyFields(PartFields):
    """The body of an instrument: a named size, or its own length, widths and ribs.

    `plan` and `border` are a traced outline; they take the place of the drawn one.
    """

    family: ClassVar[str]
    size: str | None = None
    body: Length | None = None
    upper: Length | None = None
    waist: Length | None = None
    lower: Length | None = None
    ribs: Length | None = None
    arch_back: Length | None = None
    arch_belly: Length | None = None
    openings: Area | None = None
    neck: Annotated[float | str, BeforeValidator(_neck)] | None = None
    plan: Area | None = None
    border: Length | None = None
    top_wood: Wood | None = None
    neck_wood: Wood | None = None

    def zones(self) -> tuple[Zone, ...]:
        """Return the zones of one piece."""
        holes = self._openings
        return body_zones(self._body, self._outline, neck=self._neck_area,
                          openings_mm2=holes.number() * M2_MM2 if holes else 0.0)  # fmt: skip

    def woods(self) -> Mapping[str, str]:
        """Return the woods of top and neck where they are said."""
        said = {"top": self.top_wood, "neck": self.neck_wood}
        return {face: wood for face, wood in said.items() if wood}

    def marks(self) -> Sequence[Mark]:
        """Return the marks of sizes, outline, openings and neck."""
        line = Mark.PRACTICE if self._traced else outline_mark(self.family, self._body)
        extras = [f.mark for f in (self._openings, self._neck_area) if f]
        return (self._body.mark, line, *extras)

    def source(self) -> str:
        """Return where sizes and outline are from."""
        line = "outline traced" if self._traced else "outline drawn from length and widths"
        return f"{self._body.source}; {line}"

    def warnings(self) -> Sequence[str]:
        """Return what the shape leaves out."""
        said = []
        if not self._traced:
            line = self._outline
            plan = f"{100 * (line.plan_high - 1):.0f} %"
            said.append(f"outline drawn, not traced: top and back to about {plan}; give plan "
                        "and border of a traced outline for a better figure")  # fmt: skip
            if line.rib != 1:
                said.append(f"corners are not drawn: the ribs are taken as {line.rib:.2f} "
                            f"({line.rib_low:.2f} to {line.rib_high:.2f}) times the drawn "
                            "border")  # fmt: skip
        if self._openings is None:
            said.append('openings are not taken off the top: write e.g. openings = "58 cm2"')
        if self.neck is None:
            said.append('the neck is not counted: write its area, or neck = "usual" for a '
                        "named size")  # fmt: skip
        return said

    @cached_property
    def _row(self) -> Row | None:
        if self.size is None:
            return None
        row = instrument(self.size)
        if row.text("outline") != self.family:
            raise Refusal("size", f"'{self.size}' is not a size of a {self.shape}",
                          f'write shape = "{row.key.partition("-")[0]}"')  # fmt: skip
        return row

    @cached_property
    def _body(self) -> Body:
        own = {"body": self.body, "upper": self.upper, "waist": self.waist,
               "lower": self.lower, "ribs": self.ribs}  # fmt: skip
        arches = {"arch_back": self.arch_back, "arch_belly": self.arch_belly}
        if self._row is not None:
            double = [k for k, v in {**own, **arches}.items() if v is not None]
            if double:
                raise Refusal(double[0], "it is given beside a named size",
                              "give a named size or your own sizes, not both")  # fmt: skip
            return body_of(self._row)
        missing = [k for k, v in own.items() if v is None]
        if missing:
            raise Refusal(missing[0], "it is missing",
                          "give it, or a named size such as "
                          f'"{_EXAMPLES[self.family]}"')  # fmt: skip
        body, upper, waist, lower, ribs = (v or 0.0 for v in own.values())
        return Body(body, upper, waist, lower, ribs, self.arch_back or 0.0,
                    self.arch_belly or 0.0, source="sizes given")  # fmt: skip

    @cached_property
    def _traced(self) -> bool:
        if (self.plan is None) != (self.border is None):
            lacking = "plan" if self.plan is None else "border"
            raise Refusal(lacking, "a traced outline has plan and border",
                          "give both or neither")  # fmt: skip
        return self.plan is not None

    @cached_property
    def _outline(self) -> Outline:
        if self._traced and self.plan is not None and self.border is not None:
            return traced_outline(plan_mm2=self.plan * M2_MM2, border_mm=self.border)
        return drawn_outline(self._body, self.family)

    @cached_property
    def _openings(self) -> Figure | None:
        if self.openings is not None:
            return given(self.openings, "m2")
        return extra(self._row, "openings") if self._row else None

    @cached_property
    def _neck_area(self) -> Figure | None:
        if self.neck is None:
            return None
        if isinstance(self.neck, float):
            return given(self.neck, "m2")
        if self._row is None:
            raise Refusal("neck", "the usual neck is known for a named size only",
                          'write its area, e.g. "600 cm2"')  # fmt: skip
        return extra(self._row, "neck")


_EXAMPLES = {"violin": "violin 4/4", "guitar": "classical guitar"}


class ViolinFields(BodyFields):
    """Violin or viola."""

    family: ClassVar[str] = "violin"


class GuitarFields(BodyFields):
    """Guitar."""

    family: ClassVar[str] = "guitar"


class UkuleleFields(BodyFields):
    """Ukulele: the outline of a small guitar."""

    family: ClassVar[str] = "guitar"
