"""Fields of the drying coat: alcohol, board, differences of temperature, draught."""

from __future__ import annotations

from typing import Any

from django import forms

from lacwright.bench import fields
from lacwright.figures import units as u
from lacwright.files.coat_words import SPEEDS, read_kelvin, read_speed
from lacwright.trade import table

NOT_WOOD = ("glass", "steel", "paper")


def kelvin(label: str, **more: Any) -> fields.Said:
    """Return a field for a difference of temperature: "2 K", "3.6 F"."""
    return fields.Said(read_kelvin, label=label, required=False, example="2 K, 3.6 F", **more)


def method(**more: Any) -> fields.Choice:
    """Return a field for how a coat is laid."""
    told = {"label": "How it is laid", "required": False, "empty": "not said", **more}
    return fields.Choice(lambda: fields.rows_of("methods"), **told)


def alcohol(**more: Any) -> fields.Choice:
    """Return a field for an alcohol by its name."""
    told = {"label": "Alcohol", "required": False, "empty": "not said", **more}
    return fields.Choice(lambda: fields.rows_of("alcohols"), **told)


def composition(**more: Any) -> forms.CharField:
    """Return a field for what an alcohol is made of."""
    told = {
        "label": "Or what is in it",
        "required": False,
        "max_length": 200,
        "help_text": "as the data sheet says, by weight: ethanol 85, methanol 10, water 5",
    }
    return forms.CharField(**{**told, **more})


def board(**more: Any) -> fields.Choice:
    """Return a field for what a coat lies on."""
    told = {"label": "On which wood", "required": False, "empty": "not said", **more}
    return fields.Choice(_boards, **told)


def thickness(**more: Any) -> fields.Said:
    """Return a field for how thick that is."""
    told = {"label": "How thick it is", "required": False, "example": "20 mm", **more}
    return fields.quantity(u.LENGTH, **told)


def speed(**more: Any) -> fields.Said:
    """Return a field for the speed of the air: "still", "draught", "0.1 m/s"."""
    told = {"label": "Air over the work", "required": False, "example": "still",
            "help_text": f"{', '.join(SPEEDS)} or 0.3 m/s", **more}  # fmt: skip
    return fields.Said(read_speed, **told)


def _boards() -> list[tuple[str, str]]:
    woods = {row.key for row in table("drying_boards")} - set(NOT_WOOD)
    return [(key, key.replace("-", " ")) for key in (*sorted(woods), *NOT_WOOD)]
