"""`lacwright coats-to-go`: how many coats a piece still needs, from readings of a panel."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from lacwright.cli.show import brief, counted, emit, json_option
from lacwright.figures import Refusal, computed, exact, given

if TYPE_CHECKING:
    from lacwright.colour import LastCoat, ToGo
    from lacwright.figures import Figure
    from lacwright.files.readings_toml import ReadingsTable

SCHEMA = "lacwright.coats-to-go/1"
ADVICE = (
    "Lay it on the panel first, let it dry and read it; then read the piece after every coat.",
    "If this is not what was agreed, have the change signed, with its price, before it is laid.",
)
CLEAR = ("A clear mix is taken to colour nothing; bleached and blonde colour a little: give "
         "clear_factor where you read it.")  # fmt: skip


@click.command("coats-to-go")
@click.argument("file", metavar="READINGS.toml")
@json_option
def coats_to_go(file: str, as_json: bool) -> None:
    """How many coats a piece still needs to come to a reading.

    READINGS.toml holds readings of a panel after so many coats (L*, or reflectance through one
    filter), the wished reading with its tolerance, and what lies on the piece. Each coat leaves
    the same share of the light; L* is turned into luminance first.

    Example: lacwright coats-to-go readings.toml
    """
    from lacwright.colour import CLEAR_FACTOR, amounts
    from lacwright.colour import coats_to_go as answer
    from lacwright.files.readings_toml import LaidTable, PieceReadings, read_readings

    asked = read_readings(file)
    piece = asked.piece or PieceReadings()
    try:
        told = answer(
            readings=asked.readings, scale=asked.scale, target=asked.target,
            tolerance=asked.tolerance, on_piece=piece.coats or 0, now=piece.now,
            sealed=asked.zero_is == "sealed", scatter=asked.scatter,
            clear_factor=CLEAR_FACTOR if asked.clear_factor is None else asked.clear_factor,
            load_ratio=asked.load_ratio or 1.0,
        )  # fmt: skip
    except Refusal as refusal:
        place = _PLACES.get(refusal.where, refusal.where)
        raise refusal.at(f"{Path(file).name}, {place}") from None
    takes = amounts(told.advised, (asked.coat or LaidTable()).laid(), piece.area)
    price = _price(told.advised, piece.coat_price)
    keys, missing = _keys(asked, told, takes, price)
    figures = {**told.figures, **takes, **({} if price is None else {"change_price": price})}
    emit(schema=SCHEMA, keys=keys, missing=missing, figures=figures,
         lines=_lines(asked, told, takes, price), as_json=as_json)  # fmt: skip


_PLACES = {"reading": "[[reading]]", "now": "[piece] now", "coats": "[piece] coats",
           "load": "[coat]"}  # fmt: skip


def _price(plan: LastCoat, coat_price: float | None) -> Figure | None:
    if coat_price is None:
        return None
    return computed("coats * coat_price", "money",
                    {"coats": exact(float(plan.laid), "1", "coats to go"),
                     "coat_price": given(coat_price, "money", "[piece] coat_price")})  # fmt: skip


def _keys(
    asked: ReadingsTable, told: ToGo, takes: dict[str, Figure], price: Figure | None
) -> tuple[dict[str, Any], dict[str, str]]:
    from lacwright.colour import luminance, reading_of

    factor, coats = told.figures["factor_per_coat"], told.figures["coats_to_go"]
    piece = asked.piece
    sealed = asked.zero_is == "sealed"

    def of(name: str) -> float | None:
        return takes[name].value if name in takes else None

    keys: dict[str, Any] = {
        "scale": asked.scale, "target": asked.target, "tolerance": asked.tolerance,
        "readings": [
            {"coats": r.coats, "reading": r.value,
             "luminance_percent": luminance(r.value, asked.scale),
             "line_reading": reading_of(_exp(told.fit.at(r.coats)), asked.scale),
             "in_line": r.coats > 0 or sealed}
            for r in asked.readings
        ],
        "factor_per_coat": factor.number(), "factor_per_coat_low": factor.low,
        "factor_per_coat_high": factor.high,
        "on_piece_coats": (piece.coats if piece else None) or 0,
        "reading_now": told.now, "reading_now_known": told.now_known,
        "coats_to_go": coats.number(), "coats_to_go_low": coats.low,
        "coats_to_go_high": coats.high if told.bounded else None,
        "whole_coats": [
            {"n": v.n, "reading": v.reading, "reading_low": v.low, "reading_high": v.high,
             "inside": v.inside}
            for v in told.whole
        ],
        "last_coat": _coat(told.last), "advised": _coat(told.advised),
        "dark_ml": of("dark_ml"), "clear_ml": of("clear_ml"),
        "film_added_um": of("film_um"), "resin_added_g_per_m2": of("resin_g_m2"),
        "change_price": None if price is None else price.number(),
        "currency": (piece.currency if piece else None) or "money",
        "notes": [*told.notes, *ADVICE],
    }  # fmt: skip
    missing = {}
    if not told.bounded:
        missing["coats_to_go_high"] = "the readings set no upper end"
    if "dark_ml" not in takes:
        missing |= dict.fromkeys(
            ("dark_ml", "clear_ml"), "cannot estimate without [coat] spread and [piece] area"
        )
    if "film_um" not in takes:
        missing |= dict.fromkeys(("film_added_um", "resin_added_g_per_m2"),
                                 "cannot estimate without [coat] spread and cut")  # fmt: skip
    if price is None:
        missing["change_price"] = "cannot estimate without [piece] coat_price"
    return keys, missing


def _coat(plan: LastCoat) -> dict[str, Any]:
    return {"full_coats": plan.full, "dark_share": plan.share, "reading": plan.reading}


def _exp(ln: float) -> float:
    import math

    return math.exp(ln)


def _lines(
    asked: ReadingsTable, told: ToGo, takes: dict[str, Figure], price: Figure | None
) -> list[str]:
    factor, coats = told.figures["factor_per_coat"], told.figures["coats_to_go"]
    unit = " %" if asked.scale == "reflectance" else " L*"
    high = "no upper end" if not told.bounded else brief(coats.high or 0.0, 2)
    lines = [
        _first(asked, told),
        f"Per coat       leaves {factor.number():.3f} of the light ({factor.low:.3f} to "
        f"{factor.high:.3f})",
        f"Now            {told.now:.1f}{unit}, "
        + ("as read on the piece" if told.now_known else "as the panel has it"),
        f"Target         {asked.target:g}{unit}, within {asked.tolerance:g}",
        f"Coats to go    {coats.number():.2f} ({brief(coats.low or 0.0, 2)} to {high})",
    ]
    for one in told.whole:
        word = "inside" if one.inside else "outside"
        lines.append(f"{_coats(one.n):<14} {one.reading:.1f}{unit} ({one.low:.1f} to "
                     f"{one.high:.1f}), {word}")  # fmt: skip
    lines.append(f"To the point   {_plan(told.last)}")
    if told.last.share:
        lines.append(f"Last coat      {100 * told.last.share:.0f} % of the dark mix by volume in "
                     "clear mix of the same cut")  # fmt: skip
    lines += _amount_lines(takes)
    if price is not None:
        currency = (asked.piece.currency if asked.piece else None) or "money"
        lines.append(f"Change         {price.number():.2f} {currency} for "
                     f"{counted(told.advised.laid, 'coat')}")  # fmt: skip
    if told.last.share and asked.clear_factor is None:
        lines.append(f"Note           {CLEAR}")
    return [*lines, *(f"Note           {n}" for n in told.notes), *ADVICE]


def _first(asked: ReadingsTable, told: ToGo) -> str:
    plan = told.advised
    if not plan.laid:
        return "Lay none: the piece is inside the tolerance as it is."
    if plan.share:
        return (f"No whole number of coats is inside the tolerance: lay {_plan(plan)}; that comes "
                f"to {plan.reading:.1f}.")  # fmt: skip
    return f"Lay {counted(plan.full, 'more coat')}: that comes to {plan.reading:.1f}, inside " \
           f"{asked.target:g} within {asked.tolerance:g}."  # fmt: skip


def _plan(plan: LastCoat) -> str:
    if not plan.share:
        return counted(plan.full, "coat") if plan.full else "no coat"
    full = f"{counted(plan.full, 'coat')}, then " if plan.full else ""
    return f"{full}one of {100 * plan.share:.0f} % dark mix in clear mix"


def _coats(n: int) -> str:
    return "As it is" if n == 0 else counted(n, "coat")


def _amount_lines(takes: dict[str, Figure]) -> list[str]:
    lines = []
    if "dark_ml" in takes:
        clear = takes["clear_ml"].number()
        lines.append(f"Takes          {brief(takes['dark_ml'].number())} ml of the dark mix"
                     + (f", {brief(clear)} ml of clear mix" if clear else ""))  # fmt: skip
    if "film_um" in takes:
        lines.append(f"Adds           {brief(takes['film_um'].number())} um of film, "
                     f"{brief(takes['resin_g_m2'].number())} g of dry lac on each m2")  # fmt: skip
    return lines
