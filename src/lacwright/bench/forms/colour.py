"""What is asked about a colour: the wood, the lac, the coat."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms

from lacwright.bench import fields
from lacwright.bench.colours import MOST_COATS, MOST_ROWS, Asked, Coat, Lac, Wood
from lacwright.bench.forms import drying
from lacwright.colour import GEOMETRIES, ILLUMINANTS, OBSERVERS, Viewing
from lacwright.figures import Refusal
from lacwright.figures import units as u
from lacwright.figures.quantities import read
from lacwright.files.colour_words import read_lab
from lacwright.trade import table

Group = tuple[str, list[forms.BoundField], bool]
"""Fields that stand together: their words, and whether they are open."""
DECANTED = "0"
USUAL = {"method": "brush", "geometry": "45/0", "light": "D65", "observer": "2"}
"""What stands in fields where nothing was said."""


def lab_field(**more: Any) -> fields.Said:
    """Return a field for a colour as an instrument reads it."""
    return fields.Said(read_lab, **{"example": "72, 6.5, 19", "required": False, **more})


def share_field(label: str) -> fields.Said:
    """Return a field for a share of a blend."""
    return fields.Said(lambda text, where: read(text, u.SHARE, where), label=label,
                       required=False, example="30 %")  # fmt: skip


def woods() -> list[tuple[str, str]]:
    """Return the woods whose colour is on file."""
    return [(row.key, row.key.replace("-", " ")) for row in table("colour_woods")]


def grades() -> list[tuple[str, str]]:
    """Return the grades whose colour is on file, from pale to dark."""
    return [(row.key, row.key.replace("-", " ")) for row in table("colour_grades")]


def grade_choice(label: str, **more: Any) -> fields.Choice:
    """Return a field for a grade."""
    return fields.Choice(grades, label=label, **more)


def groups_of(form: forms.Form, groups: Sequence[tuple[str, Sequence[str]]]) -> list[Group]:
    """Return groups of fields; one is open where something unusual is said in it."""
    return [
        (words, mine, any(f.errors or _unusual(f) for f in mine))
        for words, names in groups for mine in [[form[name] for name in names]]
    ]  # fmt: skip


def _unusual(field: forms.BoundField) -> bool:
    value = field.value()
    if isinstance(field.field, forms.MultipleChoiceField):
        return False  # many boxes; what is ticked is seen in the answer
    return bool(value) and value != USUAL.get(field.name)


def wax_choice() -> fields.Choice:
    """Return a field for the wax in the film."""
    return fields.Choice(
        [(DECANTED, "decanted clear, or dewaxed"), ("0.02", "about 2 %"),
         ("0.04", "about 4 %, stirred in")], label="Wax in the film", required=False,
        empty="as the grade usually is",
    )  # fmt: skip


class OnWood(forms.Form):
    """The bare wood: its name, its colour as measured, how that was read."""

    READING = ("lab", "geometry", "light", "observer")

    wood = fields.Choice(woods, label="Wood", required=False, empty="none of these")
    lab = lab_field(label="Colour of your bare board, as read",
                    help_text="L*, a*, b*, the mean of several places")  # fmt: skip
    geometry = fields.Choice(
        [("45/0", "45/0: gloss excluded, or a photo"), ("8/d", "8/d: sphere, gloss included")],
        label="Geometry of the reader", required=False, initial="45/0",
    )  # fmt: skip
    light = fields.Choice([(k, k) for k in ILLUMINANTS], label="Light it is told for",
                          required=False, initial="D65")  # fmt: skip
    observer = fields.Choice([(str(n), f"{n} degrees") for n in OBSERVERS],
                             label="Observer it is told for", required=False,
                             initial="2")  # fmt: skip

    def read_as(self) -> Viewing:
        """Return how the colour was read."""
        told = self.cleaned_data
        return Viewing(told["light"] or "D65", int(told["observer"] or 2),
                       told["geometry"] or next(iter(GEOMETRIES)))  # fmt: skip

    def of_wood(self) -> Wood:
        """Return the wood that was said."""
        return Wood(self.cleaned_data["wood"], self.cleaned_data["lab"], self.read_as())


class Laid(forms.Form):
    """How much dry lac one coat leaves."""

    COAT = ("load", "method", "cut")

    load = fields.quantity(u.LOAD, label="Dry lac of one coat", required=False,
                           example="3.5 g/m2",
                           help_text="empty: the usual coat of the method")  # fmt: skip
    method = drying.method(empty=None, initial="brush", required=False)
    cut = fields.cut(label="Cut", required=False, help_text="empty: that of the method")

    def of_coat(self) -> Coat:
        """Return the coat that was said."""
        told = self.cleaned_data
        return Coat(told["load"], told["method"] or "brush", told["cut"])

    def clean(self) -> dict[str, Any]:
        """Refuse a load beside a cut: they say the same in two ways."""
        told = super().clean() or self.cleaned_data
        if told.get("load") is not None and told.get("cut") is not None:
            self.add_error("cut", "The load says it already. Leave one of the two empty.")
        return told


def coats_field(label: str = "Coats", most: int = MOST_COATS, **more: Any) -> forms.IntegerField:
    """Return a field for a number of coats."""
    return forms.IntegerField(label=label, min_value=1, max_value=most, **more)


class Film(Laid, OnWood):
    """A film to be looked at: which wood, which lac, how many coats."""

    FIRST = ("wood", "grade", "coats", "load")
    BLEND = ("second", "second_share", "third", "third_share")
    field_order = (*FIRST, "method", "cut", *OnWood.READING, *BLEND, "wax", "beside")

    grade = grade_choice("Grade", initial="amber")
    coats = coats_field(initial=4)
    second = grade_choice("Blended with", required=False, empty="nothing")
    second_share = share_field("Its share by weight")
    third = grade_choice("And with", required=False, empty="nothing")
    third_share = share_field("Its share")
    wax = wax_choice()
    beside = forms.MultipleChoiceField(
        label="Other grades beside it", required=False, choices=grades,
        widget=forms.CheckboxSelectMultiple, help_text=f"at most {MOST_ROWS - 1}",
    )  # fmt: skip

    def clean_beside(self) -> list[str]:
        """Refuse more rows than can be told apart."""
        told: list[str] = self.cleaned_data["beside"]
        if len(told) > MOST_ROWS - 1:
            raise forms.ValidationError(f"Tick at most {MOST_ROWS - 1} of them.")
        return told

    def first(self) -> list[forms.BoundField]:
        """Return the few fields that stand first."""
        return [self[name] for name in self.FIRST]

    def parts(self) -> list[Group]:
        """Return the others in groups."""
        return groups_of(self, (
            ("Your own board, as it was read", self.READING), ("A blend", self.BLEND),
            ("How it is laid, wax", ("method", "cut", "wax")),
            ("Other grades beside it", ("beside",)),
        ))  # fmt: skip

    def lac(self) -> Lac:
        """Return the grade or blend that was said.

        Raises
        ------
        Refusal
            For shares that are more than the whole, or none where several grades are named.
        """
        told = self.cleaned_data
        pairs = [(told[name], told[f"{name}_share"]) for name in ("second", "third") if told[name]]
        if not pairs:
            return Lac(((told["grade"], 1.0),))
        for name, share in pairs:
            if share is None or share <= 0:
                field = "second_share" if name == told["second"] else "third_share"
                raise Refusal(field, "its share is not said", "write e.g. 30 %")
        rest = 1.0 - sum(share for _, share in pairs)
        if rest <= 0:
            raise Refusal("second_share", "nothing is left for the first grade",
                          "the shares here are of the whole, 100 %")  # fmt: skip
        shares: dict[str, float] = {}
        for name, share in ((told["grade"], rest), *pairs):
            shares[name] = shares.get(name, 0.0) + share
        return Lac(tuple(shares.items()))

    def asked(self) -> Asked:
        """Return what was asked.

        Raises
        ------
        Refusal
            See `lac`.
        """
        told = self.cleaned_data
        return Asked(
            self.of_wood(), self.lac(), tuple(Lac(((name, 1.0),)) for name in told["beside"]),
            told["coats"], self.of_coat(), float(told["wax"]) if told["wax"] else None,
        )  # fmt: skip
