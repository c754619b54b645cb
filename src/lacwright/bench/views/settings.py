"""Settings of the shop: zone, currency, own figures."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from lacwright.bench import ask
from lacwright.bench.forms import settings as forms
from lacwright.bench.pages import settings as pages
from lacwright.bench.paging import page_of
from lacwright.shop.queries.preferences import currency as currency_now
from lacwright.shop.services import own_settings, preferences
from lacwright.shop.writing import Answer, Entry


def page(request: HttpRequest) -> HttpResponse:
    """Show what is set, and the ways to all else."""
    return render(request, "settings/page.html", {
        "title": "How is this shop set up?", "set": pages.settings_page(ask.zone_of(request)),
    })  # fmt: skip


def zone(request: HttpRequest) -> HttpResponse:
    """Change the time zone."""

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        return preferences.set_zone(name=told["name"], entry=entry)

    return ask.asked(
        request, form=forms.Zone, do=do, on=reverse("settings"), template="ask.html",
        words=lambda answer: f"Hours are now told in {answer.data['zone']}.",
        initial={"name": str(ask.zone_of(request))}, where={"zone": "name"},
        context={"title": "In which time zone is the shop?", "back": reverse("settings"),
                 "lead": "What was recorded stays as it was; it is only told otherwise."},
    )  # fmt: skip


def currency(request: HttpRequest) -> HttpResponse:
    """Change the currency."""

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        return preferences.set_currency(text=told["text"], entry=entry)

    def words(answer: Answer) -> str:
        told = answer.data["currency"]
        return f"Prices are now written in {told}." if told else "Prices now stand without a word."

    return ask.asked(
        request, form=forms.Currency, do=do, on=reverse("settings"), template="ask.html",
        words=words, initial={"text": currency_now()}, where={"currency": "text"},
        context={"title": "In what are prices written?", "back": reverse("settings"),
                 "lead": "Amounts stay as they are: nothing is converted."},
    )  # fmt: skip


def figures(request: HttpRequest) -> HttpResponse:
    """Show the own figures."""
    text, which = request.GET.get("q", "")[:80].strip(), request.GET.get("show", "")
    rows = pages.figure_lines(text=text, which=which)
    return render(request, "settings/figures.html", {
        "title": "What does your log say of your hand?", "q": text, "show": which,
        "shown": pages.WHICH, "list": page_of(request, rows),
    })  # fmt: skip


def figure(request: HttpRequest, name: str) -> HttpResponse:
    """Show one own figure, and set it."""
    shown = pages.figure_page(name, ask.zone_of(request))

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        return own_settings.set_own(name=name, value=pages.typed(told["value"]), entry=entry)

    return ask.asked(
        request, form=forms.OwnFigure, do=do, on=reverse("settings-figure", args=[name]),
        words="Set. It goes before what is usual and before your log.",
        template="settings/figure.html", where={"VALUE": "value", "NAME": "value"},
        context={"title": name, "one": shown},
    )  # fmt: skip


def reset(request: HttpRequest, name: str) -> HttpResponse:
    """Take a figure that was set away."""
    shown = pages.figure_page(name, ask.zone_of(request))

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        return own_settings.unset_own(name=name, entry=entry)

    on = reverse("settings-figure", args=[name])
    lead = "It was not set." if shown.given is None else (
        "Your log holds again." if shown.n else "The usual one holds again."
    )  # fmt: skip
    return ask.asked(
        request, form=forms.Reset, do=do, on=on, words=f"No longer set. {lead}",
        template="ask.html", context={"title": "Take your own figure away?", "press": "Take away",
                                      "lead": f"{shown.words}: {lead}", "back": on},
    )  # fmt: skip
