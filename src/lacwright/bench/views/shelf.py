"""The shelf: its lots, one of them, where it went, what carries it."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from lacwright.bench.ask import zone_of
from lacwright.bench.forms.shelf import KIND_WORDS, SHOWN
from lacwright.bench.pages.recall import recall_of_lot
from lacwright.bench.pages.shelf import lot_page, lot_rows, went_page
from lacwright.bench.pages.short import short_page
from lacwright.bench.paging import LENGTH, page_of, page_or_all, wanted
from lacwright.bench.views.jars import shown_recall
from lacwright.shop import names
from lacwright.shop.models import Lot
from lacwright.shop.queries.found import THERE
from lacwright.shop.queries.remembered import remembered
from lacwright.shop.queries.went import where_went


def listed(request: HttpRequest) -> HttpResponse:
    """Show the lots of which something is there."""
    words, show = request.GET.get("q", "")[:80], request.GET.get("show", THERE)
    kind = request.GET.get("kind", "")
    rows, total = lot_rows(words=words, kind=kind, show=show,
                           skip=(wanted(request) - 1) * LENGTH, most=LENGTH,
                           zone=zone_of(request))  # fmt: skip
    return render(request, "shelf/list.html", {
        "title": "What is on the shelf?", "list": page_of(request, rows, total), "q": words,
        "show": show, "shown": SHOWN, "kind": kind,
        "kinds": [("", "everything"), *KIND_WORDS.items()],
        "filtered": bool(words or kind) or show != THERE,
    })  # fmt: skip


def one(request: HttpRequest, name: str) -> HttpResponse:
    """Show what is left of a lot and what is known of it."""
    lot = lot_page(names.find(Lot, name, "lot"), zone_of(request))
    return render(request, "shelf/one.html",
                  {"title": f"What is {lot.name}?" if lot.in_jar else
                   f"How much of {lot.name} is left?", "lot": lot})  # fmt: skip


def short(request: HttpRequest) -> HttpResponse:
    """Show what is short for the coming jobs."""
    return render(request, "shelf/short.html", {
        "title": "What is short for the coming jobs?",
        "page": short_page(zone_of(request)),
    })  # fmt: skip


def went(request: HttpRequest, name: str) -> HttpResponse:
    """Show where a lot went."""
    lot = names.find(Lot, name, "lot")
    found = remembered(("went", lot.key), lambda: where_went(lot))
    some = page_or_all(request, found.pieces)
    page = went_page(lot, found, some.rows, zone_of(request))
    return render(request, "shelf/went.html", {
        "list": some,
        "title": f"Where did {lot.key} go?", "went": page,
        "places": (("Jars", page.jars), ("Pads and brushes", page.pads),
                   ("Pieces and panels", page.pieces)),
    })  # fmt: skip


def recalled(request: HttpRequest, name: str) -> HttpResponse:
    """Show what carries a lot."""
    return shown_recall(request, recall_of_lot(names.find(Lot, name, "lot")))
