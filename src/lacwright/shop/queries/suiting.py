"""Whether a lot of alcohol suits lac: by its composition, else by the name it came under."""

from __future__ import annotations

from functools import cache

from lacwright.figures import Refusal
from lacwright.shop.facts import alcohol_of
from lacwright.shop.models import Lot
from lacwright.solution import alcohol_named, suits
from lacwright.trade import table

DIGITS = 9
UNSAID = "not-said "


def suits_lac(lot: Lot) -> tuple[str, str]:
    """Return ("yes" | "weak" | "no", why) for a lot of alcohol.

    A composition that is one of the table of alcohols has that row's word; so has a name of the
    table whose composition nobody knows ("rubbing alcohol").
    """
    named = _of_compositions().get(_shares(lot.parts)) if lot.parts else _named(lot)
    if named is not None:
        row = table("alcohols")[named]
        return row.text("suits"), row.text("words")
    return suits(alcohol_of(lot))


def _named(lot: Lot) -> str | None:
    """Return the name of the table under which a lot of unknown composition came."""
    text = lot.key.removeprefix(UNSAID) if not lot.said else ""
    if lot.opened is not None:
        body = lot.opened.body
        text = body.get("said", body).get("alcohol") or ""
    try:
        return table("alcohols").find(text, "").key if text else None
    except Refusal:
        return None


@cache
def _of_compositions() -> dict[tuple[tuple[str, float], ...], str]:
    out: dict[tuple[tuple[str, float], ...], str] = {}
    for row in table("alcohols"):
        parts = alcohol_named(row.key).parts
        if parts is not None:
            out.setdefault(_shares(dict(parts)), row.key)
    return out


def _shares(parts: dict[str, float]) -> tuple[tuple[str, float], ...]:
    return tuple(sorted((name, round(share, DIGITS)) for name, share in parts.items()))
