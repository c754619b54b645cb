"""What it will look like: a film on a wood, in words and as steps side by side."""

from __future__ import annotations

import re

from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import render

from lacwright.bench import colours, fields
from lacwright.bench.charts.colour import beside_chart, steps_chart
from lacwright.bench.forms.colour import Film
from lacwright.bench.pages.look import look_shown
from lacwright.bench.picture import picture, width_of
from lacwright.figures import Refusal

ASKS = "coats"
"""Whoever says how many coats asks; without it an address only fills in the form."""
FIELDS = {"wished": "wished", "so": "so", "bare": "bare", "read": "read", "film": "foretold"}
"""Words of the fields of a swatch, by their names in its address."""
_HEX = re.compile(r"[0-9a-f]{6}")


def page(request: HttpRequest) -> HttpResponse:
    """Ask which wood and lac, or show what comes of them."""
    asks = ASKS in request.GET
    form = Film(request.GET) if asks else Film(initial=said_in(request))
    shown = None
    if asks and form.is_valid():
        try:
            shown = look_shown(colours.made_of(form.asked()))
        except Refusal as refusal:
            fields.put_back(form, refusal, WHERE)
    return render(request, "colour/look.html", {
        "title": "What will it look like?", "form": form, "look": shown,
        "query": query_of(request, list(form.fields)),
        "carry": query_of(request, ["wood", "load", "method", "cut"]),
    }, status=422 if asks and shown is None else 200)  # fmt: skip


def drawn(request: HttpRequest) -> HttpResponse:
    """Draw the steps side by side."""
    form = Film(request.GET)
    if not form.is_valid():
        raise Http404
    try:
        made = colours.made_of(form.asked())
    except Refusal:
        raise Http404 from None
    rows = [(lac.called, steps) for lac, steps in made.rows]
    return picture(request, steps_chart(rows, width_of(request)))


def swatch(request: HttpRequest) -> HttpResponse:
    """Draw a few colours side by side: ?wished=cc9966&so=cc9a60, ?plain without words."""
    told = [(FIELDS[name], f"#{value}") for name, value in request.GET.items()
            if name in FIELDS and _HEX.fullmatch(str(value))]  # fmt: skip
    if not told:
        raise Http404
    return picture(request, beside_chart(told, words="plain" not in request.GET))


def said_in(request: HttpRequest) -> dict[str, str]:
    """Return what an address fills in."""
    return {name: str(value) for name, value in request.GET.items()}


def query_of(request: HttpRequest, names: list[str]) -> str:
    """Return what was asked, for the addresses of pictures."""
    query = QueryDict(mutable=True)
    for name in names:
        if said := [value for value in request.GET.getlist(name) if value]:
            query.setlist(name, said)
    return query.urlencode()


WHERE = {"illuminant": "light", "bare": "lab", "target": "target"}
"""From the place a refusal of the model names to the field."""
