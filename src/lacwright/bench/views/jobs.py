"""Jobs: the list, and one with all that belongs to it."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from lacwright.bench.ask import zone_of
from lacwright.bench.charts.film_now import film_now_chart
from lacwright.bench.pages import look
from lacwright.bench.pages.jobs import film_rows, one_job, planned_job
from lacwright.bench.paging import LENGTH, page_of, wanted
from lacwright.bench.picture import picture, width_of
from lacwright.shop import clock, names
from lacwright.shop.models import Job
from lacwright.shop.queries.job_list import job_page
from lacwright.shop.queries.jobs import CLOSED, OPEN
from lacwright.shop.queries.remembered import remembered

STATES = {"": ("open", OPEN), "closed": ("closed", CLOSED), "all": ("all", None)}


def jobs(request: HttpRequest) -> HttpResponse:
    """Show the open jobs, or the closed ones, or all."""
    asked = request.GET.get("show", "")
    word, state = STATES.get(asked, STATES[""])
    words = request.GET.get("q", "")[:200]
    first = (wanted(request) - 1) * LENGTH
    rows, total = remembered(("jobs", state, words, first),
                             lambda: job_page(state=state, words=words, first=first))  # fmt: skip
    return render(request, "jobs/list.html", {
        "title": "What work is open?" if state == OPEN else "Jobs", "list":
        page_of(request, rows, total), "zone": zone_of(request), "show": asked, "q": words,
        "shows": [(key, value[0]) for key, value in STATES.items()], "word": word,
    })  # fmt: skip


def one(request: HttpRequest, name: str) -> HttpResponse:
    """Show a job."""
    job = names.find(Job, name, "job")
    told = one_job(job, zone_of(request), clock.now_us())
    asks = "What was done" if told.closed else "What is next"
    return render(request, "jobs/one.html", {
        "title": f"{asks} on {job.title or job.piece.key}?", "one": told, "job": job,
        "list": page_of(request, told.done), "look": look.of_wood(job.piece.wood),
    })  # fmt: skip


def planned(request: HttpRequest, name: str) -> HttpResponse:
    """Show the plan a job was begun with."""
    job = names.find(Job, name, "job")
    if not job.plan:
        raise Http404
    return render(request, "jobs/planned.html", {
        "title": f"What was planned for {job.title or job.piece.key}?", "job": job,
        "plan": planned_job(job.plan),
    })  # fmt: skip


def film(request: HttpRequest, name: str) -> HttpResponse:
    """Draw the film on the piece of a job."""
    job = names.find(Job, name, "job")
    try:
        return picture(request, film_now_chart(film_rows(job), width_of(request)))
    except KeyError:
        raise Http404 from None
