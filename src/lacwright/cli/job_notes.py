"""`lacwright job fault|spot|note|attach|agree`: what is seen, said and agreed."""

from __future__ import annotations

from typing import Any

import click

from lacwright.cli.job_common import entry_of, moment_of, on, on_work, tell
from lacwright.cli.record_common import record, writes
from lacwright.figures import Refusal

NO_JAR = {"job": "for no job", "piece": "no piece is meant", "jar": "no jar is meant"}


@click.command()
@on_work
@click.argument("what", metavar="WHAT", required=False)
@click.option("--jar", metavar="NAME", help="A jar it has to do with.")
@click.option("--where", default="", metavar="TEXT", help="The spot.")
@click.option("--text", default="", metavar="TEXT", help="What was seen.")
@click.option("--cause", default="", metavar="TEXT", help="What is held to be the cause.")
@writes
def fault_(**given: Any) -> None:
    """Write down a fault WHAT ("haze", "craters", "does not dry") on a job, a piece, a jar.

    JOB is left out where --piece or --jar says what it is on.
    """
    given |= _named(given)
    asked = {k: given[k] for k in ("job", "piece", "jar", "what", "parts", "where", "text",
                                   "cause")}  # fmt: skip
    with record(given["home"], dry_run=given["dry_run"]) as zone:
        from lacwright.shop.services.events import fault

        answer = fault(**asked, entry=entry_of(zone, given))
    data = answer.data
    of = on(data) if data["piece"] else f"jar {data['jar']}"
    tell(schema="lacwright.job.fault/1", answer=answer, as_json=given["as_json"], why=NO_JAR,
         line=f"wrote down a fault on {of}: {data['what']}.")  # fmt: skip


@click.command()
@on_work
@click.option("--where", metavar="TEXT", help="Where exactly.")
@click.option("--text", default="", metavar="TEXT", help="What is to be done there, or was done.")
@click.option("--done", type=int, metavar="NUMBER", help="The spot of that movement is seen to.")
@writes
def spot_(**given: Any) -> None:
    """Write down a spot to come back to (--where), or that one was seen to (--done)."""
    if (given["where"] is None) == (given["done"] is None):
        raise Refusal("--where", "say where, or which spot is done", "give --where or --done")
    with record(given["home"], dry_run=given["dry_run"]) as zone:
        from lacwright.shop.services.events import spot, spot_done

        entry = entry_of(zone, given)
        if given["done"] is not None:
            answer = spot_done(spot=given["done"], text=given["text"], entry=entry)
            line = f"wrote down that spot {given['done']} on {on(answer.data)} is done."
        else:
            asked = {k: given[k] for k in ("job", "piece", "parts", "where", "text")}
            answer = spot(**asked, entry=entry)
            line = f"wrote down to come back to {answer.data['where']} on {on(answer.data)}."
    tell(schema="lacwright.job.spot/1", answer=answer, as_json=given["as_json"], why=NO_JAR,
         line=line)  # fmt: skip


@click.command()
@on_work
@click.option("--text", default="", metavar="TEXT", help="What there is to say.")
@click.option("--kind", type=click.Choice(["note", "rest", "clean", "wax"]), default="note",
              show_default=True, help="What it is.")  # fmt: skip
@click.option("--until", metavar="MOMENT", help="When it is over.")
@writes
def note_(**given: Any) -> None:
    """Write down a note, a rest, a cleaning or a waxing."""
    asked = {k: given[k] for k in ("job", "piece", "parts", "kind", "text")}
    with record(given["home"], dry_run=given["dry_run"]) as zone:
        from lacwright.shop.services.events import note

        answer = note(**asked, until_us=moment_of(given["until"], zone, "--until"),
                      entry=entry_of(zone, given))  # fmt: skip
    word = {"note": "note", "rest": "rest", "clean": "cleaning", "wax": "waxing"}[given["kind"]]
    tell(schema="lacwright.job.note/1", answer=answer, as_json=given["as_json"], why=NO_JAR,
         line=f"wrote down a {word} on {on(answer.data)}.")  # fmt: skip


@click.command()
@click.argument("name", metavar="NAME")
@click.argument("file", metavar="FILE")
@click.option("--to", type=click.Choice(["job", "piece", "jar", "lot", "customer"]), default="job",
              show_default=True, help="What NAME is.")  # fmt: skip
@click.option("--words", default="", metavar="TEXT", help="What is to be seen on it.")
@writes
def attach_(**given: Any) -> None:
    """Keep a photo, a PDF or a text FILE with the job NAME (or a piece, a jar, a lot).

    It is copied into the record and judged by its content. A photo is kept as it is: the place
    where it was taken stays in it.
    """
    from pathlib import Path

    with record(given["home"], dry_run=given["dry_run"]) as zone:
        from lacwright.shop.services.attachments import attach

        answer = attach(to=given["to"], name=given["name"], source=Path(given["file"]),
                        words=given["words"], entry=entry_of(zone, given))  # fmt: skip
    data = answer.data
    kept = "" if data["new_file"] else "; the same content was there already"
    tell(schema="lacwright.job.attach/1", answer=answer, as_json=given["as_json"],
         line=f"kept {data['name'] or 'the file'} ({data['media']}) with {data['to']} "
              f"{data['of']}{kept}.")  # fmt: skip


@click.command()
@click.argument("job", metavar="JOB", required=False)
@click.option("--piece", metavar="NAME", help="A piece, in place of a job.")
@click.option("--what", type=click.Choice(["panel", "change", "price"]), required=True,
              help="What was agreed.")  # fmt: skip
@click.option("--text", default="", metavar="TEXT", help="In their words.")
@click.option("--price", metavar="AMOUNT", help="In the shop's money; of a change, what it adds.")
@click.option("--panel", metavar="NAME", help="The approved panel.")
@writes
def agree_(**given: Any) -> None:
    """Write down what was agreed: an approved panel, a priced change, a price."""
    with record(given["home"], dry_run=given["dry_run"]) as zone:
        from lacwright.shop.services.agreements import agree

        answer = agree(
            **{k: given[k] for k in ("job", "piece", "what", "text", "panel")},
            price=_price(given["price"]), entry=entry_of(zone, given),
        )  # fmt: skip
    data = answer.data
    told = [f"panel {data['panel']}"] if data["panel"] else []
    told += [data["text"]] if data["text"] else []
    told += [f"{data['price']} {data['currency']}".strip()] if data["price"] else []
    tell(schema="lacwright.job.agree/1", answer=answer, as_json=given["as_json"],
         line=f"wrote down what was agreed on {on(data)}: {', '.join(told)}.",
         why={"job": "for no job", "price": "no price was said", "panel": "no panel is meant",
              "customer": "the piece has none"})  # fmt: skip


def _named(given: dict[str, Any]) -> dict[str, Any]:
    """Return job and fault: of a single word, beside a piece or jar, it is the fault."""
    job, what = given["job"], given["what"]
    if what is not None:
        return {}
    if job is None:
        raise Refusal("WHAT", "the fault is not said", "write e.g. haze after the job")
    if given["piece"] is None and given["jar"] is None:
        raise Refusal("WHAT", f"either the job or the fault is not said beside '{job}'",
                      "write both, or --piece or --jar in place of the job")  # fmt: skip
    return {"job": None, "what": job}


def _price(text: str | None) -> Any:
    from decimal import Decimal, InvalidOperation

    if text is None:
        return None
    try:
        return Decimal(text.strip().replace(",", "."))
    except InvalidOperation:
        raise Refusal("--price", f"'{text}' is not a price", "write e.g. 48.50") from None
