"""`lacwright job start|describe|close`."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from lacwright.cli.job_common import areas_of, entry_of, moment_of, tell
from lacwright.cli.plan_made import Asked, Made, made_plan, plan_options
from lacwright.cli.record_common import moment, record, writes
from lacwright.cli.show import DAY, counted
from lacwright.figures import Refusal

if TYPE_CHECKING:
    import datetime as dt


@click.command()
@click.argument("piece_file", metavar="PIECE.toml", required=False)
@click.option("--job", required=True, metavar="NAME", help="What the job is called.")
@click.option("--piece", metavar="NAME",
              help="The piece; the name of the file if left out.")  # fmt: skip
@click.option("--title", default="", metavar="TEXT", help="The title of the file if left out.")
@click.option("--customer", metavar="NAME", help="Of a new piece; one of the record.")
@click.option("--wood", default="", metavar="NAME", help="Of a new piece without a file.")
@click.option("--area", "areas", multiple=True, metavar='"PART: 0.5 m2"',
              help="Area of a part of a piece without a file; again for more.")  # fmt: skip
@click.option("--promised", type=DAY, help="The day that was promised.")
@click.option("--in-spite", default="", metavar="REASON",
              help="Why it is begun though its plan has a stop.")  # fmt: skip
@plan_options
@writes
def start_(
    piece_file: str | None, job: str, piece: str | None, title: str, customer: str | None,
    wood: str, areas: tuple[str, ...], promised: Any, in_spite: str, hand_file: str | None,
    start: Any, by: Any, seed: int, draws: int, density: float | None, temp: float | None,
    home: str | None, dry_run: bool, as_json: bool, **given: Any,
) -> None:  # fmt: skip
    """Start a job: make the plan of a piece file and keep it with the job.

    The plan is made as `lacwright plan` makes it, with the record's stock, own figures and last
    reading. A plan with a stop starts a job only with --in-spite and the reason.
    """
    if piece_file is None and piece is None:
        raise Refusal("--piece", "neither a piece file nor a piece is named",
                      "name a piece file, or a piece with --piece and --area")  # fmt: skip
    given |= {"dry_run": dry_run}
    with record(home, create=True, dry_run=dry_run) as zone:
        from lacwright.shop.services.jobs import start_job

        entry = entry_of(zone, given)
        made: Made | None = None
        text: dict[str, Any] = {"areas_m2": areas_of(areas), "wood": wood, "title": title}
        if piece_file is not None:
            asked = Asked(piece_file, _today(given, zone), hand_file, start, by, seed, draws,
                          density, temp)  # fmt: skip
            made, text = _planned(asked, given, zone, title, areas)
        answer = start_job(
            job=job, piece_name=piece or _stem(piece_file), customer=customer, promised=promised,
            in_spite=in_spite, entry=entry, **text,
        )  # fmt: skip
    data = answer.data
    line = f"began job {data['job']} on {data['piece']}"
    line += (f": {counted(data['planned_coats'], 'coat')} planned." if data["planned"]
             else ", without a plan.")  # fmt: skip
    more = [] if made is None or made.line is None else [made.line]
    if made is not None:
        more += [f"STOP, begun in spite of it ({in_spite}): {s.text}" for s in made.plan.stops]
    tell(schema="lacwright.job.start/1", answer=answer, line=line, more=more, as_json=as_json,
         why={"planned_coats": "it has no plan", "promised": "no day is promised"})  # fmt: skip


def _planned(
    asked: Asked, given: dict[str, Any], zone: dt.tzinfo, title: str, areas: tuple[str, ...]
) -> tuple[Made, dict[str, Any]]:
    """Return the plan, and what of it is kept with the job."""
    from pathlib import Path

    from lacwright.shop.clock import now_us
    from lacwright.shop.plan_link import areas_of as areas_of_piece
    from lacwright.shop.plan_link import from_record, kept, wood_of

    if areas:
        raise Refusal("--area", "the piece file has the areas", "leave it out")
    at = moment_of(given["at"], zone, "--at") or moment(given["now"], zone) or now_us()
    made = made_plan(asked, from_record(now_us=at))
    plan = made.plan
    return made, {
        "plan": kept(plan, made.hand), "areas_m2": areas_of_piece(plan.piece),
        "piece_file": Path(asked.piece_file).read_text(encoding="utf-8-sig"),
        "wood": wood_of(plan.piece), "title": title or plan.piece.title,
    }  # fmt: skip


@click.command()
@click.argument("job", metavar="JOB")
@click.option("--title", metavar="TEXT", help="Its title.")
@click.option("--promised", type=DAY, help="The day that was promised.")
@click.option("--note", metavar="TEXT", help="In place of its note.")
@writes
def describe_(
    job: str, title: str | None, promised: Any, note: str | None, home: str | None,
    dry_run: bool, as_json: bool, **given: Any,
) -> None:  # fmt: skip
    """Change title, promised day or note of a job."""
    changes = {k: v for k, v in (("title", title), ("promised", promised), ("note", note))
               if v is not None}  # fmt: skip
    with record(home, dry_run=dry_run) as zone:
        from lacwright.shop.services.jobs import describe_job

        answer = describe_job(job=job, changes=changes,
                              entry=entry_of(zone, given | {"dry_run": dry_run}))  # fmt: skip
    tell(schema="lacwright.job.describe/1", answer=answer, as_json=as_json,
         line=f"changed job {answer.data['job']}: {', '.join(changes)}.")  # fmt: skip


@click.command()
@click.argument("job", metavar="JOB")
@click.option("--delivered", type=DAY, help="Day on which the piece was handed over.")
@click.option("--text", default="", metavar="TEXT", help="What there is to say.")
@writes
def close_(
    job: str, delivered: Any, text: str, home: str | None, dry_run: bool, as_json: bool,
    **given: Any,
) -> None:  # fmt: skip
    """Close a job."""
    with record(home, dry_run=dry_run) as zone:
        from lacwright.shop.services.jobs import close_job

        answer = close_job(job=job, delivered=delivered, text=text,
                           entry=entry_of(zone, given | {"dry_run": dry_run}))  # fmt: skip
    when = answer.data["delivered"]
    line = f"closed job {answer.data['job']}" + (f", handed over on {when}." if when else ".")
    tell(schema="lacwright.job.close/1", answer=answer, line=line, as_json=as_json)


def _stem(path: str | None) -> str:
    from pathlib import Path

    return Path(path or "").stem


def _today(given: dict[str, Any], zone: dt.tzinfo) -> dt.date:
    """Return the day the plan is made."""
    from lacwright.shop.clock import day_of, now_us

    return day_of(moment_of(given["at"], zone, "--at") or moment(given["now"], zone) or now_us(),
                  zone)  # fmt: skip
