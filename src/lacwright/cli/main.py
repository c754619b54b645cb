"""The command `lacwright`: which commands there are, and how every one of them ends.

Exit 0: done. Exit 2: input refused, one line on stderr (what, where, how to mend). Exit 1: an
internal fault. Bad input never ends in a traceback.
"""

from __future__ import annotations

import os
import sys

import click

from lacwright import __version__
from lacwright.cli.lazy import LazyGroup
from lacwright.figures import Refusal
from lacwright.figures.refusal import one_line

# Name -> (where the command is, its line in the help). Modules are imported only when called:
# the start-up time of one command must not pay for all others.
COMMANDS = {
    "plan": ("lacwright.cli.plan:plan", "From a piece, a wish and a shelf to a finishing plan."),
    "tonight": ("lacwright.cli.tonight:tonight", "Amounts and coat times for this evening."),
    "mix": ("lacwright.cli.mix:mix", "Make, thin, strengthen, correct, match and read mixes."),
    "area": ("lacwright.cli.area:area", "Areas of a piece by zone: faces, edges, end grain."),
    "film": ("lacwright.cli.film:film", "Film after every coat and sanding, flats and edges."),
    "spread": ("lacwright.cli.spread:spread", "Spreading rate to wet and dry film."),
    "climate": ("lacwright.cli.climate:climate", "Dew point and wood moisture of a room."),
    "dry": ("lacwright.cli.dry:dry", "A wet coat: chill, haze, when it is ready."),
    "hours": ("lacwright.cli.hours:hours", "Usable hours of a forecast: go, wait or change."),
    "calibrate-drying": (
        "lacwright.cli.calibrate_drying:calibrate_drying",
        "Own drying figures from a timed coat.",
    ),
    "calibrate-colour": (
        "lacwright.cli.calibrate_colour:calibrate_colour",
        "Own figures of colour from panels that were read.",
    ),
    "room": ("lacwright.cli.room:room", "Vapour in the room: limits, fire, stops."),
    "label": ("lacwright.cli.label:label", "Words of a label for a jar."),
    "look": ("lacwright.cli.look:look", "What a wood looks like under coats of a grade."),
    "wished-colour": (
        "lacwright.cli.wished_colour:wished_colour",
        "Blend and coats for a wished colour.",
    ),
    "coats-to-go": (
        "lacwright.cli.coats_to_go:coats_to_go",
        "Coats still to go, from readings of a panel.",
    ),
    "render": ("lacwright.cli.render:render", "A photo of the bare board under each grade."),
    "unwrap": ("lacwright.cli.unwrap:unwrap", "When a cold piece may be unwrapped and coated."),
    "job": ("lacwright.cli.job:job", "Jobs: plan, coats, sandings, faults, agreements."),
    "piece": ("lacwright.cli.piece:piece", "Pieces and panels, and what is on them."),
    "customer": ("lacwright.cli.piece:customer", "Customers and their pieces."),
    "reading": ("lacwright.cli.reading:reading", "Readings of the air and of boards."),
    "own-figures": ("lacwright.cli.own_figures:own_figures", "Your own figures, from your log."),
    "serve": ("lacwright.cli.serve:serve", "The pages of the shop, on this machine."),
    "record": ("lacwright.cli.record:record", "The record: log, undo, audit, backup, export."),
    "demo": ("lacwright.cli.demo:demo", "An invented shop of two years, to try everything on."),
    "names": ("lacwright.cli.names:names", "What is accepted: woods, grades, alcohols, ..."),
    "lot": ("lacwright.cli.lot:lot", "The record: lots of flakes, alcohol, abrasives."),
    "jar": ("lacwright.cli.jar:jar", "The record: jars, their tests, recalls, what is due."),
    "pad": ("lacwright.cli.pad:pad", "The record: pads and brushes, and washing them out."),
}


@click.group(cls=LazyGroup, lazy=COMMANDS, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="lacwright")
def root() -> None:
    """Finish wood with shellac: computed, not guessed.

    Quantities are typed as people write them: "2 oz", "600 ml", "1/2 pint", "24 in", "2-lb cut",
    "45 %". Every command takes --help and --json.
    """


def main(args: list[str] | None = None) -> None:
    """Run the command line and exit."""
    sys.exit(run(sys.argv[1:] if args is None else args))


def run(args: list[str]) -> int:
    """Run the command line and return its exit code."""
    try:
        code = root.main(args=args, prog_name="lacwright", standalone_mode=False)
        sys.stdout.flush()
    except Refusal as refusal:
        click.echo(str(refusal), err=True)
        return 2
    except click.exceptions.NoArgsIsHelpError as error:
        click.echo(error.format_message())
        return 0
    except click.UsageError as error:
        click.echo(_usage_line(error), err=True)
        return 2
    except (click.Abort, KeyboardInterrupt):
        click.echo("stopped, nothing was changed", err=True)
        return 2
    except SystemExit:
        return 0  # click's own way out of a closed pipe
    except BrokenPipeError:
        # The reader (head, a pager) has seen enough; keep Python from complaining at exit.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except Exception as fault:
        if os.environ.get("LACWRIGHT_TRACE"):
            raise
        click.echo(
            f"internal fault, not your input: {type(fault).__name__}: {one_line(str(fault))}; "
            "please report it (set LACWRIGHT_TRACE=1 for the details)",
            err=True,
        )
        return 1
    return code if isinstance(code, int) else 0


def _usage_line(error: click.UsageError) -> str:
    where = error.ctx.command_path if error.ctx else "lacwright"
    message = one_line(error.format_message()).rstrip(".")
    return f"{where}: {message}; see '{where} --help'."
