"""`record audit` and `rebuild`: is everything as it should be, and the indexes anew."""

from __future__ import annotations

import click

from lacwright.cli.record_common import moment, reads, record
from lacwright.cli.record_keep import dry_run_option
from lacwright.cli.record_progress import progress
from lacwright.cli.show import counted, emit, of_plural

SHOWN = 5


@click.command("audit")
@reads
@click.pass_context
def audit_(ctx: click.Context, home: str | None, now: str | None, as_json: bool) -> None:
    """Check the record from end to end: exit 0 if all fits, 2 with a line for every finding.

    The database itself, the seal of every movement, every posting and balance worked out anew from
    what was observed, the indexes, every file.
    """
    with record(home):
        from lacwright.shop.audit import audit
        from lacwright.shop.opening import opened

        found = audit(opened(), progress=progress())
    counts = ", ".join(of_plural(n, what) for what, n in found.counts.items())
    kinds = len(found.findings)
    if kinds:
        lines = [f"Found {counted(kinds, 'fault', 'kinds of faults')} in {counts}.",
                 *(str(finding) for finding in found.findings)]  # fmt: skip
    else:
        lines = [f"Checked {counts}: everything agrees."]
    if found.leftovers:
        shown = ", ".join(found.leftovers[:SHOWN])
        more = f" and {len(found.leftovers) - SHOWN} more" if len(found.leftovers) > SHOWN else ""
        lines.append(f"Nothing refers to these files, they do no harm: {shown}{more}.")
    emit(schema="lacwright.record.audit/1", lines=lines, as_json=as_json,
         keys={"clean": not found.findings, "counts": found.counts,
               "findings": [{"code": f.code, "text": f.text, "mend": f.mend, "count": f.count,
                             "where": list(f.where)} for f in found.findings],
               "leftover_files": list(found.leftovers)})  # fmt: skip
    ctx.exit(2 if found.findings else 0)


@click.command("rebuild")
@dry_run_option
@reads
def rebuild_(dry_run: bool, home: str | None, now: str | None, as_json: bool) -> None:
    """Make the indexes (events, flows, balances) anew from movements and lines.

    Movements and lines are the truth and are not touched. A backup is made before.
    """
    with record(home) as zone:
        from lacwright.shop.opening import opened
        from lacwright.shop.rebuild import rebuild

        done = rebuild(opened(), dry_run=dry_run, now_us=moment(now, zone), progress=progress())
    rows = ", ".join(counted(n, what) for what, n in done.rows.items())
    changed = sum(done.changed.values())
    word = "Would rebuild" if dry_run else "Rebuilt"
    differ = "would differ" if dry_run else "differed"
    told = f"{counted(changed, 'row')} {differ}" if changed else "all were right already"
    lines = [f"{word} {rows}: {told}."]
    lines += [f"The backup before it: {done.backup}."] if done.backup else []
    emit(schema="lacwright.record.rebuild/1", lines=lines, as_json=as_json,
         keys={"dry_run": dry_run, "rows": done.rows, "changed": done.changed,
               "backup": str(done.backup) if done.backup else None},
         missing={} if done.backup else {"backup": "a dry run makes none"})  # fmt: skip
