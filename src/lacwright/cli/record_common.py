"""What the commands of the record share: which shop, who writes and when, opening it."""

from __future__ import annotations

import contextlib
import tempfile
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any, TypeVar

import click

from lacwright.cli.show import TIME, json_option

if TYPE_CHECKING:
    import datetime as dt

    from lacwright.shop.writing import Entry

F = TypeVar("F", bound=Callable[..., Any])


def reads(command: F) -> F:
    """Add the options of a command that reads the record: --home, --now, --json."""
    for option in (
        json_option,
        click.option("--now", metavar="MOMENT", help="In place of the clock, to repeat a run."),
        click.option("--home", metavar="FOLDER", help="Folder of the shop (or LACWRIGHT_HOME)."),
    ):
        command = option(command)
    return command


def writes(command: F) -> F:
    """Add the options of a command that writes: when, who, why, --dry-run, and those of reading."""
    for option in (
        click.option("--dry-run", is_flag=True, help="Say what would be written; write nothing."),
        click.option("--token", metavar="TEXT", help="Sent again with it, it counts once."),
        click.option("--why", "reason", default="", metavar="TEXT", help="Reason, for the log."),
        click.option("--author", default="", metavar="NAME", help="Who says so."),
        click.option("--ago", type=TIME, help="Done so long ago."),
        click.option("--at", "at", metavar="MOMENT", help='When it was done: "2027-03-01 09:15".'),
    ):
        command = option(command)
    return reads(command)


@contextlib.contextmanager
def record(
    home: str | None, *, create: bool = False, dry_run: bool = False
) -> Iterator[dt.tzinfo]:  # fmt: skip
    """Open the record for a command and yield the shop's time zone.

    With `dry_run` a record that does not exist is made in a folder that is thrown away.
    """
    from lacwright.shop import close_record, find_home, open_record
    from lacwright.shop.clock import read_zone
    from lacwright.shop.opening import plainly

    with contextlib.ExitStack() as stack:
        found = find_home(home)
        if dry_run and create and not found.exists:
            found = find_home(stack.enter_context(tempfile.TemporaryDirectory()))
        open_record(found, create=create)
        stack.callback(close_record)
        stack.enter_context(plainly(found))
        from lacwright.shop.models import Setting

        yield read_zone(str(Setting.objects.get(key="zone").value))


def entry(
    zone: dt.tzinfo, *, at: str | None, ago: float | None, author: str, reason: str,
    token: str | None, dry_run: bool, now: str | None,
) -> Entry:  # fmt: skip
    """Return who writes and when, from the options of `writes`."""
    from lacwright.shop.clock import read_moment
    from lacwright.shop.writing import Entry

    return Entry(
        at_us=None if at is None else read_moment(at, zone, "--at"),
        seconds_ago=None if ago is None else ago * 3600,
        author=author, reason=reason, token=token, dry_run=dry_run,
        now_us=moment(now, zone),
    )  # fmt: skip


def moment(now: str | None, zone: dt.tzinfo) -> int | None:
    """Return --now in microseconds, None for the clock."""
    from lacwright.shop.clock import read_moment

    return None if now is None else read_moment(now, zone, "--now")
