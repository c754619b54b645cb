"""Writing about lots: what came, what is there, what is known of it, a whole list."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from lacwright.bench import ask
from lacwright.bench.ask import asked
from lacwright.bench.forms.shelf import (
    KIND_WORDS,
    Count,
    KeepStock,
    NewLot,
    StockTable,
    said_words,
)
from lacwright.bench.forms.shelf import Lot as Described
from lacwright.bench.pages.measures import of_lot
from lacwright.bench.pages.shelf import imported, odd, typed
from lacwright.bench.pages.shelf_import import faults, text_of
from lacwright.figures import Refusal
from lacwright.shop import names
from lacwright.shop.amounts import PIECES
from lacwright.shop.facts import ABRASIVE, FLAKES
from lacwright.shop.models import Lot
from lacwright.shop.services import lots as service
from lacwright.shop.services.stock import import_stock
from lacwright.shop.stock_list import read_stock_list
from lacwright.shop.writing import Answer, Entry

_WHERE = {"lot": "name", "density": "density"}


def add(request: HttpRequest) -> HttpResponse:
    """Ask for a lot that came; of which kind stands in the address."""
    kind = request.GET.get("kind", FLAKES)
    if kind not in KIND_WORDS:
        kind = FLAKES
    unit = PIECES if kind == ABRASIVE else "g"
    asking: list[NewLot] = []

    def prepare(form: NewLot) -> None:
        form.of_kind(kind, unit)
        asking.append(form)

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        return service.add_lot(name=told["name"], kind=kind, amount=told["amount"], unit=unit,
                               opening=told["opening"], entry=entry,
                               **asking[0].described())  # fmt: skip

    def words(answer: Answer) -> str:
        lot = answer.data["lot"]
        left = of_lot(lot["left"], lot["unit"], lot["left_ml"])
        wrong = odd(names.find(Lot, lot["name"], "lot"))
        told = [f"Lot {lot['name']} is written down, {left}.", f"{wrong}." if wrong else ""]
        return " ".join(told).strip()

    return asked(
        request, form=NewLot, do=do, prepare=prepare, words=words, where=_WHERE,
        on=lambda answer: reverse("shelf-one", args=[answer.data["lot"]["name"]]),
        template="shelf/add.html",
        context={"title": "What came?", "press": "Write it down", "back": reverse("shelf"),
                 "kinds": KIND_WORDS.items(), "kind": kind},
    )  # fmt: skip


def count(request: HttpRequest, name: str) -> HttpResponse:
    """Ask what of a lot is really there."""
    lot = names.find(Lot, name, "lot")

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        return service.count_lot(name=lot.key, amount=told["amount"], gone=told["gone"],
                                 entry=entry)  # fmt: skip

    def words(answer: Answer) -> str:
        off, now = answer.data["difference"], answer.data["lot"]
        told = "as the book had it" if abs(off) < 1e-6 else (
            f"{of_lot(abs(off), now['unit'])} {'more' if off > 0 else 'less'} than the book had"
        )  # fmt: skip
        left = of_lot(now["left"], now["unit"], now["left_ml"])
        return f"Counted {lot.key}: {left}, {told}."

    return asked(
        request, form=Count, do=do, prepare=lambda form: form.of_kind(lot.kind, lot.unit),
        words=words, on=reverse("shelf-one", args=[lot.key]), template="jobs/ask.html",
        context={"title": f"How much of {lot.key} is there?", "press": "Write it down",
                 "lead": "What you count goes before the book: the difference is booked.",
                 "back": reverse("shelf-one", args=[lot.key])},
    )  # fmt: skip


def change(request: HttpRequest, name: str) -> HttpResponse:
    """Ask what is otherwise about a lot."""
    lot = names.find(Lot, name, "lot")
    asking: list[Described] = []

    def prepare(form: Described) -> None:
        form.of_kind(lot.kind, lot.unit)
        asking.append(form)

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        return service.describe_lot(name=lot.key, changes=asking[0].described(), entry=entry)

    def words(answer: Answer) -> str:
        return " ".join([f"What is known of {lot.key} is changed; all that rests on it is worked "
                         "out anew.", *answer.data["says"]])  # fmt: skip

    return asked(
        request, form=Described, do=do, prepare=prepare, words=words, where=_WHERE,
        on=reverse("shelf-one", args=[lot.key]), template="jobs/ask.html",
        initial={
            "grade": lot.grade, "paper": lot.grade, "waxed": said_words(lot.waxed),
            "bleached": said_words(lot.bleached), "supplier": lot.supplier, "batch": lot.batch,
            "density": f"{lot.density_g_ml:g} g/ml" if lot.density_g_ml else "",
            "bought": lot.bought, "price": "" if lot.price is None else f"{lot.price:.2f}",
            "price_for": typed(lot, lot.price_for_u),
            "order_below": typed(lot, lot.order_below_u), "note": lot.note,
        },
        context={"title": f"What is known of {lot.key}?", "press": "Change it",
                 "lead": "Jars and coats that hold something of it follow.",
                 "back": reverse("shelf-one", args=[lot.key])},
    )  # fmt: skip


def read_in(request: HttpRequest) -> HttpResponse:
    """Look at a stock list, line by line, before it is written down."""
    if "keep" in request.POST:
        return _keep(request)
    form = StockTable(request.POST or None, request.FILES or None)
    wrong: list[str] = []
    if form.is_bound and form.is_valid():
        told = form.cleaned_data
        try:
            file, text = text_of(told["file"], told["text"])
            stock = read_stock_list(text, file)
            answer = import_stock(stock=stock, opening=told["opening"], entry=Entry(dry_run=True))
        except Refusal as refusal:
            wrong = faults(refusal)
        else:
            keep = KeepStock(initial={"text": text, "file": file, "opening": told["opening"]})
            return render(request, "shelf/preview.html", {
                "title": "Is this the list?", "form": keep, "back": reverse("shelf-import"),
                "lots": imported(answer.data["lots"]),
            })  # fmt: skip
    return render(request, "shelf/import.html",
                  {"title": "Read in a stock list", "form": form, "faults": wrong},
                  status=422 if form.is_bound else 200)  # fmt: skip


def _keep(request: HttpRequest) -> HttpResponse:
    form = KeepStock(request.POST)
    wrong: list[str] = []
    if form.is_valid():
        told = form.cleaned_data
        try:
            answer = import_stock(
                stock=read_stock_list(told["text"], told["file"]),
                opening=told["opening"],
                entry=ask.entry_of(request, told),
            )
        except Refusal as refusal:
            wrong = faults(refusal)
        else:
            many = answer.data["written"]
            words = "1 lot is" if many == 1 else f"{many} lots are"
            return ask.go_on(reverse("shelf"), f"{words} written down.", whole=(told["token"],))
    return render(request, "shelf/import.html", {
        "title": "Read in a stock list", "form": StockTable(),
        "faults": wrong or ["The list did not come whole; choose it again."],
    }, status=422)  # fmt: skip
