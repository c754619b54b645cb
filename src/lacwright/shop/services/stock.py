"""A stock list: many lots in one request, all of them or none."""

from __future__ import annotations

from typing import Any

from lacwright.figures import Refusal
from lacwright.shop.models import Lot
from lacwright.shop.queries import shelf
from lacwright.shop.services.lots import faults_of, plain, write_lot
from lacwright.shop.stock_list import StockList
from lacwright.shop.writing import Answer, Entry, Writer, write


def import_stock(
    *, stock: StockList, opening: bool = False, entry: Entry
) -> Answer:  # fmt: skip
    """Write down the lots of a list.

    Parameters
    ----------
    stock : StockList
        As `stock_list.load_stock_list` reads it.
    opening : bool
        Whether they were there already when the record began.
    entry : Entry
        Who and when.

    Raises
    ------
    Refusal
        All that is wrong with any line, each with its line and column; nothing is written.
    """

    def do(w: Writer) -> dict[str, Any]:
        lots: list[Lot] = []
        wrong = [
            (row.line, row.place(refusal, stock.file))
            for row in (*stock.rows, *stock.odd)
            for refusal in faults_of(**row.lot, now_us=w.written_us, but=row.unread)
        ]
        stock.refuse(wrong)
        for row in stock.rows:
            try:
                lots.append(write_lot(w, **row.lot, opening=opening))
            except Refusal as refusal:
                wrong.append((row.line, row.place(refusal, stock.file)))
        stock.refuse(wrong)
        return {
            "written": len(lots),
            "lots": [shelf.lot_line(lot, at_us=w.written_us).as_json() for lot in lots],
        }

    request = {"opening": opening, "rows": [
        {**row.lot, "described": plain(row.lot["described"])} for row in stock.rows
    ]}  # fmt: skip
    return write("import_stock", request, entry, do)
