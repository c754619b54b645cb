"""A timed panel: a coat that was timed teaches the model this bench and this lac."""

from __future__ import annotations

from dataclasses import replace

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from lacwright.bench import ask, fields
from lacwright.bench.forms.timed import WHERE, OfRecord, Timed
from lacwright.bench.model import needs_model
from lacwright.bench.pages.timed import on_record, says
from lacwright.figures import Refusal
from lacwright.plan.cautions import Job as Opened
from lacwright.plan.cautions import cautions_of_job
from lacwright.shop import clock, names
from lacwright.shop.models import Piece
from lacwright.shop.queries.drying_seen import TIMED
from lacwright.shop.services.proving import record_test
from lacwright.shop.writing import Answer
from lacwright.solution import NOT_STATED, Alcohol, read_alcohol


@needs_model
def timed(request: HttpRequest, name: str) -> HttpResponse:
    """Ask when a coat was dry, show what that says, and write it down."""
    panel = names.find(Piece, name, "piece")
    known = on_record(panel, now_us=clock.now_us(), zone=ask.zone_of(request))
    in_full = known is None or bool(known.silent) or request.GET.get("by") == "hand"
    kind = Timed if in_full else OfRecord
    asks = kind(request.POST) if request.method == "POST" else kind(
        initial={"wood": panel.wood} if in_full else None
    )  # fmt: skip
    if isinstance(asks, Timed):
        asks.offer()
    back = reverse("panels-one" if panel.kind == "panel" else "pieces-one", args=[panel.key])
    shown = None
    if request.method == "POST" and asks.is_valid():
        keep = "keep" in request.POST
        try:
            answer = _write(request, panel, asks, keep=keep)
        except Refusal as refusal:
            fields.put_back(asks, refusal, WHERE)
        else:
            if keep:
                return ask.go_on(back, f"The timed coat is written down. "
                                 f"{' '.join(answer.data['says'])}",
                                 undo=answer.movement)  # fmt: skip
            shown = says(answer.data, panel)
    cautions, stops = cautions_of_job(Opened(alcohols=(_alcohol(asks),)))
    return render(request, "timed/page.html", {
        "title": f"When was the coat on {panel.key} dry?", "form": asks, "panel": panel,
        "back": back, "says": shown, "known": None if in_full else known,
        "other": known if in_full and known is not None and not known.silent else None,
        "cautions": cautions, "stops": stops,
    }, status=422 if asks.is_bound and shown is None else 200)  # fmt: skip


def _alcohol(asks: OfRecord) -> Alcohol:
    """Return the alcohol that was named, for its cautions."""
    told = asks.result().get("alcohol") if asks.is_bound and asks.is_valid() else None
    try:
        return NOT_STATED if told is None else read_alcohol(told)
    except Refusal:  # it stands at its field
        return NOT_STATED


def _write(request: HttpRequest, panel: Piece, asks: OfRecord, *, keep: bool) -> Answer:
    told = asks.cleaned_data
    entry = ask.entry_of(request, told)
    return record_test(
        of_kind="piece", of=panel.key, test=TIMED, temp_c=told["temp"], rh=told["rh"],
        result=asks.result(), entry=entry if keep else replace(entry, dry_run=True),
    )  # fmt: skip
