"""What is asked about jars, pads and brushes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from django import forms

from lacwright.bench import fields
from lacwright.bench.ask import Done, Writing
from lacwright.bench.forms.common import WHEN, IntoJar, Parted
from lacwright.bench.pages.measures import of_lot
from lacwright.figures import Refusal
from lacwright.figures import units as u
from lacwright.figures.quantities import read, read_weight
from lacwright.shop.amounts import PIECES, read_amount
from lacwright.shop.facts import ALCOHOL, DYE, FLAKES
from lacwright.shop.queries.found import (
    Choosable,
    applicators_to_take,
    jars_that_failed,
    jars_to_take,
    lots_to_take,
)
from lacwright.shop.services.applicators import KINDS
from lacwright.trade import table

Rows = Sequence[tuple[str, Any]]
MIX, OF_FLAKES, OF_ALCOHOL = "mix", "flakes", "alcohol"
LONGEST = 500
USUAL = "amber"
"""Grade that stands first where no lot is on the shelf."""
NAME = {"max_length": 80, "help_text": "names are kept for ever: J7, garnet-b12"}


def lot_words(lot: Choosable) -> str:
    """Return a lot as it stands in a choice: "garnet-b12: garnet, 820 g (28.9 oz)"."""
    left = None if lot.left_u is None else lot.left_u / 1e6
    grade = f"{lot.grade.replace('-', ' ')}, " if lot.grade else ""
    return f"{lot.name}: {grade}{of_lot(left, lot.unit, lot.left_ml)}"


def _flakes(lots: Sequence[Choosable]) -> Rows:
    """Return lots of flakes, and grades where nobody says which lot."""
    names = {lot.name for lot in lots}
    grades = [(key, words) for key, words in fields.rows_of("grades") if key not in names]
    return _grouped(lots, grades)


def _alcohol(lots: Sequence[Choosable]) -> Rows:
    """Return lots of alcohol, and what it may be where nobody says which can."""
    names = {lot.name for lot in lots}
    kinds = [(k, w) for k, w in fields.rows_of("alcohols") if k not in names]
    return [*_grouped(lots, []), ("Lot not said", [("", "not said at all"), *kinds])]


def offer(form: forms.Form, name: str, rows: Rows) -> None:
    """Let a field of a form offer rows."""
    field = form.fields[name]
    assert isinstance(field, forms.ChoiceField)
    field.choices = rows


def _grouped(lots: Iterable[Choosable], others: Rows) -> Rows:
    shelf = [(lot.name, lot_words(lot)) for lot in lots]
    groups: list[tuple[str, Any]] = [("On the shelf", shelf)] if shelf else []
    return [*groups, ("Lot not said", list(others))] if others else groups


class Wish(forms.Form):
    """What is to be mixed; it answers with amounts."""

    flakes = fields.Choice([], label="Flakes")
    cut = fields.cut(label="Cut", help_text="pounds per gallon of alcohol, or 240 g/l")
    amount = forms.CharField(label="How much", max_length=40, widget=forms.TextInput(
        attrs={"placeholder": "500 ml", "autocomplete": "off"}))  # fmt: skip
    of = fields.Choice([(MIX, "of finished mix"), (OF_ALCOHOL, "of alcohol to use up"),
                        (OF_FLAKES, "of flakes to use up")], label="That is")  # fmt: skip
    alcohol = fields.Choice([], label="Alcohol", required=False)
    second = fields.Choice([], label="Second flakes", required=False)
    share = fields.Said(lambda text, where: read(text, u.SHARE, where), label="Its share",
                        required=False, example="25 %")  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        told = self.data if self.is_bound else self.initial
        named = [str(told.get(name) or "") for name in ("flakes", "second", "alcohol")]
        lots = lots_to_take(FLAKES, ALCOHOL, also=named)
        flakes = _flakes([lot for lot in lots if lot.kind == FLAKES])
        cans = [lot for lot in lots if lot.kind == ALCOHOL]
        offer(self, "flakes", flakes)
        offer(self, "second", [("", "none"), *flakes])
        offer(self, "alcohol", _alcohol(cans))
        if not self.is_bound and "flakes" not in self.initial:
            self.initial["flakes"] = next((lot.name for lot in lots if lot.kind == FLAKES), USUAL)
        if not self.is_bound and "alcohol" not in self.initial:
            self.initial["alcohol"] = next((can.name for can in cans if can.known), "")

    def clean(self) -> dict[str, Any]:
        """Return what was said, the amount in grams or millilitres."""
        told: dict[str, Any] = super().clean() or {}
        kind = u.MASS if told.get("of") == OF_FLAKES else u.VOLUME
        if told.get("amount"):
            try:
                told["amount"] = (read_weight if kind is u.MASS else _volume)(told["amount"], "")
            except Refusal as refusal:
                self.add_error("amount", fields.words_of(refusal))
        if bool(told.get("second")) != (told.get("share") is not None):
            self.add_error("share", "Say which flakes and which share of the resin they are, "
                           "or neither")  # fmt: skip
        elif told.get("second") and not 0 < told["share"] < 1:
            self.add_error("share", "Write how much of the resin it is, e.g. 25 %")
        elif told.get("second") and told["second"] == told.get("flakes"):
            self.add_error("second", "These are the same flakes; name others, or none")
        return told


def _volume(text: str, where: str) -> float:
    return read(text, u.VOLUME, where)


class NewJar(Parted, Done):
    """What is said of any new filling."""

    MORE = "What for, the empty jar, when"

    jar = forms.CharField(label="The jar is called", **NAME)  # type: ignore[arg-type]
    purpose = forms.CharField(label="What for", required=False, max_length=80)
    tare = fields.quantity(u.MASS, label="The empty jar weighs", required=False, example="310 g")
    mouth = fields.quantity(u.LENGTH, label="Its mouth is wide", required=False, example="60 mm",
                            help_text="tells what evaporates while it stands open")  # fmt: skip
    note = forms.CharField(label="Note", required=False, max_length=LONGEST)


class Mixed(NewJar):
    """A mix that was made: what really went in."""

    def ask_for(self, names: Sequence[tuple[str, str, str]]) -> None:
        """Add a field for every lot that goes in: its words, its kind, the amount worked out."""
        for number, (words, kind, amount) in enumerate(names):
            self.fields[f"take_{number}"] = amount_of(kind, label=f"{words}, really taken",
                                                      initial=amount)  # fmt: skip
        self.FIRST = ("jar", *(f"take_{number}" for number in range(len(names))))


def amount_of(kind: str, *, unit: str = "g", **more: Any) -> fields.Said:
    """Return a field for an amount of a kind: flakes by weight, liquids by either."""
    example = {FLAKES: "60 g", ALCOHOL: "500 ml", DYE: "20 ml"}.get(kind, "60 g")
    if unit == PIECES:
        example = "12 pc"
    return fields.Said(
        lambda text, where: read_amount(text, where, of=kind, unit=unit),
        **{"example": "250 ml" if kind == "jar" else example, **more},
    )


class Filled(NewJar):
    """A jar that came full."""

    amount = amount_of("jar", label="How much is in it", required=False,
                       help_text="empty: not known")  # fmt: skip
    cut = fields.cut(label="Cut on the label", required=False,
                     help_text="empty: nobody knows what it is made of")  # fmt: skip
    grade = fields.Choice(lambda: fields.rows_of("grades"), label="Grade on the label",
                          required=False, empty="not said")  # fmt: skip
    alcohol = fields.Choice(lambda: fields.rows_of("alcohols"), label="Alcohol", required=False,
                            empty="not said")  # fmt: skip
    supplier = forms.CharField(label="Bought from", required=False, max_length=80)
    batch = forms.CharField(label="Number on the tin", required=False, max_length=80)
    bought = fields.Day(label="Bought on", required=False)
    price = forms.DecimalField(label="Price for all of it", required=False, min_value=0,
                               max_digits=12, decimal_places=2)  # fmt: skip
    opening = forms.BooleanField(label="It stood here before this record began", required=False)
    FIRST = ("jar", "amount", "cut", "grade", "alcohol")
    MORE = "Bought where and when, what for, the empty jar"
    field_order = ("token", *FIRST, "opening", "bought", "supplier", "batch", "price")


FRESH, WASTE = "new", "waste"


class Pour(IntoJar):
    """Something of a jar goes elsewhere."""

    MORE = WHEN

    amount = amount_of("jar", label="How much", required=False,
                       help_text='"all" for all of it; empty: not said')  # fmt: skip
    to = fields.Choice([], label="Into")
    to_new = forms.CharField(label="New name", required=False, max_length=80,
                             help_text="of a clean jar")  # fmt: skip
    FIRST = ("amount", "to", "to_new")

    def offer_from(self, jar: str) -> None:
        """Offer the other jars, pads and brushes; last the jars nothing should go into."""
        jars = [(f"jar {key}", f"jar {key}") for key in jars_to_take(but=jar)]
        pads = [(f"applicator {key}", key) for key in applicators_to_take()]
        shut = jars_that_failed(but=jar)
        failed = [(f"jar {key}", f"jar {key}, failed its test") for key in shut]
        groups = (("Jars", jars), ("Pads and brushes", pads), ("Shut", failed))
        offer(self, "to", [(FRESH, "a clean jar, under a new name"), (WASTE, "the waste"),
                           *((word, rows) for word, rows in groups if rows)])  # fmt: skip


class Add(IntoJar):
    """Something goes into a jar."""

    MORE = WHEN
    FIRST = ("source", "amount", "why")

    source = fields.Choice([], label="From")
    amount = forms.CharField(
        label="How much",
        required=False,
        max_length=40,
        help_text="60 g, 250 ml; flakes by weight; empty: not said",
    )
    why = fields.Choice([("top-up", "to top it up"), ("thin", "to thin it"),
                         ("strengthen", "to strengthen it"),
                         ("give-back", "to give back what evaporated")],
                        label="Why", required=False, empty="not said")  # fmt: skip

    def offer_from(self, jar: str) -> None:
        """Offer lots and jars."""
        lots = lots_to_take(FLAKES, ALCOHOL, DYE)
        self.kinds = {lot.name: lot.kind for lot in lots}
        liquid = [(f"lot {x.name}", lot_words(x)) for x in lots if x.kind != FLAKES]
        flakes = [(f"lot {x.name}", lot_words(x)) for x in lots if x.kind == FLAKES]
        jars = [(f"jar {key}", key) for key in jars_to_take(but=jar)]
        spirits = [(f"alcohol {k}", w) for k, w in fields.rows_of("alcohols")]
        grades = [(f"grade {k}", w) for k, w in fields.rows_of("grades")]
        offer(self, "source", [
            ("Alcohol and dye", liquid), ("Flakes", flakes), ("Jars", jars),
            ("Alcohol, lot not said", spirits), ("Flakes, lot not said", grades)])  # fmt: skip

    def clean(self) -> dict[str, Any]:
        """Return what was said, the amount as the ledger holds it."""
        told: dict[str, Any] = super().clean() or {}
        kind, _, name = str(told.get("source") or "").partition(" ")
        told["kind"], told["name"], text = kind, name, told.get("amount") or ""
        if text:
            of = {"jar": "jar", "alcohol": ALCOHOL, "grade": FLAKES}.get(
                kind, self.kinds.get(name, "jar"))  # fmt: skip
            try:
                told["amount"] = read_amount(text, "", of=of)
            except Refusal as refusal:
                self.add_error("amount", fields.words_of(refusal))
        else:
            told["amount"] = None
        return told


class ToCut(forms.Form):
    """The cut that a jar should have, and what is at hand for it."""

    cut = fields.cut(label="To which cut", help_text="pounds per gallon of alcohol, or 240 g/l")
    lot = fields.Choice([], label="With")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        lots = lots_to_take(ALCOHOL, FLAKES, also=[str(self.data.get("lot") or "")])
        lots.sort(key=lambda lot: (lot.kind, not lot.known))
        offer(self, "lot", [(lot.name, lot_words(lot)) for lot in lots])


class Corrected(IntoJar):
    """Nothing but when, and why."""

    FIRST = ("reason",)
    MORE = WHEN

    reason = forms.CharField(label="Why", required=False, max_length=LONGEST)


class WithReason(Parted, Done):
    """Nothing but when, and why."""

    FIRST = ("reason",)
    MORE = WHEN

    reason = forms.CharField(label="Why", required=False, max_length=LONGEST)


class Weigh(Parted, Done):
    """A jar on the scale."""

    FIRST = ("gross", "net", "gone")
    MORE = WHEN

    gross = fields.quantity(u.MASS, label="Jar and mix weigh", required=False, example="742 g")
    net = fields.quantity(u.MASS, label="Or the mix alone", required=False, example="432 g")
    gone = fields.Choice(
        [
            ("air", "it evaporated: the jar stood open"),
            ("waste", "it was spilled"),
            ("unaccounted", "nobody knows"),
        ],
        label="If some is missing",
    )


class DescribeJar(Writing):
    """What is known of a jar."""

    purpose = forms.CharField(label="What for", required=False, max_length=80)
    tare = fields.quantity(u.MASS, label="The empty jar weighs", required=False, example="310 g")
    mouth = fields.quantity(u.LENGTH, label="Its mouth is wide", required=False, example="60 mm")
    note = forms.CharField(label="Note", required=False, max_length=LONGEST,
                           widget=forms.Textarea(attrs={"rows": 3}))  # fmt: skip


class NewPad(Parted, Done):
    """A pad or brush, clean."""

    FIRST = ("name", "kind", "note")
    MORE = WHEN

    name = forms.CharField(label="It is called", **NAME)  # type: ignore[arg-type]
    kind = fields.Choice([(k, k) for k in KINDS], label="It is a")
    note = forms.CharField(label="Note", required=False, max_length=LONGEST)


def grade_words(key: str) -> str:
    """Return a grade as a person reads it."""
    return key.replace("-", " ") if key in table("grades") else key
