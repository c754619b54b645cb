"""`lacwright mix`: the group of commands about solutions, each imported when it is called."""

from __future__ import annotations

import click

from lacwright.cli.lazy import LazyGroup

COMMANDS = {
    "make": (
        "lacwright.cli.mix_make:make_",
        "Flakes and alcohol for a cut, by volume or by weight of flakes.",
    ),
    "cut": (
        "lacwright.cli.mix_make:cut_",
        "The cut of flakes in alcohol, or made up to a volume of mix.",
    ),
    "thin": (
        "lacwright.cli.mix_change:thin_",
        "Alcohol to add for a thinner cut or a share of solids.",
    ),
    "strengthen": ("lacwright.cli.mix_change:strengthen_", "Flakes to add for a stronger cut."),
    "correct": (
        "lacwright.cli.mix_change:correct_",
        "Set a wrong mix right, counting what was used since.",
    ),
    "slow": ("lacwright.cli.mix_change:slow_", "Slow alcohol or turpentine as a share."),
    "blend": ("lacwright.cli.mix_jars:blend_", "Pour jars of different cuts and grades together."),
    "loss": (
        "lacwright.cli.mix_jars:loss_",
        "An open jar that lost weight: its cut, alcohol to give back.",
    ),
    "residue": (
        "lacwright.cli.mix_jars:residue_",
        "The cut of an unknown jar from a dried sample.",
    ),
    "decant": (
        "lacwright.cli.mix_jars:decant_",
        "The cut of the clear liquor above the settled wax.",
    ),
    "match": (
        "lacwright.cli.mix_match:match_",
        "Meet a recipe from what is on the shelf (RECIPE.toml).",
    ),
    "age": ("lacwright.cli.mix_age:age_", "When to test a jar or flakes."),
    "read": (
        "lacwright.cli.mix_words:read_",
        "A recipe as written elsewhere, as pounds per gallon.",
    ),
    "shortcut": ("lacwright.cli.mix_words:shortcut_", "What a common shortcut really gives."),
    "wax": ("lacwright.cli.mix_words:wax_", "Paste wax from beeswax and carnauba with turpentine."),
}


@click.group(cls=LazyGroup, lazy=COMMANDS)
def mix() -> None:
    """Make, thin, strengthen, correct, blend, match and read mixes of lac and alcohol.

    A cut is pounds of flakes to one US gallon of alcohol (not of mix). Weights of alcohol are
    given where --alcohol says what it is.
    """
