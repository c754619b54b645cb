"""`lacwright reading`: air and board, one by one or from a logger's file."""

from __future__ import annotations

from typing import Any

import click

from lacwright.cli.job_common import entry_of, tell
from lacwright.cli.record_common import moment, reads, record, writes
from lacwright.cli.show import DAY, RH, TEMPERATURE, Quantity, counted, emit
from lacwright.figures import units as u


def _moisture(value: str | float, where: str) -> float:
    from lacwright.shop.readings_csv import read_moisture

    return read_moisture(str(value), where)


MOISTURE = Quantity(u.SHARE, _moisture)


@click.group()
def reading() -> None:
    """Readings of the air and of boards."""


@reading.command("add")
@click.option("--temp", "temp_c", type=TEMPERATURE, help="Of the air.")
@click.option("--rh", type=RH, help="Relative humidity.")
@click.option("--board", "board_mc", type=MOISTURE, help="Moisture of a board.")
@click.option("--board-temp", "board_temp_c", type=TEMPERATURE, help="Of the surface.")
@click.option("--place", "where", default="", metavar="TEXT", help="Where it was read.")
@click.option("--job", metavar="NAME", help="For which job.")
@writes
def add_(
    temp_c: float | None, rh: float | None, board_mc: float | None, board_temp_c: float | None,
    where: str, job: str | None, home: str | None, dry_run: bool, as_json: bool, **given: Any,
) -> None:  # fmt: skip
    """Write down a reading: one at least of --temp, --rh, --board, --board-temp."""
    with record(home, create=True, dry_run=dry_run) as zone:
        from lacwright.shop.clock import plain
        from lacwright.shop.services.readings import add_reading

        answer = add_reading(
            temp_c=temp_c, rh=rh, board_mc=board_mc, board_temp_c=board_temp_c, where=where,
            job=job, entry=entry_of(zone, given | {"dry_run": dry_run}),
        )  # fmt: skip
        at = plain(answer.data["at_us"], zone)
    tell(schema="lacwright.reading.add/1", answer=answer, as_json=as_json,
         line=f"wrote down what was read at {at}: {_words(answer.data)}.",
         why={**dict.fromkeys(("temp_c", "rh", "board_mc", "board_temp_c"), "not read"),
              "job": "for no job"})  # fmt: skip


@reading.command("import")
@click.argument("file", metavar="FILE.csv")
@writes
def import_(
    file: str, home: str | None, dry_run: bool, as_json: bool, **given: Any
) -> None:  # fmt: skip
    """Write down the readings of a table: columns time, temp, rh, board, board temp, place.

    Units stand in the heading ("temp [F]", "rh %") or in the cells. If anything is wrong with any
    line, all faults are told and nothing is written. What stands in the record already is left
    out, so that a logger's file can be imported again. In the hour that the clocks show twice in
    autumn a time without its offset is taken as the first of the two, and that is told; --dry-run
    tells it before anything is written.
    """
    with record(home, create=True, dry_run=dry_run) as zone:
        from lacwright.shop.clock import plain
        from lacwright.shop.readings_csv import load_readings
        from lacwright.shop.services.readings import import_readings

        rows = load_readings(file, zone)
        answer = import_readings(rows=rows, entry=entry_of(zone, given | {"dry_run": dry_run}))
        data = answer.data
        first, last = (plain(data[k], zone) for k in ("from_us", "until_us"))
    there = f", {data['already_there']} stood there already" if data["already_there"] else ""
    why = "a dry run writes nothing" if dry_run else "every reading stood there already"
    tell(schema="lacwright.reading.import/1", answer=answer, as_json=as_json,
         line=f"wrote down {counted(data['written'], 'reading')} from {first} to {last}{there}.",
         why={"movement": why})  # fmt: skip


@reading.command("list")
@click.option("--since", type=DAY, help="From that day on.")
@click.option("--job", metavar="NAME", help="Of one job.")
@click.option("--most", type=click.IntRange(1, 10_000), default=30, show_default=True,
              help="How many at most.")  # fmt: skip
@reads
def list_(
    since: Any, job: str | None, most: int, home: str | None, now: str | None, as_json: bool
) -> None:  # fmt: skip
    """List the last readings, the newest first."""
    with record(home) as zone:
        import datetime as dt

        from lacwright.shop.clock import to_us
        from lacwright.shop.models import Job
        from lacwright.shop.names import find
        from lacwright.shop.queries.readings import readings

        if job is not None:
            job = find(Job, job, "--job").key
        begin = None if since is None else to_us(dt.datetime.combine(since, dt.time(), zone))
        found = readings(since_us=begin, until_us=moment(now, zone), job=job, most=most)
        rows = [one.as_json(zone) for one in found]
    lines = [f"{counted(len(rows), 'reading')}, the newest first."]
    lines += [f"  {row['at'][:16].replace('T', ' ')}: {_words(row)}" for row in rows]
    emit(schema="lacwright.reading.list/1", keys={"readings": rows}, lines=lines,
         as_json=as_json)  # fmt: skip


def _words(row: Any) -> str:
    told = [] if row["temp_c"] is None else [f"{row['temp_c']:.3g} C"]
    told += [] if row["rh"] is None else [f"{100 * row['rh']:.0f} % humidity"]
    told += [] if row["board_mc"] is None else [f"board {100 * row['board_mc']:.3g} % moist"]
    told += [] if row["board_temp_c"] is None else [f"board {row['board_temp_c']:.3g} C"]
    told += [row["where"]] if row["where"] else []
    return ", ".join([*told, *([f"job {row['job']}"] if row["job"] else [])])
