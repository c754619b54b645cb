"""`lacwright job`: the group of commands about jobs, each imported when it is called."""

from __future__ import annotations

import click

from lacwright.cli.lazy import LazyGroup

COMMANDS = {
    "start": ("lacwright.cli.job_start:start_", "Start a job with the plan of a piece file."),
    "coat": ("lacwright.cli.job_work:coat_", "Write down a coat: weigh the jar, not the piece."),
    "session": ("lacwright.cli.job_work:session_", "Write down a French-polishing session."),
    "sand": ("lacwright.cli.job_work:sand_", "Write down a scuffing, levelling or rubbing out."),
    "strip": ("lacwright.cli.job_work:strip_", "Write down that the finish was taken off."),
    "fault": ("lacwright.cli.job_notes:fault_", "Write down a fault."),
    "spot": ("lacwright.cli.job_notes:spot_", "A spot to come back to, or that it is done."),
    "note": ("lacwright.cli.job_notes:note_", "A note, a rest, a cleaning, a waxing."),
    "attach": ("lacwright.cli.job_notes:attach_", "Keep a photo or paper with a job."),
    "agree": ("lacwright.cli.job_notes:agree_", "An approved panel, a priced change, a price."),
    "describe": ("lacwright.cli.job_start:describe_", "Change title, promised day or note."),
    "close": ("lacwright.cli.job_start:close_", "Close a job."),
    "show": ("lacwright.cli.job_show:show_", "How far a job has come, and what comes next."),
    "wet": ("lacwright.cli.job_wet:wet_", "The wet coat on it: when it is ready for the next."),
    "list": ("lacwright.cli.job_show:list_", "The jobs, the promised day first."),
    "needs": ("lacwright.cli.job_show:needs_", "What is short for the coming jobs."),
}


@click.group(cls=LazyGroup, lazy=COMMANDS)
def job() -> None:
    """Jobs: the plan they were started with, and what really happened.

    JOB is the name that was given at `lacwright job start`.
    """
