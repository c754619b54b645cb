"""The shop's own figures: the usual one, what its coats say, what comes of it, what was left out.

A figure that he gave himself goes before what was learned. Learned ones are log-normal; the
precisions of the logarithms add (see `film.calibrate`).
"""

from __future__ import annotations

import contextlib
import math
import statistics
from collections.abc import Iterable, Iterator, Mapping
from contextvars import ContextVar
from dataclasses import dataclass, replace
from typing import Any

from lacwright.figures import (
    Basis,
    Figure,
    Learned,
    Mark,
    Refusal,
    computed,
    exact,
    nearest,
    unknown,
)
from lacwright.figures.learned import Z95
from lacwright.figures.units import G_PER_L_PER_CUT
from lacwright.plan.own import default_figure
from lacwright.shop.queries import colour_seen, drying_seen, own_seen
from lacwright.shop.queries.own_seen import (
    DEPOSIT,
    EVAPORATION,
    FILM,
    HOURS,
    LEFT_IN,
    LOST,
    SPREAD,
    Told,
)
from lacwright.shop.queries.own_words import LEARNED_WORDS, keys_by_name
from lacwright.shop.queries.preferences import own_given
from lacwright.shop.reading import snapshot
from lacwright.trade import table

FAMILIES = (SPREAD, LOST, LEFT_IN, DEPOSIT, FILM, HOURS)
DRYING = "drying"
IN_PLANS = (SPREAD, LOST, LEFT_IN, DRYING)
"""What of the learned figures a plan takes. It reckons deposit and film from these and the cut of
its own mix; one learned at another cut would be wrong."""
FEWEST = 3
"""So many are needed to tell an odd one where there is no usual figure."""

_UNITS = {SPREAD: "ml/m2", LOST: "1", LEFT_IN: "ml", DEPOSIT: "g/m2", FILM: "um", HOURS: "h/m2",
          EVAPORATION: "g/(m2 s)"}  # fmt: skip
_SPREADS = {SPREAD: "coat_ln_sd", DEPOSIT: "coat_ln_sd", FILM: "coat_ln_sd", LOST: "left_ln_sd",
            LEFT_IN: "left_ln_sd", HOURS: "hours_ln_sd",
            EVAPORATION: "evaporation_ln_sd"}  # fmt: skip
"""How far one coat lies about the mean of a hand: rows of the table of the film."""
_BY_HAND = (SPREAD, DEPOSIT, FILM)
"""Figures of a hand of which nothing is known but that it is one: a common spread."""


@dataclass(frozen=True)
class OwnLine:
    """One own figure.

    Parameters
    ----------
    name, unit, words : str
        What it is.
    prior : Figure
        The usual one; missing where there is none.
    given : Figure or None
        What he set himself: it goes before all else.
    learned : Learned or None
        The usual one moved by what was seen; None where nothing can be learned of it.
    seen, left_out : tuple of Told
        The coats that count, and those that do not, with the reason.
    panels : Figure or None
        Of a constant of colour, what the panels that count say together.
    """

    name: str
    unit: str
    words: str
    prior: Figure
    given: Figure | None = None
    learned: Learned | None = None
    seen: tuple[Told, ...] = ()
    left_out: tuple[Told, ...] = ()
    panels: Figure | None = None

    @property
    def n(self) -> int:
        """How many coats count."""
        return len(self.seen)

    @property
    def figure(self) -> Figure:
        """The figure that holds: his own word, what was learned, the usual one."""
        if self.given is not None:
            return self.given
        if self.panels is not None:
            return self.panels
        if self.learned is None or not self.seen:
            return self.prior
        if self.prior.value is not None:
            found = self.learned.figure()
            n = f"n = {len(self.learned.seen)};"  # bounds together count as one observation there
            return replace(found, source=found.source.replace(n, f"n = {self.n};", 1))
        mid, ln_sd = self.learned.posterior()
        return Figure(
            mid,
            mid * math.exp(-Z95 * ln_sd),
            mid * math.exp(Z95 * ln_sd),
            self.unit,
            Basis.LEARNED,
            Mark.OWN,
            f"from your log, n = {self.n}; no usual figure",
        )

    @property
    def calibrated_on(self) -> str:
        """The panel and day a constant of drying or colour rests on; empty for other figures."""
        last = self.seen[-1] if self.seen and self.given is None else None
        return getattr(last, "source", "")

    @property
    def last_us(self) -> int | None:
        """When the last coat that counts was laid."""
        return self.seen[-1].at_us if self.seen else None

    @property
    def reasons(self) -> dict[str, int]:
        """Why coats were left out, and how many of each."""
        out: dict[str, int] = {}
        for told in self.left_out:
            out[told.why] = out.get(told.why, 0) + 1
        return out


def own_figures(*, only: Iterable[str] | None = None) -> dict[str, OwnLine]:
    """Return the own figures by name: all of which something is known, or those asked for.

    Parameters
    ----------
    only : iterable of str, optional
        Names, such as "spread.brush"; they come back even where nothing was seen.

    Raises
    ------
    Refusal
        For a name of which there is no figure.
    """
    wanted = None if only is None else list(dict.fromkeys(only))
    for name in wanted or ():
        _check(name)
    with snapshot():
        return _own_figures(wanted)


def _own_figures(wanted: list[str] | None) -> dict[str, OwnLine]:
    given = own_given()
    by_name: dict[str, list[Told]] = {}
    if wanted is None or any(name in drying_seen.NAMES for name in wanted):
        for one in drying_seen.drying_told():
            by_name.setdefault(one.name, []).append(one)
    if wanted is None or any(_of_coats(name) for name in wanted):
        methods = None if wanted is None or EVAPORATION in wanted else {
            name.partition(".")[2] for name in wanted if _of_coats(name)
        }  # fmt: skip
        for told in own_seen.told_by(methods):
            by_name.setdefault(told.name, []).append(told)
    colours = _colours(wanted)
    names = wanted if wanted is not None else sorted({*by_name, *given, *colours})
    return {
        name: _colour_line(name, given, colours.get(name)) if colour_seen.is_colour(name)
        else _line(name, given, by_name.get(name, []))
        for name in names
    }  # fmt: skip


def _colours(wanted: list[str] | None) -> Mapping[str, colour_seen.ColourLine]:
    """Return what panels tell of colour; nothing of its room is imported where none was read."""
    mine = None if wanted is None else [n for n in wanted if colour_seen.is_colour(n)]
    return {} if mine == [] else colour_seen.colour_lines(mine)


def _colour_line(
    name: str, given: Mapping[str, Figure], told: colour_seen.ColourLine | None
) -> OwnLine:  # fmt: skip
    prior = colour_seen.usual(name) if told is None else told.usual
    return OwnLine(
        name, prior.unit, keys_by_name()[name].words, prior, given.get(name), None,
        () if told is None else told.seen, () if told is None else told.left_out,
        None if told is None else told.figure,
    )  # fmt: skip


def own_figure(name: str) -> Figure:
    """Return the figure that holds in this shop: given, learned, or the usual one.

    Raises
    ------
    KeyError
        For a name that is in no table: a fault of the program.
    """
    remembered = _REMEMBERED.get()
    if remembered is None:
        return _figure(name)
    if name not in remembered:
        remembered[name] = _figure(name)
    return remembered[name]


@contextlib.contextmanager
def remembered() -> Iterator[dict[str, Figure]]:
    """Look every own figure up once, for many entries; clear what is yielded to look anew.

    Each entry then is reckoned with the figures as they stood, and not a moment newer.
    """
    kept: dict[str, Figure] = {}
    token = _REMEMBERED.set(kept)
    try:
        yield kept
    finally:
        _REMEMBERED.reset(token)


_REMEMBERED: ContextVar[dict[str, Figure] | None] = ContextVar("remembered", default=None)


def _figure(name: str) -> Figure:
    given = own_given().get(name)
    if given is not None:
        return given
    return own_figures(only=[name])[name].figure if learns(name) else default_figure(name)


def for_plans(lines: Mapping[str, OwnLine]) -> dict[str, Figure | Learned]:
    """Return what a plan takes: all that he gave, and what was learned of amounts."""
    out: dict[str, Figure | Learned] = {}
    for name, line in lines.items():
        if line.given is not None:
            # "calibrated on your own figure", the model of the drying coat then says.
            own = replace(line.given, source="your own figure")
            out[name] = own if name in drying_seen.NAMES else line.given
        elif line.panels is not None:
            out[name] = line.panels
        elif line.seen and line.learned is not None and name.partition(".")[0] in IN_PLANS:
            out[name] = line.learned
    return out


def drying_hand() -> dict[str, Figure | Learned]:
    """Return the shop's own constants of the drying coat, as its model takes them.

    Given ones go before those that timed coats and whitenings teach; what nobody knows is left
    out. The compiled model is not needed.
    """
    return for_plans(own_figures(only=drying_seen.NAMES))


def colour_hand() -> dict[str, Figure | Learned]:
    """Return the shop's own figures of colour, as `colour.hand` takes them.

    Given ones go before those that panels teach; what nobody knows is left out.
    """
    with snapshot():
        given = {n: f for n, f in own_given().items() if colour_seen.is_colour(n)}
        told = {n: line.figure for n, line in colour_seen.colour_lines().items() if line.figure}
    return {**told, **given}


def learns(name: str) -> bool:
    """Return whether coats, timed panels, whitenings or panels of colour teach a figure."""
    return name in drying_seen.NAMES or _of_coats(name) or _of_colour(name)


def _of_colour(name: str) -> bool:
    return colour_seen.is_colour(name) and name in keys_by_name()


def _of_coats(name: str) -> bool:
    family, _, method = name.partition(".")
    return name == EVAPORATION or (family in FAMILIES and method in table("methods"))


def _line(name: str, given: Mapping[str, Figure], told: list[Told]) -> OwnLine:
    if not learns(name):
        prior = default_figure(name) if _is_default(name) else unknown("1", "no usual figure")
        words = table("practice")[name].text("words") if name in table("practice") else ""
        return OwnLine(name, prior.unit, words, prior, given.get(name))
    if name in drying_seen.NAMES:
        return _drying_line(name, given, told)
    family = name if name == EVAPORATION else name.partition(".")[0]
    prior = prior_of(name)
    seen, left_out = _sorted_out(told, prior, small=family == LEFT_IN)
    learned = _learned(name, family, prior, seen, given)
    return OwnLine(name, _UNITS[family], LEARNED_WORDS[family], prior, given.get(name), learned,
                   tuple(seen), tuple(left_out))  # fmt: skip


def _drying_line(name: str, given: Mapping[str, Figure], told: list[Told]) -> OwnLine:
    mine = [t for t in told if isinstance(t, drying_seen.DryingTold)]
    seen = tuple(t for t in mine if t.value is not None)
    return OwnLine(name, "1", keys_by_name()[name].words, drying_seen.usual(name), given.get(name),
                   drying_seen.learned_of(name, seen), seen,
                   tuple(t for t in mine if t.value is None))  # fmt: skip


def prior_of(name: str) -> Figure:
    """Return the usual figure of what coats teach, missing where there is none."""
    if name in drying_seen.NAMES:
        return drying_seen.usual(name)
    if colour_seen.is_colour(name):
        return colour_seen.usual(name)
    family, _, method = name.partition(".")
    if name == EVAPORATION or family in (SPREAD, LOST, LEFT_IN):
        return default_figure(name)
    if family == HOURS:
        return unknown("h/m2", "cannot estimate without your own hours: there are no usual ones")
    deposit = computed(
        "spread * (1 - lost) / 1000 * cut * per_lb / (1 + cut * per_lb / (1000 * density))", "g/m2",
        {"spread": default_figure(f"{SPREAD}.{method}"), "lost": default_figure(f"{LOST}.{method}"),
         "cut": default_figure(f"cut.{method}"), "density": default_figure("resin_density"),
         "per_lb": exact(G_PER_L_PER_CUT, "g/l", "1 lb per US gallon")},
        note="at the usual cut of the method",
    )  # fmt: skip
    if family == DEPOSIT:
        return deposit
    return computed("deposit / density", "um",
                    {"deposit": deposit, "density": default_figure("resin_density")})  # fmt: skip


def _learned(
    name: str, family: str, prior: Figure, seen: list[Told], given: Mapping[str, Figure]
) -> Learned | None:  # fmt: skip
    rows = table("film")
    of_coat = _SPREADS[family]
    about = given[of_coat].number() if of_coat in given else rows[of_coat].number("value")
    if prior.value is None:
        if not seen:
            return None
        start = Learned(name, _UNITS[family], seen[0].value or 1.0, math.inf, "none", Mark.OWN)
    else:
        start = Learned(name, _UNITS[family], prior.value, prior_ln_sd(family, prior),
                        prior.source, prior.mark)  # fmt: skip
    for told in seen:
        assert told.value is not None
        start = start.observe(told.value, about)
    return start


def prior_ln_sd(family: str, prior: Figure) -> float:
    """Return the spread (ln) of what is usual: of an unknown hand, or by the band of the figure."""
    by_hand = table("film")["hand_ln_sd"].number("value")
    if family in _BY_HAND or not prior.low or not prior.high or prior.low == prior.high:
        return by_hand
    return math.log(prior.high / prior.low) / (2 * Z95)


def _sorted_out(
    told: list[Told], prior: Figure, *, small: bool = False
) -> tuple[list[Told], list[Told]]:  # fmt: skip
    """Part what counts from what does not; a value far off what is usual is odd, not counted.

    `small`: however small it is, it counts, since it was weighed and the usual is but a guess: a
    small pad keeps little.
    """
    times = table("film")["odd_own"].number("value")
    values = [t.value for t in told if t.value is not None]
    middle, wide = prior.value, times
    if middle is None:
        middle = statistics.median(values) if len(values) >= FEWEST else None
    elif prior.low and prior.high:
        wide = max(times, math.exp(3 * math.log(prior.high / prior.low) / (2 * Z95)))
    seen, left_out = [], []
    for one in told:
        if one.value is None:
            left_out.append(one)
        elif middle is not None and not (
            (small or middle / wide <= one.value) and one.value <= middle * wide
        ):
            left_out.append(Told(one.name, one.movement, one.at_us, one.value,
                                 "odd, not counted: check the weighing"))  # fmt: skip
        else:
            seen.append(one)
    return seen, left_out


def _check(name: str) -> None:
    from lacwright.files.own import own_names

    if learns(name) or name in own_names():
        return
    families = [f"{family}.{row.key}" for family in FAMILIES for row in table("methods")]
    known = [*families, EVAPORATION, *drying_seen.NAMES, *own_names()]
    raise Refusal("NAME", f"no own figure is called '{name}'", nearest(name, known))


def _is_default(name: str) -> bool:
    try:
        default_figure(name)
    except KeyError:
        return False
    return True


def as_json(line: OwnLine, when: Any) -> dict[str, Any]:
    """Return an own figure as plain data with the reason for every null; `when` tells a moment."""
    figure, prior = line.figure, line.prior
    keys: dict[str, Any] = {
        "name": line.name, "unit": line.unit, "words": line.words, "value": figure.value,
        "low": figure.low, "high": figure.high, "basis": str(figure.basis), "n": line.n,
        "usual": prior.value, "usual_low": prior.low, "usual_high": prior.high,
        "usual_mark": str(prior.mark), "usual_source": prior.source or prior.missing or "",
        "given": None if line.given is None else line.given.value,
        "last_seen": None if line.last_us is None else when(line.last_us),
        "seen": [_told_json(t, when) for t in line.seen],
        "left_out": [_told_json(t, when) for t in line.left_out],
    }  # fmt: skip
    none = prior.missing or "the usual one has no band"
    why = {
        "value": none,
        "low": none,
        "high": none,
        "usual": none,
        "usual_low": none,
        "usual_high": none,
        "given": "you did not set it",
        "last_seen": "no coat counts",
    }
    return {**keys, "missing": {k: why[k] for k, v in keys.items() if v is None}}


def _told_json(told: Told, when: Any) -> dict[str, Any]:
    out = {"movement": told.movement, "at": when(told.at_us), "value": told.value, "why": told.why}
    if isinstance(told, drying_seen.DryingTold | colour_seen.ColourTold):
        out["source"] = told.source
    if isinstance(told, drying_seen.DryingTold) and told.whitened is not None:
        out["whitened"] = told.whitened
    return out if told.value is not None else {**out, "missing": {"value": told.why}}
