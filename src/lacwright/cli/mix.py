"""`lacwright mix`: the group of commands about solutions, each imported when it is called."""

from __future__ import annotations

from importlib import import_module

import click

COMMANDS = {
    "make": ("mix_make:make_", "Flakes and alcohol for a cut, by volume or by weight of flakes."),
    "cut": ("mix_make:cut_", "The cut of flakes in alcohol, or made up to a volume of mix."),
    "thin": ("mix_change:thin_", "Alcohol to add for a thinner cut or a share of solids."),
    "strengthen": ("mix_change:strengthen_", "Flakes to add for a stronger cut."),
    "correct": ("mix_change:correct_", "Set a wrong mix right, counting what was used since."),
    "slow": ("mix_change:slow_", "Slow alcohol or turpentine as a share."),
    "blend": ("mix_jars:blend_", "Pour jars of different cuts and grades together."),
    "loss": ("mix_jars:loss_", "An open jar that lost weight: its cut, alcohol to give back."),
    "residue": ("mix_jars:residue_", "The cut of an unknown jar from a dried sample."),
    "decant": ("mix_jars:decant_", "The cut of the clear liquor above the settled wax."),
    "match": ("mix_match:match_", "Meet a recipe from what is on the shelf (RECIPE.toml)."),
    "age": ("mix_age:age_", "When to test a jar or flakes."),
    "read": ("mix_words:read_", "A recipe as written elsewhere, as pounds per gallon."),
    "shortcut": ("mix_words:shortcut_", "What a common shortcut really gives."),
    "wax": ("mix_words:wax_", "Paste wax from beeswax and carnauba with turpentine."),
}


class _MixCommands(click.Group):
    """A group that imports one of its commands when it is called."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the names in the order of a job."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Return the command, or None if there is no such."""
        if cmd_name not in COMMANDS:
            return None
        module, _, name = COMMANDS[cmd_name][0].partition(":")
        command: click.Command = getattr(import_module(f"lacwright.cli.{module}"), name)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the list of commands without importing them."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, line) for name, (_, line) in COMMANDS.items()])


@click.group(cls=_MixCommands)
def mix() -> None:
    """Make, thin, strengthen, correct, blend, match and read mixes of lac and alcohol.

    A cut is pounds of flakes to one US gallon of alcohol (not of mix). Weights of alcohol are
    given where --alcohol says what it is.
    """
