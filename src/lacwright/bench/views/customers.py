"""Customers: whose pieces they are."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from lacwright.bench import ask
from lacwright.bench.forms import settings as forms
from lacwright.bench.pages import customers as pages
from lacwright.bench.paging import page_of
from lacwright.shop.services.people import add_customer, describe_customer
from lacwright.shop.writing import Answer, Entry


def page(request: HttpRequest) -> HttpResponse:
    """Show the customers."""
    text = request.GET.get("q", "")[:80].strip()
    return render(request, "settings/customers.html", {
        "title": "Whose pieces are they?", "q": text,
        "list": page_of(request, pages.lines(text)),
    })  # fmt: skip


def add(request: HttpRequest) -> HttpResponse:
    """Write a customer down."""

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        return add_customer(name=told["name"], contact=told["contact"], note=told["note"],
                            entry=entry)  # fmt: skip

    return ask.asked(
        request, form=forms.NewCustomer, do=do, template="ask.html", where={"NAME": "name"},
        on=lambda answer: reverse("settings-customers-one", args=[answer.data["customer"]]),
        words=lambda answer: f"{answer.data['customer']} is written down.",
        context={"title": "Who is it?", "back": reverse("settings-customers")},
    )  # fmt: skip


def one(request: HttpRequest, name: str) -> HttpResponse:
    """Show one customer."""
    shown = pages.customer_page(name)
    return render(request, "settings/customer.html", {"title": shown.name, "one": shown})


def change(request: HttpRequest, name: str) -> HttpResponse:
    """Change contact or note."""
    shown = pages.customer_page(name)
    on = reverse("settings-customers-one", args=[shown.name])

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        changes = {"contact": told["contact"], "note": told["note"]}
        return describe_customer(name=name, changes=changes, entry=entry)

    return ask.asked(
        request, form=forms.Customer, do=do, on=on, words="Changed.", template="ask.html",
        initial={"contact": shown.contact, "note": shown.note},
        context={"title": f"How is {shown.name} reached?", "back": on},
    )  # fmt: skip
