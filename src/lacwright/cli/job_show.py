"""`lacwright job show|list|needs`."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from lacwright.cli.record_common import in_json, moment, reads, record
from lacwright.cli.show import brief, counted, emit

if TYPE_CHECKING:
    import datetime as dt

    from lacwright.shop.queries.short import Need

MINUTES_OF_HOUR = 60


@click.command()
@click.argument("job", metavar="JOB")
@reads
def show_(job: str, home: str | None, now: str | None, as_json: bool) -> None:
    """Show how far a job has come against its plan, and what comes next."""
    with record(home) as zone:
        from lacwright.shop.clock import now_us
        from lacwright.shop.models import Job
        from lacwright.shop.names import find
        from lacwright.shop.queries.jobs import show

        found = show(find(Job, job, "JOB"), zone)
        keys = found.as_json(zone)
        at = moment(now, zone) or now_us()
        lines = [] if as_json else _page(keys, found.progress, zone, at)
        keys = in_json(keys)
    missing = keys.pop("missing")
    emit(schema="lacwright.job.show/1", keys=keys, missing=missing, lines=lines, as_json=as_json)


def _page(keys: dict[str, Any], progress: Any, zone: dt.tzinfo, now: int) -> list[str]:
    out = [_first(keys, progress, zone, now)]
    out += _about(keys)
    for one in keys["progress"]:
        out.append(_of_part(one, closed=keys["state"] == "closed"))
    if keys["minutes"]:
        out.append(f"Working time so far: {keys['minutes'] / MINUTES_OF_HOUR:.1f} h.")
    out += [f"To revisit ({s['movement']}): {_where(s)}{_after(s['text'])}" for s in keys["spots"]]
    out += [f"Fault ({f['movement']}): {f['what']}{_after(_where(f))}{_after(f['text'])}"
            f"{_after(f['cause'] and 'cause held to be ' + f['cause'])}"
            for f in keys["faults"]]  # fmt: skip
    out += [f"Agreed ({a['movement']}): {_agreed(a)}" for a in keys["agreements"]]
    out += [f"File ({f['movement']}): {f['name']} ({f['media']}){_after(f['words'])}, {f['path']}"
            for f in keys["files"]]  # fmt: skip
    return out


def _first(keys: dict[str, Any], progress: Any, zone: dt.tzinfo, now: int) -> str:
    from lacwright.shop.clock import plain
    from lacwright.shop.queries.jobs import step_words

    if keys["state"] == "closed":
        when = keys["delivered"] or keys["closed"][:10]
        return f"Job {keys['job']} on {keys['piece']} is closed ({when})."
    told: dict[tuple[str, str], list[str]] = {}
    for one in progress:
        step = one.lane.next
        if step is None:
            continue
        when = ""
        if one.earliest_us is not None:
            due = one.earliest_us <= now
            when = " now" if due else f" from {plain(one.earliest_us, zone)} on"
        told.setdefault((step_words(step), when), []).append(
            _place(one.lane.part, one.lane.faces)
        )  # fmt: skip
    if told:
        steps = [f"{words}{f' on {_all(where)}' if _all(where) else ''}{when}"
                 for (words, when), where in told.items()]  # fmt: skip
        return f"Next on {keys['piece']}: {'; '.join(steps)}."
    if any(one.lane.steps for one in progress):
        return f"Nothing is left to do by the plan of job {keys['job']}: close it when it is over."
    return f"Job {keys['job']} on {keys['piece']} is open; no plan is kept with it."


def _about(keys: dict[str, Any]) -> list[str]:
    facts = [keys["title"]] if keys["title"] else []
    facts += [f"for {keys['customer']}"] if keys["customer"] else []
    facts += [f"started {keys['started'][:10]}"]
    facts += [f"promised {keys['promised']}"] if keys["promised"] else []
    if keys["planned_finish"]:
        facts.append(f"planned to be done {keys['planned_finish']}")
    out = ["; ".join(facts) + "."]
    out += [f"STOP at the start, begun in spite of it ({keys['in_spite']}): {text}"
            for text in keys["stops_at_start"]]  # fmt: skip
    return [*out, keys["note"]] if keys["note"] else out


def _of_part(one: dict[str, Any], *, closed: bool) -> str:
    where = _place(one["part"], one["faces"]) or "whole piece"
    if one["planned"] is None:
        text = f"{where}: {counted(one['laid'], 'coat')} laid"
    else:
        text = f"{where}: {one['laid']} of {counted(one['planned'], 'coat')} laid, "
        text += f"{one['left']} left"
    if one["next"]:
        text += f"; next {one['next']}"
    if one["earliest"] and not closed:
        when = one["earliest"][:16].replace("T", " ")
        text += (f", at the earliest {when}" if one["next"]
                 else f"; by the usual wait another not before {when}")  # fmt: skip
    if one["skipped"]:
        text += f"; passed over: {', '.join(one['skipped'])}"
    return text


def _all(places: list[str]) -> str:
    return ", ".join(filter(None, places))


def _place(part: str, faces: Any) -> str:
    return f"{part} ({', '.join(faces)})" if faces else part


def _where(what: dict[str, Any]) -> str:
    return ", ".join(filter(None, [*what["parts"], what["where"]]))


def _after(text: str) -> str:
    return f"; {text}" if text else ""


def _agreed(one: dict[str, Any]) -> str:
    told = [f"panel {one['panel']}"] if one["panel"] else []
    told += [one["text"]] if one["text"] else []
    told += [f"{one['price']} {one['currency']}".strip()] if one["price"] else []
    return ", ".join(told)


@click.command()
@click.option("--state", type=click.Choice(["open", "closed", "all"]), default="open",
              show_default=True, help="Which jobs.")  # fmt: skip
@reads
def list_(state: str, home: str | None, now: str | None, as_json: bool) -> None:
    """List the jobs, the promised day first."""
    with record(home) as zone:
        from lacwright.shop.clock import iso
        from lacwright.shop.queries.jobs import job_lines

        found = job_lines(state=None if state == "all" else state)
        jobs = []
        for row in found:
            last = row.pop("last_us")
            jobs.append({**row, "last": iso(last, zone)})
    word = "" if state == "all" else f"{state} "
    lines = [f"{counted(len(jobs), f'{word}job')}."]
    for row in jobs:
        coats, planned = row["coats"], row["planned_coats"]
        laid = (counted(coats, "coat") if planned is None
                else f"{coats} of {counted(planned, 'coat')}")  # fmt: skip
        facts = [laid, f"last entry {row['last'][:10]}"]
        facts += [f"promised {row['promised']}"] if row["promised"] else []
        facts += [f"for {row['customer']}"] if row["customer"] else []
        facts += [row["state"]] if state == "all" else []
        lines.append(f"  {row['job']}: {row['piece']}, {', '.join(facts)}")
    emit(schema="lacwright.job.list/1", keys={"jobs": jobs}, lines=lines, as_json=as_json)


@click.command()
@reads
def needs_(home: str | None, now: str | None, as_json: bool) -> None:
    """Say what is short for the coming jobs: what their plans still need against the stock."""
    with record(home):
        from lacwright.shop.queries.short import ENOUGH, needs

        found = needs()
    short = [n for n in found if n.word != ENOUGH]
    if not found:
        first = "No open job with a plan needs anything, and nothing is below its least amount."
    elif short:
        first = f"To see to: {', '.join(f'{n.lot} ({n.word})' for n in short)}."
    else:
        first = "Nothing is short for the open jobs."
    lines = [first, *(f"  {_need(one)}" for one in found)]
    emit(schema="lacwright.job.needs/1", keys={"needs": [n.as_json() for n in found]},
         lines=lines, as_json=as_json)  # fmt: skip


def _need(one: Need) -> str:
    def amount(value: float | None) -> str:
        return "not said" if value is None else f"{brief(value, 3)} {one.unit}"

    mixed = f" ({amount(one.mixed)} of it mixed)" if one.mixed else ""
    jobs = f" for {', '.join(one.jobs)}" if one.jobs else ""
    left = "" if one.left is None else f", left {amount(one.left)}"
    least = "" if one.order_below is None else f", should be {amount(one.order_below)}"
    return (f"{one.lot}: need {amount(one.need)}{mixed}{jobs}, have {amount(one.have)}{left}"
            f"{least}: {one.word}")  # fmt: skip
