"""The maker's own figures: the [hand] table of a piece file, or a hand file of its own.

Every name is a key of the table of practice or of the table of hand keys, so that nothing can be
given that nobody reads.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path
from typing import Any

from lacwright.figures import Figure, Learned, Refusal, Refusals, given, nearest
from lacwright.figures import units as u
from lacwright.files import words as w
from lacwright.files.checks import FileTable, check, entry, unknown_key
from lacwright.files.spec import quote_spec, shop_of
from lacwright.files.toml import load_toml
from lacwright.film import calibrate
from lacwright.plan.piece import Own, Piece, QuoteSpec, Shop
from lacwright.trade import Row, table

OBSERVED = ("timed", "event")
"""Tables of observations of drying coats, in `files.timed_coat`."""
PANEL = "panel"
"""Table of panels whose colour was read, in `files.colour_panels`."""
_COLOUR = "colour."
_DRYING = ("drying.air", "drying.diffusion", "drying.water_tolerance")
_PER_GRAM = re.compile(r"\s*(\d*\.?\d+(?:e-?\d+)?)\s*m2\s*/\s*g\s*", re.IGNORECASE)
_DIVISORS = ("coats_per_day", "sessions_before_rest", "levels_every")
"""Counts by which the calendar divides: none of them can be nothing."""


@dataclass(frozen=True)
class Hand:
    """The maker's own figures, and what else a hand file says."""

    own: Own = field(default_factory=dict)
    working_days: tuple[int, ...] | None = None
    shop: Shop | None = None
    quote: QuoteSpec | None = None


@dataclass(frozen=True)
class OwnKey:
    """A name under which an own figure can be given."""

    name: str  # "wait.brush", "spread.<method>"
    kind: str
    unit: str
    words: str
    default: str
    each: tuple[str, ...] = ()  # what <...> stands for

    def filled(self) -> tuple[str, ...]:
        """Return every name, the words of <...> put in: "spread.brush", "colour.amber.level"."""
        head, tail = self._ends
        return tuple(head + word + tail for word in self.each or ("",))

    def inserted(self, name: str) -> str:
        """Return what stands for <...> in a name: "brush" of "spread.brush"; "" without one."""
        head, tail = self._ends
        return name[len(head) : len(name) - len(tail)] if self.each else ""

    @property
    def _ends(self) -> tuple[str, str]:
        head, _, tail = self.name.partition("<")
        return head, tail.partition(">")[2]


class WeighedTable(FileTable):
    """A coat that was weighed: what was expected to leave the jar, and what did."""

    method: w.Method = entry("method of laying", '"brush"', needed=True)
    expected: w.Ml = entry("what the default or the recipe expected", '"90 ml"', unit="ml",
                           needed=True)  # fmt: skip
    weighed: w.Ml = entry("what really left the jar", '"78 ml"', unit="ml", needed=True)


def read_hand(path: Path | str) -> Hand:
    """Return the figures of a hand file: [hand], and [shop] and [quote] if they stand there.

    Parameters
    ----------
    path : Path or str
        A TOML file.

    Raises
    ------
    Refusal
        For all that is wrong with it, each with its place.
    """
    data, name = load_toml(path), Path(path).name
    known = ("hand", "shop", "quote")
    refusals = [unknown_key(key, known, name) for key in data if key not in known]
    hand, wrong = read_own(data.get("hand", {}), "hand file")
    refusals += wrong
    shop, wrong = shop_of(data.get("shop", {}), hand.working_days)
    refusals += wrong
    quote, wrong = quote_spec(data["quote"]) if "quote" in data else (None, [])
    refusals += wrong
    if refusals:
        raise Refusals(
            r if r.where == name else r.at(f"{name}, {r.where}") for r in refusals
        )  # fmt: skip
    return replace(hand, shop=shop, quote=quote)


def with_hand(piece: Piece, hand: Hand) -> Piece:
    """Return the piece with the hand file's figures wherever the piece file is silent."""
    said = {_subject(name) for name in piece.own}
    own = {name: figure for name, figure in hand.own.items() if _subject(name) not in said}
    quote = piece.quote or hand.quote
    if piece.quote and hand.quote:
        quote = _filled(piece.quote, hand.quote)
    shop = hand.shop or Shop(working_days=hand.working_days)
    return replace(piece, own={**own, **piece.own}, shop=_filled(piece.shop, shop), quote=quote)


def read_own(data: Any, source: str) -> tuple[Hand, list[Refusal]]:
    """Return the own figures of a [hand] table and all that is wrong with them.

    Parameters
    ----------
    data : object
        What TOML gave for [hand].
    source : str
        "piece file" or "hand file"; stands in the source of every figure.
    """
    if not isinstance(data, Mapping):
        return Hand(), [Refusal("[hand]", "it is not a table", "write [hand] on a line of its own")]
    own: dict[str, Figure | Learned] = {}
    refusals: list[Refusal] = []
    days: tuple[int, ...] | None = None
    own |= _observed(data, refusals)
    for name, value in _leaves(data, "", refusals):
        try:
            if name in own and name in _DRYING:
                raise Refusal("", "it is given, and learned from [[hand.timed]] or [[hand.event]] "
                              "as well", "keep one of them")  # fmt: skip
            if name.startswith(_COLOUR) and name in own:
                raise Refusal("", "it is given, and learned from [[hand.panel]] as well",
                              "keep one of them")  # fmt: skip
            if name in OBSERVED or name == PANEL:
                continue
            if name == "weighed":
                own |= _weighed(value, refusals)
            elif name == "working_days":
                days = _weekdays(value)
            else:
                own |= _figures(name, value, f"{source}, hand.{name}")
        except Refusal as refusal:
            refusals.append(refusal.at(_place(name)))
    return Hand(own, days), refusals


def own_keys() -> tuple[OwnKey, ...]:
    """Return every name of an own figure, with its default as text, in the order of the tables."""
    practice = [
        OwnKey(row.key, row.text("kind"), row.text("unit"), row.text("words"), _default(row))
        for row in table("practice")
    ]
    more = [
        OwnKey(row.key, row.text("kind"), row.text("unit"), row.text("words"),
               "see its table" if row.has("each") else "", _each(row))
        for row in table("hand_keys")
    ]  # fmt: skip
    return (*practice, *more)


def own_names() -> tuple[str, ...]:
    """Return every name of an own figure, the words of <...> put in."""
    return tuple(_names())


def example(key: OwnKey) -> str:
    """Return how a figure of this kind is written."""
    return KINDS[key.kind][1]


def _leaves(data: Mapping[str, Any], above: str, refusals: list[Refusal]) -> Iterator[
    tuple[str, Any]
]:  # fmt: skip
    names = _names()
    for key, value in data.items():
        name = _canonical(f"{above}{key}")
        if name in names or name in ("weighed", PANEL) or name in OBSERVED:
            yield name, value
        elif isinstance(value, Mapping) and any(n.startswith(name + ".") for n in names):
            yield from _leaves(value, name + ".", refusals)
        else:
            refusals.append(Refusal(_place(name), f"no own figure is called '{name}'",
                                    _nearest(name, names)))  # fmt: skip


def _nearest(name: str, names: Mapping[str, OwnKey]) -> str:
    head = name.partition(".")[0]
    family = [n for n in names if n.startswith(head + ".")]
    if family:
        return nearest(name, family)
    return nearest(head, {n.partition(".")[0] for n in names})


def _canonical(name: str) -> str:
    """Return the name with the method as the tables call it: wait.brushed is wait.brush."""
    head, dot, tail = name.rpartition(".")
    if not dot or name in _names() or name.startswith(_COLOUR):
        return name
    for of in ("methods", "absorption"):
        for row in table(of):
            plain = tail.lower().replace("_", "-").replace(" ", "-")
            if plain in (n.lower().replace(" ", "-") for n in row.names()):
                found = f"{head}.{row.key}"
                if found in _names():
                    return found
    return name


@cache
def _names() -> dict[str, OwnKey]:
    return {name: key for key in own_keys() for name in key.filled()}


def _each(row: Row) -> tuple[str, ...]:
    words = row.words("each")
    if len(words) == 1 and words[0] in ("methods", "absorption", "colour_grades", "colour_woods"):
        return tuple(r.key for r in table(words[0]))
    return words


def _default(row: Row) -> str:
    if not row.has("value"):
        return "asked for, never assumed"
    unit = "" if row.text("unit") == "1" else " " + row.text("unit")
    band = f" ({row.text('low')} to {row.text('high')})" if row.has("low") else ""
    return f"{row.text('value')}{band}{unit}"


def _place(name: str) -> str:
    head, dot, tail = name.rpartition(".")
    return f"[hand.{head}] {tail}" if dot else f"[hand] {name}"


def _figures(name: str, value: Any, source: str) -> dict[str, Figure]:
    key = _names()[name]
    if key.kind == "spreads" and isinstance(value, list):
        if not value:
            raise Refusal("", "the list is empty", f"write e.g. {example(key)}")
        each = [_figure(key, name, v, source) for v in value]
        return {f"{name}.{n}": f for n, f in enumerate(each, 1)} | {name: each[-1]}
    return {name: _figure(key, name, value, source)}


def _figure(key: OwnKey, name: str, value: Any, source: str) -> Figure:
    read = KINDS[key.kind][0]
    band: dict[str, float | None] = {"low": None, "high": None}
    unit = key.unit
    if isinstance(value, Mapping):
        for word in value:
            if word not in ("value", "low", "high"):
                raise unknown_key(word, ("value", "low", "high"), "")
        if "value" not in value:
            raise Refusal("", "a range without its value",
                          'write e.g. { value = "2 h", low = "1 h", high = "3 h" }')  # fmt: skip
        ends = {word: _read(read, v, unit) for word, v in value.items()}
        if len({of for _, of in ends.values()}) > 1:
            raise Refusal("", "value, low and high have different kinds of unit", "use one of them")
        numbers = {word: number for word, (number, _) in ends.items()}
        number, unit = ends["value"]
        band["low"], band["high"] = numbers.get("low"), numbers.get("high")
        if not numbers.get("low", number) <= number <= numbers.get("high", number):
            raise Refusal("", "the value does not lie between low and high", "mend the range")
    else:
        number, unit = _read(read, value, unit)
    if name.partition(".")[0] in _DIVISORS and number < 1:
        raise Refusal("", f"{w.shown(value)} is below 1", "write 1 or more")
    if name.partition(".")[0] == "lost" and number >= 1:
        raise Refusal("", "all of it is lost", "write the share that is lost, below 100 %")
    figure = given(number, unit, source, **band)
    if name in _DRYING:
        from lacwright.drying import own_constants

        own_constants({name: figure})  # refuses what no bench can have
    if name.startswith(_COLOUR):
        from lacwright.colour import check_own

        check_own({name: figure})
    return figure


def _read(read: Callable[[Any], Any], value: Any, unit: str) -> tuple[float, str]:
    found = read(value)
    if isinstance(found, w.Deposit):
        return (found.um, "um") if found.um is not None else (found.g_m2 or 0.0, "g/m2")
    return float(found), unit


def _weighed(value: Any, refusals: list[Refusal]) -> dict[str, Learned]:
    """Return the factor of the hand for each method that has weighed coats."""
    if not isinstance(value, list):
        raise Refusal("", f"{w.shown(value)} is not a list",
                      'write [[hand.weighed]] tables with method, expected, weighed')  # fmt: skip
    pairs: dict[str, list[tuple[float, float]]] = {}
    for n, item in enumerate(value, 1):
        row, wrong = check(WeighedTable, item, f"[[hand.weighed]] {n}")
        refusals += wrong
        if row is not None:
            pairs.setdefault(row.method, []).append((row.expected, row.weighed))
    return {
        f"hand.{method}": calibrate(pairs=seen, name=f"hand.{method}")
        for method, seen in pairs.items()
    }


def _observed(
    data: Mapping[str, Any], refusals: list[Refusal]
) -> dict[str, Figure | Learned]:  # fmt: skip
    """Return what the observations of drying coats and of panels teach, where there are any."""
    own: dict[str, Figure | Learned] = {}
    if any(key in data for key in OBSERVED):
        from lacwright.files.timed_coat import learned_of

        learned, wrong = learned_of(data)
        own |= learned
        refusals += wrong
    if PANEL in data:
        own |= _panels(data, refusals)
    return own


def _panels(data: Mapping[str, Any], refusals: list[Refusal]) -> dict[str, Figure]:
    """Return what the kept panels teach of grades and woods."""
    from lacwright.colour import learned_figures
    from lacwright.files.colour_panels import evidence_of

    evidence, wrong = evidence_of(data)
    refusals += wrong
    return {} if wrong else learned_figures(evidence)


def _weekdays(value: Any) -> tuple[int, ...]:
    if isinstance(value, int) and not isinstance(value, bool) and 1 <= value <= len(w.WEEKDAYS):
        return tuple(range(value))  # so many days from Monday on
    if not isinstance(value, list) or not value:
        raise Refusal("", f"{w.shown(value)} is not a list of days", 'write e.g. ["mon", "tue"]')
    return tuple(sorted({w.weekday(day) for day in value}))


def _subject(name: str) -> str:
    """Return what a figure is about: all ways of saying how much is laid are one subject."""
    head, _, tail = name.partition(".")
    if head in ("spread", "uses"):
        return "load." + tail.partition(".")[0]
    return name


def _filled(strong: Any, weak: Any) -> Any:
    """Return the stronger with the weaker's word wherever it says nothing."""
    silent = (None, (), "")
    return replace(strong, **{
        name: getattr(weak, name) for name, value in vars(strong).items() if value in silent
    })  # fmt: skip


def _ratio(value: Any) -> float:
    number = w.count(value)
    if number == 0:
        raise Refusal("", "a ratio of zero", "write e.g. 2.5")
    return number


def _signed(value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise Refusal("", f"{w.shown(value)} is not a number (without quotes)", "write e.g. -1.4")
    if not abs(value) <= sys.float_info.max:
        raise Refusal("", f"{w.shown(value)} is not a number", "write e.g. -1.4")
    return float(value)


def _together(value: Any) -> float:
    number = _signed(value)
    if not -1 <= number <= 1:
        raise Refusal("", f"{w.shown(value)} is no correlation", "write one within -1 and 1")
    return number


def _absorption(value: Any) -> float:
    if isinstance(value, str) and (found := _PER_GRAM.fullmatch(value)):
        value = float(found[1])
    return w.count(value)


def _yes(value: Any) -> float:
    if not isinstance(value, bool):
        raise Refusal("", f"{w.shown(value)} is neither true nor false", "write true or false")
    return float(value)


def _of(kind: u.Kind, *, zero: bool = True) -> Callable[[Any], float]:
    return lambda value: w.amount(value, kind, zero=zero)


KINDS: dict[str, tuple[Callable[[Any], Any], str]] = {
    "time": (w.hours, '"90 min"'),
    "clock": (w.hour_of_day, '"8:30"'),
    "days": (w.days, '"5 days"'),
    "volume": (_of(u.VOLUME), '"20 ml"'),
    "share": (w.share, '"15 %"'),
    "count": (w.count, "2"),
    "ratio": (_ratio, "2.5"),
    "constant": (_ratio, "0.5"),
    "absorption": (_absorption, '"0.0023 m2/g"'),
    "signed": (_signed, "-1.4"),
    "together": (_together, "0.6"),
    "wetting": (w.share, '"60 %"'),
    "skin": (w.share, '"3.5 %"'),
    "yes": (_yes, "true"),
    "weekdays": (_weekdays, '["tue", "wed", "thu", "fri"]'),
    "cut": (_of(u.CUT, zero=False), '"1.5-lb cut"'),
    "money": (w.count, "45"),
    "spreads": (_of(u.SPREAD, zero=False), '["95 ml/m2", "85 ml/m2"]'),
    "spread": (_of(u.SPREAD), '"20 ml/m2"'),
    "deposit": (w.deposit, '"4 um"'),
    "film": (_of(u.FILM), '"2.5 um"'),
    "density": (_of(u.DENSITY, zero=False), '"1.12 g/ml"'),
}
"""How a figure of each kind is read, and how it is written."""
