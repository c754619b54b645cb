"""What forms that write have in common: a token, when it was done, the answer, the way on."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from django import forms
from django.core import signing
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render

from lacwright.bench import fields
from lacwright.bench.plainly import labels_of, plain
from lacwright.figures import Refusal
from lacwright.figures import units as u
from lacwright.shop import clock
from lacwright.shop.queries.preferences import zone as shop_zone
from lacwright.shop.queries.written import wrote_more
from lacwright.shop.writing import Answer, Entry

SAID = "said"
"""Cookie of the one sentence that the next page begins with."""

LONGEST = 400
"""A browser drops a cookie of more than 4 KB, and with it the way to take back what was done."""

Do = Callable[[dict[str, Any], Entry], Answer]


class Writing(forms.Form):
    """A form that writes: its token makes a second press of the button count once."""

    # It stands in addresses, and a request of several parts adds to it.
    token = forms.RegexField(r"^[A-Za-z0-9_.-]+$", widget=forms.HiddenInput, max_length=50)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs["initial"] = {"token": uuid.uuid4().hex, **(kwargs.get("initial") or {})}
        super().__init__(*args, **kwargs)


class Done(Writing):
    """A form about something that was done, perhaps not just now."""

    ago = fields.quantity(u.TIME, label="How long ago", required=False, example="20 min",
                          help_text="empty: just now")  # fmt: skip
    at = forms.DateTimeField(
        label="Or on", required=False,
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
        input_formats=["%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M", "%Y-%m-%dT%H:%M:%S"],
    )  # fmt: skip


def zone_of(request: HttpRequest) -> dt.tzinfo:
    """Return the zone of the shop, asked for once a request."""
    zone: dt.tzinfo | None = getattr(request, "zone", None)
    if zone is None:
        zone = shop_zone()
        request.zone = zone  # type: ignore[attr-defined]
    return zone


def entry_of(request: HttpRequest, told: Mapping[str, Any]) -> Entry:
    """Return who writes and when, from the cleaned data of a form that writes."""
    at, ago = told.get("at"), told.get("ago")
    at_us = None
    if at is not None:
        at_us = clock.read_moment(f"{at:%Y-%m-%d %H:%M:%S}", zone_of(request), "at")
    return Entry(at_us=at_us, seconds_ago=None if ago is None else ago * 3600,
                 token=told["token"], reason=told.get("reason") or "")  # fmt: skip


def asked(
    request: HttpRequest, *, form: type[Writing], do: Do, on: str | Callable[[Answer], str],
    words: str | Callable[[Answer], str], template: str, context: Mapping[str, Any],
    initial: Mapping[str, Any] | None = None, where: Mapping[str, str] | None = None,
    prepare: Callable[[Any], None] | None = None,
) -> HttpResponse:  # fmt: skip
    """Show a form, or write what it says and go on; what was typed is kept if it is refused.

    Parameters
    ----------
    form : class
        What is asked.
    do : callable
        Takes the cleaned data and the entry, and calls the service.
    on, words : str or callable
        Where to go afterwards, and the sentence shown there (it can be undone there).
    template, context
        The page of the form.
    initial : mapping, optional
        What stands in the fields at first.
    where : mapping, optional
        From the place a refusal of the model names to the field of this form.
    prepare : callable, optional
        Takes the form before it is used, to fill in its choices.
    """
    asking = (
        form(request.POST, request.FILES)
        if request.method == "POST"
        else form(initial={**(initial or {}), **_said_in_address(request)})
    )
    if prepare is not None:
        prepare(asking)
    if request.method == "POST" and asking.is_valid():
        told = asking.cleaned_data
        try:
            answer = do(told, entry_of(request, told))
        except Refusal as refusal:
            fields.put_back(asking, refusal, where)
        else:
            text = plain(words if isinstance(words, str) else words(answer), labels_of(asking))
            several = answer.movement is not None and wrote_more(told["token"])
            return go_on(on if isinstance(on, str) else on(answer), text, undo=answer.movement,
                         whole=(told["token"],) if several else ())  # fmt: skip
    return render(request, template, {**context, "form": asking},
                  status=422 if asking.is_bound else 200)  # fmt: skip


def _said_in_address(request: HttpRequest) -> dict[str, Any]:
    """Return what an address fills in; a token is always new, or two forms would share it."""
    return {name: value for name, value in request.GET.items() if name != "token"}


def go_on(
    url: str, text: str, *, undo: int | None = None, whole: Sequence[str] = ()
) -> HttpResponse:  # fmt: skip
    """Go to a page that begins with a sentence, and perhaps a way to take it back.

    Parameters
    ----------
    url, text : str
        Where to, and the sentence.
    undo : int, optional
        The movement that can be taken back.
    whole : sequence of str
        Tokens of requests, in the order in which they were sent: all that they wrote is taken
        back in one press.
    """
    response = HttpResponseRedirect(url, status=303)
    if len(text) > LONGEST:
        text = f"{text[: LONGEST - 1]}\u2026"
    told = {"text": text, "undo": undo, "whole": ",".join(whole)}
    said = signing.dumps(told, salt=SAID)
    response.set_cookie(SAID, said, max_age=300, httponly=True, samesite="Strict")
    return response


def said(request: HttpRequest) -> dict[str, Any] | None:
    """Return the sentence this page begins with; it is shown once."""
    try:
        told: dict[str, Any] = signing.loads(request.COOKIES[SAID], salt=SAID, max_age=300)
    except (KeyError, signing.BadSignature):
        return None
    request.said = True  # type: ignore[attr-defined]
    return {**told, "token": uuid.uuid4().hex}
