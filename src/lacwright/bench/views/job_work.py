"""What is laid on a piece and what is taken off: coats, sanding, stripping."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import reverse

from lacwright.bench import ask
from lacwright.bench.forms.common import minutes
from lacwright.bench.forms.jobs import Coat, Sanding, Strip
from lacwright.bench.pages import job_work as pages
from lacwright.shop import clock, names
from lacwright.shop.models import Job, Piece
from lacwright.shop.services import coats, events
from lacwright.shop.writing import Answer, Entry


def coat(request: HttpRequest, name: str) -> HttpResponse:
    """Ask for a coat or session of a job."""
    job = names.find(Job, name, "job")
    return _coat(request, job, job.piece)


def coat_on_piece(request: HttpRequest, name: str) -> HttpResponse:
    """Ask for a coat on a piece or panel that is for no job."""
    return _coat(request, None, names.find(Piece, name, "piece"))


def sand(request: HttpRequest, name: str) -> HttpResponse:
    """Ask for a sanding."""
    job = names.find(Job, name, "job")
    start = pages.start_of(job, job.piece, request.GET.getlist("on"))

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        return events.abrade(
            job=job.key, what=told["what"], parts=told.get("parts") or (),
            faces=told.get("faces") or (), abrasive=told["abrasive"],
            removes_um=told["removes_um"], minutes=minutes(told["took"]), note=told["note"],
            entry=entry,
        )  # fmt: skip

    def prepare(form: Any) -> None:
        form.offer(job.piece)
        form.offer_faces(start.faces)

    return ask.asked(
        request, form=Sanding, do=do, prepare=prepare,
        on=reverse("jobs-one", args=[job.key]), words=pages.sanding_words,
        initial={"parts": list(start.parts)}, template="jobs/ask.html",
        context={"title": f"What was sanded on {job.title or job.piece.key}?", "job": job,
                 "press": "Write it down", "back": reverse("jobs-one", args=[job.key]),
                 "cautions": start.cautions},
    )  # fmt: skip


def strip(request: HttpRequest, name: str) -> HttpResponse:
    """Ask whether the finish was taken off."""
    job = names.find(Job, name, "job")

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        return events.strip(job=job.key, parts=told.get("parts") or (), how=told["how"],
                            note=told["note"], entry=entry)  # fmt: skip

    return ask.asked(
        request, form=Strip, do=do,
        prepare=lambda form: form.offer(job.piece), on=reverse("jobs-one", args=[job.key]),
        words=lambda a: f"The finish is off{pages.on(a.data)}.", template="jobs/ask.html",
        context={"title": "Was the finish taken off?", "job": job, "press": "It is off",
                 "lead": "What the record has on these parts then counts as gone: their coats "
                 "begin anew.", "back": reverse("jobs-one", args=[job.key])},
    )  # fmt: skip


def _coat(request: HttpRequest, job: Job | None, piece: Piece) -> HttpResponse:
    start = pages.start_of(job, piece, request.GET.getlist("on"), request.GET.get("jar", ""))
    back = reverse("pieces-one", args=[piece.key]) if job is None else (
        reverse("jobs-one", args=[job.key])
    )  # fmt: skip
    zone = ask.zone_of(request)

    def prepare(form: Any) -> None:
        form.offer(piece)
        form.offer_faces(start.faces)
        form.offer_jars(start.jars)
        if start.weighed:
            form.fields["before"].help_text = start.weighed

    return ask.asked(
        request, form=Coat, do=_laid(job, piece, zone), prepare=prepare,
        where={"used": "used_ml", "left": "left_g", "area": "area_m2",
               "evaporated": "evaporated_g"},
        on=back, words=pages.coat_words, template="jobs/coat.html",
        initial={"parts": list(start.parts), "jar": next(iter(start.jars), None)},
        context={"title": f"What was laid on {(job.title if job else piece.title) or piece.key}?",
                 "job": job, "start": start, "press": "Write it down", "back": back,
                 "cautions": start.cautions},
    )  # fmt: skip


def _laid(job: Job | None, piece: Piece, zone: dt.tzinfo) -> ask.Do:
    def do(told: Mapping[str, Any], entry: Entry) -> Answer:
        until = told["until"]
        return coats.lay_coat(
            job=None if job is None else job.key, piece=piece.key,
            jar=told["other_jar"] or told["jar"], parts=told.get("parts") or (),
            faces=told.get("faces") or (), method=told["method"] or None,
            what=told["what"] or None, number=told["number"],
            applicator=told["applicator"] or None, before_g=told["before"], after_g=told["after"],
            used_ml=told["used_ml"], open_min=minutes(told["open_for"]),
            evaporated_g=told["evaporated_g"], left_g=told["left_g"], minutes=minutes(told["took"]),
            area_m2=told["area_m2"], note=told["note"], in_spite=told["in_spite"], entry=entry,
            until_us=None if until is None else
            clock.read_moment(f"{until:%Y-%m-%d %H:%M:%S}", zone, "until"),
        )  # fmt: skip

    return do
