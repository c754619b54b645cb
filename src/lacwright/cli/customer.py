"""`customer add` and `list`."""

from __future__ import annotations

from typing import Any

import click

from lacwright.cli.job_common import entry_of, tell
from lacwright.cli.record_common import reads, record, writes
from lacwright.cli.show import counted, emit


@click.command("add")
@click.argument("name", metavar="NAME")
@click.option("--contact", default="", metavar="TEXT", help="Where they are reached.")
@click.option("--note", default="", metavar="TEXT", help="What else there is to say.")
@writes
def add_(
    name: str, contact: str, note: str, home: str | None, dry_run: bool, as_json: bool,
    **given: Any,
) -> None:  # fmt: skip
    """Write down a customer NAME."""
    with record(home, create=True, dry_run=dry_run) as zone:
        from lacwright.shop.services.people import add_customer

        answer = add_customer(name=name, contact=contact, note=note,
                              entry=entry_of(zone, given | {"dry_run": dry_run}))  # fmt: skip
    tell(schema="lacwright.customer.add/1", answer=answer, as_json=as_json,
         line=f"wrote down customer {answer.data['customer']}.")  # fmt: skip


@click.command("list")
@reads
def list_(home: str | None, now: str | None, as_json: bool) -> None:
    """List the customers with their pieces."""
    with record(home):
        from lacwright.shop.queries.people import customer_lines

        found = customer_lines()
    lines = [f"{counted(len(found), 'customer')}."]
    for row in found:
        pieces = f": {', '.join(row['pieces'])}" if row["pieces"] else ""
        contact = f" ({row['contact']})" if row["contact"] else ""
        lines.append(f"  {row['customer']}{contact}{pieces}")
    emit(schema="lacwright.customer.list/1", keys={"customers": found}, lines=lines,
         as_json=as_json)  # fmt: skip
