"""`record show` and `set`: what there is, and the settings of the shop."""

from __future__ import annotations

from typing import Any

import click

from lacwright.cli.job_common import entry_of, tell
from lacwright.cli.record_common import moment, reads, record, writes
from lacwright.cli.show import counted, emit, of_plural, only_one, there_are


@click.command("show")
@reads
def show_(home: str | None, now: str | None, as_json: bool) -> None:
    """Say where the record lies, what it holds, and when it was last backed up."""
    from lacwright.shop import find_home

    found = find_home(home)
    with record(home) as zone:
        from lacwright.shop.clock import iso, now_us, plain
        from lacwright.shop.disk import megabytes
        from lacwright.shop.queries.whole import whole_record

        told = whole_record(found)
        at = moment(now, zone) or now_us()
        last = told.last_backup_us
        days = None if last is None else max(0, (at - last) // 86_400_000_000)
        rows = ", ".join(of_plural(n, what) for what, n in told.counts.items())
        lines = [f"The record lies in {found.record} ({megabytes(told.size)}).",
                 f"It holds {rows}.",
                 f"Time zone {told.zone}; currency {told.currency or 'not said'}."]  # fmt: skip
        if last is None or days is None:
            lines.append("No backup lies in its own folder: make one with 'lacwright record "
                         "backup'.")  # fmt: skip
        else:
            lines.append(f"The last backup is of {plain(last, zone)}, {counted(days, 'day')} ago; "
                         f"{there_are(told.backups, 'backup')} in its own folder.")  # fmt: skip
        lines += [f"A restore has put an older record aside in {path}." for path in told.aside]
        keys: dict[str, Any] = {
            "folder": str(found.folder), "database": str(found.database), "size_bytes": told.size,
            "counts": told.counts, "zone": told.zone, "currency": told.currency,
            "shop": told.shop, "version": told.version, "backups": told.backups,
            "last_backup": None if last is None else iso(last, zone),
            "days_since_backup": days, "put_aside": told.aside,
        }  # fmt: skip
    emit(schema="lacwright.record.show/1", keys=keys, lines=lines, as_json=as_json,
         missing={k: "no backup lies in its own folder" for k, v in keys.items() if v is None},
         )  # fmt: skip


@click.command("set")
@click.option("--zone", "zone_", metavar="NAME", help='Time zone: "Europe/Vienna", "UTC".')
@click.option("--currency", metavar="TEXT", help='How prices are written: "EUR"; "" for none.')
@writes
def set_(
    zone_: str | None, currency: str | None, home: str | None, dry_run: bool, as_json: bool,
    **given: Any,
) -> None:  # fmt: skip
    """Change a setting of the shop; what was recorded stays as it is."""
    only_one(zone=zone_, currency=currency)
    with record(home, create=True, dry_run=dry_run) as zone:
        from lacwright.shop.services.preferences import set_currency, set_zone

        entry = entry_of(zone, given | {"dry_run": dry_run})
        if zone_ is not None:
            answer = set_zone(name=zone_, entry=entry)
            line = f"set the shop's time zone to {answer.data['zone']}."
        else:
            answer = set_currency(text=currency or "", entry=entry)
            line = f"set how prices are written: {answer.data['currency'] or 'no currency'}."
    tell(schema="lacwright.record.set/1", answer=answer, as_json=as_json, line=line)
