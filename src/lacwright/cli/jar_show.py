"""`jar show`, `jar list` and `jar due`: what is in the jars, and what is due."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import click

from lacwright.cli.jar_common import contents_words, parts_lines
from lacwright.cli.mix_common import ml
from lacwright.cli.record_common import moment, reads, record
from lacwright.cli.show import brief, counted, emit, there_are
from lacwright.figures import Figure

SAYS_NOTHING = ("control failed", "not judged")
"""Verdicts of a test that was made and tells nothing."""
VISIBLE = 0.004
"""A band narrower than that does not show in three figures."""


@click.command("show")
@click.argument("jar")
@reads
def show_(*, jar: str, home: str | None, now: str | None, as_json: bool) -> None:
    """What is in a jar: its cut, its lots, its age, its tests."""
    with record(home) as zone:
        from lacwright.shop import names
        from lacwright.shop.models import Jar
        from lacwright.shop.queries.shelf import jar_line
        from lacwright.shop.services.jar_answers import cautions

        row = names.find(Jar, jar, "JAR")
        line = jar_line(row, at_us=moment(now, zone))
        told = line.as_json()
        figures = line.contents.figures.figures
        warned = cautions(line.contents)
        # What was washed out is no longer shut: there is nothing left to keep in.
        shut = None if told["discarded"] else line.proof.quarantine(row.key, "jar")
        why_shut = "" if shut is None else f"{shut.words(zone)}: {' '.join(shut.says)}"
        held = () if line.empty or told["discarded"] else line.taints
        bad = [taint.holding(f"jar {row.key}", zone) for taint in held]
    missing = told.pop("missing")
    lines = [
        f"Jar {told['name']} holds {contents_words({**told, 'missing': missing})}.",
        *([f"Shut: it {why_shut}"] if why_shut else []), *bad,
        *parts_lines(told), *_bands(figures), *_label(told),
    ]  # fmt: skip
    emit(schema="lacwright.jar.show/1", keys=told, lines=lines, missing=missing, figures=figures,
         as_json=as_json, cautions=warned if told["lots"] else ())  # fmt: skip


@click.command("list")
@click.option("--all", "everything", is_flag=True, help="Also empty and washed-out jars.")
@reads
def list_(*, everything: bool, home: str | None, now: str | None, as_json: bool) -> None:
    """The jars: what is in each, and the one word about it."""
    with record(home) as zone:
        from lacwright.shop.queries.shelf import DISCARDED, EMPTY, jars

        rows = [line for line in jars(at_us=moment(now, zone))
                if everything or line.word not in (EMPTY, DISCARDED)]  # fmt: skip
        shown = [line.as_json() for line in rows]
    width = max((len(jar["name"]) for jar in shown), default=0)
    lines = [f"{there_are(len(shown), 'jar')} on the shelf."]
    for jar in shown:
        word = f"  [{jar['word']}]" if jar["word"] else ""
        lines.append(f"{jar['name']:<{width}}  {_short(jar)}{word}")
    emit(schema="lacwright.jar.list/1", keys={"jars": shown}, lines=lines, as_json=as_json)


@click.command("due")
@reads
def due_(*, home: str | None, now: str | None, as_json: bool) -> None:
    """Jars and flakes that are due for a test, the most urgent first.

    Age says when to test, never that a mix is bad; a dated test goes before the calendar.
    """
    with record(home) as zone:
        from lacwright.shop.queries.due import due

        found = [d.as_json() for d in due(at_us=moment(now, zone))]
    lines = ["Nothing is due." if not found
             else f"{there_are(len(found), 'thing')} due, the most urgent first."]  # fmt: skip
    for item in found:
        age = "" if item["age_days"] is None else f", {counted(item['age_days'], 'day')} old"
        lines.append(f"{item['what'][0].upper()}{item['what'][1:]}: {item['kind']} {item['name']} "
                     f"({item['word']}{age}): {item['how']}.")  # fmt: skip
    emit(schema="lacwright.jar.due/1", keys={"due": found}, lines=lines, as_json=as_json)


def _short(jar: Mapping[str, Any]) -> str:
    grades = dict.fromkeys(lot["grade"] or "no grade stated" for lot in jar["lots"]
                           if lot["kind"] == "flakes")  # fmt: skip
    if jar["cut_lb_per_gal"] is None:
        return "no cut known" if jar["lots"] or jar["amounts_not_said"] else "empty"
    claimed = " claimed" if jar["claimed_share"] > 0 else ""
    return (f"{ml(jar['solution_ml'])} of {jar['cut_lb_per_gal']:.3g}-lb cut{claimed}, "
            f"{' and '.join(grades)}")  # fmt: skip


def _bands(figures: Mapping[str, Figure]) -> list[str]:
    told = []
    for key, words in (("solution_ml", "volume"), ("cut_lb_per_gal", "cut")):
        f = figures[key]
        if f.value is None or f.low is None or f.high is None:
            continue
        if f.high - f.low > VISIBLE * abs(f.value):
            told.append(f"{words} {brief(f.low)}-{brief(f.high)} {f.unit}")
    return [f"Band: {', '.join(told)} (resin density in solution)."] if told else []


def _label(jar: Mapping[str, Any]) -> list[str]:
    out = []
    for key, words in (("purpose", "For"), ("note", "Note:")):
        if jar[key]:
            out.append(f"{words} {jar[key]}.")
    since = jar["in_solution_since"]
    old = "" if since == jar["mixed"][:10] else " (how old it was then is not known)" if (
        since is None
    ) else f" (its oldest part is in solution since {since})"  # fmt: skip
    out.append(f"Mixed or filled on {jar['mixed'][:10]}{old}.")
    if jar["discarded"]:
        out.append(f"Washed out on {jar['discarded'][:10]}.")
        return out
    tested = "no test is on record" if jar["tested"] is None else (
        f"the test of {jar['tested']} {'passed' if jar['passed'] else 'failed'}"
    )  # fmt: skip
    last = jar["last_test"]
    if last is not None and last["verdict"] in SAYS_NOTHING:
        before = "" if jar["tested"] is None else f"; before it {tested}"
        tested = (f"the {last['test']} test of {last['at'][:10]} says nothing about the jar "
                  f"({last['verdict']}: {' '.join(last['says']).rstrip('.')}){before}")  # fmt: skip
    by = f"; by the calendar test before any use from {jar['test_by']} on" if jar["test_by"] else ""
    word = f"; {jar['word']}" if jar["word"] else ""
    out.append(f"{tested[0].upper()}{tested[1:]}{by}{word}.")
    return out
