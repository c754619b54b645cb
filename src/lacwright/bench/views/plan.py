"""The plan of a piece file: shown, drawn, changed in one thing, made a job."""

from __future__ import annotations

from typing import Any
from urllib.parse import quote, urlencode

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_POST

from lacwright.bench import ask, drafts, plans
from lacwright.bench.charts.calendar import calendar_chart
from lacwright.bench.charts.film import film_chart
from lacwright.bench.charts.vapour import vapour_chart
from lacwright.bench.fields import words_of
from lacwright.bench.forms.plan import Change, StartPlanned
from lacwright.bench.pages import look
from lacwright.bench.pages.plan import alike, plan_page
from lacwright.bench.pages.plan_change import changed, changes_of, moved, now
from lacwright.bench.picture import picture, width_of
from lacwright.bench.toml_text import written
from lacwright.bench.views.job_start import started
from lacwright.figures import Refusal, Refusals
from lacwright.shop import clock, names
from lacwright.shop.models import Job, Piece
from lacwright.shop.plan_link import areas_of, kept, wood_of
from lacwright.shop.queries.piece_file import piece_file
from lacwright.shop.queries.remembered import remembered
from lacwright.shop.services.jobs import start_job
from lacwright.shop.writing import Answer, Entry


def of_piece(request: HttpRequest, name: str) -> HttpResponse:
    """Plan a piece of the record."""
    piece = names.find(Piece, name, "piece")
    found = remembered(("piece file", piece.key), lambda: piece_file(piece))
    if found is None:
        return ask.go_on(f"{reverse('pieces-build')}?of={quote(piece.key)}",
                         "Nothing is known of its parts yet: describe them first.")  # fmt: skip
    return _page(request, drafts.keep(found.text), piece.key)


def of_job(request: HttpRequest, name: str) -> HttpResponse:
    """Plan the piece file of a job anew."""
    job = names.find(Job, name, "job")
    if not job.piece_file:
        raise Http404
    return _page(request, drafts.keep(job.piece_file), job.piece.key)


def page(request: HttpRequest, sha: str) -> HttpResponse:
    """Show the plan of a text, perhaps with one thing changed."""
    return _page(request, sha, request.GET.get("of", ""))


@require_POST
def keep_change(request: HttpRequest, sha: str) -> HttpResponse:
    """Make the change part of the text."""
    before = _made(request, _text(sha))
    text = _changed_text(before, {k: request.POST.get(k, "") for k in ("change", "to")})
    _made(request, text)
    of = request.POST.get("of", "")
    return ask.go_on(_address(drafts.keep(text), {"of": of} if of else {}),
                     "The change is in the plan now. It is kept with the piece or the job once "
                     "you keep or start it.")  # fmt: skip


def days(request: HttpRequest, sha: str) -> HttpResponse:
    """Draw the days of a plan."""
    try:
        return picture(request, calendar_chart(_asked(request, sha).plan, width_of(request)))
    except (KeyError, Refusal):
        raise Http404 from None


def film(request: HttpRequest, sha: str, part: str) -> HttpResponse:
    """Draw the film of a part over the course of a plan."""
    try:
        plan = _asked(request, sha).plan
        if plan.film is None:
            raise KeyError(part)
        return picture(request, film_chart(plan, part, width_of(request)))
    except (KeyError, Refusal):
        raise Http404 from None


def air(request: HttpRequest, sha: str) -> HttpResponse:
    """Draw the vapour of a plan over time."""
    try:
        found = _asked(request, sha).plan.air
    except Refusal:
        raise Http404 from None
    if found is None or found.estimate.curve is None:
        raise Http404
    return picture(request, vapour_chart(found.estimate.curve, found.sources, width_of(request)))


def start(request: HttpRequest, sha: str) -> HttpResponse:
    """Ask how the job is called that begins with a plan."""
    made, of = _made(request, _text(sha)), request.GET.get("of", "")
    plan = made.plan
    back = _address(sha, {"of": of} if of else {})

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        return start_job(
            job=told["job"], piece_name=told["piece"], title=told["title"] or plan.piece.title,
            customer=told["customer"] or None, promised=told["promised"],
            piece_file=made.text, plan=kept(plan, made.hand), areas_m2=areas_of(plan.piece),
            wood=wood_of(plan.piece), in_spite=told["in_spite"], entry=entry,
        )  # fmt: skip

    def prepare(form: Any) -> None:
        form.stopped = bool(plan.stops) and plan.piece.course is None

    return ask.asked(
        request, form=StartPlanned, do=do,
        prepare=prepare, on=lambda a: reverse("jobs-one", args=[a.data["job"]]), words=started,
        template="plan/start.html",
        initial={"piece": of, "title": plan.piece.title, "promised": plan.piece.wish.by},
        context={"title": "Which job begins with this plan?", "press": "Start the job",
                 "back": back, "stops": plan.stops, "cautions": plan.cautions,
                 "page": plan_page(made, clock.day_of(clock.now_us(), ask.zone_of(request)))},
    )  # fmt: skip


def _page(request: HttpRequest, sha: str, of: str) -> HttpResponse:
    text = _text(sha)
    try:
        before = _made(request, text)
    except Refusal as refusal:
        return _unplanned(request, sha, refusal, of)
    choices = changes_of(before.data)
    asked = request.GET.get("change", "")
    form = Change(request.GET, choices=choices) if "to" in request.GET else Change(
        choices=choices, initial={"change": asked, "to": now(before.data, asked) if asked else ""}
    )  # fmt: skip
    after, rows = before, None
    if form.is_bound and form.is_valid():
        try:
            after = _made(request, _changed_text(before, form.cleaned_data))
            rows = moved(before.plan, after.plan)
        except Refusal as refusal:
            _at_change(form, refusal)
    query = {k: request.GET[k] for k in ("change", "to") if rows is not None}
    today = clock.day_of(clock.now_us(), ask.zone_of(request))
    shown = plan_page(after, today)
    return render(request, "plan/page.html", {
        "title": after.plan.piece.title, "sha": sha, "of": of, "plan": after.plan, "page": shown,
        "form": form, "moved": rows, "query": urlencode(query), "text": after.text,
        "films": [(part, ", ".join(alike(after.plan, part))) for part in shown.film_parts],
        "again": urlencode({"of": of}) if of else "", "look": look.of_plan(after.plan),
    })  # fmt: skip


def _unplanned(request: HttpRequest, sha: str, refusal: Refusal, of: str) -> HttpResponse:
    each = refusal.each if isinstance(refusal, Refusals) else (refusal,)
    return render(request, "plan/unplanned.html", {
        "title": "It cannot be planned yet", "sha": sha, "of": of,
        "wrong": [(one.where, words_of(one)) for one in each],
    }, status=422)  # fmt: skip


def _asked(request: HttpRequest, sha: str) -> plans.Made:
    """Return the plan of a text with the change the address asks for."""
    made = _made(request, _text(sha))
    if "change" not in request.GET:
        return made
    told = {k: request.GET.get(k, "") for k in ("change", "to")}
    return _made(request, _changed_text(made, told))


def _text(sha: str) -> str:
    text = drafts.read(sha)
    if text is None:
        raise Http404
    return text


def _made(request: HttpRequest, text: str) -> plans.Made:
    return plans.made_of(text, "the piece", now_us=clock.now_us(), zone=ask.zone_of(request))


def _changed_text(made: plans.Made, told: Any) -> str:
    return drafts.tidy(written(changed(made.data, told["change"], told["to"])))


def _at_change(form: Change, refusal: Refusal) -> None:
    for one in refusal.each if isinstance(refusal, Refusals) else (refusal,):
        form.add_error("to", words_of(one))


def _address(sha: str, query: dict[str, str]) -> str:
    address = reverse("pieces-plan-draft", args=[sha])
    return f"{address}?{urlencode(query)}" if query else address
