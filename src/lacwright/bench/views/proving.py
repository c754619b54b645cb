"""Tests: what was seen, the verdict at once; a failure leads to the recall."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import reverse

from lacwright.bench.ask import Writing, asked, zone_of
from lacwright.bench.forms.proving import STAGES, Dissolve, Drying, Sample, WaterSpot
from lacwright.bench.pages.jars import jar_named
from lacwright.bench.pages.jars_after import tested_words
from lacwright.bench.pages.proving import drying_limits, other_limits, so_far
from lacwright.figures import Refusal
from lacwright.shop import names
from lacwright.shop.models import Lot, Piece
from lacwright.shop.services.proving import record_test
from lacwright.shop.verdict import FAILED, Times
from lacwright.shop.writing import Answer, Entry
from lacwright.solution import cautions_of

ROOMS = {"jar": "jars", "lot": "shelf", "piece": "panels"}


def drying(request: HttpRequest, name: str) -> HttpResponse:
    """Ask about two drops on glass."""
    jar = jar_named(name)
    running, limits = so_far(jar, "drying", zone_of(request)), drying_limits()

    def prepare(form: Drying) -> None:
        for stage in ("tack_free", "nail", "powder"):
            form.fields[stage].help_text = limits[stage]
        if running is None:
            del form.fields["anew"]

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        drop = _drop(told, "", running is not None)
        if drop is None:
            raise Refusal("seen", "nothing is said of the drop of the jar", "write when it was no "
                          "longer tacky, or when you last looked if it still is")  # fmt: skip
        return record_test(
            of_kind="jar", of=jar.key, test="drying", jar=drop, temp_c=told["temp"],
            rh=told["rh"], control=_drop(told, "control_", running is not None),
            anew=bool(told.get("anew")), entry=entry,
        )  # fmt: skip

    return _asked(
        request,
        Drying,
        do,
        "jar",
        jar.key,
        template="jars/test.html",
        prepare=prepare,
        title=f"Does jar {jar.key} still dry?",
        running=running,
        limits=limits,
    )


def spot_of_jar(request: HttpRequest, name: str) -> HttpResponse:
    """Ask about a drop of water on a film of a jar."""
    return _spot(request, "jar", jar_named(name).key)


def spot_of_panel(request: HttpRequest, name: str) -> HttpResponse:
    """Ask about a drop of water on a panel or piece."""
    return _spot(request, "piece", names.find(Piece, name, "piece").key)


def _spot(request: HttpRequest, kind: str, name: str) -> HttpResponse:
    limits = other_limits()

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        result = {"hours": told["hours"], "white": told["white"] == "yes",
                  "film_days": told["film_days"]}  # fmt: skip
        return record_test(of_kind=kind, of=name, test="water-spot", result=result, entry=entry)

    of = f"a film of jar {name}" if kind == "jar" else name
    return _asked(request, WaterSpot, do, kind, name, title=f"Does water mark {of}?",
                  lead=f"A drop of water stands for {limits['spot']} on a film that is at least "
                       f"{limits['film']} old; then it is wiped off.")  # fmt: skip


def sample(request: HttpRequest, name: str) -> HttpResponse:
    """Ask about a weighed and dried sample."""
    jar = jar_named(name)

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        result = {"sample_g": told["sample"], "dry_g": told["dry"], "retained": told["retained"],
                  "moisture": told["moisture"]}  # fmt: skip
        return record_test(of_kind="jar", of=jar.key, test="residue", result=result, entry=entry)

    return _asked(request, Sample, do, "jar", jar.key, title=f"Which cut is jar {jar.key}?",
                  cautions=cautions_of((), "residue-drying"),
                  lead="A weighed sample, dried to constant weight, tells the cut of a jar "
                       "whatever the book has.")  # fmt: skip


def dissolve(request: HttpRequest, name: str) -> HttpResponse:
    """Ask about flakes in fresh alcohol."""
    lot = names.find(Lot, name, "lot")
    running, limits = so_far(lot, "dissolve", zone_of(request)), other_limits()

    def prepare(form: Dissolve) -> None:
        if running is None:
            del form.fields["anew"]

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        result = {"hours": told["hours"], "dissolved": told["dissolved"] == "yes"}
        return record_test(of_kind="lot", of=lot.key, test="dissolve", result=result,
                           anew=bool(told.get("anew")), entry=entry)  # fmt: skip

    return _asked(request, Dissolve, do, "lot", lot.key, template="shelf/test.html",
                  prepare=prepare, title=f"Do flakes of {lot.key} still dissolve?",
                  running=running, limits=limits)  # fmt: skip


def _asked(
    request: HttpRequest, form: type[Writing], do: Callable[[dict[str, Any], Entry], Answer],
    kind: str, name: str, *, template: str = "jobs/ask.html",
    prepare: Callable[[Any], None] | None = None, **context: Any,
) -> HttpResponse:  # fmt: skip
    home = reverse(f"{ROOMS[kind]}-one", args=[name])

    def on(answer: Answer) -> str:
        if answer.data["verdict"] == FAILED and kind != "piece":
            return reverse(f"{ROOMS[kind]}-recall", args=[name])
        return home

    where = {"jar": "seen", "sample_g": "sample", "dry_g": "dry"}
    return asked(
        request,
        form=form,
        do=do,
        on=on,
        words=tested_words,
        template=template,
        prepare=prepare,
        where=where,
        context={"press": "Write it down", "back": home, "name": name, **context},
    )


def _drop(told: Mapping[str, Any], which: str, goes_on: bool) -> Times | None:
    """Return what was seen of a drop; what cannot be is refused at its own field.

    Of a test that goes on, the last stage is the last look: the one before it counts no longer.
    """
    seen = {name: told[f"{which}{name}"] for name in STAGES}
    if all(value is None for value in seen.values()):
        return None
    if goes_on and seen["seen"] is None:
        seen["seen"] = max(value for value in seen.values() if value is not None)
    try:
        return Times(**{f"{name}_min": value for name, value in seen.items()})
    except Refusal as refusal:
        name = refusal.where.lstrip("-").replace("-", "_")
        raise refusal.at(f"{which}{name}") from None
