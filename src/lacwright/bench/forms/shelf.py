"""What is asked about lots: what came, what is known of it, what is left."""

from __future__ import annotations

from typing import Any

from django import forms

from lacwright.bench import fields
from lacwright.bench.ask import Done, Writing
from lacwright.bench.forms.common import Parted
from lacwright.bench.forms.jars import LONGEST, NAME, amount_of
from lacwright.figures import units as u
from lacwright.shop.amounts import PIECES
from lacwright.shop.facts import ABRASIVE, ALCOHOL, DYE, FLAKES, KINDS, OTHER, WAX
from lacwright.shop.queries.found import ALL, THERE

KIND_WORDS = {FLAKES: "Flakes", ALCOHOL: "Alcohol", DYE: "Dye", WAX: "Wax",
              ABRASIVE: "Paper and abrasives", OTHER: "Other"}  # fmt: skip
SHOWN = ((THERE, "what is there"), (ALL, "used up too"))
MOST_BYTES = 1_000_000
_SAID = [("yes", "yes"), ("no", "no")]
assert set(KIND_WORDS) == set(KINDS)


def said(text: str) -> bool | None:
    """Return yes, no or not said."""
    return {"yes": True, "no": False}.get(text)


def said_words(value: bool | None) -> str:
    """Return the same as a choice has it."""
    return {True: "yes", False: "no", None: ""}[value]


class Lot(Parted, Writing):
    """What is known of a lot; fields that are not of its kind are left out."""

    grade = fields.Choice(lambda: fields.rows_of("grades"), label="Grade", required=False,
                          empty="not said")  # fmt: skip
    waxed = fields.Choice(_SAID, label="Waxed", required=False, empty="not said",
                          help_text="ask the seller: the colour does not tell")  # fmt: skip
    bleached = fields.Choice(_SAID, label="Bleached", required=False, empty="not said")
    paper = forms.CharField(label="System and number", required=False, max_length=80,
                            help_text="P320, 320 CAMI, steel wool 0000")  # fmt: skip
    alcohol = fields.Choice(lambda: fields.rows_of("alcohols"), label="Which alcohol",
                            required=False, empty="not said")  # fmt: skip
    composition = forms.CharField(
        label="Or what is in it", required=False, max_length=200,
        help_text="as the data sheet says, by weight: ethanol 85, methanol 10, water 5",
    )  # fmt: skip
    density = fields.quantity(u.DENSITY, label="Density, if you weighed it", required=False,
                              example="0.793 g/ml")  # fmt: skip
    bought = fields.Day(label="Bought on", required=False)
    supplier = forms.CharField(label="Bought from", required=False, max_length=80)
    batch = forms.CharField(label="Number on the bag", required=False, max_length=80)
    price = forms.DecimalField(label="Price", required=False, min_value=0, max_digits=12,
                               decimal_places=2)  # fmt: skip
    note = forms.CharField(label="Note", required=False, max_length=LONGEST)

    def of_kind(self, kind: str, unit: str) -> None:
        """Leave out what is not of a kind, and take amounts as they are given of it."""
        only = {"grade": FLAKES, "waxed": FLAKES, "bleached": FLAKES, "paper": ABRASIVE,
                "alcohol": ALCOHOL, "composition": ALCOHOL}  # fmt: skip
        for name, of in only.items():
            if kind != of:
                del self.fields[name]
        if kind not in (FLAKES, ALCOHOL, DYE, OTHER):
            del self.fields["density"]
        example = {"example": "1 kg"} if kind == FLAKES else {}
        if "amount" in self.fields:
            self.fields["amount"] = amount_of(kind, unit=unit, label="How much came",
                                              required=False, help_text="empty: not known",
                                              **example)  # fmt: skip
        self.fields["price_for"] = amount_of(kind, unit=unit, label="That is the price of",
                                             required=False)  # fmt: skip
        self.fields["order_below"] = amount_of(kind, unit=unit, label="Order when less is left",
                                               required=False)  # fmt: skip
        first = [name for name in self.fields if name not in ("price_for", "order_below", "note")]
        first.insert(first.index("price") + 1, "price_for")
        self.order_fields([*first, "order_below", "note"])

    def described(self) -> dict[str, Any]:
        """Return what was said, by the names the record has."""
        told = self.cleaned_data
        out: dict[str, Any] = {
            name: told[name]
            for name in ("supplier", "batch", "bought", "note", "price", "price_for", "order_below")
        }
        if "grade" in told or "paper" in told:
            out["grade"] = told.get("grade") or told.get("paper") or ""
        for name in ("waxed", "bleached"):
            if name in told:
                out[name] = said(told[name])
        if told.get("composition") or told.get("alcohol"):
            out["alcohol"] = told.get("composition") or told["alcohol"]
        if "density" in told:
            out["density_g_ml"] = told["density"]
        return out


class NewLot(Lot, Done):
    """A lot that came, or that was there."""

    MORE = "Where from, when, price, note"
    FIRST = ("name", "amount", "grade", "waxed", "paper", "alcohol", "composition")
    name = forms.CharField(label="It is called", **NAME)  # type: ignore[arg-type]
    amount = amount_of(FLAKES, label="How much came", required=False)
    opening = forms.BooleanField(label="It was here before this record began", required=False)
    field_order = ("token", *FIRST, "bought", "opening", "supplier", "batch", "price")


class Count(Parted, Done):
    """What of a lot is really there."""

    MORE = "Not just now?"
    FIRST = ("amount", "gone")
    amount = amount_of(FLAKES, label="What is there")
    gone = fields.Choice(
        [
            ("unaccounted", "nobody knows"),
            ("waste", "it was spilled or thrown away"),
            ("air", "it evaporated"),
        ],
        label="If some is missing",
    )

    def of_kind(self, kind: str, unit: str) -> None:
        """Take the amount as it is given of a kind."""
        example = {"example": "40 pc"} if unit == PIECES else {}
        self.fields["amount"] = amount_of(kind, unit=unit, label="What is there", **example)


class StockTable(forms.Form):
    """A stock list: a file, or the same pasted."""

    file = forms.FileField(label="File", required=False,
                           widget=forms.FileInput(attrs={"accept": ".csv,text/csv,text/plain"}),
                           help_text="CSV, at most 1 MB")  # fmt: skip
    text = forms.CharField(
        label="Or paste the list",
        required=False,
        max_length=MOST_BYTES,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 6, "spellcheck": "false"}),
    )
    opening = forms.BooleanField(label="It was all here before this record began", required=False,
                                 initial=True)  # fmt: skip


class KeepStock(Writing):
    """The list that was looked at is written down."""

    text = forms.CharField(widget=forms.HiddenInput, max_length=2 * MOST_BYTES, strip=False)
    file = forms.CharField(widget=forms.HiddenInput, max_length=200)
    opening = forms.BooleanField(widget=forms.HiddenInput, required=False)
