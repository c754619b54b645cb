"""The first page: what is to be done now; in an empty shop, how much to mix."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from lacwright.bench.ask import zone_of
from lacwright.bench.forms.mixing import Amounts
from lacwright.bench.pages.now import now_page
from lacwright.bench.pages.short import short_line
from lacwright.shop import clock
from lacwright.shop.queries.now import nothing_yet
from lacwright.shop.queries.remembered import remembered


def page(request: HttpRequest) -> HttpResponse:
    """Show what is to be done now."""
    if remembered("nothing yet", nothing_yet):
        return render(request, "now/first.html", {"title": "How much to mix?", "form": Amounts()})
    shown = now_page(now_us=clock.now_us(), zone=zone_of(request))
    return render(request, "now/page.html", {
        "title": "What is to be done now?", "now": shown,
        "short": short_line(zone_of(request)),
    })  # fmt: skip
