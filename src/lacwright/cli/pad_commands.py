"""`pad add`, `wash` and `list`."""

from __future__ import annotations

from typing import Any

import click

from lacwright.cli.jar_common import desk, grams, say
from lacwright.cli.record_common import reads, record, writes
from lacwright.cli.show import emit, there_are


@click.command("add")
@click.argument("name")
@click.option("--kind", type=click.Choice(["pad", "brush", "rag", "gun", "other"]), default="pad",
              help="What it is [pad].")  # fmt: skip
@click.option("--note", default="", help="In your own words.")
@writes
def add_(*, name: str, kind: str, note: str, **when: Any) -> None:
    """Write down a pad or brush, clean as it is."""
    with desk(when, create=True) as entry:
        from lacwright.shop.services.applicators import add_applicator

        answer = add_applicator(name=name, kind=kind, note=note, entry=entry)
    row = answer.data["applicator"]
    say("pad.add", answer, when=when, keys=row, line=f"wrote down {_named(row)}.")


@click.command("wash")
@click.argument("name")
@writes
def wash_(*, name: str, **when: Any) -> None:
    """Write down that a pad or brush was washed out: from then on it carries nothing on."""
    from lacwright.solution import caution

    with desk(when) as entry:
        from lacwright.shop.services.applicators import wash_applicator

        answer = wash_applicator(name=name, entry=entry)
    row, out = answer.data["applicator"], answer.data["washed_out"]
    what = f"{grams(out['g'])} went to waste" if out["g"] else "nothing was in it"
    say("pad.wash", answer, when=when, keys={**row, "washed_out": out},
        line=f"washed out {_named(row)}: {what}.",
        cautions=(caution("flammable"),))  # fmt: skip


@click.command("list")
@reads
def list_(*, home: str | None, now: str | None, as_json: bool) -> None:
    """Pads and brushes: clean, or what is in them."""
    with record(home):
        from lacwright.shop.queries.carriers import applicators

        rows = [line.as_json() for line in applicators()]
    lines = [f"{there_are(len(rows), 'pad or brush', 'pads and brushes')} on record."]
    for row in rows:
        inside = ", ".join(row["lots"]) or "what went through it was not said"
        state = "clean" if row["clean"] else f"in use: {inside}"
        lines.append(f"{row['name']} ({row['kind']}): {state}")
    emit(schema="lacwright.pad.list/1", keys={"pads": rows}, lines=lines, as_json=as_json)


def _named(row: Any) -> str:
    """Return "pad 1" for a pad of that name, else "brush B-50"."""
    name = str(row["name"])
    return name if name.startswith(row["kind"]) else f"{row['kind']} {name}"
