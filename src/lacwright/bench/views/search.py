"""One box over everything that was written down."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from lacwright.bench import ask
from lacwright.bench.pages.search import search_page


def page(request: HttpRequest) -> HttpResponse:
    """Show what holds all the words."""
    text = request.GET.get("q", "")[:200]
    found = search_page(text, deep="all" in request.GET, zone=ask.zone_of(request))
    return render(request, "search/list.html", {"title": "Where is it?", "found": found})
