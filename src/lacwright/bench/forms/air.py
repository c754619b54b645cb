"""What is asked about the air of a room: the work, the room, whose limits count, who is there."""

from __future__ import annotations

from typing import Any

from django import forms

from lacwright.bench import fields
from lacwright.bench.ask import Writing
from lacwright.bench.forms import drying
from lacwright.figures import Refusal
from lacwright.figures import units as u
from lacwright.files.room_words import read_air, read_lels, read_limits
from lacwright.files.typed_air import TypedWork
from lacwright.plan import EMISSIONS, RoomSpec
from lacwright.room import Facts

LONGEST = 2000


def _lines(label: str, rows: int, **more: Any) -> forms.CharField:
    attrs = {"rows": rows, "spellcheck": "false", "placeholder": more.pop("example", "")}
    return forms.CharField(label=label, max_length=LONGEST, widget=forms.Textarea(attrs=attrs),
                           **more)  # fmt: skip


def _tick(label: str) -> forms.BooleanField:
    return forms.BooleanField(label=label, required=False)


def _words(label: str, example: str = "", **more: Any) -> forms.CharField:
    return forms.CharField(label=label, required=False, max_length=200, **more,
                           widget=forms.TextInput(attrs={"placeholder": example}))  # fmt: skip


class Air(forms.Form):
    """Coats in a room."""

    coats = _lines("What is laid", 3, required=False, example="250 ml at 0 min over 10 min",
                   help_text="mix of each coat on a line of its own: how much, when, over how "
                             "long")  # fmt: skip
    cut = fields.cut(label="Cut", required=False)
    alcohol = drying.alcohol()
    composition = drying.composition()
    volume = fields.quantity(u.ROOM, label="Volume of the room", example="60 m3",
                             help_text="length, width, height, less the furniture")  # fmt: skip
    air = fields.Said(read_air, label="How often an hour its air changes", required=False,
                      example="2", help_text="measured; closed, one-window or windows; or a known "
                                             "flow of clean air: 200 m3/h. Empty: the bounds "
                                             "alone")  # fmt: skip
    cleaning = _lines("Alcohol for cleaning, or a spill", 2, required=False,
                      example="30 ml at 2 h")  # fmt: skip
    method = drying.method()
    emission = fields.Choice([(e, e.replace("-", " ")) for e in EMISSIONS], required=False,
                             label="How a coat sets its solvent free",
                             empty="first order")  # fmt: skip
    extra = fields.quantity(u.SHARE, label="Brush, rag and dish on top", required=False,
                            example="20 %")  # fmt: skip
    temp = fields.quantity(u.TEMPERATURE, label="Air of the room", required=False, example="20 C",
                           help_text="for drying by the model, with the humidity")  # fmt: skip
    rh = fields.humidity(label="Humidity", required=False)
    wet = fields.quantity(u.FILM, label="Wet film", required=False, example="100 um",
                          help_text="for drying by the model; empty: the method's")  # fmt: skip
    furnished = _tick("Take a fifth off the volume for the furniture")
    factor = forms.FloatField(label="Mixing factor", required=False, min_value=1, max_value=10,
                              help_text="1 where a decay was measured in this room; empty: "
                                        "3")  # fmt: skip
    jurisdiction = fields.Choice(lambda: fields.rows_of("room_jurisdictions",
                                                        words=lambda r: r.text("words")),
                                 label="Jurisdiction", required=False,
                                 empty="not said: the lowest limit on file counts")  # fmt: skip
    limit = _lines("Your own limits", 2, required=False, example="ethanol 500 ppm",
                   help_text="one a line, of 8 hours, or with 15 min or ceiling "
                             "behind it")  # fmt: skip
    lel = _lines("Your own lower explosive limits", 1, required=False,
                 example="ethanol 3.3 %")  # fmt: skip
    pilot_off = _tick("Every pilot light, heater and flame is known to be out")
    ignition = _words("Heat, flames and sparks that are there", "stove, grinder")
    alone = _tick("Nobody else shares the air")
    sharing = _words("Who shares it", "a child, a dog", help_text="a child, somebody asleep or "
                     "pregnant, an animal")  # fmt: skip
    gloves = _words("Gloves", "butyl", help_text="of the material that the data sheet names")
    booth = _tick("There is a rated spray booth or exhaust; it is not judged here")
    closed_box = _tick("It dries in a box, cabinet, tent or vehicle")
    stored = fields.quantity(u.VOLUME, label="Flammable liquid stored", required=False)
    storage_limit = fields.quantity(u.VOLUME, label="What may be stored where you live",
                                    required=False)  # fmt: skip
    oil = _words("Drying oil in the job", "linseed oil")
    rag_plan = _words("Where its rags go", "flat outdoors until hard")
    steel_wool = fields.quantity(u.TIME, label="Time from wet alcohol to steel wool",
                                 required=False)  # fmt: skip

    FIRST = ("coats", "cut", "alcohol", "composition", "volume", "air")
    PARTS = (
        ("What is true of the room", ("pilot_off", "ignition", "alone", "sharing", "gloves",
                                      "closed_box", "booth", "furnished")),
        ("Whose limits count", ("jurisdiction", "limit", "lel")),
        ("More of the work", ("method", "cleaning", "extra", "oil", "rag_plan", "steel_wool",
                              "stored", "storage_limit")),
        ("How it is reckoned", ("emission", "temp", "rh", "wet", "factor")),
    )  # fmt: skip

    @property
    def first(self) -> list[forms.BoundField]:
        """The few that stand first."""
        return [self[name] for name in self.FIRST]

    def parts(self) -> list[tuple[str, list[forms.BoundField], bool]]:
        """Return groups of fields: their words, and whether they are open."""
        return [
            (words, own, any(f.errors or f.value() for f in own))
            for words, names in self.PARTS for own in [[self[name] for name in names]]
        ]  # fmt: skip

    def clean_limit(self) -> Any:
        """Read the limits."""
        return self._read(read_limits, "limit")

    def clean_lel(self) -> Any:
        """Read the lower explosive limits."""
        return self._read(read_lels, "lel")

    def work(self) -> TypedWork:
        """Return what is laid."""
        told: dict[str, Any] = self.cleaned_data
        return TypedWork(
            coats=_each_line(told["coats"]), cleaning=_each_line(told["cleaning"]),
            alcohol=told["composition"] or told["alcohol"] or None, cut=told["cut"],
            method=told["method"] or None, wet_um=told["wet"],
        )  # fmt: skip

    def room(self) -> RoomSpec:
        """Return the room as it was said."""
        told: dict[str, Any] = self.cleaned_data
        sharing = _each_word(told["sharing"])
        return RoomSpec(
            volume_m3=told["volume"], furnished=told["furnished"], air=told["air"],
            mixing_factor=told["factor"], emission=told["emission"] or EMISSIONS[0],
            temp_c=told["temp"], rh=told["rh"], extra_share=told["extra"],
            jurisdiction=told["jurisdiction"] or None, limits=told["limit"],
            lel_percent=told["lel"],
            facts=Facts(
                booth=told["booth"], ignition=_each_word(told["ignition"]),
                pilot_off=told["pilot_off"], closed_box=told["closed_box"], gloves=told["gloves"],
                sharing=sharing if sharing or told["alone"] else None, stored_ml=told["stored"],
                storage_limit_ml=told["storage_limit"], oils=_each_word(told["oil"]),
                rag_plan=told["rag_plan"], wool_after_h=told["steel_wool"],
            ),
        )  # fmt: skip

    def _read(self, reader: Any, name: str) -> Any:
        try:
            return reader(_each_line(self.cleaned_data[name]), "")
        except Refusal as refusal:
            raise forms.ValidationError(fields.words_of(refusal)) from None


class GoOn(Writing):
    """That a job goes on in spite of stops of the air."""

    job = fields.Choice((), label="Job")
    in_spite = forms.CharField(label="Why it goes on in spite of the stop", max_length=2000)

    def offer(self, jobs: list[tuple[str, str]]) -> None:
        """Offer the open jobs."""
        choice = self.fields["job"]
        assert isinstance(choice, forms.ChoiceField)
        choice.choices = jobs


WHERE = {
    "--coat": "coats", "room volume": "volume", "air changes": "air", "mixing factor": "factor",
    "extra share": "extra", "--method": "method", "--emission drying": "temp",
    "--cleaning": "cleaning", "--alcohol": "alcohol", "--cut": "cut", "--wet": "wet",
}  # fmt: skip
"""From the place a refusal of the model names to the field."""


def _each_line(text: str) -> tuple[str, ...]:
    return tuple(line.strip() for line in text.replace(";", "\n").splitlines() if line.strip())


def _each_word(text: str) -> tuple[str, ...]:
    return tuple(word.strip() for word in text.split(",") if word.strip())
