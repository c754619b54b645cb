"""Usable hours: a table of air is read in, looked at, and judged for a coat."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect, QueryDict
from django.shortcuts import render
from django.urls import reverse

from lacwright.bench import airs, ask, fields, hours
from lacwright.bench.charts.hours import hours_chart
from lacwright.bench.forms.hours import WHERE, Coat, Table
from lacwright.bench.model import compiled, waiting
from lacwright.bench.pages import hours as pages
from lacwright.bench.picture import picture, width_of
from lacwright.figures import Refusal
from lacwright.files.air_table import MOST_BYTES, AirTable
from lacwright.shop import clock

TITLE = "Which hours are usable?"


def start(request: HttpRequest) -> HttpResponse:
    """Ask for a table of air, or show those that were read in."""
    form = Table(request.POST, request.FILES) if request.method == "POST" else Table()
    wrong: list[str] = []
    if form.is_bound and form.is_valid():
        file = form.cleaned_data["file"]
        data = None if file is None else file.read(MOST_BYTES + 1)
        sent = airs.Sent("pasted table" if file is None else str(file.name),
                         form.cleaned_data["zone"] or str(ask.zone_of(request)),
                         form.cleaned_data["dates"],
                         form.columns())  # fmt: skip
        try:
            sha = airs.take(data, form.cleaned_data["text"], sent)
        except Refusal as refusal:
            if refusal.where == "zone":
                fields.put_back(form, refusal)
            else:
                wrong = pages.faults(refusal)
                form = _with_text(request, form, data)
        else:
            return HttpResponseRedirect(_address("hours-table", sha, _for(request)), status=303)
    return render(request, "hours/start.html", {
        "title": TITLE, "form": form, "faults": wrong, "for": _for(request),
        "tables": pages.kept_tables(ask.zone_of(request)),
    }, status=422 if form.is_bound else 200)  # fmt: skip


def table(request: HttpRequest, sha: str) -> HttpResponse:
    """Show what was read, before anything is judged by it."""
    sent, air = _table(sha)
    return render(request, "hours/table.html", {
        "title": "Is this the air?", "sent": sent, "preview": pages.preview(air),
        "next": _address("hours-usable", sha, _for(request)),
        "back": _address("hours", "", _for(request)),
    })  # fmt: skip


def usable(request: HttpRequest, sha: str) -> HttpResponse:
    """Ask which coat, or show the hours that are usable for it."""
    _table(sha)
    asked = "coats" in request.GET
    form = Coat(request.GET) if asked else Coat(initial={"coats": _for(request) or hours.HAND,
                                                         "method": "brush"})  # fmt: skip
    form.offer(pages.coat_choices(request.GET.get("coats", "") or _for(request)))
    page = made = None
    if asked and form.is_valid():
        what = form.asked(sha)
        if hours.needs_model(what) and not compiled():
            return waiting(request)
        try:
            made = _made(request, what)
            page = pages.hours_page(made)
        except Refusal as refusal:
            fields.put_back(form, refusal.at(WHERE.get(refusal.where, refusal.where)))
    query = QueryDict(mutable=True)
    for name in form.fields:
        if said := request.GET.get(name):
            query[name] = said
    before = query.copy()
    before.pop("first", None)
    return render(request, "hours/page.html", {
        "title": TITLE if page is not None else "For which coat?", "form": form, "sha": sha,
        "page": page, "query": query.urlencode(), "before": before.urlencode(),
        "stops": made.wanted.stops if made else (),
        "cautions": made.wanted.cautions if made else (),
    }, status=422 if asked and page is None else 200)  # fmt: skip


def drawn(request: HttpRequest, sha: str) -> HttpResponse:
    """Draw film minimum and dew point over the hours."""
    form = Coat(request.GET)
    form.offer(pages.coat_choices(request.GET.get("coats", "")))
    _table(sha)
    if not form.is_valid():
        raise Http404
    what = form.asked(sha)
    if hours.needs_model(what) and not compiled():
        raise Http404
    try:
        return picture(request, hours_chart(_made(request, what).table, width_of(request)))
    except Refusal:
        raise Http404 from None


def _made(request: HttpRequest, asked: hours.Asked) -> hours.Made:
    return hours.made_of(asked, now_us=clock.now_us(), zone=ask.zone_of(request))


def _table(sha: str) -> tuple[airs.Sent, AirTable]:
    found = airs.read(sha)
    if found is None:
        raise Http404
    return found


def _for(request: HttpRequest) -> str:
    """Return whose coats it is about: a job or piece whose page led here."""
    return request.GET.get("for", "")[:100]


def _address(name: str, sha: str, whose: str) -> str:
    query = QueryDict(mutable=True)
    if whose:
        query["for"] = whose
    address = reverse(name, args=[sha] if sha else [])
    return f"{address}?{query.urlencode()}" if query else address


def _with_text(request: HttpRequest, form: Table, data: bytes | None) -> Table:
    """Return the form with a faulty file put back as text, to be mended where it stands."""
    if data is None or len(data) > pages.SHORT:
        return form
    again = Table({**request.POST.dict(), "text": data.decode("utf-8", errors="replace")})
    again.is_valid()
    return again
