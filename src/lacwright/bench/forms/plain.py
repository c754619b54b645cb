"""Forms whose refusals are in the words of the page: no commands, a label in place of an option."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse

from lacwright.bench import ask, fields
from lacwright.bench.forms.common import labels_of
from lacwright.bench.plainly import Do, in_words
from lacwright.figures import Refusal, Refusals
from lacwright.shop.writing import Answer, Entry

_COMMAND = re.compile(r" \('(?:jar|lot|record) [^)]*'\)| with '(?:jar|lot) [^']*'")


def asked(
    request: HttpRequest, *, form: type[ask.Writing], do: Do, **more: Any
) -> HttpResponse:  # fmt: skip
    """Do as `ask.asked`, its refusals in the words of the form."""
    labels = labels_of(form)

    def done(told: dict[str, Any], entry: Entry) -> Answer:
        try:
            return do(told, entry)
        except Refusals as several:
            raise Refusals([plain(one, labels) for one in several.each]) from None
        except Refusal as refusal:
            raise plain(refusal, labels) from None

    return ask.asked(request, form=form, do=done, **more)


def put_back(form: forms.Form, refusal: Refusal, where: Mapping[str, str]) -> None:
    """Put a refusal at the field it speaks of, in the words of the form."""
    fields.put_back(form, plain(refusal, labels_of(type(form))), where)


def plain(refusal: Refusal, labels: Mapping[str, str]) -> Refusal:
    """Return a refusal without commands and options of the command line."""
    told = in_words(refusal, labels)
    return Refusal(told.where, _COMMAND.sub("", told.what), _COMMAND.sub("", told.mend))
