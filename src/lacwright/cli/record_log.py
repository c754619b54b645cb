"""`record log`, `undo` and `amend`: what was written down, taken back, put right."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import click

from lacwright.cli.job_common import entry_of, tell
from lacwright.cli.record_common import reads, record, writes
from lacwright.cli.show import DAY, counted, emit, reasoned

if TYPE_CHECKING:
    import datetime as dt

THINGS = ("jar", "lot", "job", "piece", "pad", "customer")


@click.command("log")
@click.argument("number", type=int, required=False)
@click.option("--jar", metavar="NAME", help="What concerns this jar.")
@click.option("--lot", metavar="NAME", help="This lot.")
@click.option("--job", metavar="NAME", help="This job.")
@click.option("--piece", metavar="NAME", help="This piece or panel.")
@click.option("--pad", metavar="NAME", help="This pad or brush.")
@click.option("--customer", metavar="NAME", help="This customer.")
@click.option("--kind", default="", metavar="WORD", help="mix, pour, coat, test, void, ...")
@click.option("--since", type=DAY, help="Done on that day or later.")
@click.option("--until", type=DAY, help="Done on that day or before.")
@click.option("--before", type=int, metavar="NUMBER", help="The page before that movement.")
@click.option("--most", type=click.IntRange(1, 10_000), default=30, show_default=True,
              help="How many at most.")  # fmt: skip
@reads
def log_(
    number: int | None, kind: str, since: dt.date | None, until: dt.date | None,
    before: int | None, most: int, home: str | None, now: str | None, as_json: bool,
    **about: str | None,
) -> None:  # fmt: skip
    """List what was written down, the last first.

    With NUMBER all versions of one observation, each with its facts by the names that
    `record amend` corrects them by.
    """
    import datetime

    from lacwright.cli.show import only_one

    thing = {word: name for word, name in about.items() if name is not None}
    if thing:
        only_one(**{word: about[word] for word in THINGS})
    with record(home) as zone:
        from lacwright.shop.clock import plain
        from lacwright.shop.queries.movements import log
        from lacwright.shop.replay import VOID

        begin = None if since is None else _midnight(since, zone)
        end = None if until is None else _midnight(until + datetime.timedelta(days=1), zone)
        page = log(kind=kind, about=_thing(*next(iter(thing.items()))) if thing else None,
                   since_us=begin, until_us=end, before=before, number=number, limit=most,
                   )  # fmt: skip
        lines = [f"{counted(len(page.lines), 'movement')}, the last written first."]
        for line in page.lines:
            mark = "" if line.state in ("counts", "undo") else f" [{line.state}]"
            whose = f" ({line.author})" if line.author else ""
            lines.append(f"  {line.number}  {plain(line.at_us, zone)}  {line.words}{whose}{mark}")
            if line.reason:
                lines.append(f"      Why: {line.reason}")
            if number is not None and line.kind != VOID:
                lines += [f"      {name} = {_fact(value)}" for name, value in line.facts.items()]
        if page.before is not None:
            lines.append(f"More with --before {page.before}.")
        keys = page.as_json()
        if number is not None:
            for told, line in zip(keys["movements"], page.lines, strict=True):
                told["facts"] = reasoned(line.facts)
    missing = keys.pop("missing")
    emit(schema="lacwright.record.log/1", keys=keys, missing=missing, lines=lines,
         as_json=as_json)  # fmt: skip


@click.command("undo")
@click.argument("number", type=int)
@writes
def undo_(
    number: int, home: str | None, dry_run: bool, as_json: bool, **given: Any
) -> None:  # fmt: skip
    """Take an observation back: all is then as if it had never been written down.

    What was observed stays in the log. To bring it back, correct it.
    """
    with record(home) as zone:
        from lacwright.shop.services.amend import undo

        answer = undo(movement=number, entry=entry_of(zone, given | {"dry_run": dry_run}))
    tell(schema="lacwright.record.undo/1", answer=answer, as_json=as_json,
         line=f"took back movement {answer.data['observation']} ({answer.data['kind']}).",
         )  # fmt: skip


@click.command("amend")
@click.argument("number", type=int)
@click.option("--set", "texts", multiple=True, metavar="NAME=VALUE",
              help="What it really was: amount='55 g', used_ml=20; again for more.")  # fmt: skip
@writes
def amend_(
    number: int, texts: tuple[str, ...], at: str | None, ago: float | None, home: str | None,
    dry_run: bool, as_json: bool, **given: Any,
) -> None:  # fmt: skip
    """Correct an observation; --at or --ago: when it was really done.

    The names are those that `record log NUMBER` lists. All that follows is worked out anew.
    """
    with record(home) as zone:
        from lacwright.shop import names
        from lacwright.shop.corrections import read_corrections
        from lacwright.shop.services.amend import amend

        # The moment is part of the correction, not of the entry.
        moment = entry_of(zone, given | {"dry_run": dry_run, "at": at, "ago": ago})
        entry = entry_of(zone, given | {"dry_run": dry_run, "at": None, "ago": None})
        really = moment.at_us
        if moment.seconds_ago is not None:
            really = moment.written_us - round(moment.seconds_ago * 1_000_000)
        changes = read_corrections(movement=names.movement_of(number, "NUMBER"), texts=texts)
        answer = amend(movement=number, changes=changes, at_us=really, entry=entry)
    told = ", ".join([*answer.data["changed"], *(["its time"] if really is not None else [])])
    tell(schema="lacwright.record.amend/1", answer=answer, as_json=as_json,
         line=f"corrected movement {answer.data['observation']} ({answer.data['kind']})"
              f"{': ' + told if told else ''}.")  # fmt: skip


def _fact(value: Any) -> str:
    """Return a fact as it would be typed after its name and "="."""
    from lacwright.shop.amounts import amount_words

    if value is None:
        return "none"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, dict) and set(value) == {"n", "u"}:
        return amount_words(value)
    if isinstance(value, list) and all(isinstance(item, str) for item in value):
        return ", ".join(value) or '""'
    return json.dumps(value, ensure_ascii=False) if isinstance(value, dict | list) else (
        str(value) or '""'
    )  # fmt: skip


def _thing(word: str, name: str) -> Any:
    from lacwright.shop.models import Applicator
    from lacwright.shop.names import find
    from lacwright.shop.replay import REFS

    return find(Applicator if word == "pad" else REFS[word], name, f"--{word}")


def _midnight(day: dt.date, zone: dt.tzinfo) -> int:
    import datetime

    from lacwright.shop.clock import to_us

    return to_us(datetime.datetime.combine(day, datetime.time(), zone))
