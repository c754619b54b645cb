"""What is asked about a place of a photo."""

from __future__ import annotations

from django import forms

from lacwright.bench.forms.board import corners_field
from lacwright.bench.forms.colour import share_field


class Place(forms.Form):
    """Where, for who does not tap; and a card that puts the light right."""

    x = share_field("From the left")
    y = share_field("From the top")
    card = corners_field()
