"""`lacwright demo`: an invented shop of two years, to try everything on."""

from __future__ import annotations

import contextlib
import shlex
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

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
              help="Throw the demo away that is there, with all you wrote into it; backups of it "
              "stay.")  # fmt: skip
@click.option("--dry-run", is_flag=True, help="Say what would be made, and where; make nothing.")
@click.option(
    "--serve",
    "pages",
    is_flag=True,
    help="Show it in the browser; one that is there already is shown as it is.",
)
@click.option("--port", type=click.IntRange(0, 65535), default=8080, show_default=True,
              help="With --serve; 0: any that is free.")  # fmt: skip
@click.option("--open", "show", is_flag=True, help="With --serve: open the browser as well.")
@json_option
def demo(
    home: str | None, now: str | None, seed: int, again: bool, dry_run: bool, pages: bool,
    port: int, show: bool, as_json: bool,
) -> None:  # fmt: skip
    """Make an invented shop: lots, jars, jobs, tests, faults, a jar to recall.

    Nobody and nothing in it is real. It lies in a folder of its own and never touches your record:
    a record that is no demo is left alone.
    """
    if pages:
        from lacwright.cli.serve import of_pages, serve_pages

        of_pages()  # before the record is opened: the pages need more of Django than it does
    from lacwright.shop import clock, close_record
    from lacwright.shop.demo import demo_home, is_demo, look, make_demo, planned
    from lacwright.shop.opening import plainly

    found = demo_home(home)
    if pages and not again and not dry_run and is_demo(found):
        serve_pages(found, port=port, show=show, as_json=as_json)
        return
    zone = clock.read_zone(clock.zone_here())
    now_us = clock.now_us() if now is None else clock.read_moment(now, zone, "--now")
    day = clock.day_of(now_us, zone).isoformat()
    folder = str(found.folder)
    made: Demo | None = None
    with contextlib.ExitStack() as stack:
        stack.callback(close_record)
        stack.enter_context(plainly(found))
        if dry_run:
            look(found, again=again)
        else:
            made = make_demo(found, now_us=now_us, seed=seed, again=again, progress=progress())
    counts = planned() if made is None else made.counts
    then = [] if made is None else _next(made, folder)
    keys: dict[str, Any] = {
        "home": folder, "now": day, "seed": seed, "dry_run": dry_run, "counts": dict(counts),
        "bad_jar": made and made.bad_jar, "jobs_with_plan": list(made.jobs_with_plan) if made
        else None, "next": [line for line, _ in then],
    }  # fmt: skip
    if not (pages and made and as_json):  # then the address is the one object
        emit(schema="lacwright.demo/1", keys=keys, as_json=as_json,
             missing={k: "it was not made" for k, v in keys.items() if v is None},
             lines=_lines(counts, folder, day, then)[: 1 if pages else None])  # fmt: skip
    if pages and made:
        serve_pages(found, port=port, show=show, as_json=as_json)


def _lines(
    counts: Mapping[str, int], folder: str, day: str, then: list[tuple[str, str]]
) -> list[str]:  # fmt: skip
    if not then:
        return [
            f"Would make an invented shop in {folder}: {counts['lots']} lots, {counts['jobs']} "
            f"jobs with their jars, coats and tests in two years to {day}. Nothing was written."
        ]
    width = max(len(line) for line, _ in then)
    return [
        f"Made an invented shop in {folder}: {counts['lots']} lots, {counts['jars']} jars, "
        f"{counts['jobs']} jobs with {counts['coats']} coats and {counts['tests']} tests in two "
        f"years to {day}.",
        "Look at it with:", *(f"  {line:<{width}}  {what}" for line, what in then),
    ]  # fmt: skip


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
        (f"lacwright serve {home}", "all of it in the browser"),
    ]
