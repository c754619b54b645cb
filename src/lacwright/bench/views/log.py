"""The log of everything that was written down; taking back and putting right."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import Resolver404, resolve, reverse
from django.utils.http import url_has_allowed_host_and_scheme

from lacwright.bench import ask, work
from lacwright.bench.forms.log import Correct, TakeBack, Wanted
from lacwright.bench.model import ready_or_refuse
from lacwright.bench.pages import log as pages
from lacwright.shop.opening import opened
from lacwright.shop.queries.drying_seen import TIMED, WHITENED
from lacwright.shop.writing import Answer, Entry


def page(request: HttpRequest) -> HttpResponse:
    """Show the log, the last written first."""
    form = Wanted(request.GET)
    told = form.cleaned_data if form.is_valid() else {}
    before = request.GET.get("before", "")
    shown = pages.log_page(
        kind=told.get("kind") or "", name=(told.get("q") or "").strip(),
        of=request.GET.get("of", "")[:20],
        since=told.get("since"), until=told.get("until"), zone=ask.zone_of(request),
        before=int(before) if before.isdecimal() and len(before) < 16 else None,
    )  # fmt: skip
    return render(request, "log/list.html", {
        "title": "What was written down?", "told": told, "log": shown,
        "kinds": pages.KINDS.items(),
    })  # fmt: skip


def one(request: HttpRequest, number: int) -> HttpResponse:
    """Show one observation with all its versions."""
    shown = pages.one_page(number, ask.zone_of(request))
    return render(request, "log/one.html", {"title": f"Movement {shown.number}", "one": shown})


def undo(request: HttpRequest, number: int) -> HttpResponse:
    """Take an observation back, or bring it back."""
    shown = pages.one_page(number, ask.zone_of(request))
    back = _back(request) or reverse("log-one", args=[shown.number])

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        return pages.take_back(number, entry)

    return ask.asked(
        request, form=TakeBack, do=do, template="ask.html",
        on=lambda answer: pages.on_after(answer, shown.number, back, _is_list(back)),
        words=lambda answer: ("Taken back: " if answer.data["undone"] else "It counts again: ")
        + shown.words,
        initial={"back": back}, context={
            "title": "Take this back?" if shown.counts else "Bring this back?",
            "lead": shown.words, "press": "Take it back" if shown.counts else "Bring it back",
            "back": back,
        },
    )  # fmt: skip


def undo_all(request: HttpRequest, tokens: str) -> HttpResponse:
    """Take back all that requests wrote down, in one press."""
    shown = pages.together(tokens.split(","), ask.zone_of(request))
    back = _back(request) or reverse("log")
    if request.method == "POST" and len(shown.numbers) > pages.AT_ONCE:
        run = work.start(opened(), "take-back", {"tokens": tokens})
        return HttpResponseRedirect(reverse("settings-runs-one", args=[run.id]), status=303)

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        return pages.take_all_back(shown.numbers, entry)

    return ask.asked(
        request, form=TakeBack, do=do, template="log/together.html",
        on=_list_over(back) if pages.gone_after(shown.numbers) else back,
        words=lambda answer: f"Taken back: {shown.words}", initial={"back": back},
        context={"title": "Take all of this back?", "press": "Take it back", "back": back,
                 "together": shown},
    )  # fmt: skip


def correct(request: HttpRequest, number: int) -> HttpResponse:
    """Put time or words of an observation right."""
    zone = ask.zone_of(request)
    shown = pages.one_page(number, zone)

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        if "whitening" in shown.facts or shown.facts.get("test") in (TIMED, WHITENED):
            ready_or_refuse("at")  # what it teaches is worked out anew
        return replace(pages.correct(number, told, shown, zone, entry), movement=None)

    def prepare(form: Correct) -> None:
        if not shown.corrected:
            del form.fields["words"]

    return ask.asked(
        request, form=Correct, do=do, template="ask.html", prepare=prepare,
        on=reverse("log-one", args=[shown.number]), words="Put right.",
        initial={"at": shown.at_plain, "words": shown.facts.get(shown.corrected, "")},
        context={"title": "What was it really?", "lead": shown.words,
                 "back": reverse("log-one", args=[shown.number])},
    )  # fmt: skip


def _back(request: HttpRequest) -> str:
    """Return the page that was left, if it is one of these."""
    told = request.POST.get("back") or request.GET.get("back") or ""
    ours = told.startswith("/") and url_has_allowed_host_and_scheme(told, allowed_hosts=None)
    return told if ours else ""


def _list_over(address: str) -> str:
    """Return the list to which a page belongs: of jobs, of pieces, ..."""
    try:
        name = resolve(address.partition("?")[0]).url_name or "now"
    except Resolver404:
        name = "now"
    return reverse(name.partition("-")[0])


def _is_list(address: str) -> bool:
    try:
        return not resolve(address.partition("?")[0]).kwargs
    except Resolver404:
        return False
