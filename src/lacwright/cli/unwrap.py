"""`lacwright unwrap`: a cold piece brought in."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import click

from lacwright.cli.dry_common import KELVIN
from lacwright.cli.show import RH, TEMPERATURE, emit, json_option

if TYPE_CHECKING:
    from lacwright.figures import Figure

KEYS = ("dew_point_c", "warming_constant_min", "dew_point_min", "unwrap_min", "coat_at_c",
        "coat_min")  # fmt: skip
MOST_K = 30.0
SKIN = ("It is the skin that is read: the core lags behind, and the wood's moisture settles over "
        "days in this air.")  # fmt: skip
FASTER = "Without its wrapping it warms faster: read it again before the coat."
_LATER = re.compile(r"\s*(?P<temp>.+?)\s+after\s+(?P<time>.+?)\s*")


@click.command()
@click.option("--first", "first_c", type=TEMPERATURE, required=True,
              help="Skin of the piece at the first reading: 4 (Celsius) or '40 F'.")  # fmt: skip
@click.option("--later", required=True, help="And at a later one: '9 after 30 min'.")
@click.option("--temp", "temp_c", type=TEMPERATURE, required=True, help="Of the room.")
@click.option("--rh", type=RH, required=True, help="Of the room: '50 %' or 0.5.")
@click.option("--unwrap-margin", "margin_k", type=KELVIN, help="So far above the dew point "
              "before it is unwrapped: 2, '2 K' or '3.6 F'.")  # fmt: skip
@click.option("--coat-at", "coat_at_c", type=TEMPERATURE,
              help="Skin from which on it is coated; else a little below the room.")  # fmt: skip
@json_option
def unwrap(
    first_c: float, later: str, temp_c: float, rh: float, margin_k: float | None,
    coat_at_c: float | None, as_json: bool,
) -> None:  # fmt: skip
    """When a cold piece may be unwrapped, and when coated, from two readings of its skin.

    Example: lacwright unwrap --first 4 --later "9 after 30 min" --temp 22 --rh "50 %"
    """
    from lacwright.climate import warming
    from lacwright.figures import Refusal, given

    if margin_k is not None and not 0 <= margin_k <= MOST_K:
        raise Refusal("--unwrap-margin", f"{margin_k:g} K cannot be", "write e.g. 2")
    later_c, after_min = read_later(later)
    figures = warming(
        first_c=given(first_c, "C", "--first"), later_c=given(later_c, "C", "--later"),
        after_min=given(after_min, "min", "--later"), room_c=given(temp_c, "C", "--temp"),
        rh=given(rh, "1", "--rh"),
        margin_k=None if margin_k is None else given(margin_k, "K", "--unwrap-margin"),
        coat_at_c=None if coat_at_c is None else given(coat_at_c, "C", "--coat-at"),
    )  # fmt: skip
    dew = figures["dew_point_c"].number()
    notes = [SKIN]
    warmer = _already_warmer(figures, first_c)
    if warmer:
        notes.append(f"{warmer[0].upper()}{warmer[1:]}: it is coated when it is unwrapped.")
    lines = [
        _first(figures["unwrap_min"], figures["coat_min"]),
        f"Dew point      {dew:.1f} C in this room: a skin that cold gets wet",
        f"At dew point   {_span(figures['dew_point_min'])}",
        f"Unwrap         {_banded(figures['unwrap_min'])}",
        f"Coat           {_banded(figures['coat_min'])}, "
        + (f"when it is unwrapped: {warmer}" if warmer else
           f"its skin at {figures['coat_at_c'].number():.1f} C"),
        f"Warms by       two thirds of the way in {_span(figures['warming_constant_min'])}",
        SKIN,
        FASTER,
    ]  # fmt: skip
    keys = {**{k: figures[k].value for k in KEYS}, "notes": [*notes, FASTER]}
    emit(schema="lacwright.unwrap/1", keys=keys, lines=lines, as_json=as_json,
         figures=figures)  # fmt: skip


def read_later(text: str) -> tuple[float, float]:
    """Read "9 after 30 min" as a temperature [C] and a time [min]."""
    from lacwright.figures import Refusal, units
    from lacwright.figures.quantities import read

    found = _LATER.fullmatch(text)
    if found is None:
        raise Refusal("--later", f"'{text}' does not say after how long",
                      "write e.g. '9 after 30 min'")  # fmt: skip
    temp_c = read(found["temp"], units.TEMPERATURE, "--later")
    return temp_c, read(found["time"], units.TIME, "--later") * 60


def _already_warmer(figures: dict[str, Figure], first_c: float) -> str:
    """Return that the skin is past the temperature to coat at before it is unwrapped, or ""."""
    coat_at = figures["coat_at_c"].number()
    if coat_at <= first_c:
        return f"its skin was warmer than {coat_at:.1f} C at the first reading already"
    margin = figures["unwrap_min"].number() > 0
    if margin and figures["coat_min"].number() <= figures["unwrap_min"].number():
        return f"its skin is warmer than {coat_at:.1f} C by then"
    return ""


def _first(unwrap: Figure, coat: Figure) -> str:
    if coat.number() == 0:
        return "Unwrap it and coat it now: its skin was warm enough at the first reading."
    when = f"coat it {_minutes(coat.number())} after the first reading."
    if unwrap.number() == 0:
        return f"Unwrap it now, its skin is above the dew point; {when}"
    return f"Leave it wrapped for {_minutes(unwrap.number())} from the first reading; {when}"


def _span(figure: Figure) -> str:
    minutes = figure.number()
    if minutes == 0:
        return "at once"
    return _minutes(minutes)


def _banded(figure: Figure) -> str:
    if figure.number() == 0 or figure.low is None or figure.high is None:
        return _span(figure)
    return (f"{_minutes(figure.number())}, {_minutes(max(figure.low, 0))} to "
            f"{_minutes(figure.high)}")  # fmt: skip


def _minutes(minutes: float) -> str:
    if minutes < 90:
        return f"{minutes:.0f} min"
    return f"{minutes / 60:.1f} h"
