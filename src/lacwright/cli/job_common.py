"""What the commands about jobs and pieces share: naming the work, telling what was written."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, TypeVar

import click

from lacwright.cli.record_common import did, in_json
from lacwright.cli.show import TIME, brief, emit

if TYPE_CHECKING:
    import datetime as dt

    from lacwright.shop.writing import Answer

F = TypeVar("F", bound=Callable[..., Any])

NOT_SAID = "not said"


def on_work(command: F) -> F:
    """Add JOB, --piece and --part to a command."""
    for option in (
        click.option("--part", "parts", multiple=True, metavar="NAME",
                     help="Which part; again for more. All of it if left out."),
        click.option("--piece", metavar="NAME", help="A piece or panel, in place of a job."),
        click.argument("job", metavar="JOB", required=False),
    ):  # fmt: skip
        command = option(command)
    return command


faces_option = click.option("--face", "faces", multiple=True, metavar="NAME",
                            help="Which face of the part; again for more.")  # fmt: skip
took_option = click.option("--took", type=TIME, help="Working time.")
note_option = click.option("--note", default="", metavar="TEXT", help="What else there is to say.")


def entry_of(zone: dt.tzinfo, given: Mapping[str, Any]) -> Any:
    """Return who writes and when, from the options of `record_common.writes`."""
    from lacwright.cli.record_common import entry

    words = ("at", "ago", "author", "reason", "token", "dry_run", "now")
    return entry(zone, **{word: given[word] for word in words})


def minutes(hours: float | None) -> float | None:
    """Return a time in minutes."""
    return None if hours is None else 60.0 * hours


def moment_of(text: str | None, zone: dt.tzinfo, where: str) -> int | None:
    """Return a moment in microseconds, None where none is given."""
    from lacwright.shop.clock import read_moment

    return None if text is None else read_moment(text, zone, where)


def areas_of(texts: Sequence[str]) -> dict[str, float]:
    """Return areas by part from "top: 0.5 m2"."""
    from lacwright.figures import Refusal
    from lacwright.shop.amounts import read_area

    out: dict[str, float] = {}
    for text in texts:
        part, area = read_area(text)
        if part in out:
            raise Refusal("--area", f"'{part or 'the whole piece'}' is given twice",
                          "give each part once")  # fmt: skip
        out[part] = area
    return out


def tell(
    *, schema: str, answer: Answer, line: str, as_json: bool, more: Sequence[str] = (),
    why: Mapping[str, str] | None = None,
) -> None:  # fmt: skip
    """Print what was written: a sentence, what is worth a remark, and the same as JSON.

    Parameters
    ----------
    schema : str
        Name of the object.
    answer : Answer
        Of the service; what it `says` becomes notes.
    line : str
        The sentence of what was done, its verb first, as `did` takes it.
    as_json : bool
        As JSON.
    more : sequence of str
        Further lines.
    why : mapping
        Reasons for nulls, where "not said" would be wrong.
    """
    keys: dict[str, Any] = {"movement": answer.movement, "dry_run": answer.dry_run,
                            "repeated": answer.repeated, **in_json(answer.data)}  # fmt: skip
    reasons = {"movement": "a dry run writes nothing", **(why or {})}
    missing = dict(keys.pop("missing", {}))
    missing |= {k: reasons.get(k, NOT_SAID) for k, v in keys.items() if v is None}
    says = [f"Note: {text}" for text in answer.data.get("says", ())]
    number = [] if answer.movement is None else [f"Movement {answer.movement}."]
    emit(schema=schema, keys=keys, missing=missing, as_json=as_json,
         lines=[did(line, answer), *more, *says, *number])  # fmt: skip


def on(data: Mapping[str, Any]) -> str:
    """Return what was worked on: "top, legs of table (job T-12)"."""
    parts = ", ".join(data.get("parts") or ())
    piece = f"{parts} of {data['piece']}" if parts else f"{data['piece']}"
    return f"{piece} (job {data['job']})" if data.get("job") else piece


def grams(value: float) -> str:
    """Return a weight as a person reads it."""
    return f"{brief(value, 3)} g"
