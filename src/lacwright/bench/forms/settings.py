"""Forms of the settings: zone, currency, own figures, readings, customers."""

from __future__ import annotations

from django import forms

from lacwright.bench import fields
from lacwright.bench.ask import Done, Writing
from lacwright.figures import units as u
from lacwright.shop.readings_csv import read_moisture


class Zone(Writing):
    """The time zone."""

    name = forms.CharField(label="Time zone", max_length=80,
                           help_text="such as Europe/Vienna, America/Denver, UTC")  # fmt: skip


class Currency(Writing):
    """The currency."""

    text = forms.CharField(label="Currency", max_length=8, required=False,
                           help_text="as it stands beside prices, such as EUR")  # fmt: skip


class OwnFigure(Writing):
    """A figure that the maker sets."""

    value = forms.CharField(label="In this shop it is", max_length=80)


class Reset(Writing):
    """Nothing has to be said."""


class Reading(Done):
    """A reading of air and board."""

    temp_c = fields.quantity(u.TEMPERATURE, label="Air", required=False, example="21 C")
    rh = fields.humidity(label="Relative humidity", required=False)
    board_mc = fields.Said(read_moisture, label="Moisture of the board", required=False,
                           example="9 %")  # fmt: skip
    board_temp_c = fields.quantity(u.TEMPERATURE, label="Surface of the board", required=False,
                                   example="19 C")  # fmt: skip
    where = forms.CharField(label="Where", required=False, max_length=80)
    job = forms.CharField(label="For which job", required=False, max_length=80)
    field_order = ("temp_c", "rh", "board_mc", "board_temp_c", "where", "job", "ago", "at")


class ReadingTable(forms.Form):
    """A table of readings: a file, or the same pasted."""

    file = forms.FileField(label="File", required=False,
                           widget=forms.FileInput(attrs={"accept": ".csv,text/csv,text/plain"}),
                           help_text="CSV, at most 5 MB")  # fmt: skip
    text = forms.CharField(label="Or paste the table", required=False, max_length=500_000,
                           widget=forms.Textarea(attrs={"rows": 6, "spellcheck": "false"}),
                           strip=False)  # fmt: skip


class Keep(Writing):
    """The table that was looked at is written down."""


class Customer(Writing):
    """Contact and note of a customer."""

    contact = forms.CharField(label="How to reach them", required=False, max_length=1000,
                              widget=forms.Textarea(attrs={"rows": 3}))  # fmt: skip
    note = forms.CharField(label="Note", required=False, max_length=4000,
                           widget=forms.Textarea(attrs={"rows": 3}))  # fmt: skip


class NewCustomer(Customer):
    """A customer."""

    name = forms.CharField(label="Name", max_length=80)
    field_order = ("name", "contact", "note")
