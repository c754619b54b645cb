"""What is asked about a panel: a board to try or show a finish on."""

from __future__ import annotations

from django import forms

from lacwright.bench import fields
from lacwright.bench.ask import Done, Writing
from lacwright.bench.forms.common import WHEN, Parted
from lacwright.bench.forms.jars import LONGEST, NAME
from lacwright.figures import units as u
from lacwright.shop.services.pieces import TITLE


class Panel(Writing):
    """What is known of a panel."""

    title = forms.CharField(label="What it shows", required=False, max_length=TITLE,
                            help_text="three steps on walnut, full gloss with garnet")  # fmt: skip
    wood = fields.Choice(lambda: fields.rows_of("woods"), label="Wood", required=False,
                         empty="not said")  # fmt: skip
    area = fields.quantity(
        u.AREA,
        label="Area that is finished",
        required=False,
        example="0.06 m2",
        help_text="with it, coats tell how much lies on a square metre",
    )
    note = forms.CharField(label="Note", required=False, max_length=LONGEST)


class NewPanel(Parted, Panel, Done):
    """A new panel."""

    FIRST = ("name", "title", "wood", "area", "note")
    MORE = WHEN
    name = forms.CharField(label="It is called", **NAME)  # type: ignore[arg-type]
