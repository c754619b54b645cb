"""What is seen, said and agreed about a job: faults, spots, notes, photos, agreements."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import reverse

from lacwright.bench import ask
from lacwright.bench.forms import jobs as forms
from lacwright.bench.model import ready_or_refuse
from lacwright.bench.pages.job_work import on, start_of
from lacwright.bench.photos import taken_in
from lacwright.shop import clock, names
from lacwright.shop.models import Event, Job, Piece
from lacwright.shop.queries.drying_seen import is_whitening
from lacwright.shop.services import agreements, attachments, events
from lacwright.shop.writing import Answer, Entry


def fault(request: HttpRequest, name: str) -> HttpResponse:
    """Ask for a fault."""
    job = names.find(Job, name, "job")
    jars = start_of(job, job.piece).jars

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        if is_whitening(told["what"]):
            ready_or_refuse("what")
        return events.fault(
            job=job.key, jar=told["jar"] or None, what=told["what"], parts=told.get("parts") or (),
            where=told["where"], text=told["text"], cause=told["cause"], entry=entry,
        )  # fmt: skip

    def prepare(form: Any) -> None:
        form.offer(job.piece)
        form.offer_jars(jars)

    return _asked(request, job, forms.Fault, do, f"What is wrong on {_called(job)}?",
                  lambda a: f"Fault{on(a.data)} is written down: {a.data['what']}.",
                  prepare=prepare)  # fmt: skip


def spot(request: HttpRequest, name: str) -> HttpResponse:
    """Ask for a spot to come back to."""
    job = names.find(Job, name, "job")

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        return events.spot(job=job.key, parts=told.get("parts") or (), where=told["where"],
                           text=told["text"], entry=entry)  # fmt: skip

    return _asked(request, job, forms.Spot, do, f"Where to come back to on {_called(job)}?",
                  lambda a: f"Come back to {a.data['where']}{on(a.data)}.",
                  prepare=lambda form: form.offer(job.piece))  # fmt: skip


def spot_done(request: HttpRequest, number: int) -> HttpResponse:
    """Ask what was done about a spot."""
    root = names.movement_of(number, "spot").root_id or number
    event = Event.objects.select_related("job__piece", "movement").get(root=root)
    job = event.job
    if job is None:
        return ask.go_on(reverse("jobs"), "That spot is of no job.")

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        return events.spot_done(spot=number, text=told["text"], entry=entry)

    return _asked(request, job, forms.SpotDone, do,
                  f"What was done {event.movement.body.get('where') or 'there'}?",
                  "The spot is done.")  # fmt: skip


def note(request: HttpRequest, name: str) -> HttpResponse:
    """Ask for a note, a rest, a cleaning, a waxing."""
    job = names.find(Job, name, "job")
    zone = ask.zone_of(request)

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        return events.note(job=job.key, kind=told["kind"], parts=told.get("parts") or (),
                           until_us=_us(told["until"], zone), text=told["text"],
                           entry=entry)  # fmt: skip

    words = {"note": "The note", "rest": "The rest", "clean": "The cleaning", "wax": "The waxing"}
    return _asked(request, job, forms.Note, do, f"What is to be noted on {_called(job)}?",
                  lambda a: f"{words[a.data['kind']]} is written down.",
                  prepare=lambda form: form.offer(job.piece))  # fmt: skip


def attach(request: HttpRequest, name: str) -> HttpResponse:
    """Ask for a photo or paper of a job."""
    return _attach(request, "job", names.find(Job, name, "job").key, "jobs-one")


def attach_to_piece(request: HttpRequest, name: str) -> HttpResponse:
    """Ask for a photo or paper of a piece or panel."""
    return _attach(request, "piece", names.find(Piece, name, "piece").key, "pieces-one")


def agree(request: HttpRequest, name: str) -> HttpResponse:
    """Ask what was agreed."""
    job = names.find(Job, name, "job")

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        return agreements.agree(job=job.key, what=told["what"], text=told["text"],
                                price=told["price"], panel=told["panel"] or None,
                                entry=entry)  # fmt: skip

    return _asked(request, job, forms.Agree, do, f"What was agreed on {_called(job)}?",
                  "What was agreed is written down.")  # fmt: skip


def _attach(request: HttpRequest, to: str, name: str, back: str) -> HttpResponse:
    def do(told: dict[str, Any], entry: Entry) -> Answer:
        sent = told["file"]
        return attachments.attach(
            to=to,
            name=name,
            source=taken_in(sent, sent.size),
            file_name=sent.name,
            words=told["words"],
            entry=entry,
        )

    address = reverse(back, args=[name])
    return ask.asked(
        request, form=forms.Attach, do=do,
        on=address, words=lambda a: f"{a.data['name'] or 'It'} is kept.", template="jobs/ask.html",
        context={"title": f"Which photo or paper belongs to {name}?", "press": "Keep it",
                 "back": address},
    )  # fmt: skip


def _asked(
    request: HttpRequest, job: Job, form: type[ask.Writing], do: ask.Do, title: str, words: Any,
    prepare: Any = None,
) -> HttpResponse:  # fmt: skip
    back = reverse("jobs-one", args=[job.key])
    return ask.asked(
        request, form=form, do=do, on=back, words=words, template="jobs/ask.html", prepare=prepare,
        context={"title": title, "job": job, "press": "Write it down", "back": back},
    )  # fmt: skip


def _called(job: Job) -> str:
    return job.title or job.piece.key


def _us(at: dt.datetime | None, zone: dt.tzinfo) -> int | None:
    return None if at is None else clock.read_moment(f"{at:%Y-%m-%d %H:%M:%S}", zone, "until")
