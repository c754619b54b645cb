"""Jars: the list, one of them, and what carries it."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from lacwright.bench import fields
from lacwright.bench.ask import zone_of
from lacwright.bench.forms.label import LabelWords
from lacwright.bench.forms.proving import Since
from lacwright.bench.pages.jars import SHOWN, jar_named, jar_page, jar_rows
from lacwright.bench.pages.recall import recall_of, recall_page
from lacwright.bench.paging import LENGTH, page_of, page_or_all, wanted
from lacwright.figures import Refusal
from lacwright.room import COPIED
from lacwright.shop import clock
from lacwright.shop.queries.carry import Recall
from lacwright.shop.queries.found import STANDING
from lacwright.shop.queries.label import jar_label
from lacwright.solution import cautions_of


def listed(request: HttpRequest) -> HttpResponse:
    """Show the jars, those that stand first."""
    words, show = request.GET.get("q", "")[:80], request.GET.get("show", STANDING)
    rows, total = jar_rows(words=words, show=show, skip=(wanted(request) - 1) * LENGTH,
                           most=LENGTH, zone=zone_of(request))  # fmt: skip
    return render(request, "jars/list.html", {
        "title": "Which jars stand there?", "list": page_of(request, rows, total), "q": words,
        "show": show, "shown": SHOWN, "filtered": bool(words) or show != STANDING,
    })  # fmt: skip


def one(request: HttpRequest, name: str) -> HttpResponse:
    """Show what is in a jar."""
    jar = jar_page(jar_named(name), zone_of(request))
    return render(request, "jars/one.html", {"title": f"What is in jar {jar.name}?", "jar": jar})


def label(request: HttpRequest, name: str) -> HttpResponse:
    """Show the label of a jar, to be printed."""
    jar, asked = jar_named(name), bool({"codes", "signal"} & request.GET.keys())
    form = LabelWords(request.GET) if asked else LabelWords()
    told = form.cleaned_data if asked and form.is_valid() else {"codes": "", "signal": ""}
    try:
        shown = jar_label(jar, codes=told["codes"], signal=told["signal"])
    except Refusal as refusal:
        fields.put_back(form, refusal, {"hazard codes": "codes", "signal word": "signal"})
        shown = jar_label(jar)
    return render(request, "jars/label.html", {
        "title": f"Label for jar {jar.key}", "label": shown, "form": form, "copied": COPIED,
        "cautions": cautions_of([shown.alcohol]),
    }, status=422 if form.errors else 200)  # fmt: skip


def recalled(request: HttpRequest, name: str) -> HttpResponse:
    """Show what carries a jar."""
    jar = jar_named(name)
    form = Since(request.GET) if {"since", "everything"} & request.GET.keys() else Since()
    since = form.cleaned_data["since"] if form.is_bound and form.is_valid() else None
    found = recall_of(
        jar, None if since is None else clock.read_moment(
            f"{since:%Y-%m-%d %H:%M}", zone_of(request), "since"),
        bool(form.is_bound and form.is_valid() and form.cleaned_data["everything"]),
    )  # fmt: skip
    return shown_recall(request, found, form)


def shown_recall(request: HttpRequest, found: Recall, form: Since | None = None) -> HttpResponse:
    """Show a recall, of a jar or of a lot."""
    carriers = [*found.pieces, *found.panels]
    some = page_or_all(request, carriers)
    page = recall_page(found, some.rows, zone_of(request))
    return render(request, "jars/recall.html", {
        "list": some,
        "title": f"What carries {page.kind} {page.name}?", "recall": page, "form": form,
        "groups": (("Pieces", page.pieces), ("Panels", page.panels)),
        "places": (("Jars", page.jars), ("Pads and brushes not washed out since",
                                         page.applicators)),
    })  # fmt: skip
