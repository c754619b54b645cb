"""Care of the record: long work that goes on while the pages are used."""

from __future__ import annotations

from django.http import FileResponse, Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_POST

from lacwright.bench import ask, work
from lacwright.bench.pages import runs as pages
from lacwright.figures import Refusal
from lacwright.shop.opening import opened


def page(request: HttpRequest) -> HttpResponse:
    """Show what can be done and what was done."""
    return render(request, "runs/list.html", {
        "title": "Is the record in good order?", "care": pages.care_page(
            opened(), ask.zone_of(request)
        ),
    })  # fmt: skip


@require_POST
def begin(request: HttpRequest) -> HttpResponse:
    """Begin long work, or go to the same that runs already."""
    kind = request.POST.get("kind", "")
    if kind not in work.ANY_TIME:
        raise Refusal("work", f"'{kind}' is no long work", "go back and press one of the buttons")
    run = work.start(opened(), kind)
    return HttpResponseRedirect(reverse("settings-runs-one", args=[run.id]), status=303)


def one(request: HttpRequest, number: str) -> HttpResponse:
    """Show how far a run is, or what came of it."""
    run = _run(number)
    file = pages.file_of(run, opened())
    return render(request, "runs/one.html", {
        "title": run.words, "run": run, "line": pages.line(run, ask.zone_of(request)),
        "file": file, "size": file and pages.size_of(file), "again": pages.again(run),
    })  # fmt: skip


def file(request: HttpRequest, number: str) -> HttpResponseBase:
    """Hand out what a run wrote."""
    path = pages.file_of(_run(number), opened())
    if path is None:
        raise Http404
    return FileResponse(path.open("rb"), as_attachment=True, filename=path.name,
                        content_type="application/octet-stream")  # fmt: skip


def _run(number: str) -> work.Run:
    run = work.look(opened(), number)
    if run is None:
        raise Http404
    return run
