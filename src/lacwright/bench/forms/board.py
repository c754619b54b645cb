"""What is asked about a photographed board: the photo, where the board is, what lies on it."""

from __future__ import annotations

from typing import Any

from django import forms
from django.http import QueryDict

from lacwright.bench import fields
from lacwright.bench.board_pictures import MOST_COATS, MOST_GRADES, Asked, Marks, box_of
from lacwright.bench.colours import Wood
from lacwright.bench.forms.colour import (
    Group,
    Laid,
    OnWood,
    coats_field,
    grades,
    groups_of,
    share_field,
)
from lacwright.figures import Refusal
from lacwright.files.photo_marks import read_corners

BARE = "bare:0"
MOST_DIGITS = 6
PHOTOS = "image/jpeg,image/png,image/heic,.jpg,.jpeg,.png,.heic"


class NewPhoto(forms.Form):
    """A photo to be sent."""

    file = forms.FileField(
        label="Photo of the bare board", help_text="JPEG, PNG or HEIC, at most 20 MB",
        widget=forms.FileInput(attrs={"accept": PHOTOS}),
    )  # fmt: skip


def corners_field(**more: Any) -> fields.Said:
    """Return a field for the corners of a card; what was typed is kept."""

    def read(text: str, where: str) -> str:
        if len(read_corners(text, where)) != 4:
            raise Refusal(where, "these are not four corners",
                          "clockwise from the dark brown patch")  # fmt: skip
        return text

    return fields.Said(read, **{
        "label": "24-patch card in the photo: its corners", "required": False,
        "example": "0.62,0.10 0.93,0.11 0.92,0.33 0.61,0.32",
        "help_text": "from left and from top as shares, clockwise from the dark brown patch",
        **more,
    })  # fmt: skip


class Board(Laid, OnWood):
    """What is to be seen of a board."""

    FIRST = ("coats", "wood", "load")
    BOX = ("left", "top", "right", "bottom")
    field_order = (*FIRST, "grades", "method", "cut", *BOX, *OnWood.READING, "card")

    grades = forms.MultipleChoiceField(
        label="Grades, each a row", choices=grades, widget=forms.CheckboxSelectMultiple,
        help_text=f"at most {MOST_GRADES}",
    )  # fmt: skip
    coats = coats_field("Up to so many coats", MOST_COATS)
    left = share_field("Board begins, from the left")
    top = share_field("Board begins, from the top")
    right = share_field("Board ends, from the left")
    bottom = share_field("Board ends, from the top")
    card = corners_field()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["wood"].help_text = "tells how it takes a film; its colour is the photo's"
        for name, example in zip(self.BOX, ("5 %", "10 %", "95 %", "90 %"), strict=True):
            self.fields[name].widget.attrs["placeholder"] = example

    def clean_grades(self) -> list[str]:
        """Refuse more rows than can be told apart."""
        told: list[str] = self.cleaned_data["grades"]
        if len(told) > MOST_GRADES:
            raise forms.ValidationError(f"Tick at most {MOST_GRADES} of them.")
        return told

    def clean(self) -> dict[str, Any]:
        """Refuse a card beside a reading: both put the light right."""
        told = super().clean()
        if told.get("lab") is not None and told.get("card"):
            self.add_error("card", "The colour as read says it already. Leave one of them empty.")
        if told.get("lab") is not None and told.get("geometry") == "8/d":
            self.add_error("geometry", "A photo has no gloss in it. Read the board 45/0.")
        return told

    def first(self) -> list[forms.BoundField]:
        """Return the few fields that stand first."""
        return [self[name] for name in self.FIRST]

    def parts(self) -> list[Group]:
        """Return the others in groups."""
        return groups_of(self, (
            ("Grades, each a row", ("grades",)),
            ("Where the board is in the photo", self.BOX),
            ("Colours of the photo put right", ("card", *self.READING)),
            ("How it is laid", ("method", "cut")),
        ))  # fmt: skip

    def asked(self, sha: str) -> Asked:
        """Return what was asked of a photo.

        Raises
        ------
        Refusal
            For a box that holds nothing.
        """
        told = self.cleaned_data
        wood = self.of_wood() if told["lab"] is not None else Wood(told["wood"])
        marks = Marks(sha, wood, box_of([told[name] for name in self.BOX]), told["card"] or "")
        return Asked(marks, tuple(told["grades"]), told["coats"], self.of_coat())


def asked_of(sha: str, query: str) -> Asked:
    """Return what an address asked of a photo.

    Raises
    ------
    Refusal
        If it asked for nothing that can be shown.
    """
    form = Board(QueryDict(query))
    if not form.is_valid():
        raise Refusal("picture", "what is to be seen is not said", "go back and say it")
    return form.asked(sha)


def seen_of(see: str) -> tuple[str, int]:
    """Return grade and coats of "amber:3"; no grade for the bare board and for all of it."""
    grade, _, coats = see.partition(":")
    number = whole(coats) or 0
    return (grade, number) if number else ("", 0)


def whole(text: str) -> int | None:
    """Return a whole number of an address, None for anything else."""
    return int(text) if text.isdecimal() and len(text) <= MOST_DIGITS else None
