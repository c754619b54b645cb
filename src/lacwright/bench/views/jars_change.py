"""What happens to a jar: poured from, weighed, described, poured away."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import reverse

from lacwright.bench.ask import asked, zone_of
from lacwright.bench.forms.jars import FRESH, DescribeJar, Pour, Weigh, WithReason
from lacwright.bench.pages.jars import in_words, jar_named
from lacwright.bench.pages.jars_after import (
    discarded_words,
    mixed_words,
    poured_words,
    weighed_words,
)
from lacwright.bench.pages.measures import when
from lacwright.shop.models import Jar
from lacwright.shop.queries.found import next_name
from lacwright.shop.queries.shelf import jar_line
from lacwright.shop.services import jars as service
from lacwright.shop.services.jar_answers import cautions
from lacwright.shop.writing import Answer, Entry
from lacwright.trade import table


def pour(request: HttpRequest, name: str) -> HttpResponse:
    """Write down that something of a jar went elsewhere."""
    jar = jar_named(name)

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        kind, _, to = told["to"].partition(" ")
        amount = told["amount"]
        if kind == FRESH:
            take = service.Take(service.JAR, jar.key, amount)
            return service.mix_jar(jar=told["to_new"], takes=[take], entry=entry)
        return service.pour(jar=jar.key, to_kind=kind, to_name=to, amount=amount,
                            in_spite=told["in_spite"], entry=entry)  # fmt: skip

    def on(answer: Answer) -> str:
        return reverse("jars-one", args=[answer.data["jar"]["name"]])

    def words(answer: Answer) -> str:
        return poured_words(answer) if "poured" in answer.data else mixed_words(answer)

    return asked(
        request, form=Pour, do=do, on=on, words=words, template="jobs/ask.html",
        prepare=lambda form: form.offer_from(jar.key), where={"pad": "to", "jar": "to_new"},
        initial={"to_new": next_name(Jar, start="J")},
        context={"title": f"Where does jar {jar.key} go?", "press": "Write it down",
                 "back": reverse("jars-one", args=[jar.key]),
                 "cautions": cautions(jar_line(jar).contents)},
    )  # fmt: skip


def weigh(request: HttpRequest, name: str) -> HttpResponse:
    """Write down what a jar weighs."""
    jar = jar_named(name)

    def prepare(form: Weigh) -> None:
        if jar.tare_g is None:
            del form.fields["gross"]
            form.fields["net"].label = "The mix alone weighs"
            form.fields["net"].required = True

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        return service.weigh_jar(jar=jar.key, net_g=told["net"], gross_g=told.get("gross"),
                                 gone=told["gone"], entry=entry)  # fmt: skip

    lead = ("What the empty jar weighs is not said, so weigh the mix alone." if jar.tare_g is None
            else f"The empty jar weighs {jar.tare_g:g} g.")  # fmt: skip
    return asked(
        request, form=Weigh, do=do, prepare=prepare, words=weighed_words,
        on=reverse("jars-one", args=[jar.key]), template="jobs/ask.html",
        where={"net or __gross": "gross"},
        context={"title": f"What does jar {jar.key} weigh?", "press": "Write it down",
                 "lead": f"{lead} The scale goes before the book: what is missing is booked.",
                 "back": reverse("jars-one", args=[jar.key])},
    )  # fmt: skip


def change(request: HttpRequest, name: str) -> HttpResponse:
    """Change what is known of a jar."""
    jar = jar_named(name)

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        changes = {"purpose": told["purpose"], "tare_g": told["tare"], "mouth_mm": told["mouth"],
                   "note": told["note"]}  # fmt: skip
        return service.describe_jar(jar=jar.key, changes=changes, entry=entry)

    return asked(
        request, form=DescribeJar, do=do, words=f"What is known of jar {jar.key} is changed.",
        on=reverse("jars-one", args=[jar.key]), template="jobs/ask.html",
        initial={"purpose": jar.purpose, "note": jar.note,
                 "tare": f"{jar.tare_g:g} g" if jar.tare_g else "",
                 "mouth": f"{jar.mouth_mm:g} mm" if jar.mouth_mm else ""},
        context={"title": f"What is known of jar {jar.key}?", "press": "Change it",
                 "back": reverse("jars-one", args=[jar.key])},
    )  # fmt: skip


def discard(request: HttpRequest, name: str) -> HttpResponse:
    """Ask before a jar is poured away and washed out."""
    jar = jar_named(name)
    line = jar_line(jar)
    inside = in_words(line.contents)
    if line.discarded_us is not None:
        inside = f"nothing; it was washed out {when(line.discarded_us, zone_of(request))}"
    waste = next(row.text("text") for row in table("advice") if row.text("of") == "waste")

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        return service.discard_jar(jar=jar.key, entry=entry)

    return asked(
        request, form=WithReason, do=do, words=discarded_words, template="jars/discard.html",
        on=reverse("jars-one", args=[jar.key]),
        context={"title": f"Pour jar {jar.key} away?", "press": "Poured away and washed out",
                 "lead": f"In it: {inside}.", "back": reverse("jars-one", args=[jar.key]),
                 "waste": waste},
    )  # fmt: skip
