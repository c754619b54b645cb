"""A quote from the maker's own hours and prices: labour, materials, contingency as lines.

Nothing is assumed. Without a rate, hours or a price the line is missing, with the reason.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from lacwright.figures import Figure, computed, exact, given, unknown
from lacwright.plan.own import Array
from lacwright.plan.piece import HoursLine, Lot, MaterialLine, QuoteSpec


@dataclass(frozen=True)
class Work:
    """What the hours of a line depend on, counted over the parts and faces it names."""

    area: Figure  # m2
    coats: Figure  # coats and sessions that touch it
    area_coats: Figure  # m2 summed over those coats


@dataclass(frozen=True)
class Use:
    """How much of a lot the job takes, with its draws."""

    lot: Lot
    amount: Figure
    draws: Array


def quote(
    spec: QuoteSpec | None, *, step_hours: Figure, work: Callable[[HoursLine], Work],
    uses: tuple[Use, ...], unpriced: tuple[str, ...] = (),
) -> dict[str, Figure]:  # fmt: skip
    """Return the lines of a quote by name.

    Parameters
    ----------
    spec : QuoteSpec or None
        Rates, hours, prices. None gives missing figures.
    step_hours : Figure
        Hours stated at the steps themselves.
    work : callable
        Area, coats and m2-coats for the parts and faces of a line of hours.
    uses : tuple of Use
        What is taken from each lot of the shelf.
    unpriced : tuple of str
        Materials the job needs that stand on no priced lot.

    Returns
    -------
    dict of str to Figure
        quote.hours, quote.labour, quote.materials, quote.contingency, quote.total, and one
        figure for each line.
    """
    unit = (spec.currency if spec else "") or "money"
    figures: dict[str, Figure] = {}
    hours = _hours(spec, step_hours, work, figures)
    figures["quote.hours"] = hours
    figures["quote.labour"] = _labour(spec, hours, unit)
    figures["quote.materials"] = _materials(spec, uses, unpriced, unit, figures)
    figures["quote.contingency"] = _contingency(spec, figures, unit)
    lines = {k: figures[f"quote.{k}"] for k in ("labour", "materials", "contingency")}
    figures["quote.total"] = _end_to_end(computed(" + ".join(lines), unit, lines), *lines.values())
    return figures


def lot_cost(use: Use, unit: str) -> Figure:
    """Return what is taken from a lot at its price."""
    if use.lot.price is None or not use.lot.price_for:
        return unknown(unit, f"cannot estimate without the price of '{use.lot.name}'")
    per = use.lot.price / use.lot.price_for
    return computed(
        "amount * price / price_for", unit,
        {
            "amount": use.amount,
            "price": given(use.lot.price, unit, f"shelf, {use.lot.name}"),
            "price_for": given(use.lot.price_for, use.lot.unit, f"shelf, {use.lot.name}"),
        },
        draws=use.draws * per,
    )  # fmt: skip


def material_cost(line: MaterialLine, unit: str) -> Figure:
    """Return a material line: amount times price."""
    return computed(
        "amount * price", unit,
        {
            "amount": given(line.amount, line.per or "1", f"quote, {line.what}"),
            "price": given(line.price, unit, f"quote, {line.what}"),
        },
    )  # fmt: skip


def total_of(parts: Mapping[str, Figure], unit: str, *, nothing: str) -> Figure:
    """Return the sum of figures, or a missing one with the reason `nothing` where there is none."""
    if not parts:
        return unknown(unit, nothing)
    names = {f"line{k}": figure for k, figure in enumerate(parts.values(), 1)}
    figure = computed(" + ".join(names), unit, names, note="; ".join(parts))
    return _end_to_end(figure, *parts.values())


def _hours(
    spec: QuoteSpec | None, step_hours: Figure, work: Callable[[HoursLine], Work],
    figures: dict[str, Figure],
) -> Figure:  # fmt: skip
    lines: dict[str, Figure] = {}
    if step_hours.value:
        lines["hours at the steps"] = step_hours
    for k, line in enumerate(spec.hours if spec else (), 1):
        source = f"quote, {line.what}"
        done = work(line)
        figure = computed(
            "fixed + per_m2 * area + per_coat * coats + per_m2_coat * area_coats", "h",
            {
                "fixed": given(line.fixed_h, "h", source),
                "per_m2": given(line.per_m2_h, "h/m2", source),
                "area": done.area,
                "per_coat": given(line.per_coat_h, "h", source),
                "coats": done.coats,
                "per_m2_coat": given(line.per_m2_coat_h, "h/m2", source),
                "area_coats": done.area_coats,
            },
            note=line.what,
        )  # fmt: skip
        figures[f"quote.hours.{k}"] = figure
        lines[_unlike(line.what, lines)] = figure
    return total_of(lines, "h", nothing="cannot estimate without hours from your own log")


def _labour(spec: QuoteSpec | None, hours: Figure, unit: str) -> Figure:
    if spec is None or spec.rate_per_h is None:
        return unknown(unit, "cannot estimate without the price of your hour ([quote] rate)")
    rate = given(spec.rate_per_h, f"{unit}/h", "quote, rate")
    figure = computed("rate * hours", unit, {"rate": rate, "hours": hours})
    return _end_to_end(figure, hours, times=spec.rate_per_h)


def _materials(
    spec: QuoteSpec | None, uses: tuple[Use, ...], unpriced: tuple[str, ...], unit: str,
    figures: dict[str, Figure],
) -> Figure:  # fmt: skip
    if unpriced:
        return unknown(unit, "cannot estimate without the price of " + ", ".join(unpriced))
    lines: dict[str, Figure] = {}
    for use in uses:
        lines[use.lot.name] = figures[f"quote.lot.{use.lot.name}"] = lot_cost(use, unit)
    for line in spec.materials if spec else ():
        name = _unlike(line.what, lines)
        lines[name] = figures[f"quote.material.{name}"] = material_cost(line, unit)
    return total_of(lines, unit, nothing="cannot estimate without prices on the shelf")


def _contingency(spec: QuoteSpec | None, figures: Mapping[str, Figure], unit: str) -> Figure:
    if spec is None or spec.contingency_share is None:
        return exact(0.0, unit, "none given")
    on = spec.contingency_on or "labour and materials"
    base = {name: figures[f"quote.{name}"] for name in ("labour", "materials") if name in on}
    share = given(spec.contingency_share, "1", f"quote, contingency on {on}")
    figure = computed(f"share * ({' + '.join(base)})", unit, {"share": share, **base})
    return _end_to_end(figure, *base.values(), times=spec.contingency_share)


def _unlike(name: str, lines: Mapping[str, Figure]) -> str:
    """Return the name, numbered where a line is called so already: no line may be lost."""
    same = sum(1 for known in lines if known == name or known.startswith(f"{name} ("))
    return f"{name} ({same + 1})" if same else name


def _end_to_end(figure: Figure, *parts: Figure, times: float = 1.0) -> Figure:
    """Return a sum of parts, `times` a factor, with their bands added end to end.

    The lines of one job rise and fall together (a thirsty board takes more flakes and more
    alcohol), so the ends are added rather than combined as if they were independent.
    """
    if figure.value is None:
        return figure
    return figure.with_band(
        times * sum(p.low or 0.0 for p in parts), times * sum(p.high or 0.0 for p in parts)
    )
