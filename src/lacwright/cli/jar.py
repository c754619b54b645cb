"""`lacwright jar`: the group of commands about jars, each imported when it is called."""

from __future__ import annotations

import click

from lacwright.cli.lazy import LazyGroup

COMMANDS = {
    "mix": ("lacwright.cli.jar_mix:mix_", "Mix a jar from lots and jars, to a cut or as it was."),
    "fill": ("lacwright.cli.jar_mix:fill_", "A bought liquid, or a jar that was there."),
    "pour": ("lacwright.cli.jar_change:pour_", "Pour into a jar, a pad or brush, the waste."),
    "add": ("lacwright.cli.jar_change:add_", "Add alcohol, flakes or a jar to a jar."),
    "correct": ("lacwright.cli.jar_change:correct_", "Bring what is left in a jar to a cut."),
    "weigh": ("lacwright.cli.jar_change:weigh_", "The scale goes before the book."),
    "show": ("lacwright.cli.jar_show:show_", "What is in a jar."),
    "list": ("lacwright.cli.jar_show:list_", "The jars, and a word about each."),
    "due": ("lacwright.cli.jar_show:due_", "Jars and flakes that are due for a test."),
    "test": ("lacwright.cli.jar_test:test_", "Drying on glass, a drop of water, a dried sample."),
    "recall": ("lacwright.cli.jar_recall:recall_", "What carries a jar: coats, pieces, jars."),
    "discard": ("lacwright.cli.jar_change:discard_", "Pour it all away and wash the jar out."),
    "change": ("lacwright.cli.jar_change:change_", "Its purpose, its tare, its mouth, a note."),
}


@click.group(cls=LazyGroup, lazy=COMMANDS)
def jar() -> None:
    """Jars: one name for one filling. Washed out and filled again it gets another.

    Every command that writes takes --at or --ago (when it was done), and --dry-run.
    """
