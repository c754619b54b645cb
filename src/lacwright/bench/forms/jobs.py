"""What is asked about work on a job."""

from __future__ import annotations

from decimal import Decimal, InvalidOperation
from typing import Any

from django import forms

from lacwright.bench import fields
from lacwright.bench.ask import Done, Writing
from lacwright.bench.forms.common import WHEN, OnParts, Parted, note, took
from lacwright.figures import units as u
from lacwright.shop.queries import at_hand
from lacwright.shop.queries.shut import shut_jars, with_word
from lacwright.shop.services.events import SANDINGS
from lacwright.trade import table

SANDING_WORDS = {"scuff": "scuffed", "level": "levelled", "rub": "rubbed out"}


def moment(label: str, **more: Any) -> forms.DateTimeField:
    """Return a field for a day and an hour."""
    return forms.DateTimeField(
        label=label, required=False,
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
        input_formats=["%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M", "%Y-%m-%dT%H:%M:%S"], **more,
    )  # fmt: skip


def laying_kinds() -> list[tuple[str, str]]:
    """Return the kinds of step that lay something."""
    return [(r.key, r.key) for r in table("steps") if r.yes("lays")]


class Coat(Parted, OnParts):
    """A coat or session: the jar, where, and its weight before and after."""

    FIRST = ("jar", "parts", "before", "after", "ago")

    jar = fields.Choice((), label="From jar")
    before = fields.quantity(u.MASS, label="Jar before", required=False, example="700 g",
                             help_text="lid and all, the same for both")  # fmt: skip
    after = fields.quantity(u.MASS, label="Jar after", required=False, example="668 g")
    used_ml = fields.quantity(u.VOLUME, label="Or measured out", required=False, example="30 ml",
                              help_text="in place of weights")  # fmt: skip
    what = fields.Choice(laying_kinds, label="What", required=False, empty="as planned")
    method = fields.Choice(lambda: fields.rows_of("methods"), label="How laid", required=False,
                           empty="as planned")  # fmt: skip
    applicator = fields.Choice((), label="Pad, brush or gun", required=False, empty="not said")
    other_jar = forms.CharField(label="A jar that is not in the list", required=False,
                                max_length=80)  # fmt: skip
    faces = forms.MultipleChoiceField(label="Only on these faces", required=False,
                                      widget=forms.CheckboxSelectMultiple)  # fmt: skip
    open_for = fields.quantity(u.TIME, label="Jar stood open for", required=False, example="20 min")
    took = took()
    area_m2 = fields.quantity(u.AREA, label="Area, if not that of the parts", required=False,
                              example="0.4 m2")  # fmt: skip
    evaporated_g = fields.quantity(u.MASS, label="Evaporated meanwhile, if weighed", required=False,
                                   example="0.8 g")  # fmt: skip
    left_g = fields.quantity(u.MASS, label="Dry resin in the pad next day", required=False,
                             example="1.2 g")  # fmt: skip
    number = forms.IntegerField(label="Which of its kind, if you count", required=False,
                                min_value=1, max_value=1000)  # fmt: skip
    until = moment("Finished at", help_text="the wait to the next coat counts from then")
    note = note()
    in_spite = forms.CharField(label="Why, if the jar failed its test", required=False,
                               max_length=2000)  # fmt: skip

    def offer_jars(self, first: tuple[str, ...]) -> None:
        """Offer jars at hand, and pads and brushes."""
        jars = at_hand.jars_at_hand(first=first)
        choice, with_ = self.fields["jar"], self.fields["applicator"]
        assert isinstance(choice, forms.ChoiceField)
        assert isinstance(with_, forms.ChoiceField)
        shut = shut_jars()
        choice.choices = [(key, with_word(key, key, shut)) for key in jars]
        if not jars:
            choice.help_text = "no jar holds anything: mix one first"
        with_.choices = [("", "not said"), *((key, f"{key} ({kind})") for key, kind in
                                            at_hand.applicators_at_hand())]  # fmt: skip
        if self.data.get("other_jar"):
            choice.required = False


class Sanding(Parted, OnParts):
    """A scuffing, a levelling, a rubbing out."""

    FIRST = ("what", "parts", "abrasive", "ago")

    what = fields.Choice(lambda: [(k, SANDING_WORDS[k]) for k in SANDINGS], label="What was done")
    abrasive = forms.CharField(label="With", required=False, max_length=80, help_text=
                               "system and number together: P400, CAMI 400, 0000 wool",
                               widget=forms.TextInput(attrs={"autocomplete": "off"}))  # fmt: skip
    faces = forms.MultipleChoiceField(label="Only on these faces", required=False,
                                      widget=forms.CheckboxSelectMultiple)  # fmt: skip
    removes_um = fields.quantity(u.FILM, label="Film it took off, if you know", required=False,
                                 example="3 um")  # fmt: skip
    took = took()
    note = note()


class Strip(Parted, OnParts):
    """The finish was taken off."""

    FIRST = ("parts", "how")

    how = forms.CharField(label="With what", required=False, max_length=500)
    note = note()


class Fault(Parted, OnParts):
    """A fault."""

    FIRST = ("what", "parts", "where", "text")

    what = forms.CharField(label="What is wrong", max_length=200,
                           widget=forms.TextInput(attrs={"placeholder": "haze"}))  # fmt: skip
    where = forms.CharField(label="Where exactly", required=False, max_length=500)
    text = note("What is to be seen")
    cause = forms.CharField(label="Held to come from", required=False, max_length=500)
    jar = fields.Choice((), label="Has to do with jar", required=False, empty="none")

    def offer_jars(self, first: tuple[str, ...]) -> None:
        """Offer the jars at hand."""
        choice = self.fields["jar"]
        assert isinstance(choice, forms.ChoiceField)
        shut = shut_jars()
        choice.choices = [("", "none"), *((k, with_word(k, k, shut))
                                          for k in at_hand.jars_at_hand(first=first))]  # fmt: skip


class Spot(Parted, OnParts):
    """A spot to come back to."""

    FIRST = ("where", "text", "parts")

    where = forms.CharField(label="Where exactly", max_length=500, widget=forms.TextInput(
        attrs={"placeholder": "by the lower left screw"}))  # fmt: skip
    text = note("What is to be done there")


class SpotDone(Parted, Done):
    """A spot that was seen to."""

    FIRST = ("text",)
    MORE = WHEN

    text = note("What was done")


class Note(Parted, OnParts):
    """A note, a rest, a cleaning, a waxing."""

    FIRST = ("kind", "text", "parts")

    kind = fields.Choice([("note", "a note"), ("rest", "a rest"), ("clean", "cleaned"),
                          ("wax", "waxed")], label="What it is")  # fmt: skip
    text = note("What there is to say")
    until = moment("Until", help_text="of a rest: when it is over")


class Attach(Writing):
    """A photo or paper."""

    file = forms.FileField(label="Photo or paper", help_text="JPEG, PNG, WebP; PDF or plain text. "
                           "Where a photo was taken is not kept.")  # fmt: skip
    words = forms.CharField(label="What is to be seen on it", required=False, max_length=500)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        # On a phone this opens the camera or the album.
        self.fields["file"].widget.attrs["accept"] = "image/*,application/pdf,text/plain"


class Agree(Parted, Done):
    """What was agreed with the customer."""

    FIRST = ("what", "price", "panel", "text")
    MORE = WHEN

    what = fields.Choice([("panel", "a panel: that is how it is to look"),
                          ("change", "a wish that came later"), ("price", "a price")],
                         label="What was agreed")  # fmt: skip
    text = note("In their words")
    price = forms.CharField(label="Price", required=False, max_length=20, help_text=
                            "of a later wish: what it adds, below 0 what it takes off")  # fmt: skip
    panel = fields.Choice(lambda: [(k, k) for k in at_hand.panels_at_hand()], label="Panel",
                          required=False, empty="none")  # fmt: skip

    def clean_price(self) -> Decimal | None:
        """Return the price."""
        text = str(self.cleaned_data["price"]).strip().replace(",", ".")
        if not text:
            return None
        try:
            return Decimal(text)
        except InvalidOperation:
            raise forms.ValidationError(f"'{text}' is not a price. Write e.g. 48.50.") from None


class Describe(Writing):
    """Title, promised day, note."""

    title = forms.CharField(label="Title", required=False, max_length=200)
    promised = fields.Day(label="Promised for", required=False)
    note = note()


class Close(Parted, Done):
    """The end of a job."""

    FIRST = ("delivered", "text")
    MORE = WHEN

    delivered = fields.Day(label="Handed over on", required=False)
    text = note("What there is to say")


class Start(Parted):
    """A job begins."""

    FIRST: tuple[str, ...] = ("job", "piece", "title", "promised")

    job = forms.CharField(label="Call the job", max_length=80, widget=forms.TextInput(
        attrs={"placeholder": "T-12", "autocomplete": "off"}))  # fmt: skip
    piece = forms.CharField(
        label="The piece",
        max_length=80,
        help_text="a name of the record, or a new one",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    title = forms.CharField(label="Title", required=False, max_length=200)
    promised = fields.Day(label="Promised for", required=False)
    customer = fields.Choice(
        lambda: [(k, k) for k in at_hand.customers_at_hand()],
        label="Customer of a new piece",
        required=False,
        empty="none",
    )
    in_spite = forms.CharField(label="Why, if the plan has a stop", required=False,
                               max_length=2000)  # fmt: skip
    ago = fields.quantity(u.TIME, label="Begun how long ago", required=False, example="2 h",
                          help_text="empty: just now")  # fmt: skip
