"""`lot test` and `lot recall`: do the flakes dissolve, and what carries a lot."""

from __future__ import annotations

from typing import Any

import click

from lacwright.cli.jar_common import desk, say
from lacwright.cli.jar_recall import recall_lines
from lacwright.cli.jar_test import test_line, test_lines, test_missing
from lacwright.cli.record_common import moment, reads, record, writes
from lacwright.cli.show import TIME, emit
from lacwright.solution import caution


@click.command("test")
@click.argument("name")
@click.option("--hours", type=TIME, required=True, metavar='"24 h"', help="Since they went in.")
@click.option(
    "--dissolved/--not-dissolved",
    required=True,
    help="No jelly, no swollen flakes left on a filter; haze of wax does not count.",
)
@writes
def test_(*, name: str, hours: float, dissolved: bool, **when: Any) -> None:
    """Test flakes: a few grams in fresh alcohol, closed, shaken now and then.

    Not dissolved at 24 h, they are looked at again at 48 h before they are rejected. A failed
    test shuts the lot.
    """
    with desk(when) as entry:
        from lacwright.shop.services.proving import record_test

        answer = record_test(of_kind="lot", of=name, test="dissolve", entry=entry,
                             result={"hours": hours, "dissolved": dissolved})  # fmt: skip
    lines = test_lines(answer.data)
    if answer.data["verdict"] == "failed":
        lines.append(f"The lot is shut until a later test passes; 'lot recall {name}' lists what "
                     "carries it.")  # fmt: skip
    say("lot.test", answer, when=when, keys=answer.data, missing=test_missing(answer.data),
        line=test_line(answer.data, f"lot {answer.data['of']}"), lines=lines)  # fmt: skip


@click.command("recall")
@click.argument("name")
@reads
def recall_(*, name: str, home: str | None, now: str | None, as_json: bool) -> None:
    """What carries a lot, from its arrival on: jars, coats, pieces, panels, pads and brushes."""
    with record(home) as zone:
        from lacwright.shop import names
        from lacwright.shop.models import Lot
        from lacwright.shop.queries import carry

        found = carry.recall_lot(names.find(Lot, name, "NAME"), now_us=moment(now, zone))
        told = found.as_json()
    missing = told.pop("missing")
    emit(schema="lacwright.lot.recall/1", keys=told, lines=recall_lines(told), missing=missing,
         as_json=as_json, cautions=(caution("flammable"),))  # fmt: skip
