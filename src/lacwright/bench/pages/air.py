"""The air of a job as pages show it: stops first, then the answer, numbers, changes, basis."""

from __future__ import annotations

from dataclasses import dataclass, replace

from lacwright.figures import Figure, Stop
from lacwright.plan import Plan, Vapour
from lacwright.plan import vapour_told as told
from lacwright.room import ZONES


@dataclass(frozen=True)
class Row:
    """What is in the air of one zone of one substance; figures open to their basis."""

    where: str
    substance: str
    peak: Figure
    quarter: Figure
    day: Figure


@dataclass(frozen=True)
class AirShown:
    """The air of a job."""

    answer: str
    drawn: bool
    in_words: str
    rows: tuple[Row, ...]
    together: tuple[tuple[str, Figure], ...]
    numbers: tuple[tuple[str, str], ...]
    limits: tuple[tuple[str, str], ...]
    lowest: str
    changes: tuple[str, ...]
    basis: tuple[tuple[str, str], ...]


def air_shown(air: Vapour, stops: tuple[Stop, ...]) -> AirShown:
    """Return the air as a page shows it.

    Parameters
    ----------
    air : Vapour
    stops : tuple of Stop
        Of the whole page.
    """
    made = air.estimate
    rows = tuple(
        Row(told.ZONES[zone], s, two_figures(peak), two_figures(made.max_15min_ppm[zone][s]),
            two_figures(made.twa_8h_ppm[zone][s]))
        for zone in ZONES for s, peak in made.peak_ppm[zone].items()
    ) if made.curve is not None else ()  # fmt: skip
    shown = {name for name, _ in told.limit_rows(made)} | {*told.ZONES.values(), told.TOGETHER}
    numbers = tuple(r for r in (*told.number_rows(made), *told.air_rows(made))
                    if made.curve is None or r[0] not in shown)  # fmt: skip
    return AirShown(
        told.answer(made, stopped=bool(stops)), made.curve is not None, told.curve_words(made),
        rows, (("8 hours, near the work", two_figures(made.mixture_index)),
               ("8 hours, in the room", two_figures(made.mixture_index_room)),
               ("15 minutes, near the work", two_figures(made.mixture_index_15min)))
        if rows else (),
        tuple(r for r in numbers if not r[0].startswith("Limits")), told.limit_rows(made),
        told.OTHER_LIMITS if air.lowest else "",
        tuple(words for _, words in told.change_rows(made, air.changes,
                                                     stopped=bool(made.stops))),
        told.basis_rows(made, air.notes),
    )  # fmt: skip


def two_figures(figure: Figure) -> Figure:
    """Return an estimate as it may be shown: two figures at most."""
    if figure.value is None:
        return figure
    value, low, high = (None if x is None else float(f"{x:.2g}")
                        for x in (figure.value, figure.low, figure.high))  # fmt: skip
    return replace(figure, value=value, low=low, high=high)


def of_plan(plan: Plan) -> AirShown | None:
    """Return the air of a plan, None where it is not estimated."""
    return None if plan.air is None else air_shown(plan.air, plan.stops)
