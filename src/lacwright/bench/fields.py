"""Form fields that take quantities as people write them, with the model's own messages."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from django import forms
from django.forms.renderers import DjangoTemplates
from django.template import loader

from lacwright.figures import Refusal, Refusals
from lacwright.figures import units as u
from lacwright.figures.quantities import read, read_cut, read_rh
from lacwright.trade import table


class Renderer(DjangoTemplates):
    """Fields and forms in the look of the pages."""

    field_template_name = "field.html"
    form_template_name = "form.html"

    def get_template(self, template_name: str) -> Any:
        """Look first among the templates of the pages."""
        if template_name in (self.field_template_name, self.form_template_name):
            return loader.get_template(template_name)
        return super().get_template(template_name)


class Said(forms.CharField):
    """Text that a reader of the model turns into a value.

    Parameters
    ----------
    reader : callable
        Takes the text and its label; raises Refusal.
    example : str
        Shown in the empty field.
    """

    def __init__(
        self, reader: Callable[[str, str], Any], *, example: str = "", **kwargs: Any
    ) -> None:  # fmt: skip
        attrs = {"autocomplete": "off", "autocapitalize": "off", "spellcheck": "false"}
        if example:
            attrs["placeholder"] = example
        kwargs.setdefault("max_length", 200)
        super().__init__(widget=forms.TextInput(attrs=attrs), **kwargs)
        self.reader = reader

    def clean(self, value: Any) -> Any:
        """Return the value; the model's refusal becomes the message of the field."""
        text = super().clean(value)
        if not text:
            return None
        try:
            return self.reader(text, "")
        except Refusal as refusal:
            raise forms.ValidationError(words_of(refusal)) from None


def quantity(kind: u.Kind, **kwargs: Any) -> Said:
    """Return a field for a quantity: "600 ml", "2 oz", "1/2 pint"."""
    kwargs.setdefault("example", kind.example.split(", ")[0])
    return Said(lambda text, where: read(text, kind, where), **kwargs)


def cut(**kwargs: Any) -> Said:
    """Return a field for a cut: "2", "2-lb cut", "240 g/l"."""
    return Said(read_cut, **{"example": "2", **kwargs})


def humidity(**kwargs: Any) -> Said:
    """Return a field for a relative humidity: "45 %"."""
    return Said(read_rh, **{"example": "45 %", **kwargs})


class Choice(forms.ChoiceField):
    """A choice; "" stands first where nothing has to be said."""

    def __init__(self, choices: Any, *, empty: str | None = None, **kwargs: Any) -> None:
        def all_choices() -> list[tuple[str, str]]:
            rows = choices() if callable(choices) else choices
            return [*([("", empty)] if empty is not None else []), *rows]

        super().__init__(choices=all_choices, **kwargs)


def rows_of(name: str, *, words: Callable[[Any], str] | None = None) -> list[tuple[str, str]]:
    """Return the rows of a table of the trade as choices."""
    return [(r.key, words(r) if words else r.key.replace("-", " ")) for r in table(name)]


class Day(forms.DateField):
    """A day, picked or typed as 2027-03-01."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
                         **kwargs)  # fmt: skip


class Hour(forms.TimeField):
    """An hour of the day."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"), **kwargs)

    def clean(self, value: Any) -> dt.time | None:
        """Return the hour."""
        hour: dt.time | None = super().clean(value)
        return hour


def words_of(refusal: Refusal) -> str:
    """Return what is wrong and how to mend it, without the place: the field is the place."""
    what = refusal.what[:1].upper() + refusal.what[1:]
    return f"{what}. {refusal.mend[:1].upper()}{refusal.mend[1:]}."


def put_back(form: forms.Form, refusal: Refusal, fields: Mapping[str, str] | None = None) -> None:
    """Put a refusal of the model at the field it speaks of, or above the form."""
    each: Iterable[Refusal] = refusal.each if isinstance(refusal, Refusals) else (refusal,)
    for one in each:
        name = one.where.lstrip("-").replace("-", "_").partition(",")[0]
        name = (fields or {}).get(name, name)
        if name in form.fields:
            form.add_error(name, words_of(one))
        else:
            form.add_error(None, f"{one.where}: {words_of(one)}" if one.where else words_of(one))
