"""`lacwright demo`: an invented shop of two years, to try everything on."""

from __future__ import annotations

import contextlib
import shlex
import tempfile
from typing import TYPE_CHECKING

import click

from lacwright.cli.record_progress import progress
from lacwright.cli.show import emit, json_option

if TYPE_CHECKING:
    from lacwright.shop.demo import Demo


@click.command()
@click.option("--home", metavar="FOLDER",
              help="Where to make it; else in a folder beside that of your record.")  # fmt: skip
@click.option("--now", metavar="DAY", help="Last day of its two years; today if left out.")
@click.option("--seed", type=int, default=0, show_default=True, help="Another seed, another shop.")
@click.option("--again", is_flag=True,
              help="Throw the demo away that is there, with all you wrote into it.")  # fmt: skip
@click.option("--dry-run", is_flag=True, help="Say what would be made; keep nothing of it.")
@json_option
def demo(
    home: str | None, now: str | None, seed: int, again: bool, dry_run: bool, as_json: bool
) -> None:  # fmt: skip
    """Make an invented shop: lots, jars, jobs, tests, faults, a jar to recall.

    Nobody and nothing in it is real. It lies in a folder of its own and never touches your record:
    a record that is no demo is left alone.
    """
    from lacwright.shop import clock, close_record, find_home
    from lacwright.shop.demo import demo_home, look, make_demo
    from lacwright.shop.opening import plainly

    found = demo_home(home)
    zone = clock.read_zone(clock.zone_here())
    now_us = clock.now_us() if now is None else clock.read_moment(now, zone, "--now")
    with contextlib.ExitStack() as stack:
        where = found
        if dry_run:
            look(found, again=again)
            where = find_home(stack.enter_context(tempfile.TemporaryDirectory()))
        stack.callback(close_record)
        stack.enter_context(plainly(where))
        made = make_demo(where, now_us=now_us, seed=seed, again=again, progress=progress())
    day = clock.day_of(now_us, zone).isoformat()
    folder = str(found.folder)
    then = [] if dry_run else _next(made, folder)
    emit(
        schema="lacwright.demo/1", lines=_lines(made, folder, day, then, dry_run), as_json=as_json,
        keys={"home": folder, "now": day, "seed": seed, "dry_run": dry_run,
              "counts": dict(made.counts), "bad_jar": made.bad_jar,
              "jobs_with_plan": list(made.jobs_with_plan), "next": [line for line, _ in then]},
    )  # fmt: skip


def _lines(
    made: Demo, folder: str, day: str, then: list[tuple[str, str]], dry_run: bool
) -> list[str]:  # fmt: skip
    n = made.counts
    first = (
        f"{'Would make' if dry_run else 'Made'} an invented shop in {folder}: {n['lots']} lots, "
        f"{n['jars']} jars, {n['jobs']} jobs with {n['coats']} coats and {n['tests']} tests in two "
        f"years to {day}."
    )
    if dry_run:
        return [first, "Nothing was kept."]
    width = max(len(line) for line, _ in then)
    return [first, "Look at it with:", *(f"  {line:<{width}}  {what}" for line, what in then)]


def _next(made: Demo, folder: str) -> list[tuple[str, str]]:
    """Return what to type next, and what for."""
    home = f"--home {shlex.quote(folder)}"
    return [
        (f"lacwright jar recall {made.bad_jar} {home}", "a jar failed its test: what carries it"),
        (f"lacwright jar due {home}", "what is due for a test"),
        (f"lacwright lot list {home}", "what is on the shelf"),
        (f"lacwright job show {made.jobs_with_plan[-1]} {home}", "a job, its plan, what is next"),
        (f"lacwright own-figures {home}", "what its coats say of its hands"),
        (f"lacwright record audit {home}", "whether all of it agrees"),
    ]
