"""`mix age`: when to test a jar or flakes."""

from __future__ import annotations

import re

import click

from lacwright.cli.show import TEMPERATURE, emit, json_option
from lacwright.figures import Refusal
from lacwright.figures import units as u
from lacwright.figures.quantities import read, read_day
from lacwright.solution import (
    Age,
    DatedTest,
    Period,
    age,
    ageing_class,
    ageing_factor,
    caution,
    read_grade,
    resin_named,
)
from lacwright.solution.ageing import DAYS_PER_MONTH, FAILED, PASSED
from lacwright.trade import table


@click.command("age")
@click.option("--mixed", required=True, metavar="2025-03-01",
              help="Day of mixing (flakes: of buying).")  # fmt: skip
@click.option("--kind", required=True, metavar="garnet",
              help='A grade ("dewaxed amber"), or bleached, dewaxed, waxed; pale means bleached '
              "or refined pale.")  # fmt: skip
@click.option("--flakes", is_flag=True, help="Dry flakes, not a mix.")
@click.option("--on", required=True, metavar="2025-09-01", help="The day that is asked for.")
@click.option("--temp", type=TEMPERATURE, default=20.0, help="Of the store, C [20].")
@click.option("--period", "periods", multiple=True, metavar="TEXT",
              help='Another temperature: "2025-06-01 to 2025-09-01 at 28 C".')  # fmt: skip
@click.option("--tested", metavar="2025-08-25", help="Day of the last test.")
@click.option("--passed/--failed", default=None, help="How the test went.")
@json_option
def age_(
    *, mixed: str, kind: str, flakes: bool, on: str, temp: float, periods: tuple[str, ...],
    tested: str | None, passed: bool | None, as_json: bool,
) -> None:  # fmt: skip
    """When to test a jar or flakes: its age at 20 C against the time to test, with a wide band.

    Age never says that a mix is bad; a dated test goes before the calendar.
    Example: lacwright mix age --mixed 2025-01-10 --kind garnet --on 2025-09-01 --temp 22
    """
    if (tested is None) != (passed is None):
        raise Refusal("--tested", "a test has a day and a result", "give --tested DATE --passed")
    test = None
    if tested is not None and passed is not None:
        test = DatedTest(read_day(tested, "--tested"), passed)
    _store(temp, "--temp")
    row = _kind(kind, flakes)
    found = age(kind=row, mixed=read_day(mixed, "--mixed"), on=read_day(on, "--on"), temp_c=temp,
                periods=[_period(p) for p in periods], test=test)  # fmt: skip
    keys = {
        "kind": row, "on": found.on.isoformat(), "word": found.word,
        "calendar_days": found.calendar_days,
        "equivalent_days_20c": found.equivalent_days.value,
        "time_to_test_months_20c": found.time_to_test.value,
        "share_of_time_to_test": found.share.value,
        "ageing_factor": ageing_factor(temp_c=temp),
        "test_by": found.test_by.isoformat(),
        "good_until": None if found.good_until is None else found.good_until.isoformat(),
    }  # fmt: skip
    missing = {} if found.good_until else {"good_until": "no test that passed is given"}
    figures = {
        "equivalent_days_20c": found.equivalent_days,
        "time_to_test_months_20c": found.time_to_test,
        "share_of_time_to_test": found.share,
    }
    emit(schema="lacwright.mix.age/1", keys=keys, lines=_lines(found, row, test), as_json=as_json,
         figures=figures, missing=missing,
         cautions=() if flakes else (caution("old-can-pressure"),))  # fmt: skip


def _kind(kind: str, flakes: bool) -> str:
    word = kind.strip().lower()
    if word == "pale":
        word = "bleached"  # as common practice counts: six months for pale, twelve for garnet
    if word not in ("bleached", "dewaxed", "waxed"):
        read_grade(kind, where="--kind")
        word = ageing_class(resin_named(kind, where="--kind"))
    return f"flakes-{word}" if flakes else word


def _period(text: str) -> Period:
    match = re.fullmatch(r"\s*(\S+)\s+(?:to|until)\s+(\S+)\s+(?:at\s+)?(.+)", text)
    if match is None:
        raise Refusal("--period", f"'{text}' is not a period",
                      'write "2025-06-01 to 2025-09-01 at 28 C"')  # fmt: skip
    temp = read(match[3], u.TEMPERATURE, "--period")
    _store(temp, "--period")
    return Period(read_day(match[1], "--period"), read_day(match[2], "--period"), temp)


def _store(temp_c: float, where: str) -> None:
    """Refuse a temperature that no store has, in the option's name."""
    try:
        ageing_factor(temp_c=temp_c)
    except Refusal as refusal:
        raise refusal.at(where) from None


def _lines(found: Age, row: str, test: DatedTest | None) -> list[str]:
    life, spans = found.time_to_test, found.equivalent_days
    assert life.low is not None
    assert life.high is not None
    words = table("ageing")[row].text("words")
    first = found.word[0].upper() + found.word[1:]
    if found.good_until is not None and found.word == PASSED:
        first += f", which counts until {found.good_until}"
    if found.word == FAILED and test is not None:
        first += f" of {test.on}; test again before any use"
    lines = [
        f"{first}: {words}, {found.calendar_days} days old on {found.on}.",
        f"That is {spans.number() / DAYS_PER_MONTH:.1f} months at 20 C of "
        f"{life.number():.0f} until a test is due ({life.low:.1f}-{life.high:.0f}, {life.mark}).",
    ]
    if test is not None and test.passed and found.word != PASSED:
        lines.append(f"The test passed on {test.on} has lapsed: it counted until "
                     f"{found.good_until}.")  # fmt: skip
    if test is None or test.passed:
        lines.append(f"By the calendar alone: test before any use from {found.test_by} on.")
    lines.append("Age says when to test, never that a mix is bad: a drop on glass beside a fresh "
                 "control decides.")  # fmt: skip
    return lines
