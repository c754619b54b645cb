"""`lacwright pad`: pads and brushes, what a mix goes through on its way to the work."""

from __future__ import annotations

import click

from lacwright.cli.lazy import LazyGroup

COMMANDS = {
    "add": ("lacwright.cli.pad_commands:add_", "A pad or brush, clean as it is."),
    "wash": ("lacwright.cli.pad_commands:wash_", "Washed out: it carries nothing on."),
    "list": ("lacwright.cli.pad_commands:list_", "Pads and brushes, and what is in them."),
}


@click.group(cls=LazyGroup, lazy=COMMANDS)
def pad() -> None:
    """Pads and brushes: what stays in one goes into the next coat, until it is washed out."""
