"""What is asked about a mix: amounts, times, and under which names it is kept."""

from __future__ import annotations

from typing import Any

from django import forms

from lacwright.bench import fields
from lacwright.bench.ask import Writing
from lacwright.figures import units as u
from lacwright.shop.models import Jar, Piece
from lacwright.shop.queries import at_hand
from lacwright.shop.queries.shut import shut_lots, with_word
from lacwright.trade import table


class Amounts(forms.Form):
    """Three entries for the amounts; the alcohol if he knows it."""

    volume = fields.quantity(u.VOLUME, label="How much mix", example="200 ml")
    cut = fields.cut(label="Cut", help_text="pounds per gallon of alcohol, or 240 g/l")
    grade = fields.Choice(lambda: fields.rows_of("grades"), label="Grade", initial="amber")
    alcohol = fields.Choice(lambda: fields.rows_of("alcohols"), label="Alcohol", required=False,
                            empty="not said")  # fmt: skip


class Coats(forms.Form):
    """Four more for the times."""

    what = fields.Choice([("box", "closed box"), ("panel", "board, both faces and edges"),
                          ("area", "an area")], label="On what")  # fmt: skip
    size = forms.CharField(label="How large", max_length=80, help_text="300x200x120 mm, "
                           "24x12x1 in, or 0.5 m2")  # fmt: skip
    coats = forms.IntegerField(label="How many coats", min_value=1, max_value=60)
    method = fields.Choice(lambda: fields.rows_of("methods"), label="How laid", initial="brush")
    start = fields.Hour(label="Begin at", initial="19:00")


class Keep(Writing):
    """Under which names it is kept; everything stands there already."""

    stopped = False

    jar = forms.CharField(label="Call the jar", max_length=80,
                          widget=forms.TextInput(attrs={"autocomplete": "off"}))  # fmt: skip
    flakes = fields.Choice((), label="Flakes from", required=False)
    spirit = fields.Choice((), label="Alcohol from", required=False)
    piece = forms.CharField(label="Call the piece and its job", max_length=80,
                            widget=forms.TextInput(attrs={"autocomplete": "off"}))  # fmt: skip
    in_spite = forms.CharField(label="Why it is begun in spite of the stop", required=False,
                               max_length=2000)  # fmt: skip

    def offer(self, *, grade: str, what: str | None, stopped: bool) -> None:
        """Offer lots of the grade first, and free names; what is not kept is not asked for."""
        known = table("grades")
        lots = [(k, g) for k, g in at_hand.lots_at_hand("flakes")]
        shut = shut_lots()
        mine = [k for k, g in lots if g and g in known and known[g].key == grade and k not in shut]
        others = [(k, with_word(f"{k} ({g})" if g else k, k, shut)) for k, g in lots
                  if k not in mine]  # fmt: skip
        flakes, spirit = self.fields["flakes"], self.fields["spirit"]
        assert isinstance(flakes, forms.ChoiceField)
        assert isinstance(spirit, forms.ChoiceField)
        flakes.choices = [*((k, k) for k in mine), ("", f"{grade}, not said which lot"), *others]
        cans = [k for k, _ in at_hand.lots_at_hand("alcohol")]
        spirit.choices = [("", "as said above, no lot"), *((k, k) for k in cans)]
        self.fields["jar"].initial = at_hand.next_name(Jar, "J")
        self.fields["flakes"].initial = mine[0] if mine else ""
        if what is None:
            del self.fields["piece"]
        else:
            self.fields["piece"].initial = at_hand.next_name(Piece, f"{what} ")
        self.stopped = stopped

    @property
    def names(self) -> list[Any]:
        """The fields that are seen: a reason is asked for only where there is a stop."""
        asks = self.stopped or "in_spite" in self.errors
        return [f for f in self if not f.is_hidden and (asks or f.name != "in_spite")]
