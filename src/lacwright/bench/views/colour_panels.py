"""Panels whose colour was read: hits and misses, bands that teach, colours that are foretold."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from lacwright.bench import ask, fields
from lacwright.bench.forms.colour_panel import Bands, Foretell, Read
from lacwright.bench.pages.colour_panels import hit_rows, running_look, says
from lacwright.bench.pages.panels import panel_rows
from lacwright.bench.paging import page_of
from lacwright.bench.views.colour import said_in
from lacwright.figures import Refusal
from lacwright.shop import names
from lacwright.shop.models import Piece
from lacwright.shop.queries.colour_seen import LOOK, PANEL
from lacwright.shop.services.proving import record_test
from lacwright.shop.writing import Answer, Entry

OFFERED = 8
WHERE = {"--read-lab": "read", "--bare-lab": "bare", "--foretell": "load",
         "load_per_coat": "load", "panel load_per_coat": "load", "panel grade": "grade",
         "panel sealed_with": "sealed_with"}  # fmt: skip


def listed(request: HttpRequest) -> HttpResponse:
    """Show what was foretold of panels and pieces, and how it was read."""
    rows, (came, read) = hit_rows(None, ask.zone_of(request))
    panels, _ = panel_rows(words="", first=0, length=OFFERED)
    return render(request, "colour/panels.html", {
        "title": "Did the colour come as foretold?", "list": page_of(request, rows),
        "came": came, "read": read, "panels": panels,
    })  # fmt: skip


def bands(request: HttpRequest, name: str) -> HttpResponse:
    """Ask how the bands of a panel read, show what that says, and write it down."""
    panel = names.find(Piece, name, "piece")
    told = {k: v for k, v in said_in(request).items() if k != "token"}
    form = Bands(request.POST) if request.method == "POST" else Bands(initial=told)
    form.offer(panel)
    back = _home(panel)
    shown = None
    if request.method == "POST" and form.is_valid():
        keep = "keep" in request.POST
        try:
            answer = _write(request, panel, form, keep=keep)
        except Refusal as refusal:
            fields.put_back(form, refusal, WHERE)
        else:
            if keep:
                words = " ".join(answer.data["says"])
                return ask.go_on(back, f"The panel is written down. {words}", undo=answer.movement)
            shown = says(answer.data, panel)
    return render(request, "colour/bands.html", {
        "title": f"How do the bands of {panel.key} read?", "form": form, "panel": panel,
        "back": back, "says": shown,
    }, status=422 if form.is_bound and shown is None else 200)  # fmt: skip


def foretell(request: HttpRequest, name: str) -> HttpResponse:
    """Ask what a panel is to become, or how what was foretold is read."""
    panel = names.find(Piece, name, "piece")
    running = running_look(panel)
    form: type[Foretell | Read] = Foretell if running is None else Read

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        asking = form(request.POST)
        asking.is_valid()
        return record_test(of_kind="piece", of=panel.key, test=LOOK, result=asking.result(),
                           entry=entry)  # fmt: skip

    lead = ("Before it is laid or read: what is foretold stays as it is, and the reading later is "
            "a hit or a miss.") if running is None else (
                f"Foretold for {running.what}: within {running.reach:.1f} of it nineteen of twenty "
                "should lie.")  # fmt: skip
    title = (f"What is {panel.key} to become?" if running is None
             else f"What did {panel.key} become?")  # fmt: skip
    return ask.asked(
        request, form=form, do=do, on=_home(panel), template="jobs/ask.html", where=WHERE,
        words=lambda answer: " ".join(answer.data["says"]),
        context={"title": title, "lead": lead, "press": "Write it down", "back": _home(panel)},
    )  # fmt: skip


def _write(request: HttpRequest, panel: Piece, form: Bands, *, keep: bool) -> Answer:
    entry = ask.entry_of(request, form.cleaned_data)
    return record_test(of_kind="piece", of=panel.key, test=PANEL, result=form.result(),
                       entry=entry if keep else replace(entry, dry_run=True))  # fmt: skip


def _home(piece: Piece) -> str:
    return reverse("panels-one" if piece.kind == "panel" else "pieces-one", args=[piece.key])
