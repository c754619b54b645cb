"""`lot import`: the stock list that he keeps in a spreadsheet."""

from __future__ import annotations

from typing import Any

import click

from lacwright.cli.jar_common import desk, say
from lacwright.cli.lot_add import left_words, what_words
from lacwright.cli.record_common import money, writes
from lacwright.cli.show import counted

SHOWN = 40


@click.command("import")
@click.argument("file", metavar="FILE.csv")
@click.option("--opening", is_flag=True, help="They were there when the record began.")
@writes
def import_(*, file: str, opening: bool, **when: Any) -> None:
    """Write down the lots of a stock list: CSV with commas, semicolons or tabs.

    The first line names the columns, in any order: name, kind, amount, grade, wax, bleached,
    alcohol, supplier, batch, bought, price, price for, note. Name and kind (flakes, alcohol, dye,
    wax, abrasive, other) are needed; a cell may be empty. If anything is wrong with any line, all
    faults are told, each with line and column, and nothing is written.
    """
    from pathlib import Path

    with desk(when, create=True) as entry:
        from lacwright.shop.services.stock import import_stock
        from lacwright.shop.stock_list import load_stock_list

        answer = import_stock(stock=load_stock_list(file), opening=opening, entry=entry)
    lots = answer.data["lots"]
    lines = [f"  {lot['name']}: {left_words(lot)} of {what_words(lot)}." for lot in lots[:SHOWN]]
    if len(lots) > SHOWN:
        lines.append(f"  ... and {len(lots) - SHOWN} more.")
    say("lot.import", answer, when=when, lines=lines, keys={"currency": money(), **answer.data},
        line=f"wrote down {counted(len(lots), 'lot')} from {Path(file).name}.")  # fmt: skip
