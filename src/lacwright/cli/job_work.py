"""`lacwright job coat|session|sand|strip`: what is laid and what is taken off."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

import click

from lacwright.cli.job_common import (
    entry_of,
    faces_option,
    grams,
    minutes,
    moment_of,
    note_option,
    on,
    on_work,
    tell,
    took_option,
)
from lacwright.cli.record_common import record, writes
from lacwright.cli.show import AREA, FILM, MASS, TIME, VOLUME, brief

F = TypeVar("F", bound=Callable[..., Any])


def _laying(command: F) -> F:
    """Add what a coat and a session have in common."""
    for option in (
        writes,
        click.option("--in-spite", default="", metavar="REASON",
                     help="Why it was laid though the jar had failed its test."),
        note_option,
        click.option("--until", metavar="MOMENT",
                     help="When it was finished; the wait counts from then."),
        click.option("--area", "area_m2", type=AREA,
                     help="Coated area, where it is not that of the parts."),
        took_option,
        click.option("--left", "left_g", type=MASS,
                     help="Dry resin in pad or brush, weighed the next day."),
        click.option("--evaporated", "evaporated_g", type=MASS,
                     help="What evaporated from the jar meanwhile, where you weighed that."),
        click.option("--open", "open_h", type=TIME, help="How long the jar stood open."),
        click.option("--used", "used_ml", type=VOLUME,
                     help="What was measured out of the jar, in place of weights."),
        click.option("--after", "after_g", type=MASS, help="The jar after it."),
        click.option("--before", "before_g", type=MASS, help="The jar before it."),
        click.option("--with", "applicator", metavar="NAME",
                     help="Pad, brush or gun of the record."),
        click.option("--number", type=int, help="Which of its kind, if you count yourself."),
        click.option("--method", metavar="NAME",
                     help="brush, pad, spray-hvlp, ...; as planned if left out."),
        faces_option,
        click.option("--jar", required=True, metavar="NAME", help="What it was laid from."),
        on_work,
    ):  # fmt: skip
        command = option(command)
    return command


@click.command()
@click.option("--what", metavar="WORD", help="coat, seal, washcoat, glaze; as planned if left out.")
@_laying
def coat_(what: str | None, **given: Any) -> None:
    """Write down a coat.

    Weigh the jar before and after, lid and all; say how long it stood open. Weights and measured
    volumes teach the record your own figures; without them the amount is an estimate.
    """
    _lay("coat", what, given)


@click.command()
@_laying
def session_(**given: Any) -> None:
    """Write down a French-polishing session: a coat by pad, laid in many passes."""
    _lay("session", "session", given)


def _lay(command: str, what: str | None, given: dict[str, Any]) -> None:
    asked = {k: given[k] for k in (
        "job", "piece", "jar", "parts", "faces", "method", "number", "applicator", "before_g",
        "after_g", "used_ml", "evaporated_g", "left_g", "area_m2", "note", "in_spite",
    )}  # fmt: skip
    with record(given["home"], dry_run=given["dry_run"]) as zone:
        from lacwright.shop.services.coats import lay_coat

        answer = lay_coat(
            **asked, what=what, open_min=minutes(given["open_h"]), minutes=minutes(given["took"]),
            until_us=moment_of(given["until"], zone, "--until"), entry=entry_of(zone, given),
        )  # fmt: skip
    data = answer.data
    line = f"wrote down a {data['what']} on {on(data)} from {data['jar']}"
    if data["taken_g"] is None:
        line += "; how much was used is not said."
    else:
        line += f": {grams(data['taken_g'])} of mix ({data['amount_basis']}), "
        line += f"{grams(data['landed_g'])} dry on the piece."
    more = []
    if data["landed_g_m2"] is not None:
        um = data["film_um_on_sealed_wood"]
        film = "" if um is None else f", {brief(um, 3)} um on sealed wood; bare wood takes some"
        more.append(f"{brief(data['landed_g_m2'], 3)} g/m2{film}.")
    no_area, no_amount = "the area is not known", "the amount was not said"
    area_known = data["area_m2"] is not None
    why = {"landed_g": no_amount, "taken_g": no_amount, "evaporated_g": "not known",
           "area_m2": no_area, "landed_g_m2": no_amount if data["taken_g"] is None else no_area,
           "film_um_on_sealed_wood": no_amount if data["taken_g"] is None
           else "what is in the jar is not known" if area_known else no_area,
           "lost_share": no_amount if data["left_g"] is None else "what stayed was weighed",
           "number": "counted by the record", "job": "for no job"}  # fmt: skip
    tell(schema=f"lacwright.job.{command}/1", answer=answer, line=line, more=more, why=why,
         as_json=given["as_json"])  # fmt: skip


@click.command()
@on_work
@faces_option
@click.option("--what", default="scuff", show_default=True, metavar="WORD",
              help="scuff, level or rub.")  # fmt: skip
@click.option("--abrasive", default="", metavar="NAME",
              help="System and number together: P400, CAMI 400.")  # fmt: skip
@click.option("--removes", "removes_um", type=FILM, help="Film it took off, where you know it.")
@took_option
@note_option
@writes
def sand_(**given: Any) -> None:
    """Write down a scuffing, a levelling or a rubbing out."""
    asked = {k: given[k] for k in ("job", "piece", "parts", "faces", "what", "abrasive",
                                   "removes_um", "note")}  # fmt: skip
    with record(given["home"], dry_run=given["dry_run"]) as zone:
        from lacwright.shop.services.events import abrade

        answer = abrade(**asked, minutes=minutes(given["took"]), entry=entry_of(zone, given))
    data = answer.data
    paper = f" with {data['abrasive']}" if data["abrasive"] else ""
    word = {"scuff": "scuffing", "level": "levelling", "rub": "rubbing out"}[data["what"]]
    tell(schema="lacwright.job.sand/1", answer=answer, as_json=given["as_json"],
         line=f"wrote down a {word}{paper} on {on(data)}.",
         why={"removes_um": "not said; the usual is reckoned with", "job": "for no job",
              "jar": "no jar is meant"})  # fmt: skip


@click.command()
@on_work
@click.option("--how", default="", metavar="TEXT", help="With what.")
@note_option
@writes
def strip_(**given: Any) -> None:
    """Write down that the finish was taken off, of the whole piece or of parts."""
    with record(given["home"], dry_run=given["dry_run"]) as zone:
        from lacwright.shop.services.events import strip

        answer = strip(**{k: given[k] for k in ("job", "piece", "parts", "how", "note")},
                       entry=entry_of(zone, given))  # fmt: skip
    tell(schema="lacwright.job.strip/1", answer=answer, as_json=given["as_json"],
         line=f"wrote down that the finish on {on(answer.data)} is off.",
         why={"job": "for no job", "jar": "no jar is meant"})  # fmt: skip
