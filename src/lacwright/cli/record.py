"""`lacwright record`: commands about the record as a whole, each imported when it is called."""

from __future__ import annotations

import click

from lacwright.cli.lazy import LazyGroup

COMMANDS = {
    "show": ("lacwright.cli.record_show:show_", "Where it lies, what it holds, the last backup."),
    "log": ("lacwright.cli.record_log:log_", "What was written down, the last first."),
    "undo": ("lacwright.cli.record_log:undo_", "Take an observation back."),
    "amend": ("lacwright.cli.record_log:amend_", "Correct an observation."),
    "set": ("lacwright.cli.record_show:set_", "Time zone and currency of the shop."),
    "audit": ("lacwright.cli.record_check:audit_", "Check everything that can be checked."),
    "rebuild": ("lacwright.cli.record_check:rebuild_", "Make the indexes anew."),
    "backup": ("lacwright.cli.record_keep:backup_", "A copy, made while others work, checked."),
    "restore": ("lacwright.cli.record_keep:restore_", "Bring a backup back."),
    "export": ("lacwright.cli.record_keep:export_", "All of it as one open archive, or as CSV."),
    "import": ("lacwright.cli.record_keep:import_", "Take an archive into an empty shop."),
}


@click.group(cls=LazyGroup, lazy=COMMANDS)
def record() -> None:
    """The record as a whole: log and corrections, audit, backup and restore, export and import.

    Nothing that was observed is ever changed: a correction stands beside what it corrects.
    """
