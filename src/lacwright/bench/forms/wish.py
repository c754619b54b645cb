"""What is asked about a wished colour: the wish, the wood, what may be laid."""

from __future__ import annotations

from typing import Any

from django import forms

from lacwright.bench import fields
from lacwright.bench.forms.colour import (
    Group,
    Laid,
    OnWood,
    coats_field,
    grade_choice,
    grades,
    groups_of,
    wax_choice,
)
from lacwright.bench.wishes import Asked
from lacwright.colour import Viewing
from lacwright.figures import Refusal
from lacwright.figures import units as u
from lacwright.files.colour_words import read_target
from lacwright.trade import table

MOST_COATS = 24


def _words() -> list[tuple[str, str]]:
    return [(row.key, f"{row.key}: {row.text('words')}") for row in table("colour_wishes")]


def _target(text: str, where: str) -> str:
    read_target(text, Viewing(), where)
    return text


class Wished(Laid, OnWood):
    """A wished colour."""

    FIRST = ("word", "target", "wood", "coats")
    ON = ("on", "on_load", "on_second", "on_second_load")
    field_order = (*FIRST, "grades", *ON, *OnWood.READING, "load", "method", "cut", "wax")

    word = fields.Choice(_words, label="A word for it", required=False, empty="no word")
    target = fields.Said(_target, label="Or the colour itself", required=False,
                         example="45, 18, 30",
                         help_text="L*, a*, b*, or a screen colour as #8a5a34")  # fmt: skip
    coats = coats_field("Coats at most", MOST_COATS, initial=12)
    grades = forms.MultipleChoiceField(
        label="What may be laid", required=False, choices=grades,
        widget=forms.CheckboxSelectMultiple, help_text="none ticked: what lies on the shelf",
    )  # fmt: skip
    on = grade_choice("On the piece already", required=False, empty="nothing, it is bare")
    on_load = fields.quantity(u.LOAD, label="How much of it", required=False, example="7 g/m2")
    on_second = grade_choice("And", required=False, empty="nothing else")
    on_second_load = fields.quantity(u.LOAD, label="How much of that", required=False,
                                     example="3 g/m2")  # fmt: skip
    wax = wax_choice()

    def first(self) -> list[forms.BoundField]:
        """Return the few fields that stand first."""
        return [self[name] for name in self.FIRST]

    def parts(self) -> list[Group]:
        """Return the others in groups."""
        return groups_of(self, (
            ("What may be laid", ("grades",)), ("What lies on it already", self.ON),
            ("Your own board, and how colours were read", self.READING),
            ("How a coat is laid, wax", (*self.COAT, "wax")),
        ))  # fmt: skip

    def asked(self, shelf: list[str], usual: list[str]) -> Asked:
        """Return what was asked.

        Parameters
        ----------
        shelf : list of str
            Grades that are there.
        usual : list of str
            What may be laid where nothing was ticked.

        Raises
        ------
        Refusal
            For a grade on the piece without its load.
        """
        told: dict[str, Any] = self.cleaned_data
        on = []
        for name in ("on", "on_second"):
            if told[name]:
                if not told[f"{name}_load"]:
                    raise Refusal(f"{name}_load", "how much lies there is not said",
                                  "write e.g. 7 g/m2; the page of a piece tells it")  # fmt: skip
                on.append((told[name], told[f"{name}_load"]))
        if len({name for name, _ in on}) < len(on):
            raise Refusal("on_second", "that grade stands there twice", "add the two up")
        return Asked(
            self.of_wood(), told["target"] or "", told["word"], self.read_as(),
            tuple(told["grades"] or usual), tuple(shelf), told["coats"], self.of_coat(), tuple(on),
            float(told["wax"]) if told["wax"] else None,
        )  # fmt: skip
