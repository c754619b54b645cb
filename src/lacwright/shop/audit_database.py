"""What the database can check by itself: whether it is whole, and the sums of the lines."""

from __future__ import annotations

from typing import Any

from lacwright.shop.database_file import INDEXES
from lacwright.shop.findings import Ask, Collector
from lacwright.shop.ledger import SUPPLIER, UNACCOUNTED


def check_database(ask: Ask, found: Collector, *, vendor: str) -> None:
    """Check the database as such.

    Parameters
    ----------
    ask : callable
        Returns the rows of a question.
    found : Collector
        Gets what is wrong.
    vendor : str
        "sqlite" or another: only a database file tells whether it is damaged.
    """
    if vendor == "sqlite":
        for (text,) in ask("PRAGMA integrity_check(10)"):
            if text != "ok":
                found.add("database", str(text))
        if found.has("database"):
            return
        for table, row, parent, _ in ask("PRAGMA foreign_key_check"):
            code = table.removeprefix("shop_") if table in INDEXES else "reference"
            found.add(code, f"{table} row {row} refers to no row of {parent}")


def check_sums(ask: Ask, found: Collector) -> None:
    """Check that nothing appears or vanishes, and that the balances are the sums of the lines."""
    places, lots = dict(ask("SELECT id, key FROM shop_place")), dict(ask(_LOTS))
    for movement, about, lot, ug in ask(_SUMS):
        found.add("sum", f"movement {movement} about {about}: {lots.get(lot, lot)} differs by "
                  f"{ug} ug")  # fmt: skip
    for (about,) in ask(_LOOSE):
        found.add("line", f"about movement {about}, which is no first version")
    right = {(place, lot): int(ug) for place, lot, ug in ask(_TOTALS)}
    kept = {(place, lot): int(ug) for place, lot, ug in ask(_BALANCES)}

    def name(where: tuple[Any, Any]) -> str:
        return f"{places.get(where[0], where[0])}, {lots.get(where[1], where[1])}"

    for where, ug in sorted(right.items()):
        if ug < 0 and places.get(where[0]) not in (SUPPLIER, UNACCOUNTED):
            found.add("below-zero", f"{name(where)}: {ug} ug")
    for where in sorted(w for w in {*kept, *right} if kept.get(w) != right.get(w)):
        is_, should = kept.get(where, "nothing"), right.get(where, 0)
        found.add("balance", f"{name(where)}: {is_} in place of {should} ug")


_LOTS = "SELECT id, key FROM shop_lot"

_SUMS = """
SELECT movement_id, about_id, lot_id, SUM(ug) FROM shop_line
GROUP BY movement_id, about_id, lot_id HAVING SUM(ug) <> 0
"""

_LOOSE = """
SELECT DISTINCT about_id FROM shop_line WHERE about_id NOT IN (SELECT root_id FROM shop_event)
"""

_TOTALS = "SELECT place_id, lot_id, SUM(ug) FROM shop_line GROUP BY 1, 2 HAVING SUM(ug) <> 0"

_BALANCES = "SELECT place_id, lot_id, ug FROM shop_balance"
