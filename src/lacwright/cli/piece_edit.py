"""`piece add` and `describe`: what is worked on."""

from __future__ import annotations

from typing import Any

import click

from lacwright.cli.job_common import areas_of, entry_of, tell
from lacwright.cli.piece_show import areas_words
from lacwright.cli.record_common import record, writes
from lacwright.figures import Refusal


@click.command("add")
@click.argument("name", metavar="NAME")
@click.option("--panel", is_flag=True, help="It is a panel: a board to try or show a finish on.")
@click.option("--title", default="", metavar="TEXT", help="What it is.")
@click.option("--customer", metavar="NAME", help="Whose it is; one of the record.")
@click.option("--wood", default="", metavar="NAME", help="From `lacwright names woods`.")
@click.option("--area", "areas", multiple=True, metavar='"PART: 0.5 m2"',
              help="Finished area of a part; again for more.")  # fmt: skip
@click.option("--from", "piece_file", metavar="PIECE.toml", help="Parts and wood of a piece file.")
@click.option("--note", default="", metavar="TEXT", help="What else there is to say.")
@writes
def add_(
    name: str, panel: bool, title: str, customer: str | None, wood: str, areas: tuple[str, ...],
    piece_file: str | None, note: str, home: str | None, dry_run: bool, as_json: bool,
    **given: Any,
) -> None:  # fmt: skip
    """Write down a piece or a panel NAME."""
    found = areas_of(areas)
    if piece_file is not None and areas:
        raise Refusal("--area", "the piece file has the areas", "leave one of the two out")
    with record(home, create=True, dry_run=dry_run) as zone:
        if piece_file is not None:
            from lacwright.files.piece import read_piece
            from lacwright.shop.plan_link import areas_of as areas_of_piece
            from lacwright.shop.plan_link import wood_of

            read = read_piece(piece_file)
            found, wood, title = areas_of_piece(read), wood or wood_of(read), title or read.title
        from lacwright.shop.services.pieces import add_piece

        answer = add_piece(
            name=name, kind="panel" if panel else "piece", title=title, customer=customer,
            wood=wood, areas_m2=found, note=note,
            entry=entry_of(zone, given | {"dry_run": dry_run}),
        )  # fmt: skip
    tell(schema="lacwright.piece.add/1", answer=answer, as_json=as_json,
         line=f"wrote down {answer.data['kind']} {answer.data['piece']}"
              f"{areas_words(answer.data['areas_m2'])}.")  # fmt: skip


@click.command("describe")
@click.argument("name", metavar="NAME")
@click.option("--title", metavar="TEXT", help="What it is.")
@click.option("--customer", metavar="NAME", help="Whose it is.")
@click.option("--wood", metavar="NAME", help="From `lacwright names woods`.")
@click.option("--area", "areas", multiple=True, metavar='"PART: 0.5 m2"',
              help="Finished area of a part; again for more.")  # fmt: skip
@click.option("--note", metavar="TEXT", help="In place of its note.")
@writes
def describe_(
    name: str, title: str | None, customer: str | None, wood: str | None, areas: tuple[str, ...],
    note: str | None, home: str | None, dry_run: bool, as_json: bool, **given: Any,
) -> None:  # fmt: skip
    """Change what is known of a piece or panel."""
    said = {"title": title, "customer": customer, "wood": wood, "note": note,
            "areas_m2": areas_of(areas) or None}  # fmt: skip
    changes = {k: v for k, v in said.items() if v is not None}
    with record(home, dry_run=dry_run) as zone:
        from lacwright.shop.services.pieces import describe_piece

        answer = describe_piece(name=name, changes=changes,
                                entry=entry_of(zone, given | {"dry_run": dry_run}))  # fmt: skip
    tell(schema="lacwright.piece.describe/1", answer=answer, as_json=as_json,
         line=f"changed {answer.data['piece']}: {', '.join(changes)}.")  # fmt: skip
