"""What all commands share: quantity options, text on the screen, the JSON object."""

from __future__ import annotations

import datetime as dt
import json
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import Any, TypeVar

import click

from lacwright.figures import Caution, Figure, Refusal, Stop
from lacwright.figures import units as u
from lacwright.figures.quantities import read, read_cut, read_day, read_rh
from lacwright.figures.spoken import brief as brief
from lacwright.figures.spoken import counted as counted
from lacwright.figures.spoken import founded as founded
from lacwright.figures.spoken import of_plural as of_plural
from lacwright.figures.spoken import there_are as there_are
from lacwright.figures.spoken import to_step as to_step

F = TypeVar("F", bound=Callable[..., Any])


class Quantity(click.ParamType[float]):
    """An option that takes a quantity as people write it and gives the bench unit."""

    name = "quantity"

    def __init__(self, kind: u.Kind, reader: Callable[[str | float, str], float] | None = None):
        self.kind = kind
        self.reader = reader

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """Read the text; raise Refusal with the option's name."""
        where = param.opts[0] if param else self.kind.name
        if isinstance(value, float):
            return value
        return self.reader(value, where) if self.reader else read(value, self.kind, where)

    def get_metavar(self, param: click.Parameter, ctx: click.Context | None = None) -> str:
        """Return an example as the placeholder of the help."""
        return f'"{self.kind.example.split(", ")[0]}"'


class Day(click.ParamType[dt.date]):
    """An option that takes a day, year-month-day."""

    name = "day"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> dt.date:
        """Read the text; raise Refusal with the option's name."""
        return read_day(value, param.opts[0] if param else "day")

    def get_metavar(self, param: click.Parameter, ctx: click.Context | None = None) -> str:
        """Return the form of a day as the placeholder of the help."""
        return "YYYY-MM-DD"


DAY = Day()
ENOUGH = 60
"""Characters after which a shortened caution ends with its sentence."""

MASS, VOLUME, LENGTH, AREA = (Quantity(k) for k in (u.MASS, u.VOLUME, u.LENGTH, u.AREA))
SPREAD, SHARE, FILM, TIME = (Quantity(k) for k in (u.SPREAD, u.SHARE, u.FILM, u.TIME))
TEMPERATURE, DENSITY = Quantity(u.TEMPERATURE), Quantity(u.DENSITY)
CUT = Quantity(u.CUT, read_cut)
RH = Quantity(u.SHARE, read_rh)


def json_option(command: F) -> F:
    """Add --json to a command."""
    return click.option("--json", "as_json", is_flag=True, help="One JSON object.")(command)


def emit(
    *, schema: str, keys: Mapping[str, Any], lines: Sequence[str], as_json: bool,
    figures: Mapping[str, Figure] | None = None, missing: Mapping[str, str] | None = None,
    cautions: Iterable[Caution] = (), stops: Iterable[Stop] = (), short: bool = False,
) -> None:  # fmt: skip
    """Print the answer of a command.

    Parameters
    ----------
    schema : str
        Name and version of the object, such as "lacwright.mix.make/1".
    keys : mapping
        The bare keys with unit suffixes, in order.
    lines : sequence of str
        The text answer; its first line is a sentence with the action.
    figures : mapping of str to Figure
        The same numbers with band, basis, mark, source, working.
    missing : mapping of str to str
        The reason for every null among `keys`.
    cautions, stops
        Printed with the number, in text and JSON alike; stops come before the amounts.
    short : bool
        In text, one line with the cautions shortened in place of their full words.
    """
    cautions, stops = tuple(cautions), tuple(stops)
    if not as_json:
        first = [f"Do not start yet. {line}" if stops else line for line in lines[:1]]
        for line in [*first, *(f"STOP: {s.text}" for s in stops), *lines[1:]]:
            click.echo(line)
        if short and cautions:
            # The last one defers to label, data sheet, codes and licensed practice: in full.
            *first, last = (c.text for c in cautions)
            told = " ".join([*(shortened(text) for text in first), last])
            click.echo(f"Cautions (shortened; in full with --json): {told}")
        for caution in () if short else cautions:
            click.echo(f"Caution: {caution.text}")
        return
    missing = dict(missing or {})
    nulls = set(_nulls(keys))
    if nulls != set(missing):
        raise AssertionError(f"every null needs its reason and no other: {nulls} {set(missing)}")
    out: dict[str, Any] = {"schema": schema, **keys}
    out["figures"] = {name: f.as_json() for name, f in (figures or {}).items()}
    out["missing"] = missing
    out["cautions"] = [c.as_json() for c in cautions]
    out["stops"] = [s.as_json() for s in stops]
    click.echo(json.dumps(_rounded(out), allow_nan=False, ensure_ascii=False, indent=1))


def _rounded(value: Any) -> Any:
    """Return the data with 12 significant digits: 1.9999999999999998 lb is a 2-lb cut."""
    if isinstance(value, float):
        return float(f"{value:.12g}")
    if isinstance(value, Mapping):
        return {k: _rounded(v) for k, v in value.items()}
    return [_rounded(v) for v in value] if isinstance(value, list | tuple) else value


def shortened(text: str) -> str:
    """Return the first sentences of a caution, as many as it takes to say what to do."""
    told = ""
    for sentence in re.split(r"(?<=[a-z)]\.) ", text):
        if len(told) > ENOUGH:
            break
        told += f" {sentence}"
    return told.strip()


def _nulls(value: Any, path: str = "") -> Iterator[str]:
    """Yield the dotted path of every null that no "missing" beside it explains."""
    if isinstance(value, Mapping):
        told = value.get("missing", {}) if path else {}
        for key, inner in value.items():
            if key not in told:
                yield from _nulls(inner, f"{path}.{key}" if path else key)
    elif isinstance(value, list | tuple):
        for n, inner in enumerate(value):
            yield from _nulls(inner, f"{path}.{n}")
    elif value is None:
        yield path


def reasoned(value: Any, why: str = "not said") -> Any:
    """Return data with the same reason beside every null in it."""
    if isinstance(value, Mapping):
        out = {key: reasoned(inner, why) for key, inner in value.items()}
        nulls = [key for key, inner in out.items() if inner is None]
        return {**out, "missing": dict.fromkeys(nulls, why)} if nulls else out
    return [reasoned(inner, why) for inner in value] if isinstance(value, list | tuple) else value


def only_one(**given: Any) -> str:
    """Return the name of the one option that was given.

    Raises
    ------
    Refusal
        If none or several were given.
    """
    names = [name for name, value in given.items() if value is not None]
    options = " or ".join("--" + n.replace("_", "-") for n in given)
    if len(names) != 1:
        raise Refusal(options, "give exactly one of them", f"{len(names)} were given")
    return names[0]
