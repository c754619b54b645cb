"""Pads and brushes: what goes through one carries on until it is washed out."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from lacwright.bench.ask import asked, zone_of
from lacwright.bench.forms.jars import NewPad, WithReason
from lacwright.bench.pages.measures import weight
from lacwright.bench.pages.pads import pad_rows, pads
from lacwright.bench.paging import page_of
from lacwright.shop import names
from lacwright.shop.models import Applicator
from lacwright.shop.services import applicators as service
from lacwright.shop.writing import Answer, Entry


def listed(request: HttpRequest) -> HttpResponse:
    """Show pads and brushes, those that carry something first."""
    words = request.GET.get("q", "")[:80]
    page = page_of(request, pads(words))
    return render(request, "jars/pads.html", {
        "title": "What is in the pads and brushes?", "q": words, "list": page,
        "rows": pad_rows(page.rows, zone_of(request)),
    })  # fmt: skip


def add(request: HttpRequest) -> HttpResponse:
    """Write down a pad or brush."""

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        return service.add_applicator(name=told["name"], kind=told["kind"], note=told["note"],
                                      entry=entry)  # fmt: skip

    return asked(
        request, form=NewPad, do=do, on=reverse("jars-pads"), template="jobs/ask.html",
        words=lambda answer: f"{answer.data['applicator']['name']} is written down, clean.",
        context={"title": "A pad or brush", "press": "Write it down",
                 "back": reverse("jars-pads")},
    )  # fmt: skip


def wash(request: HttpRequest, name: str) -> HttpResponse:
    """Ask before a pad or brush counts as washed out."""
    row = names.find(Applicator, name, "pad or brush")

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        return service.wash_applicator(name=row.key, entry=entry)

    def words(answer: Answer) -> str:
        out = answer.data["washed_out"]["g"]
        return f"{row.key} is washed out" + (f", {weight(out)} with it." if out > 0 else ".")

    return asked(
        request, form=WithReason, do=do, on=reverse("jars-pads"), words=words,
        template="jobs/ask.html",
        context={"title": f"Is {row.key} washed out?", "press": "Washed out",
                 "lead": "From then on it carries nothing of what went through it; a recall stops "
                         "there. Only if it really was washed out with fresh alcohol.",
                 "back": reverse("jars-pads")},
    )  # fmt: skip
