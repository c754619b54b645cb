"""Which coats are judged by the drying model, and the words that belong to them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from lacwright.drying import Board, Planned, Task, WetCoat
from lacwright.figures import Caution, Hand, Stop
from lacwright.plan.build import Plan
from lacwright.plan.cautions import Job, cautions_of_job
from lacwright.plan.wet import hand_of, laid_coats
from lacwright.solution import Alcohol, caution
from lacwright.trade import table

SLOW_EYES, SLOW_LIMITS = "slow-alcohol-eyes", "slow-alcohol-limits"


@dataclass(frozen=True)
class Wanted:
    """What is judged, and what is told with it.

    Parameters
    ----------
    coats : tuple of Planned
        Each distinct coat once.
    silent : tuple of (str, str)
        Coats of which the model says nothing, and why.
    hand : mapping
        The maker's own constants of the drying coat.
    assumed : tuple of str
        What was not said, and what stands in.
    cautions, stops
        Standing.
    of_record : tuple of str
        Names of the constants of the drying coat that the record gave.
    """

    coats: tuple[Planned, ...]
    silent: tuple[tuple[str, str], ...]
    hand: Hand
    assumed: tuple[str, ...]
    cautions: tuple[Caution, ...]
    stops: tuple[Stop, ...]
    of_record: tuple[str, ...] = ()


def of_plan(plan: Plan) -> Wanted:
    """Return the distinct coats of a plan; none where it lays none that the model knows."""
    laid = laid_coats(plan)
    silent = tuple(dict.fromkeys((f"{_words(c.method)} on {c.part}", c.why_not)
                                 for c in laid if c.coat is None))  # fmt: skip
    return Wanted(distinct((c.method, c.part, c.coat, c.board) for c in laid), silent,
                  hand_of(plan.own), (), with_slow(tuple(plan.cautions)),
                  tuple(plan.stops))  # fmt: skip


def distinct(
    found: Iterable[tuple[str, str, WetCoat | None, Board]],
) -> tuple[Planned, ...]:
    """Return every distinct coat once, named by method, film and the first part it lies on.

    Parameters
    ----------
    found : iterable of (method, part, coat or None, board)
    """
    out: dict[tuple[Any, ...], Planned] = {}
    for method, part, coat, board in found:
        if coat is None:
            continue
        board = replace(board, length_m=round(board.length_m, 2))
        key = (method, round(coat.wet_um, 1), round(coat.cut_lb_per_gal, 2),
               tuple(sorted(coat.parts.items())), board)  # fmt: skip
        name = f"{_words(method)} on {part}, {coat.wet_um:.0f} um"
        out.setdefault(key, Planned(name, Task(coat, (), board)))
    return tuple(out.values())


def told_with(
    alcohol: Alcohol, *, method: str = ""
) -> tuple[tuple[Caution, ...], tuple[Stop, ...]]:  # fmt: skip
    """Return the usual cautions and the standing stops of laying a coat of this alcohol.

    Parameters
    ----------
    alcohol : Alcohol
    method : str
        Key of the table of methods, "" where none was named.
    """
    sprays = bool(method) and table("methods")[method].text("kind") == "spray"
    cautions, stops = cautions_of_job(Job(alcohols=(alcohol,), sprays=sprays))
    return with_slow_limits(cautions), stops


def with_slow_limits(cautions: tuple[Caution, ...]) -> tuple[Caution, ...]:
    """Return the cautions; behind the eye hazard of a butyl alcohol its limits in air."""
    told = []
    for one in cautions:
        told += [one, caution(SLOW_LIMITS)] if one.code == SLOW_EYES else [one]
    return tuple(dict.fromkeys(told))


def with_slow(cautions: tuple[Caution, ...]) -> tuple[Caution, ...]:
    """Return the cautions with eye hazard and limits of a slow alcohol that is proposed."""
    slow = (caution(SLOW_EYES), caution(SLOW_LIMITS))
    return tuple(dict.fromkeys((*cautions[:-1], *slow, *cautions[-1:])))


def _words(method: str) -> str:
    return method.replace("-", " ")
