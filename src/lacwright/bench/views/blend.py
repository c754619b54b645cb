"""Blending: several jars poured together into a clean one, tried first if that is asked."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from lacwright.bench import ask, fields
from lacwright.bench.forms.blend import Blend
from lacwright.bench.pages.jars_after import mixed_words, would_stand
from lacwright.figures import Refusal
from lacwright.shop.models import Jar
from lacwright.shop.queries.found import next_name
from lacwright.shop.services.jars import JAR, mix_jar
from lacwright.shop.writing import Answer, Entry


def blend(request: HttpRequest) -> HttpResponse:
    """Ask for what was poured together; the first button only says what it makes."""
    context: dict[str, Any] = {"title": "Blend jars", "back": reverse("jars")}
    if request.method == "POST" and "try" in request.POST:
        form = Blend(request.POST)
        context["form"] = form
        if form.is_valid():
            try:
                entry = Entry(dry_run=True)
                context["would"] = would_stand(_mix(form.cleaned_data, entry))
            except Refusal as refusal:
                fields.put_back(form, refusal, {"takes": "from_0"})
        return render(request, "jars/blend.html", context, status=422 if form.errors else 200)
    first = request.GET.get("from", "")
    return ask.asked(
        request, form=Blend, do=_mix, template="jars/blend.html", context=context,
        on=lambda answer: reverse("jars-one", args=[answer.data["jar"]["name"]]),
        words=mixed_words, where={"takes": "from_0"},
        initial={"jar": next_name(Jar, start="J"), "from_0": f"{JAR} {first}" if first else ""},
    )  # fmt: skip


def _mix(told: dict[str, Any], entry: Entry) -> Answer:
    return mix_jar(
        jar=told["jar"], takes=told["takes"], purpose=told["purpose"], tare_g=told["tare"],
        mouth_mm=told["mouth"], note=told["note"], entry=entry,
    )  # fmt: skip
