"""`lacwright piece` and `lacwright customer`: groups of commands, imported when they are called."""

from __future__ import annotations

import click

from lacwright.cli.lazy import LazyGroup

PIECE = {
    "add": ("lacwright.cli.piece_edit:add_", "Write down a piece or a panel."),
    "describe": ("lacwright.cli.piece_edit:describe_", "Change what is known of it."),
    "list": ("lacwright.cli.piece_show:list_", "The pieces and panels."),
    "show": ("lacwright.cli.piece_show:show_", "What is on a piece or panel, in order."),
    "test": ("lacwright.cli.piece_test:test_", "A drop of water on it, a timed coat, a whitening."),
}
CUSTOMER = {
    "add": ("lacwright.cli.customer:add_", "Write down a customer."),
    "list": ("lacwright.cli.customer:list_", "The customers with their pieces."),
}


@click.group(cls=LazyGroup, lazy=PIECE)
def piece() -> None:
    """Pieces of work and panels: their parts, and what is on them."""


@click.group(cls=LazyGroup, lazy=CUSTOMER)
def customer() -> None:
    """Customers of the shop."""
