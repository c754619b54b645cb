"""The wet coat now, its drawing, and whether it whitened."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.http import urlencode

from lacwright.bench import ask
from lacwright.bench.charts.wet import wet_chart
from lacwright.bench.forms.wet import Beside, Whitened
from lacwright.bench.model import compiled, needs_model
from lacwright.bench.pages.wet import Air, wet, wet_page
from lacwright.bench.picture import picture, width_of
from lacwright.shop import clock, names
from lacwright.shop.models import Job, Piece
from lacwright.shop.queries.drying_seen import WHITENED
from lacwright.shop.queries.wet_now import AFTER_HAZE
from lacwright.shop.services.proving import record_test
from lacwright.shop.writing import Answer, Entry


@needs_model
def of_job(request: HttpRequest, name: str) -> HttpResponse:
    """Show the wet coats of a job."""
    job = names.find(Job, name, "job")
    return _page(request, job, job.title or job.piece.key, reverse("jobs-one", args=[job.key]))


@needs_model
def of_piece(request: HttpRequest, name: str) -> HttpResponse:
    """Show the wet coats of a piece or panel."""
    piece = names.find(Piece, name, "piece")
    return _page(request, piece, piece.title or piece.key, _home(piece))


def drawn_of_job(request: HttpRequest, number: int, name: str) -> HttpResponse:
    """Draw the film of a wet coat of a job."""
    return _drawn(request, names.find(Job, name, "job"), number)


def drawn_of_piece(request: HttpRequest, number: int, name: str) -> HttpResponse:
    """Draw the film of a wet coat of a piece."""
    return _drawn(request, names.find(Piece, name, "piece"), number)


@needs_model
def whitened(request: HttpRequest, name: str) -> HttpResponse:
    """Ask whether the last coat on a piece or panel whitened."""
    piece = names.find(Piece, name, "piece")
    coat = request.GET.get("coat", "")

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        result: dict[str, Any] = {"whitened": told["whitened"] == "yes"}
        if coat.isdecimal():
            result["coat"] = int(coat)
        return record_test(of_kind="piece", of=piece.key, test=WHITENED, temp_c=told["temp"],
                           rh=told["rh"], result=result, entry=entry)  # fmt: skip

    back = _home(piece)
    return ask.asked(
        request, form=Whitened, do=do, on=back, template="jobs/ask.html",
        words=lambda a: f"Written down. {' '.join(a.data['says'])}",
        where={"wet": "whitened"},
        context={"title": f"Did the last coat on {piece.title or piece.key} whiten?",
                 "lead": "Either tells how much water your film bears; the ranges get narrower.",
                 "press": "Write it down", "back": back},
    )  # fmt: skip


def _page(request: HttpRequest, work: Job | Piece, called: str, back: str) -> HttpResponse:
    air, form = _air(request)
    page = wet_page(work, zone=ask.zone_of(request), now_us=clock.now_us(), air=air)
    room = "jobs" if isinstance(work, Job) else "pieces"
    piece = work.piece if isinstance(work, Job) else work
    told = {"temp": f"{air[0]:g} C", "rh": f"{air[1]:g}"} if None not in air else {}
    return render(request, "wet/page.html", {
        "title": f"What is the coat on {called} doing?", "page": page, "back": back, "form": form,
        "asks_air": form.is_bound or any(c.no_air for c in page.coats), "name": work.key,
        "picture": f"{room}-wet-drawn", "query": urlencode(told), "piece": piece,
        "after_haze": AFTER_HAZE,
        "cautions": page.cautions, "stops": page.stops,
        "lay": reverse("jobs-coat" if room == "jobs" else "pieces-coat", args=[work.key]),
    }, status=422 if form.errors else 200)  # fmt: skip


def _drawn(request: HttpRequest, work: Job | Piece, number: int) -> HttpResponse:
    if not compiled():
        raise Http404
    found = wet(work, now_us=clock.now_us(), air=_air(request)[0])
    one = found[number] if number < len(found) else None
    if one is None or one.made is None:
        raise Http404
    return picture(request, wet_chart(one.made, one.age_s, width_of(request)))


def _air(request: HttpRequest) -> tuple[Air, Beside]:
    """Return the air that was said to be beside the coat, and the form it was said in."""
    if "temp" not in request.GET:
        return (None, None), Beside()
    form = Beside(request.GET)
    if not form.is_valid():
        return (None, None), form
    return (form.cleaned_data["temp"], form.cleaned_data["rh"]), form


def _home(piece: Piece) -> str:
    return reverse("panels-one" if piece.kind == "panel" else "pieces-one", args=[piece.key])
