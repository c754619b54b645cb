"""How much flakes, how much alcohol, and when the coats: the five-minute answer, and keeping it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from lacwright.bench import ask, fields, plans
from lacwright.bench.forms.mixing import Amounts, Coats, Keep
from lacwright.bench.pages.mixing import (
    AmountsAnswer,
    TimesAnswer,
    amounts,
    coat_times,
    mix_table,
    piece_text,
    takes_of,
)
from lacwright.figures import Refusal
from lacwright.shop import clock
from lacwright.shop.models import Request
from lacwright.shop.plan_link import areas_of, kept
from lacwright.shop.services.jars import mix_jar
from lacwright.shop.services.jobs import start_job
from lacwright.shop.writing import Answer, Entry

__all__ = ["Amounts", "page"]


@dataclass
class _Asked:
    """What was typed, and the answers to it."""

    one: Amounts
    two: Coats
    answer: AmountsAnswer | None = None
    times: TimesAnswer | None = None


def page(request: HttpRequest) -> HttpResponse:
    """Show the amounts after three entries, the times after four more; keep it if that is asked."""
    asked = _asked(request)
    keep = None
    if asked.answer is not None:
        keep = Keep(request.POST) if request.method == "POST" else Keep()
        keep.offer(grade=asked.one.cleaned_data["grade"],
                   what=None if asked.times is None else asked.two.cleaned_data["what"],
                   stopped=asked.times is not None and bool(asked.times.stops))  # fmt: skip
        if keep.is_bound and keep.is_valid():
            try:
                return _kept(request, asked, keep.cleaned_data)
            except Refusal as refusal:
                fields.put_back(keep, refusal, {
                    "job": "piece", "lot": "flakes", "grade": "flakes",
                })  # fmt: skip
    return render(request, "mixing.html", {
        "title": "How much to mix", "one": asked.one, "two": asked.two, "answer": asked.answer,
        "times": asked.times, "keep": keep, "query": request.GET.urlencode(),
    }, status=422 if keep is not None and keep.is_bound else 200)  # fmt: skip


def _asked(request: HttpRequest) -> _Asked:
    told = bool(request.GET)
    asked = _Asked(Amounts(request.GET) if told else Amounts(),
                   Coats(request.GET) if "size" in request.GET else Coats())  # fmt: skip
    if told and asked.one.is_valid():
        try:
            asked.answer = amounts(**asked.one.cleaned_data)
        except Refusal as refusal:
            fields.put_back(asked.one, refusal, {"make": "volume"})
    if asked.answer and asked.two.is_bound and asked.two.is_valid():
        now = clock.from_us(clock.now_us(), ask.zone_of(request))
        try:
            asked.times = coat_times(**asked.one.cleaned_data, **asked.two.cleaned_data, now=now)
        except Refusal as refusal:
            fields.put_back(asked.two, refusal, {"box": "size", "panel": "size", "area": "size",
                                                 "from": "start"})  # fmt: skip
    return asked


def _kept(request: HttpRequest, asked: _Asked, told: dict[str, Any]) -> HttpResponse:
    """Write the jar down, and the piece with its job; nothing of it if one cannot be."""
    assert asked.answer is not None
    one, name = asked.one.cleaned_data, told.get("piece")
    lots = {"flakes_lot": told["flakes"], "alcohol_lot": told["spirit"]}
    said = {"grade": one["grade"], "alcohol": one["alcohol"], **lots}
    mix = mix_table(cut=one["cut"], **said)
    if name and not Request.objects.filter(token=told["token"]).exists():
        # All of it is tried first: a jar is not to stand there without its job.
        _start(request, asked, told, mix, Entry(dry_run=True))
    made = mix_jar(
        jar=told["jar"], wished_cut=one["cut"], wished_ml=one["volume"],
        purpose=f"for {name}" if name else "", entry=Entry(token=told["token"]),
        takes=takes_of(asked.answer, **said),
    )  # fmt: skip
    jar = made.data["jar"]["name"]
    if not name:
        return ask.go_on(reverse("jars-one", args=[jar]), f"Jar {jar} is written down.",
                         undo=made.movement)  # fmt: skip
    if "alcohol" in mix:
        mix = {"jar": jar}  # of an alcohol that is not said, the jar could tell the plan no more
    job = _start(request, asked, told, mix, Entry(token=f"{told['token']}-job"))
    text = f"Jar {jar}, {job.data['piece']} and its job are written down."
    return ask.go_on(reverse("jobs-one", args=[job.data["job"]]), text,
                     whole=(told["token"], f"{told['token']}-job"))  # fmt: skip


def _start(
    request: HttpRequest, asked: _Asked, told: dict[str, Any], mix: dict[str, Any], entry: Entry
) -> Answer:  # fmt: skip
    two, name = asked.two.cleaned_data, told["piece"]
    text = piece_text(title=name, mix=mix,
                      **{k: two[k] for k in ("what", "size", "coats", "method")})  # fmt: skip
    made = plans.made_of(text, name, now_us=clock.now_us(), zone=ask.zone_of(request))
    return start_job(
        job=name, piece_name=name, piece_file=text, plan=kept(made.plan, made.hand),
        areas_m2=areas_of(made.plan.piece), in_spite=told.get("in_spite") or "", entry=entry,
    )  # fmt: skip
