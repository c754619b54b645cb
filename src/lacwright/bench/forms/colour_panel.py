"""What is asked about a panel that was read in bands, and about a colour that is foretold."""

from __future__ import annotations

from typing import Any

from django import forms

from lacwright.bench import fields
from lacwright.bench.ask import Done
from lacwright.bench.forms.colour import OnWood, grade_choice, lab_field
from lacwright.bench.forms.common import WHEN, Parted, parts_of
from lacwright.colour.panels import CAMERA, INSTRUMENT
from lacwright.figures import Refusal
from lacwright.figures import units as u
from lacwright.files.colour_words import read_lab
from lacwright.shop.models import Piece

USUAL_BANDS = ("bare", "sealed", 1, 2, 4, 6, 9)
"""The bands of a panel that tells most."""
MOST_OTHERS = 12


def _others(text: str, where: str) -> list[tuple[str, tuple[float, float, float]]]:
    out = []
    for line in text.splitlines():
        if not line.strip():
            continue
        coats, found, lab = line.partition(":")
        if not found or not coats.strip():
            raise Refusal(where, f"'{line.strip()[:60]}' does not say how many coats",
                          "write a line as 3: 77.2, 5.1, 28.1")  # fmt: skip
        out.append((coats.strip(), read_lab(lab, where)))
    if len(out) > MOST_OTHERS:
        raise Refusal(where, f"{len(out)} more bands", f"give {MOST_OTHERS} at most")
    return out


class _Lines(fields.Said):
    def __init__(self, **more: Any) -> None:
        super().__init__(_others, strip=False, max_length=2000, **more)
        self.widget = forms.Textarea(attrs={"rows": 3, "spellcheck": "false",
                                            "placeholder": "3: 77.2, 5.1, 28.1"})  # fmt: skip


class Bands(Parted, Done):
    """A panel in bands, as it was read."""

    MORE = "How it was read, other bands, when"

    grade = grade_choice("Grade of its coats", required=False, empty="each band has its own")
    load = fields.quantity(u.LOAD, label="Dry lac of one coat", required=False,
                           example="3.5 g/m2", help_text="weigh the mix that was used")  # fmt: skip
    sealed_with = grade_choice("Sealed with", required=False, empty="the same grade")
    seal_load = fields.quantity(u.LOAD, label="Dry lac of the seal coat", required=False,
                                example="3 g/m2", help_text="empty: as every other")  # fmt: skip
    other = _Lines(label="Other bands", required=False,
                   help_text="a line each: coats, a colon, L*, a*, b*")  # fmt: skip
    reader = fields.Choice([(INSTRUMENT, "an instrument"), (CAMERA, "a photo with a card")],
                           label="Read by", required=False, initial=INSTRUMENT)  # fmt: skip
    geometry = OnWood.base_fields["geometry"]
    light = OnWood.base_fields["light"]
    observer = OnWood.base_fields["observer"]

    parts: tuple[str, ...] = ()

    def offer(self, panel: Piece) -> None:
        """Ask for a reading of every band, and of every part whose coats are on record."""
        self.parts = tuple(parts_of(panel))
        before = list(self.fields)
        for coats in USUAL_BANDS:
            words = coats if isinstance(coats, str) else f"{coats} coat{'s' if coats > 1 else ''}"
            self.fields[f"band_{coats}"] = lab_field(label=f"L*, a*, b*: {words}")
        for n, part in enumerate(self.parts):
            self.fields[f"part_{n}"] = lab_field(
                label=f"L*, a*, b*: {part}", help_text="with the coats the record has of it"
            )
        bands = [name for name in self.fields if name not in before]
        self.FIRST = ("grade", "load", *bands)
        self.order_fields([*self.FIRST, *before])

    def result(self) -> dict[str, Any]:
        """Return what the record keeps of it."""
        told = self.cleaned_data
        band: list[dict[str, Any]] = [
            {"coats": coats, "lab": list(told[f"band_{coats}"])}
            for coats in USUAL_BANDS if told.get(f"band_{coats}") is not None
        ]  # fmt: skip
        band += [{"coats": int(coats) if coats.isdecimal() else coats, "lab": list(lab)}
                 for coats, lab in told["other"] or ()]  # fmt: skip
        band += [{"part": part, "lab": list(told[f"part_{n}"])}
                 for n, part in enumerate(self.parts)
                 if told.get(f"part_{n}") is not None]  # fmt: skip
        out: dict[str, Any] = {
            "band": band, "reader": told["reader"], "light": told["light"],
            "geometry": told["geometry"], "grade": told["grade"],
            "sealed_with": told["sealed_with"],
            "observer": int(told["observer"]) if told["observer"] else None,
        }  # fmt: skip
        if told["load"] is not None:
            each = f"{told['load']:g} g/m2"
            seal = told["sealed_with"]
            if told["seal_load"] is not None and seal and seal != told["grade"]:
                each = {told["grade"]: each, seal: f"{told['seal_load']:g} g/m2"}  # type: ignore[assignment]
            out["load_per_coat"] = each
        return {name: value for name, value in out.items() if value not in (None, "")}


class Foretell(Parted, Done):
    """What a panel is to become, before it is read."""

    FIRST = ("grade", "load", "second", "second_load", "bare")
    MORE = WHEN

    grade = grade_choice("Grade", initial="amber")
    load = fields.quantity(u.LOAD, label="Dry lac on it, all coats together", example="14 g/m2")
    second = grade_choice("And", required=False, empty="nothing else")
    second_load = fields.quantity(u.LOAD, label="How much of that", required=False,
                                  example="3 g/m2")  # fmt: skip
    bare = lab_field(label="Its bare board, as read",
                     help_text="L*, a*, b*, 45/0, D65, 2 degrees; empty: the wood's usual "
                               "one")  # fmt: skip

    def result(self) -> dict[str, Any]:
        """Return what the record keeps of it.

        Raises
        ------
        Refusal
            For a grade without its load.
        """
        told = self.cleaned_data
        film = {told["grade"]: told["load"]}
        if told["second"]:
            if told["second_load"] is None:
                raise Refusal("second_load", "how much of it is not said", "write e.g. 3 g/m2")
            film[told["second"]] = film.get(told["second"], 0.0) + told["second_load"]
        out: dict[str, Any] = {"film": film}
        if told["bare"] is not None:
            out["bare"] = list(told["bare"])
        return out


class Read(Parted, Done):
    """How a colour that was foretold is read."""

    FIRST = ("read",)
    MORE = WHEN

    read = lab_field(label="L*, a*, b* as read", required=True,
                     help_text="45/0, D65, 2 degrees, the mean of several places")  # fmt: skip

    def result(self) -> dict[str, Any]:
        """Return what the record keeps of it."""
        return {"read": list(self.cleaned_data["read"])}
