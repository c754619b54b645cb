"""Form fields that take quantities as people write them, with the model's own messages."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import cache
from typing import Any, cast

from django import forms
from django.forms.renderers import DjangoTemplates
from django.forms.utils import flatatt
from django.template import loader
from django.utils.html import escape, format_html
from django.utils.safestring import SafeString

from lacwright.bench import elements
from lacwright.bench.plainly import WHERE, in_words, labels_of
from lacwright.figures import Refusal, Refusals, nearest
from lacwright.figures import units as u
from lacwright.figures.quantities import read, read_cut, read_rh
from lacwright.figures.refusal import one_line
from lacwright.trade import table


class Renderer(DjangoTemplates):
    """Fields and forms in the look of the pages."""

    form_template_name = "form.html"

    def render(
        self, template_name: str, context: dict[str, Any], request: Any = None
    ) -> SafeString:  # fmt: skip
        """Return an element: those that stand on pages many times are written in Python."""
        if template_name == self.field_template_name:
            return elements.field_of(context["field"])
        if template_name in elements.INPUTS:
            return elements.input_of(context["widget"])
        if template_name == elements.BOXES:
            return elements.boxes_of(context["widget"])
        if template_name == elements.AREA:
            return elements.area_of(context["widget"])
        return SafeString(super().render(template_name, context, request))

    def get_template(self, template_name: str) -> Any:
        """Look first among the templates of the pages."""
        if template_name == self.form_template_name:
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


class Select(forms.Select):
    """A choice among hundreds of lots and jars, written without a template for each of them."""

    def render(
        self, name: str, value: Any, attrs: dict[str, Any] | None = None, renderer: Any = None
    ) -> SafeString:
        """Return the element."""
        told = self.get_context(name, value, attrs)["widget"]
        out: list[str] = [format_html('<select name="{}"{}>', told["name"], flatatt(told["attrs"]))]
        for group, options, _ in told["optgroups"]:
            if group:
                out.append(format_html('<optgroup label="{}">', group))
            out += [
                f'<option value="{escape(str(option["value"]))}"'
                f"{' selected' if option['selected'] else ''}>{escape(option['label'])}</option>"
                for option in options
            ]
            if group:
                out.append("</optgroup>")
        return SafeString("".join([*out, "</select>"]))


class Choice(forms.ChoiceField):
    """A choice; "" stands first where nothing has to be said.

    Choices that have to be asked for are asked for once a form, when they are needed first.
    """

    widget = Select

    def __init__(self, choices: Any, *, empty: str | None = None, **kwargs: Any) -> None:
        first = [("", empty)] if empty is not None else []
        self._ask = (lambda: [*first, *choices()]) if callable(choices) else None
        rows = [*first, *choices] if self._ask is None else cache(self._ask)
        super().__init__(choices=rows, **kwargs)

    def __deepcopy__(self, memo: dict[int, Any]) -> Choice:
        mine: Choice = super().__deepcopy__(memo)
        if mine._ask is not None:
            mine.choices = cache(mine._ask)
        return mine

    def validate(self, value: Any) -> None:
        """Refuse what is none of the choices, with the nearest of them."""
        if value and not self.valid_value(value):
            # One jar is never meant for another: a number is no slip of the pen.
            mend = "" if any(c.isdigit() for c in value) else nearest(value, self._keys())
            mend = f"D{mend[1:]}?" if mend.startswith("did you mean") else "Choose one of the list."
            raise forms.ValidationError(f"'{one_line(value)}' is none of them. {mend}")
        super().validate(value)

    def _keys(self) -> Iterator[str]:
        for key, words in cast("Iterable[tuple[Any, Any]]", self.choices):
            if isinstance(words, list | tuple):
                yield from (str(k) for k, _ in words if k)
            elif key:
                yield str(key)


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
    end = "?" if refusal.mend.startswith("did you mean") else "."
    return f"{what}. {refusal.mend[:1].upper()}{refusal.mend[1:]}{end}"


def put_back(form: forms.Form, refusal: Refusal, fields: Mapping[str, str] | None = None) -> None:
    """Put a refusal of the model at the field it speaks of, or above the form.

    Parameters
    ----------
    form : Form
        Where it goes; the labels of its fields stand in for options of the command line.
    refusal : Refusal
        What is wrong.
    fields : mapping, optional
        From the place a refusal names to the field of this form, where `WHERE` is not enough.
    """
    labels = labels_of(form)
    each: Iterable[Refusal] = refusal.each if isinstance(refusal, Refusals) else (refusal,)
    for one in each:
        told = in_words(one, labels)
        place = told.where.partition(",")[0]
        name = place.lstrip("-").replace("-", "_")
        name = next((n for n in ((fields or {}).get(name), name, WHERE.get(place.lstrip("-")))
                     if n in form.fields), "")  # fmt: skip
        if getattr(form, "ask_why", None) and "--in-spite" in one.mend:
            name = "in_spite"
        if name:
            form.add_error(name, words_of(told))
        else:
            form.add_error(None, f"{told.where}: {words_of(told)}" if told.where else
                           words_of(told))  # fmt: skip
