"""`jar test`: drying on glass beside a control, a drop of water, a dried sample."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from lacwright.cli.jar_common import desk, say
from lacwright.cli.jar_recall import recall_lines
from lacwright.cli.record_common import writes
from lacwright.cli.show import MASS, RH, SHARE, TEMPERATURE, TIME
from lacwright.figures import Caution, Refusal

if TYPE_CHECKING:
    from lacwright.shop.verdict import Times


def room_options(command: Any) -> Any:
    """Add the room in which it was tested."""
    for option in (
        click.option("--rh", type=RH, help="Relative humidity of the room."),
        click.option("--temp", type=TEMPERATURE, help="Of the room, C."),
    ):
        command = option(command)
    return command


@click.command("test")
@click.argument("jar")
@click.option("--tack-free", type=TIME, help="The drop: no longer tacky after.")
@click.option("--nail", type=TIME, help="The drop: no mark of a nail or thumb after.")
@click.option("--powder", type=TIME, help="The drop: powders under fine paper after.")
@click.option("--seen", type=TIME, help="Looked at after: what is not named had not come yet.")
@click.option("--control-tack-free", type=TIME, help="A drop of a fresh mix beside it.")
@click.option("--control-nail", type=TIME, help="The same of the fresh mix.")
@click.option("--control-powder", type=TIME, help="The same of the fresh mix.")
@click.option("--control-seen", type=TIME, help="The same of the fresh mix.")
@click.option("--sample", type=MASS, help="Or a dried sample: its weight wet.")
@click.option("--dry", type=MASS, help="Its weight dry.")
@click.option("--moisture", type=SHARE, help="Water in the flakes it was made of.")
@click.option("--water", type=TIME, help="Or a drop of water on a film of it: how long it stood.")
@click.option("--white/--no-mark", default=None, help="Whether it left a white mark.")
@click.option("--film-days", type=click.FloatRange(0), help="How old the film was.")
@room_options
@click.option("--anew", is_flag=True, help="Begin a new test though one is running.")
@writes
def test_(
    *, jar: str, sample: float | None, dry: float | None, moisture: float | None,
    water: float | None, white: bool | None, film_days: float | None, temp: float | None,
    rh: float | None, anew: bool, **given: Any,
) -> None:  # fmt: skip
    """Test a jar: a drop on glass beside a drop of a fresh mix, timed from laying.

    What is seen later goes on with the running test. The verdict follows from the limits (your
    own, or common practice); a failed test shuts the jar and says what carries it.

    Example: lacwright jar test J7 --seen "45 min" --control-tack-free "8 min" --temp 21 --rh 50%
    """
    words = ("tack_free", "nail", "powder", "seen")
    mine = _times({word: given.pop(word) for word in words})
    control = _times({word: given.pop(f"control_{word}") for word in words}, control=True)
    asked = {"drying": mine or control, "residue": sample or dry, "water-spot": water}
    named = [test for test, value in asked.items() if value]
    if len(named) != 1:
        raise Refusal("jar test", "one test at a time",
                      "give times of a drop (--tack-free, --seen), or --sample and --dry, or "
                      "--water")  # fmt: skip
    result: dict[str, Any] = {}
    if sample or dry:
        if sample is None or dry is None:
            raise Refusal("--sample", "a sample is weighed wet and dry", "give --sample and --dry")
        result = {"sample_g": sample, "dry_g": dry, "moisture": moisture or 0.0, "retained": 0.0}
    elif water:
        result = water_result(water, white, film_days)
    with desk(given) as entry:
        from lacwright.shop import names
        from lacwright.shop.models import Jar
        from lacwright.shop.queries import carry
        from lacwright.shop.services.proving import record_test

        answer = record_test(
            of_kind="jar",
            of=jar,
            test=named[0],
            jar=mine,
            control=control,
            temp_c=temp,
            rh=rh,
            result=result,
            anew=anew,
            entry=entry,
        )
        told = None
        if answer.data["verdict"] == "failed":
            row = names.find(Jar, jar, "JAR")
            told = carry.recall(row, now_us=entry.written_us).as_json()
    lines = test_lines(answer.data)
    if told is not None:
        lines += ["The jar is shut: no coat, no pour but to the waste, until a later test passes.",
                  *recall_lines(told, why=False)]  # fmt: skip
    say("jar.test", answer, when=given, keys={**answer.data, "recall": told},
        missing=test_missing(answer.data) | ({} if told else {"recall": "the jar did not fail"}),
        cautions=_cautions(named[0], failed=told is not None),
        line=test_line(answer.data, f"jar {answer.data['of']}"), lines=lines)  # fmt: skip


def water_result(
    hours: float, white: bool | None, film_days: float | None
) -> dict[str, Any]:  # fmt: skip
    """Return what a drop of water showed.

    Raises
    ------
    Refusal
        If nobody says whether it left a mark.
    """
    if white is None:
        raise Refusal("--white", "whether it left a mark is not said",
                      "write --white or --no-mark")  # fmt: skip
    return {"hours": hours, "white": white, "film_days": film_days}


def _cautions(test: str, *, failed: bool) -> tuple[Caution, ...]:
    from lacwright.solution import caution

    codes = ["residue-drying"] if test == "residue" else []
    return tuple(caution(code) for code in [*codes, *(["flammable"] if codes or failed else [])])


def test_line(data: dict[str, Any], of: str) -> str:
    """Return the first line: what was tested, and the verdict."""
    if data["test"] == "residue":
        return f"wrote down a dried sample of {of}: {data['says'][0]}"
    word = {"passed": "it passed", "failed": "it failed", "running": "it is running",
            "control failed": "the control failed too, which says nothing about the jar",
            "not judged": "it is not judged"}[data["verdict"]]  # fmt: skip
    on = "went on with the" if data["went_on"] else "wrote down a"
    return f"{on} {data['test']} test of {of}: {word}."


def test_lines(data: dict[str, Any]) -> list[str]:
    """Return why, and when to look again."""
    from lacwright.shop.verdict import minutes

    lines = list(data["says"])[1 if data["test"] == "residue" else 0 :]
    if data["look_min"] is not None:
        began = "they went in" if data["test"] == "dissolve" else "laying"
        lines.append(f"Look again {minutes(data['look_min'])} after {began}.")
    return lines


def test_missing(data: dict[str, Any]) -> dict[str, str]:
    """Return the reasons for the nulls of a test."""
    why = {
        "jar": "no drop of the jar was timed",
        "control": "no control was timed",
        "temp_c": "not said",
        "rh": "not said",
        "look_min": "nothing is waited for",
        "observation": "it is a new test",
    }
    out = {key: reason for key, reason in why.items() if data[key] is None}
    for drop in ("jar", "control"):
        for name, value in (data[drop] or {}).items():
            if value is None:
                out[f"{drop}.{name}"] = "not seen"
    for name, value in data["result"].items():
        if value is None:
            out[f"result.{name}"] = "not said"
    return out


def _times(hours: dict[str, float | None], *, control: bool = False) -> Times | None:
    from lacwright.shop.verdict import Times

    if all(value is None for value in hours.values()):
        return None
    told = {f"{word}_min": None if value is None else 60.0 * value
            for word, value in hours.items()}  # fmt: skip
    try:
        return Times(**told)
    except Refusal as refusal:
        raise refusal.at(refusal.where.replace("--", "--control-") if control
                         else refusal.where) from None  # fmt: skip
