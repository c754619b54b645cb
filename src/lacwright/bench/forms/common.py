"""What the forms about work on a piece share: which parts, what stands first, words of refusals."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django import forms

from lacwright.bench import fields
from lacwright.bench.ask import Done, Writing
from lacwright.figures import units as u
from lacwright.shop.models import Piece
from lacwright.shop.services.pieces import WHOLE

WHEN = "Not just now?"


class InTwo(forms.Form):
    """A form of which few fields stand first, and the others behind "More"."""

    FIRST: tuple[str, ...] = ()
    MORE = "More"

    @property
    def first(self) -> list[forms.BoundField]:
        """The few."""
        return [self[name] for name in self.FIRST if name in self.fields]

    @property
    def rest(self) -> list[forms.BoundField]:
        """The others that are seen."""
        return [f for f in self if f.name not in self.FIRST and not f.is_hidden]

    @property
    def rest_open(self) -> bool:
        """Whether something stands there already, or is wrong with it."""
        return any(f.errors or (f.value() not in (None, "", [], False)) for f in self.rest)


class Parted(InTwo, Writing):
    """The same, of one that writes."""


class IntoJar(Parted, Done):
    """A form about what goes into a jar; of one that failed its test it asks why."""

    # Seen where the jar is known to be shut, or once the record refused for want of it.
    shut = False

    in_spite = forms.CharField(
        label="Why it went in all the same", required=False, max_length=500,
        help_text="fresh flakes or alcohol do not cure a mix that failed its test",
    )  # fmt: skip

    def ask_why(self) -> None:
        """Ask from the beginning, since the jar has failed its test by now."""
        self.shut = True
        # What went in before the test needs no reason.
        self.fields["in_spite"].required = not any(self.data.get(k) for k in ("ago", "at"))

    @property
    def first(self) -> list[forms.BoundField]:
        """The few, and the reason where one is needed."""
        why = self["in_spite"]
        asked = self.shut or why.errors or why.value()
        return [*super().first, *([why] if asked else [])]

    @property
    def rest(self) -> list[forms.BoundField]:
        """The others; the reason is never among them."""
        return [f for f in super().rest if f.name != "in_spite"]


class OnParts(Done):
    """A form about work on a piece, or on some of its parts."""

    parts = forms.MultipleChoiceField(
        label="On which parts", required=False, widget=forms.CheckboxSelectMultiple,
        help_text="none ticked: the whole piece",
    )  # fmt: skip

    def offer(self, piece: Piece) -> None:
        """Offer the parts of a piece; nothing is asked where it has only one."""
        known = parts_of(piece)
        if len(known) < 2:
            del self.fields["parts"]
            return
        choice = self.fields["parts"]
        assert isinstance(choice, forms.MultipleChoiceField)
        choice.choices = [(name, name) for name in known]

    def offer_faces(self, faces: Iterable[str]) -> None:
        """Offer the faces that are known to be finished; none asked where none are known."""
        known = list(dict.fromkeys(face for face in faces if face))
        if not known:
            del self.fields["faces"]
            return
        choice = self.fields["faces"]
        assert isinstance(choice, forms.MultipleChoiceField)
        choice.choices = [(name, name) for name in known]


def parts_of(piece: Piece) -> list[str]:
    """Return the named parts of a piece."""
    return [part for part in piece.areas_m2 if part != WHOLE]


def took() -> forms.Field:
    """Return the field of the working time."""
    return fields.quantity(u.TIME, label="Working time", required=False, example="35 min")


def note(label: str = "Note", **more: Any) -> forms.CharField:
    """Return a field for a few words."""
    told = {"required": False, "max_length": 20_000, **more}
    return forms.CharField(label=label, widget=forms.Textarea(attrs={"rows": 3}), **told)


def minutes(hours: float | None) -> float | None:
    """Return a time in minutes."""
    return None if hours is None else 60.0 * hours
