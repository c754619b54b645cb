"""What is asked about a coat that was timed: one of the record, or one told in full."""

from __future__ import annotations

from typing import Any

from django import forms

from lacwright.bench import fields
from lacwright.bench.ask import Done
from lacwright.bench.forms import drying
from lacwright.bench.forms.common import WHEN, Parted
from lacwright.figures import units as u
from lacwright.shop.queries import at_hand
from lacwright.shop.queries.shut import shut_jars, with_word

TIMES = ("touch_dry", "print_free", "recoat")
TOLD = ("method", "wet", "weighed", "used", "size", "area", "cut", "wood", "thickness", "air",
        "below")  # fmt: skip
"""Fields that the record takes word by word, as a file of timed coats has them."""


def _said(label: str, example: str, **more: Any) -> forms.CharField:
    """Return a field whose text is kept as it was typed; the service reads it."""
    typed = forms.TextInput(attrs={"autocomplete": "off", "placeholder": example})
    return forms.CharField(**{"label": label, "required": False, "max_length": 200,
                              "widget": typed, **more})  # fmt: skip


class OfRecord(Parted, Done):
    """A coat that was written down: only its times, and the air beside it."""

    FIRST: tuple[str, ...] = (*TIMES, "temp", "rh")
    MORE = WHEN

    touch_dry = _said("Touch-dry after", "9 min", required=True,
                      help_text="a fingertip takes nothing off")  # fmt: skip
    print_free = _said("Print-free after", "25 min", help_text="it can be handled without a print")
    recoat = _said("Or the next coat lay clean after", "1 h",
                   help_text="one of the two late times, not both")  # fmt: skip
    temp = fields.quantity(
        u.TEMPERATURE,
        label="Thermometer beside it",
        required=False,
        example="20 C",
        help_text="empty: as it was read near that time",
    )
    rh = fields.humidity(label="Hygrometer beside it", required=False)

    def result(self) -> dict[str, Any]:
        """Return what the record keeps of it, as it was typed."""
        return {name: self.cleaned_data[name] for name in TIMES if self.cleaned_data[name]}


class Timed(OfRecord):
    """A coat that is told in full."""

    FIRST = ("weighed", "size", "jar", "wood", "thickness", "temp", "rh", *TIMES)
    MORE = "Film by another measure, mix, draught, when"

    weighed = _said("Weight of the wet coat", "0.86 g",
                    help_text="what jar and brush lost, or the panel gained")  # fmt: skip
    size = _said("Size of the panel", "100x100 mm", help_text="the side along the air first")
    jar = fields.Choice((), label="From jar", required=False, empty="none: the mix is told below")
    wood = drying.board(empty="as the panel")
    thickness = _said("How thick it is", "20 mm")
    wet = _said("Or the wet film", "100 um", help_text="in place of a weight")
    used = _said("Or the volume that landed", "1 ml")
    area = _said("Area, if no rectangle", "0.01 m2")
    method = drying.method()
    cut = _said("Cut of the mix", "2", help_text="where no jar is named")
    alcohol = drying.alcohol()
    composition = drying.composition()
    air = _said("Air over it", "still", help_text="still, draught or 0.3 m/s: say the same of this "
                                                  "bench afterwards")  # fmt: skip
    below = _said("Coats below it", "100 um 2-lb 6 h ago", help_text="of several, a semicolon "
                                                                     "between")  # fmt: skip
    field_order = ("token", *FIRST, "wet", "used", "area", "method", "cut", "alcohol",
                   "composition", "air", "below", "ago", "at")  # fmt: skip

    def offer(self) -> None:
        """Offer the jars at hand."""
        jars, shut = at_hand.jars_at_hand(first=()), shut_jars()
        choice = self.fields["jar"]
        assert isinstance(choice, forms.ChoiceField)
        choice.choices = [("", "none: the mix is told below"),
                          *((key, with_word(key, key, shut)) for key in jars)]  # fmt: skip

    def result(self) -> dict[str, Any]:
        """Return what the record keeps of it, as it was typed."""
        told = self.cleaned_data
        out = {**super().result(), **{k: told[k] for k in (*TOLD, "jar") if told[k]}}
        if told["composition"] or told["alcohol"]:
            out["alcohol"] = told["composition"] or told["alcohol"]
        if "below" in out:
            out["below"] = [text.strip() for text in out["below"].split(";") if text.strip()]
        return out


WHERE = {"board": "wood", "wet film": "wet", "coat": "wood", "touch-dry": "touch_dry",
         "print_free": "print_free", "timed coat": "touch_dry"}  # fmt: skip
"""From the place a refusal names to the field."""
