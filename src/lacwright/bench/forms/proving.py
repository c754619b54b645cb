"""What is asked about a test: drops on glass, flakes in alcohol, water, a dried sample."""

from __future__ import annotations

from typing import Any

from django import forms

from lacwright.bench import fields
from lacwright.bench.ask import Done
from lacwright.bench.forms.common import WHEN, Parted
from lacwright.figures import units as u
from lacwright.figures.quantities import read
from lacwright.shop.services.proving import read_minutes

STAGES = ("tack_free", "nail", "powder", "seen")


def _minutes(label: str, example: str, **more: Any) -> fields.Said:
    return fields.Said(read_minutes, label=label, required=False, example=example, **more)


class Drying(Done):
    """Two drops on glass, side by side."""

    tack_free = _minutes("No longer tacky after", "12 min")
    nail = _minutes("No mark of a nail after", "1.5 h")
    powder = _minutes("Powders under fine paper after", "20 h")
    seen = _minutes("Looked at last after", "45 min", help_text="what had not come by then is late")
    control_tack_free = _minutes("No longer tacky after", "10 min")
    control_nail = _minutes("No mark of a nail after", "1 h")
    control_powder = _minutes("Powders under fine paper after", "18 h")
    control_seen = _minutes("Looked at last after", "45 min")
    temp = fields.quantity(u.TEMPERATURE, label="Room temperature", required=False,
                           example="21 C")  # fmt: skip
    rh = fields.humidity(label="Humidity of the air", required=False)
    anew = forms.BooleanField(label="A new test, not the one that is running", required=False)

    def stages(self) -> list[tuple[str, str, forms.BoundField, forms.BoundField]]:
        """Return what is timed: its words, its limit, the fields of the two drops."""
        return [(str(self.fields[name].label), str(self.fields[name].help_text), self[name],
                 self[f"control_{name}"]) for name in STAGES]  # fmt: skip

    def room(self) -> list[forms.BoundField]:
        """Return the fields of the room, and of a new test beside one that is running."""
        return [self[name] for name in ("temp", "rh", "anew") if name in self.fields]

    def when(self) -> list[forms.BoundField]:
        """Return the fields of the time."""
        return [self["ago"], self["at"]]

    def when_open(self) -> bool:
        """Return whether a time was typed."""
        return any(field.errors or field.value() for field in self.when())


_YES_NO = [("yes", "yes"), ("no", "no")]


class Dissolve(Parted, Done):
    """A few grams of flakes in fresh alcohol."""

    hours = fields.quantity(u.TIME, label="In alcohol for", example="24 h")
    dissolved = fields.Choice(_YES_NO, label="All dissolved", empty="not said",
                              help_text="no jelly and no swollen flakes on a filter; haze of wax "
                                        "does not count")  # fmt: skip
    anew = forms.BooleanField(label="A new test, not the one that is running", required=False)
    FIRST, MORE = ("hours", "dissolved", "anew"), WHEN


class WaterSpot(Parted, Done):
    """A drop of water on a dry film."""

    hours = fields.quantity(u.TIME, label="The drop stood for", example="1 h")
    white = fields.Choice(_YES_NO, label="A white mark is left", empty="not said")
    film_days = fields.Said(lambda text, where: read(text, u.TIME, where) / 24.0, required=False,
                            label="The film is so old", example="7 days")  # fmt: skip
    FIRST, MORE = ("hours", "white", "film_days"), WHEN


class Sample(Parted, Done):
    """A weighed sample, dried to constant weight."""

    sample = fields.quantity(u.MASS, label="The sample weighed", example="5 g")
    dry = fields.quantity(u.MASS, label="Dried it weighs", example="1.1 g")
    retained = fields.quantity(u.SHARE, label="Alcohol still in it", required=False,
                               example="2 %", help_text="share of the dried weight")  # fmt: skip
    moisture = fields.quantity(u.SHARE, label="Water in the flakes as bought", required=False,
                               example="2 %")  # fmt: skip
    FIRST, MORE = ("sample", "dry", "retained", "moisture"), WHEN


class Since(forms.Form):
    """From when on a jar counts as bad."""

    since = forms.DateTimeField(
        label="Bad from", required=False, help_text="empty: since its last passed test",
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
        input_formats=["%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M"],
    )  # fmt: skip
    everything = forms.BooleanField(label="From its beginning, whatever a test said",
                                    required=False)  # fmt: skip
