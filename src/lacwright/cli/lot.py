"""`lacwright lot`: the group of commands about lots, each imported when it is called."""

from __future__ import annotations

import click

from lacwright.cli.lazy import LazyGroup

COMMANDS = {
    "add": ("lacwright.cli.lot_add:add_", "A bag, can or box that came, or that was there."),
    "import": ("lacwright.cli.lot_import:import_", "Many lots at once, from a stock list."),
    "list": ("lacwright.cli.lot_show:list_", "The shelf: what is left, and a word about it."),
    "show": ("lacwright.cli.lot_show:show_", "A lot, and where it went."),
    "count": ("lacwright.cli.lot_add:count_", "What is really there; the difference is booked."),
    "change": ("lacwright.cli.lot_add:change_", "Say more of a lot, or say it right."),
    "test": ("lacwright.cli.lot_test:test_", "Do the flakes dissolve? A failed test shuts them."),
    "recall": ("lacwright.cli.lot_test:recall_", "What carries a lot: jars, coats, pieces."),
}


@click.group(cls=LazyGroup, lazy=COMMANDS)
def lot() -> None:
    """Lots: flakes, alcohol, dye, wax and abrasives, each under its own name.

    Every command that writes takes --at or --ago (when it was done), and --dry-run.
    """
