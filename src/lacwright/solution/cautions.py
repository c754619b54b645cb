"""Cautions that travel with a mix, by what is in it and what is done."""

from __future__ import annotations

from collections.abc import Iterable

from lacwright.figures import Caution
from lacwright.solution.alcohol import Alcohol, suits
from lacwright.trade import table


def caution(code: str) -> Caution:
    """Return the caution of a code of the table."""
    return Caution(code, table("solution_cautions")[code].text("text"))


def cautions_of(alcohols: Iterable[Alcohol], *more: str) -> tuple[Caution, ...]:
    """Return the usual cautions for working with these alcohols, each once.

    Parameters
    ----------
    alcohols : iterable of Alcohol
        What is poured.
    *more : str
        Codes that belong to what is done ("residue-drying").
    """
    codes: list[str] = []
    for alcohol in alcohols:
        if alcohol.parts is None:
            codes.append("alcohol-unknown")
            continue
        if alcohol.share("methanol"):
            codes.append("methanol-present")
        if (alcohol.share("n-butanol") or 0) + (alcohol.share("isobutanol") or 0) > 0:
            codes.append("slow-alcohol-eyes")
        if alcohol.share("1-propanol"):
            codes.append("propanol-eyes")
        if alcohol.share("turpentine"):
            codes.append("turpentine")
        if suits(alcohol)[0] == "weak" and alcohol.share("water"):
            codes.append("water-weak")
    return tuple(caution(code) for code in dict.fromkeys((*codes, *more, "flammable")))
