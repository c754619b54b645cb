"""The air of the shop: what was read, one by one or from a logger's table."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse

from lacwright.bench import ask, fields
from lacwright.bench.forms import settings as forms
from lacwright.bench.pages import readings as pages
from lacwright.bench.paging import LENGTH, page_of, wanted
from lacwright.figures import Refusal
from lacwright.shop.opening import opened
from lacwright.shop.readings_csv import MOST_BYTES
from lacwright.shop.services.readings import add_reading, import_readings
from lacwright.shop.writing import Answer, Entry

_PLACES = {"temp": "temp_c", "board": "board_mc", "board_temp": "board_temp_c", "place": "where"}


def page(request: HttpRequest) -> HttpResponse:
    """Show what was read, the newest first."""
    text = request.GET.get("q", "")[:80].strip()
    rows, total = pages.lines(text=text, number=wanted(request), length=LENGTH,
                              zone=ask.zone_of(request))  # fmt: skip
    return render(request, "settings/readings.html", {
        "title": "How is the air?", "q": text, "list": page_of(request, rows, total),
    })  # fmt: skip


def add(request: HttpRequest) -> HttpResponse:
    """Write a reading down."""

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        return add_reading(
            temp_c=told["temp_c"], rh=told["rh"], board_mc=told["board_mc"],
            board_temp_c=told["board_temp_c"], where=told["where"], job=told["job"] or None,
            entry=entry,
        )  # fmt: skip

    return ask.asked(
        request, form=forms.Reading, do=do, on=reverse("settings-readings"),
        words="Written down: plans take the air from here while it is fresh.",
        template="ask.html", where=_PLACES,
        context={"title": "What was read?", "back": reverse("settings-readings")},
    )  # fmt: skip


def table(request: HttpRequest) -> HttpResponse:
    """Take a logger's table: look at it first, then write it down."""
    number = request.GET.get("table", "")
    if not number:
        return _look(request)
    zone = ask.zone_of(request)
    try:
        shown = pages.preview(opened(), number, zone)
    except Refusal as refusal:
        return render(request, "settings/import.html", {
            "title": "A table of readings", "form":
            forms.ReadingTable(initial={"text": pages.to_mend(opened(), number)}),
            "faults": pages.faults(refusal),
        }, status=422)  # fmt: skip

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        return import_readings(rows=pages.aside(opened(), number, zone), entry=entry)

    return ask.asked(
        request, form=forms.Keep, do=do, on=reverse("settings-readings"),
        words=lambda answer: f"{answer.data['written']} readings written down, "
        f"{answer.data['already_there']} stood there already.",
        template="settings/preview.html",
        context={"title": "Is this the table?", "preview": shown, "press": "Write them down",
                 "back": reverse("settings-readings-import")},
    )  # fmt: skip


def _look(request: HttpRequest) -> HttpResponse:
    form = (forms.ReadingTable(request.POST, request.FILES) if request.method == "POST"
            else forms.ReadingTable())  # fmt: skip
    if request.method == "POST" and form.is_valid():
        file = form.cleaned_data["file"]
        try:
            number = pages.put_aside(
                opened(), file.name if file else "", file.read(MOST_BYTES + 1) if file
                else None, form.cleaned_data["text"],
            )  # fmt: skip
            return HttpResponseRedirect(f"{request.path}?table={number}", status=303)
        except Refusal as refusal:
            fields.put_back(form, refusal)
    return render(request, "settings/import.html", {"title": "A table of readings", "form": form},
                  status=422 if form.is_bound else 200)  # fmt: skip
