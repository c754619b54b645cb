"""Making jars: mixed from the shelf, filled with what was bought, brought to a cut, added to."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import reverse

from lacwright.bench.ask import asked, zone_of
from lacwright.bench.fields import put_back
from lacwright.bench.forms.jars import Add, Corrected, Filled, Mixed, ToCut, Wish
from lacwright.bench.pages.jars import jar_named, stop_of
from lacwright.bench.pages.jars_after import added_words, mixed_words
from lacwright.bench.pages.jars_mix import MixAnswer, mix_answer, to_cut_answer
from lacwright.figures import Refusal
from lacwright.shop.models import Jar
from lacwright.shop.queries.found import next_name
from lacwright.shop.services import jars as service
from lacwright.shop.writing import Answer, Entry


def live(request: HttpRequest) -> bool:
    """Return whether only a part of the page is asked for, while somebody types."""
    return "HX-Request" in request.headers


def mix(request: HttpRequest) -> HttpResponse:
    """Work out what to take, then write down what was really taken."""
    wish = Wish(request.GET) if "cut" in request.GET else Wish(initial=request.GET.dict())
    answer: MixAnswer | None = None
    if wish.is_bound and wish.is_valid():
        try:
            answer = mix_answer(wish.cleaned_data)
        except Refusal as refusal:
            put_back(wish, refusal, {"solution": "amount", "resin": "amount",
                                            "alcohol_volume": "amount"})  # fmt: skip

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        if answer is None:
            raise Refusal("", "nothing is worked out yet", "say first what is to be mixed")
        takes = [service.Take(take.kind, take.name, told[f"take_{n}"])
                 for n, take in enumerate(answer.takes)]  # fmt: skip
        said = wish.cleaned_data
        return service.mix_jar(
            jar=told["jar"], takes=takes, wished_cut=said["cut"],
            wished_ml=said["amount"] if said["of"] == "mix" else None, purpose=told["purpose"],
            tare_g=told["tare"], mouth_mm=told["mouth"], note=told["note"], entry=entry,
        )  # fmt: skip

    def prepare(form: Mixed) -> None:
        rows = answer.rows if answer else ()
        form.ask_for([(row.words, row.kind, row.typed) for row in rows])

    return asked(
        request, form=Mixed, do=do, prepare=prepare, on=_to_jar, words=mixed_words,
        template="jars/mix.html", initial={"jar": next_name(Jar, start="J")},
        context={"title": "Mix a jar", "wish": wish, "answer": answer,
                 "live": live(request), "cautions": answer.cautions if answer else ()},
    )  # fmt: skip


def fill(request: HttpRequest) -> HttpResponse:
    """Write down a jar that came full, or stood there."""

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        return service.fill_jar(
            jar=told["jar"], amount=told["amount"], claimed_cut=told["cut"], grade=told["grade"],
            alcohol=told["alcohol"], supplier=told["supplier"], batch=told["batch"],
            bought=told["bought"], price=told["price"], purpose=told["purpose"],
            tare_g=told["tare"], mouth_mm=told["mouth"], note=told["note"],
            opening=told["opening"], entry=entry,
        )  # fmt: skip

    return asked(
        request, form=Filled, do=do, on=_to_jar, words=mixed_words, template="jobs/ask.html",
        context={"title": "A bought mix, or a jar that stood there",
                 "lead": "What its label says stays marked as claimed. Without a cut its make-up "
                         "is not known, and no amounts are worked out from it.",
                 "press": "Write it down", "back": reverse("jars")},
    )  # fmt: skip


def correct(request: HttpRequest, name: str) -> HttpResponse:
    """Work out what brings a jar to a cut, then write down that it was added."""
    jar = jar_named(name)
    stop = stop_of(jar, zone_of(request))
    want = ToCut(request.GET) if "cut" in request.GET else ToCut(initial=request.GET.dict())
    answer = None
    if want.is_bound and want.is_valid():
        try:
            answer = to_cut_answer(jar, **want.cleaned_data)
        except Refusal as refusal:
            put_back(want, refusal, {"to": "cut", "with": "lot"})

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        if answer is None:
            raise Refusal("", "nothing is worked out yet", "say first to which cut, and with what")
        return service.correct_jar(jar=jar.key, to_cut=answer.to_cut, lot=answer.lot,
                                   in_spite=told["in_spite"], entry=entry)  # fmt: skip

    def prepare(form: Corrected) -> None:
        if stop:
            form.ask_why()

    return asked(
        request, form=Corrected, do=do, prepare=prepare, on=_to_jar, words=added_words,
        template="jars/correct.html",
        context={"title": f"Bring jar {jar.key} to which cut?", "jar": jar.key, "want": want,
                 "stop": stop, "answer": answer, "live": live(request),
                 "cautions": answer.cautions if answer else ()},
    )  # fmt: skip


def add(request: HttpRequest, name: str) -> HttpResponse:
    """Write down what was added to a jar."""
    jar = jar_named(name)
    stop = stop_of(jar, zone_of(request))

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        take = service.Take(told["kind"], told["name"], told["amount"])
        return service.add_to_jar(jar=jar.key, takes=[take], why=told["why"],
                                  in_spite=told["in_spite"], entry=entry)  # fmt: skip

    def prepare(form: Add) -> None:
        form.offer_from(jar.key)
        if stop:
            form.ask_why()

    return asked(
        request, form=Add, do=do, prepare=prepare, on=_to_jar,
        words=added_words, template="jobs/ask.html",
        context={"title": f"What goes into jar {jar.key}?", "stop": stop, "press": "Write it down",
                 "back": reverse("jars-one", args=[jar.key])},
    )  # fmt: skip


def _to_jar(answer: Answer) -> str:
    return reverse("jars-one", args=[answer.data["jar"]["name"]])
