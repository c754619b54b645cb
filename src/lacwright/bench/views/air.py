"""The air of a room: asked in a form, answered at an address of its own, drawn."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import render
from django.urls import reverse

from lacwright.bench import air, ask, fields
from lacwright.bench.charts.vapour import vapour_chart
from lacwright.bench.forms.air import Air, GoOn
from lacwright.bench.model import compiled, waiting
from lacwright.bench.pages.air import air_shown
from lacwright.bench.picture import picture, width_of
from lacwright.figures import Refusal
from lacwright.plan.room_spec import DRYING
from lacwright.shop.queries.job_list import job_page
from lacwright.shop.services.air import go_on
from lacwright.shop.writing import Answer, Entry

ASKS = "volume"
"""Whoever says a volume asks; without it an address only fills in the form."""


def page(request: HttpRequest) -> HttpResponse:
    """Ask what is laid in which room, or show what that brings into its air."""
    asks = ASKS in request.GET
    form = Air(request.GET) if asks else Air(initial=dict(request.GET.items()))
    found = shown = None
    if asks and form.is_valid():
        if form.cleaned_data["emission"] == DRYING and not compiled():
            return waiting(request)
        try:
            found = air.vapour_of(air.asked_of(form, request.GET))
            shown = air_shown(found, found.estimate.stops)
        except Refusal as refusal:
            fields.put_back(form, refusal)
    query = QueryDict(mutable=True)
    for name in form.fields:
        if said := request.GET.get(name):
            query[name] = said
    return render(request, "air/page.html", {
        "title": "What comes into the air?", "form": form, "air": shown, "query": query.urlencode(),
        "stops": found.estimate.stops if found else (),
        "cautions": found.estimate.cautions if found else (),
    }, status=422 if asks and found is None else 200)  # fmt: skip


def keep(request: HttpRequest) -> HttpResponse:
    """Ask with which job the stops are kept, and why it goes on in spite of them."""
    form = Air(request.GET)
    if not form.is_valid():
        raise Http404
    try:
        stops = air.vapour_of(air.asked_of(form, request.GET)).estimate.stops
    except Refusal:
        raise Http404 from None
    if not stops:
        raise Http404
    jobs = [(one.key, f"{one.key}, {one.title or one.piece}") for one in job_page()[0]]

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        return go_on(job=told["job"], stops=[s.text for s in stops], in_spite=told["in_spite"],
                     entry=entry)  # fmt: skip

    return ask.asked(
        request, form=GoOn, do=do, prepare=lambda asking: asking.offer(jobs),
        on=lambda a: reverse("jobs-one", args=[a.data["job"]]),
        words="The stop and the reason are kept with the job.", template="air/keep.html",
        context={"title": "Which job goes on in spite of it?", "press": "Keep them with the job",
                 "back": f"{reverse('air')}?{request.GET.urlencode()}", "stops": stops,
                 "none": not jobs},
    )  # fmt: skip


def drawn(request: HttpRequest) -> HttpResponse:
    """Draw the vapour over time against its limits."""
    form = Air(request.GET)
    if not form.is_valid() or (form.cleaned_data["emission"] == DRYING and not compiled()):
        raise Http404
    try:
        found = air.vapour_of(air.asked_of(form, request.GET))
    except Refusal:
        raise Http404 from None
    if found.estimate.curve is None:
        raise Http404
    return picture(request, vapour_chart(found.estimate.curve, found.sources, width_of(request)))
