"""What is asked about a wet coat: the air beside it, and whether it whitened."""

from __future__ import annotations

from django import forms

from lacwright.bench import fields
from lacwright.bench.ask import Done
from lacwright.bench.forms.common import WHEN, Parted
from lacwright.figures import units as u


class Beside(forms.Form):
    """The air beside a coat, where nobody wrote a reading down."""

    temp = fields.quantity(u.TEMPERATURE, label="Air", example="20 C")
    rh = fields.humidity(label="Relative humidity")


class Whitened(Parted, Done):
    """Whether a coat whitened."""

    FIRST, MORE = ("whitened",), WHEN
    whitened = fields.Choice([("yes", "it whitened"), ("no", "it stayed clear")],
                             label="How it looks", empty="not said")  # fmt: skip
    temp = fields.quantity(
        u.TEMPERATURE,
        label="Air as it was laid",
        required=False,
        example="20 C",
        help_text="empty: as it was read near that time",
    )
    rh = fields.humidity(label="Humidity then", required=False)
    field_order = ("token", "whitened", "temp", "rh", "ago", "at")
