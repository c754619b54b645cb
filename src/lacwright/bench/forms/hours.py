"""What is asked about usable hours: the table of air, then the coat, the room, an own rule."""

from __future__ import annotations

from typing import Any

from django import forms

from lacwright.bench import fields
from lacwright.bench.coats import ByHand
from lacwright.bench.forms import drying
from lacwright.bench.forms.common import InTwo
from lacwright.bench.hours import HAND, Asked
from lacwright.figures import units as u

HEADINGS = ("time", "date", "temp", "rh", "dew")


def _heading(label: str) -> forms.CharField:
    return forms.CharField(label=label, required=False, max_length=80)


class Table(InTwo):
    """A table of air: a file, or the same pasted, and how it is read."""

    FIRST, MORE = ("file", "text"), "If its times or headings are not understood"

    file = forms.FileField(label="File", required=False,
                           help_text="CSV, at most 5 MB", widget=forms.FileInput(
                               attrs={"accept": ".csv,.txt,text/csv,text/plain"}))  # fmt: skip
    text = forms.CharField(label="Or paste the table", required=False, max_length=500_000,
                           strip=False, widget=forms.Textarea(attrs={
                               "rows": 6, "spellcheck": "false",
                               "placeholder": "time, temp C, rh %\n2027-03-01 08:00, 16.3, 60",
                           }))  # fmt: skip
    zone = forms.CharField(label="Time zone of its times", required=False, max_length=80,
                           help_text="empty: the zone of the shop; an offset in the table goes "
                                     "before it")  # fmt: skip
    dates = fields.Choice([("dmy", "day first"), ("mdy", "month first")], required=False,
                          label="Days with strokes, 3/4/2027",
                          empty="as the table shows")  # fmt: skip
    time = _heading("Heading of the times")
    date = _heading("Heading of the days, if apart")
    temp = _heading("Heading of the temperature")
    rh = _heading("Heading of the humidity")
    dew = _heading("Or of the dew point")

    def columns(self) -> dict[str, str]:
        """Return the headings that were named, by what they hold."""
        return {k: self.cleaned_data[k] for k in HEADINGS if self.cleaned_data[k]}


class Coat(forms.Form):
    """Which coat, in which room, by whose rule."""

    coats = fields.Choice((), label="Which coat")
    method = drying.method()
    wet = fields.quantity(u.FILM, label="Wet film", required=False, example="100 um",
                          help_text="empty: the usual one of the method")  # fmt: skip
    cut = fields.cut(label="Cut", required=False, help_text="empty: that of the method")
    alcohol = drying.alcohol()
    composition = drying.composition()
    wood = drying.board()
    thickness = drying.thickness()
    below = forms.CharField(label="Coat below it", required=False, max_length=200,
                            help_text="its age at the first hour: 100 um 2-lb 6 h ago; of several, "
                                      "a semicolon between")  # fmt: skip
    volume = fields.quantity(u.ROOM, label="Volume of the room", required=False, example="60 m3",
                             help_text="tells how much water to take out of its air")  # fmt: skip
    heated = fields.quantity(u.TEMPERATURE, label="Outdoor air: the room is warmed to",
                             required=False, example="19 C",
                             help_text="empty: the table is of the air of the room")  # fmt: skip
    air = drying.speed()
    first = fields.Day(label="From this day on", required=False)
    chill = drying.kelvin("Own chill", help_text="by how much your film gets colder than the room, "
                                                 "as you measured it")  # fmt: skip
    chill_slow = drying.kelvin("Own chill, slow alcohol")
    margin = drying.kelvin("Own margin", help_text="dew point at least so far below the chilled "
                                                   "film")  # fmt: skip

    COAT = ("method", "wet", "cut", "alcohol", "composition", "wood", "thickness", "below")
    ROOM = ("volume", "heated", "air", "first")
    RULE = ("margin", "chill", "chill_slow")

    def offer(self, choices: list[tuple[str, str]]) -> None:
        """Offer jobs and pieces; a coat by hand stands first."""
        choice = self.fields["coats"]
        assert isinstance(choice, forms.ChoiceField)
        choice.choices = [(HAND, "the one told by hand below"), *choices]

    def parts(self) -> list[tuple[str, list[forms.BoundField], bool]]:
        """Return groups of fields: their words, and whether they are open."""
        by_hand = self["coats"].value() in (None, "", HAND)
        groups = (("The coat, by hand", self.COAT, by_hand), ("The room", self.ROOM, False),
                  ("Your own rule", self.RULE, False))  # fmt: skip
        return [
            (words, fields_, opened or any(f.errors or f.value() for f in fields_))
            for words, names, opened in groups for fields_ in [[self[name] for name in names]]
        ]  # fmt: skip

    def asked(self, sha: str) -> Asked:
        """Return what was asked of a table."""
        told: dict[str, Any] = self.cleaned_data
        of, _, name = told["coats"].partition(":")
        by_hand = ByHand(
            told["method"], told["wet"], told["cut"], told["composition"] or told["alcohol"],
            told["wood"], told["thickness"], told["below"],
        ) if of == HAND else ByHand()  # fmt: skip
        return Asked(
            sha, of, name, by_hand, told["chill"], told["chill_slow"], told["margin"],
            told["volume"], told["heated"], told["air"], told["first"],
        )  # fmt: skip


WHERE = {
    "wet film": "wet", "--vapour": "air", "board": "wood", "thickness of the board": "thickness",
    "own chill": "chill", "own chill, slow alcohol": "chill_slow", "own margin": "margin",
    "method": "method", "below": "below", "job": "coats", "piece": "coats", "cut": "cut",
}  # fmt: skip
"""From the place a refusal of the model names to the field."""
