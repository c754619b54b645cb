"""What the commands of the record share: which shop, who writes and when, opening it."""

from __future__ import annotations

import contextlib
import tempfile
from collections.abc import Callable, Iterator, Mapping
from typing import TYPE_CHECKING, Any, TypeVar

import click

from lacwright.cli.show import TIME, json_option

if TYPE_CHECKING:
    import datetime as dt

    from lacwright.shop.writing import Answer, Entry

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
        from lacwright.shop.queries.preferences import currency

        zone = read_zone(str(Setting.objects.get(key="zone").value))
        meta = click.get_current_context().meta
        meta[_ZONE], meta[_CURRENCY] = zone, currency()
        yield zone


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


def in_json(value: Any, zone: dt.tzinfo | None = None) -> Any:
    """Return data of the record as JSON tells them: times with their zone, prices as numbers.

    Parameters
    ----------
    value : object
        Data; a key such as "until_us" becomes "until", its microseconds
        "2027-03-01T09:15:00+01:00", a price the number that it is.
    zone : tzinfo, optional
        Of the shop; that of the record this command opened if not given.
    """
    from lacwright.shop.clock import iso

    where = zone or click.get_current_context().meta[_ZONE]
    if isinstance(value, list | tuple):
        return [in_json(item, where) for item in value]
    if not isinstance(value, Mapping):
        return value
    out: dict[str, Any] = {}
    for key, inner in value.items():
        if key == "price" and isinstance(inner, str) and inner:
            out[key] = float(inner)
        elif key == "missing" and isinstance(inner, Mapping):
            out[key] = {name.removesuffix("_us"): why for name, why in inner.items()}
        elif not key.endswith("_us"):
            out[key] = in_json(inner, where)
        elif isinstance(inner, int):
            out[key.removesuffix("_us")] = iso(inner, where)
        else:
            out[key.removesuffix("_us")] = inner
    return out


def money() -> str:
    """Return how the shop of the record that this command opened writes its prices, "" if not."""
    return str(click.get_current_context().meta[_CURRENCY])


_ZONE, _CURRENCY = "lacwright.zone", "lacwright.currency"


def did(line: str, answer: Answer) -> str:
    """Return the sentence of what was done, for a run that wrote, would write or wrote before.

    Parameters
    ----------
    line : str
        What was done, its verb in the past first: "poured 100 ml of jar J7 into the waste."
    answer : Answer
        Of the service.
    """
    done, _, rest = line.partition(" ")
    if answer.repeated:
        return f"Nothing is written, this token did it before: {line}"
    if not answer.dry_run:
        return f"{done[0].upper()}{done[1:]} {rest}"
    return f"Would {_WOULD[done]} {rest}"


_WOULD = {
    "wrote": "write", "mixed": "mix", "filled": "fill", "poured": "pour", "added": "add",
    "weighed": "weigh", "washed": "wash", "counted": "count", "changed": "change", "set": "set",
    "took": "take", "corrected": "correct", "began": "begin", "closed": "close", "kept": "keep",
    "unset": "unset", "went": "go", "weigh": "write down: weigh",
}  # fmt: skip
"""How the verbs of the sentences go after "would"."""


def moment(now: str | None, zone: dt.tzinfo) -> int | None:
    """Return --now in microseconds, None for the clock."""
    from lacwright.shop.clock import read_moment

    return None if now is None else read_moment(now, zone, "--now")
