"""`piece test`: a drop of water on a film; a coat that was timed; one that whitened or did not."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from lacwright.cli.calibrate_drying import TEXT_OPTIONS
from lacwright.cli.jar_common import desk, say
from lacwright.cli.jar_test import room_options, test_line, test_lines, test_missing, water_result
from lacwright.cli.record_common import writes
from lacwright.cli.show import TIME
from lacwright.figures import Refusal

if TYPE_CHECKING:
    from lacwright.shop.writing import Answer

TIMES = ("touch_dry", "print_free", "recoat")
COAT = tuple(key for key in TEXT_OPTIONS if key not in ("name", "date", "temp", "rh", *TIMES))
"""What can be said of a coat that is not on record, as in a file of timed coats."""


def _coat_options(command: Any) -> Any:
    for key in reversed((*TIMES, *COAT)):
        option, words = TEXT_OPTIONS[key]
        command = click.option(option, key, metavar="TEXT", help=words)(command)
    return command


@click.command("test")
@click.argument("name", metavar="NAME")
@click.option("--water", type=TIME, help="How long a drop of water stood on it.")
@click.option("--white/--no-mark", default=None, help="Whether it left a white mark.")
@click.option("--film-days", type=click.FloatRange(0), help="How old the film is.")
@click.option("--whitened/--stayed-clear", default=None, help="Whether the coat whitened.")
@click.option("--coat", type=int, metavar="NUMBER",
              help="Movement of the coat that is meant [the last one].")  # fmt: skip
@click.option("--part", "parts", multiple=True, metavar="NAME", help="On which part it was.")
@click.option("--jar", metavar="NAME", help="Jar of a coat that is not on record: for its cut "
              "and alcohol.")  # fmt: skip
@_coat_options
@room_options
@click.option("--anew", is_flag=True, help="Begin a new test though one is running.")
@writes
def test_(
    *, name: str, water: float | None, white: bool | None, film_days: float | None,
    whitened: bool | None, coat: int | None, parts: tuple[str, ...], temp: float | None,
    rh: float | None, anew: bool, **given: Any,
) -> None:  # fmt: skip
    """Test the film on a piece or panel: with a drop of water, or by the clock.

    A timed coat (--touch-dry, with --print-free or --recoat) and one that whitened or stayed clear
    teach the drying model your bench. They are about the last coat on record there, or about one
    that is told in full: --wet (or --weighed, --used), --cut and --alcohol (or --jar), --board,
    --thickness, --size. The air is that of the reading nearest in time, or --temp and --rh.

    Example: lacwright piece test "panel 3" --touch-dry "9 min" --print-free "25 min"
    """
    words = {key: given.pop(key) for key in (*TIMES, *COAT)}
    told = {key: value for key, value in words.items() if value is not None}
    told |= {key: value for key, value in
             (("coat", coat), ("parts", list(parts) or None), ("jar", given.pop("jar")))
             if value is not None}  # fmt: skip
    test, result = _asked(water, white, film_days, whitened, told)
    if test != "water-spot":
        from lacwright.cli import dry_common

        dry_common.ready_model()
    with desk(given) as entry:
        from lacwright.shop.services.proving import record_test

        answer = record_test(of_kind="piece", of=name, test=test, temp_c=temp, rh=rh,
                             result=result, anew=anew, entry=entry)  # fmt: skip
        own = _own(test)
    data = answer.data
    missing = test_missing(data)
    if data.get("learned", {}) is None:
        missing["learned"] = data["why_not"]
    line = test_line(data, str(data["of"])) if test == "water-spot" else _line(answer)
    lines = test_lines(data) if test == "water-spot" else [*data["says"], *own]
    say("piece.test", answer, when=given, keys=data, missing=missing, cautions=(), line=line,
        lines=lines)  # fmt: skip


def _asked(
    water: float | None, white: bool | None, film_days: float | None, whitened: bool | None,
    told: dict[str, Any],
) -> tuple[str, dict[str, Any]]:  # fmt: skip
    """Return which test is meant, and its result."""
    timed = any(key in told for key in TIMES)
    named = [option for option, is_named in (
        ("--water", water is not None), ("--touch-dry", timed),
        ("--whitened", whitened is not None),
    ) if is_named]  # fmt: skip
    if len(named) != 1:
        what = "nothing was seen" if not named else f"{' and '.join(named)} are two tests"
        raise Refusal("piece test", what, "give --water, or --touch-dry, or --whitened or "
                      "--stayed-clear")  # fmt: skip
    if water is None:
        if white is not None or film_days is not None:
            raise Refusal(
                "--film-days" if white is None else "--white",
                "that belongs to a drop of water",
                "give --water, or leave it out",
            )
        return ("timed-coat", told) if timed else ("whitened", {**told, "whitened": whitened})
    if told:
        key = next(iter(told))
        option = TEXT_OPTIONS[key][0] if key in TEXT_OPTIONS else f"--{key.removesuffix('s')}"
        raise Refusal(option, "it does not belong to a drop of water", "leave it out")
    return "water-spot", water_result(water, white, film_days)


def _line(answer: Answer) -> str:
    data = answer.data
    if data["test"] == "timed-coat":
        return f"wrote down a timed coat on {data['of']}."
    word = "whitened" if data["result"]["whitened"] else "stayed clear"
    return f"wrote down that a coat on {data['of']} {word}."


def _own(test: str) -> list[str]:
    """Return what the constants are now, with all that was seen."""
    if test == "water-spot":
        return []
    from lacwright.cli.own_figures import banded
    from lacwright.shop.queries.own_figures import own_figures

    names = ["drying.air", "drying.diffusion"] if test == "timed-coat" else [
        "drying.water_tolerance"]  # fmt: skip
    return [f"{line.name} is now {banded(line.figure)}; usual {banded(line.prior)}."
            for line in own_figures(only=names).values() if line.seen]  # fmt: skip
