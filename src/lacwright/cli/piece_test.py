"""`piece test`: a drop of water; a coat that was timed or whitened; how a panel reads and looks."""

from __future__ import annotations

import re
from collections.abc import Mapping
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
@click.option("--colour", "colour_file", metavar="PANEL.toml",
              help="How the bands of a panel read: a file with one [[panel]].")  # fmt: skip
@click.option(
    "--foretell",
    "films",
    multiple=True,
    metavar="TEXT",
    help="Foretell its look under a film, 'amber 14 g/m2'; more than one for a blend.",
)
@click.option("--bare-lab", metavar="L,a,b", help="With --foretell: its bare wood as it reads.")
@click.option("--light", metavar="NAME", help="With --foretell: illuminant [D65].")
@click.option("--observer", metavar="DEGREES", help="With --foretell: 2 or 10 [2].")
@click.option("--geometry", metavar="NAME", help="With --foretell: 45/0 or 8/d [45/0].")
@click.option("--read-lab", metavar="L,a,b", help="How what was foretold last reads now.")
@_coat_options
@room_options
@click.option("--anew", is_flag=True, help="Begin a new test though one is running.")
@writes
def test_(
    *, name: str, water: float | None, white: bool | None, film_days: float | None,
    whitened: bool | None, coat: int | None, parts: tuple[str, ...], temp: float | None,
    rh: float | None, anew: bool, colour_file: str | None, films: tuple[str, ...],
    bare_lab: str | None, light: str | None, observer: str | None, geometry: str | None,
    read_lab: str | None, **given: Any,
) -> None:  # fmt: skip
    """Test a piece or panel: with a drop of water, by the clock, by its colour.

    A timed coat (--touch-dry, with --print-free or --recoat) and one that whitened or stayed clear
    teach the drying model your bench. They are about the last coat on record there, or about one
    that is told in full: --wet (or --weighed, --used), --cut and --alcohol (or --jar), --board,
    --thickness, --size. The air is that of the reading nearest in time, or --temp and --rh.

    A panel whose bands were read (--colour) teaches the colour of its grades and of its wood; a
    band may name a part of the panel, and what lies on it is then known from the coats on record.
    What a film is to look like can be foretold (--foretell) and read later (--read-lab).

    Example: lacwright piece test "panel 3" --touch-dry "9 min" --print-free "25 min"
    """
    words = {key: given.pop(key) for key in (*TIMES, *COAT)}
    told = {key: value for key, value in words.items() if value is not None}
    told |= {key: value for key, value in
             (("coat", coat), ("parts", list(parts) or None), ("jar", given.pop("jar")))
             if value is not None}  # fmt: skip
    look = {"film": list(films) or None, "bare": bare_lab, "light": light, "observer": observer,
            "geometry": geometry, "read": read_lab}  # fmt: skip
    colour = _colour(colour_file, {k: v for k, v in look.items() if v is not None})
    if colour is not None and (told or water is not None or whitened is not None):
        raise Refusal("piece test", "two tests are asked for", "write them down one by one")
    test, result = colour or _asked(water, white, film_days, whitened, told)
    if test in ("timed-coat", "whitened"):
        from lacwright.cli import dry_common

        dry_common.ready_model()
    with desk(given) as entry:
        from lacwright.shop.services.proving import record_test

        answer = record_test(of_kind="piece", of=name, test=test, temp_c=temp, rh=rh,
                             result=result, anew=anew or "film" in result,
                             entry=entry)  # fmt: skip
        own = _own(test, answer.data)
    data = answer.data
    missing = test_missing(data)
    if data.get("learned", {}) is None:
        missing["learned"] = data["why_not"]
    line = test_line(data, str(data["of"])) if test == "water-spot" else _line(answer)
    lines = test_lines(data) if test == "water-spot" else [*data["says"], *own]
    if data.get("learned") is not None and "says" in data["learned"]:
        # What is added up is for the program; what it says of each constant is in own-figures.
        data = {**data, "learned": {k: v for k, v in data["learned"].items() if k != "says"}}
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


def _colour(file: str | None, look: dict[str, Any]) -> tuple[str, dict[str, Any]] | None:
    """Return which test of colour is meant, and its result; None for another test."""
    if file is not None and look:
        raise Refusal("--colour", "a panel and a look are two tests", "write them down one by one")
    if file is not None:
        return "colour-panel", _panel_of(file)
    if not look:
        return None
    if "film" not in look and "read" not in look:
        option = next(iter(look)).replace("bare", "bare-lab")
        raise Refusal(f"--{option}", "of which film is not said", "add --foretell 'amber 14 g/m2'")
    if "read" in look and len(look) > 1:
        raise Refusal("--read-lab", "it is read after it was foretold", "write it down by itself")
    if "film" in look:
        look["film"] = _film(look["film"])
    return "colour-look", look


def _panel_of(file: str) -> dict[str, Any]:
    """Return the one panel of a file as it was typed."""
    from lacwright.files.toml import load_toml

    data = load_toml(file)
    panels = data.get("panel")
    if not isinstance(panels, list) or len(panels) != 1 or len(data) != 1:
        raise Refusal(file, "there is not just one [[panel]] in it",
                      "a test is of one panel: write one into each file")  # fmt: skip
    return {k: str(v) if k == "date" else v for k, v in panels[0].items()}


def _film(texts: list[str]) -> dict[str, float]:
    """Read 'amber 14 g/m2' once or more."""
    from lacwright.colour import find_grade_colour
    from lacwright.figures import units as u
    from lacwright.figures.quantities import read

    out: dict[str, float] = {}
    for text in texts:
        found = _FILM.fullmatch(text.strip())
        if found is None:
            raise Refusal("--foretell", f"'{text}' is no grade and load",
                          "write e.g. --foretell 'amber 14 g/m2'")  # fmt: skip
        grade = find_grade_colour(found[1], "--foretell").name
        out[grade] = out.get(grade, 0.0) + read(found[2], u.LOAD, "--foretell")
    return out


_FILM = re.compile(r"([a-z][a-z -]*?)\s+(\d.*)", re.IGNORECASE)


def _line(answer: Answer) -> str:
    data = answer.data
    if data["test"] == "colour-panel":
        return f"wrote down how {data['of']} reads."
    if data["test"] == "colour-look":
        return f"wrote down how {data['of']} {'is to look' if 'hit' not in data else 'looks'}."
    if data["test"] == "timed-coat":
        return f"wrote down a timed coat on {data['of']}."
    word = "whitened" if data["result"]["whitened"] else "stayed clear"
    return f"wrote down that a coat on {data['of']} {word}."


def _own(test: str, data: Mapping[str, Any]) -> list[str]:
    """Return what the constants are now, with all that was seen."""
    if test in ("water-spot", "colour-look"):
        return []
    from lacwright.cli.own_figures import banded
    from lacwright.shop.queries.own_figures import own_figures

    if test == "colour-panel":
        names = [n for n in data["learned"]["says"]["names"] if n.endswith((".level", ".wetting"))]
    else:
        names = ["drying.air", "drying.diffusion"] if test == "timed-coat" else [
            "drying.water_tolerance"]  # fmt: skip
    return [f"{line.name} is now {banded(line.figure)}; usual {banded(line.prior)}."
            for line in own_figures(only=names).values() if line.seen]  # fmt: skip
