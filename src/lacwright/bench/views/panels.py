"""Panels: the list, and what is on one."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse

from lacwright.bench.ask import asked, zone_of
from lacwright.bench.forms.panels import NewPanel, Panel
from lacwright.bench.pages.panels import panel_page, panel_rows
from lacwright.bench.paging import LENGTH, page_of, wanted
from lacwright.shop import names
from lacwright.shop.models import Piece
from lacwright.shop.queries.found import next_name
from lacwright.shop.services import pieces as service
from lacwright.shop.services.pieces import PANEL, WHOLE
from lacwright.shop.writing import Answer, Entry


def listed(request: HttpRequest) -> HttpResponse:
    """Show the panels, the newest first."""
    words = request.GET.get("q", "")[:80]
    rows, total = panel_rows(words=words, first=(wanted(request) - 1) * LENGTH, length=LENGTH)
    return render(request, "panels/list.html", {
        "title": "Which panels are there?", "list": page_of(request, rows, total), "q": words,
    })  # fmt: skip


def one(request: HttpRequest, name: str) -> HttpResponse:
    """Show what is on a panel."""
    row = names.find(Piece, name, "piece")
    if row.kind != PANEL:
        return HttpResponseRedirect(reverse("pieces-one", args=[row.key]))
    panel = panel_page(row, zone_of(request))
    return render(request, "panels/one.html", {
        "title": f"What is on {row.key}?", "panel": panel,
        "list": page_of(request, panel.done),
    })  # fmt: skip


def add(request: HttpRequest) -> HttpResponse:
    """Ask for a new panel."""

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        return service.add_piece(
            name=told["name"], kind=PANEL, title=told["title"], wood=told["wood"],
            areas_m2={WHOLE: told["area"]} if told["area"] else None, note=told["note"],
            entry=entry,
        )  # fmt: skip

    return asked(
        request, form=NewPanel, do=do, where={"NAME": "name"},
        on=lambda answer: reverse("panels-one", args=[answer.data["piece"]]),
        words=lambda answer: f"Panel {answer.data['piece']} is written down.",
        initial={"name": next_name(Piece, start="P")}, template="jobs/ask.html",
        context={"title": "A new panel", "press": "Write it down", "back": reverse("panels")},
    )  # fmt: skip


def change(request: HttpRequest, name: str) -> HttpResponse:
    """Ask what is otherwise about a panel."""
    row = names.find(Piece, name, "piece")
    here = reverse("panels-one", args=[row.key])
    area = row.areas_m2.get(WHOLE)

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        changes = {"title": told["title"], "wood": told["wood"], "note": told["note"]}
        if told["area"]:
            changes["areas_m2"] = {WHOLE: told["area"]}
        return service.describe_piece(name=row.key, changes=changes, entry=entry)

    return asked(
        request, form=Panel, do=do, on=here, words=f"What is known of {row.key} is changed.",
        initial={"title": row.title, "wood": row.wood, "note": row.note,
                 "area": f"{area:g} m2" if area else ""},
        template="jobs/ask.html",
        context={"title": f"What is known of {row.key}?", "press": "Change it",
                 "back": here},
    )  # fmt: skip
