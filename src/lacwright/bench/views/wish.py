"""A wished colour: the wish is asked for, the recipes are shown."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from lacwright.bench import fields, wishes
from lacwright.bench.forms.wish import Wished
from lacwright.bench.pages.wish import wish_shown
from lacwright.bench.shelf_grades import grades_of_shelf, grades_on_shelf
from lacwright.bench.views.colour import WHERE, said_in
from lacwright.figures import Refusal
from lacwright.plan.cautions import Job as Opened
from lacwright.plan.cautions import cautions_of_job
from lacwright.solution import NOT_STATED

ASKS = "coats"
OF_MODEL = WHERE | {"grade": "grades", "on": "on_load"}


def page(request: HttpRequest) -> HttpResponse:
    """Ask for a wished colour, or show how to come to it."""
    asks = ASKS in request.GET
    form = Wished(request.GET) if asks else Wished(initial=said_in(request))
    shelf = grades_on_shelf()
    shown = None
    if asks and form.is_valid():
        try:
            shown = wish_shown(wishes.made_of(form.asked(shelf, grades_of_shelf())))
        except Refusal as refusal:
            fields.put_back(form, refusal, OF_MODEL)
    cautions, _ = cautions_of_job(Opened(alcohols=(NOT_STATED,)))
    return render(request, "colour/wish.html", {
        "title": "How do I get that colour?", "form": form, "wish": shown, "shelf": shelf,
        "usual": grades_of_shelf(), "cautions": cautions if shown else (),
    }, status=422 if asks and shown is None else 200)  # fmt: skip
