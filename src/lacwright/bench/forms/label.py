"""What is copied from a safety data sheet onto the label of a jar."""

from __future__ import annotations

from django import forms

from lacwright.bench import fields
from lacwright.room.labels import SIGNALS


class LabelWords(forms.Form):
    """Signal word and codes, as the supplier's safety data sheet has them."""

    signal = fields.Choice([(word, word) for word in SIGNALS], required=False,
                           label="Signal word", empty="none copied")  # fmt: skip
    codes = forms.CharField(
        label="Codes", required=False, max_length=400,
        help_text="copied from the supplier's safety data sheet: H225, H319, P210",
        widget=forms.TextInput(attrs={"autocomplete": "off", "spellcheck": "false"}),
    )  # fmt: skip
