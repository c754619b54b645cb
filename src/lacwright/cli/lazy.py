"""A group of commands that are imported only when called."""

from __future__ import annotations

from collections.abc import Mapping
from importlib import import_module
from typing import Any

import click


class LazyGroup(click.Group):
    """A group whose commands are named as text: the start of one must not pay for all others.

    Parameters
    ----------
    lazy : mapping of str to (str, str)
        Name -> ("module:command", its line in the help), in the order of the help.
    """

    def __init__(self, *args: Any, lazy: Mapping[str, tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.lazy = lazy

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the names in the order of the help."""
        return list(self.lazy)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Return the command, or None if there is no such."""
        if cmd_name not in self.lazy:
            return None
        module, _, name = self.lazy[cmd_name][0].partition(":")
        command: click.Command = getattr(import_module(module), name)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the list of commands without importing them."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, line) for name, (_, line) in self.lazy.items()])
