"""What of one coat of the record landed: how thick and wet, of which mix, and how that is known."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from lacwright.drying import WetCoat
from lacwright.figures import Basis, Figure, Mark, Refusal
from lacwright.figures.learned import Z95
from lacwright.files.coat_words import usual_film
from lacwright.plan.own import OwnFigures
from lacwright.plan.wet import SESSION, UNKNOWN
from lacwright.shop.models import Event
from lacwright.shop.queries.contents import Contents
from lacwright.shop.queries.film_on import Landed
from lacwright.solution import Mix
from lacwright.trade import table

NO_METHOD = "neither its amount and area nor how it was laid is on record"


@dataclass(frozen=True)
class Film:
    """What of a coat landed, wherever it did."""

    um: float | None  # on the wood and in it
    inside: Contents | None
    amount: str
    ln_sd: float | None

    @property
    def mix(self) -> Mix | None:
        """What was in the jar, None where that is not known."""
        return None if self.inside is None or self.inside.no_cut is not None else self.inside.mix


def film_of(event: Event, landed: Landed | None, own: Callable[[], OwnFigures]) -> Film:
    """Return what of a coat landed.

    Parameters
    ----------
    event : Event
        Of the coat.
    landed : Landed or None
        What it left by the book.
    own : callable
        Gives his own figures, asked only where the coat was not weighed.
    """
    body, inside = event.movement.body, None if landed is None else landed.inside
    method, basis, area = body["method"], body["amount_basis"], body.get("area_m2")
    known = inside is not None and inside.no_cut is None
    if landed is not None and landed.by_lot and area and known and landed.resin_g > 0:
        assert inside is not None
        # One millilitre on a square metre is one micrometre.
        um = 1000.0 * landed.resin_g / area / float(inside.mix.resin_g_per_l)
        if basis in ("weighed", "measured"):
            stays = ("" if body["left_g"] is not None
                     else ", less the usual share that stays in brush or pad")  # fmt: skip
            return Film(um, inside, f"{basis}{stays}", None)
        spread = own().figure(f"spread.{method}")
        planned = (body.get("planned") or {}).get("load_ml_m2")
        how = "as planned" if planned else _whose(spread, "spread")
        return Film(um, inside, f"not weighed: {how}", _ln_sd(spread))
    if method is None:
        return Film(None, inside, "", None)
    if table("methods")[method].text("unit") == "session":
        return Film(None, inside, "", None)
    film = usual_film(method, own())
    lacks = "its amount is not on record" if not landed or not landed.by_lot else (
        "its area is not on record" if not area else "its amount tells no film")  # fmt: skip
    return Film(film.number(), inside, f"{lacks}: {_whose(film, 'wet film')}", _ln_sd(film))


def silent(event: Event, film: Film) -> str:
    """Return why the model has no say of a coat, whatever the wood takes of it."""
    body = event.movement.body
    if body["what"] in ("session", "glaze") or (body["method"] or "").startswith("french-polish"):
        return SESSION
    if film.inside is None:
        return "from which jar it came is not on record"
    if film.inside.no_cut is not None:
        return f"what was in its jar is not known: {film.inside.no_cut}"
    if composition(film.inside.mix) is None:
        return UNKNOWN
    return NO_METHOD if film.um is None else ""


def coat_of(event: Event, film: Film, um: float) -> tuple[WetCoat | None, str]:
    """Return so much of a coat as the model takes it, or why it does not."""
    mix = film.mix
    assert mix is not None
    try:
        return WetCoat(
            wet_um=um, cut_lb_per_gal=float(mix.cut_lb_per_gal), alcohol=composition(mix),
            resin_density_g_ml=float(mix.resin_density_g_ml),
            method=event.movement.body["method"] or "",
        ), ""  # fmt: skip
    except Refusal as refusal:
        return None, f"{refusal.where}: {refusal.what}"


def composition(mix: Mix) -> dict[str, float] | None:
    """Return the shares by weight of what the resin is dissolved in, None if unknown."""
    shares: dict[str, float] = {}
    for alcohol, grams in mix.solvent_g.items():
        if alcohol.parts is None:
            return None
        for substance, share in alcohol.parts:
            shares[substance] = shares.get(substance, 0.0) + share * float(grams)
    whole = sum(shares.values())
    return {k: v / whole for k, v in shares.items()} if whole > 0 else None


def _whose(figure: Figure, what: str) -> str:
    own = figure.basis is Basis.LEARNED or figure.mark is Mark.OWN
    return f"your own {what} of the method" if own else f"the usual {what} of the method"


def _ln_sd(figure: Figure) -> float | None:
    if not (figure.low and figure.high and figure.high > figure.low):
        return None
    return math.log(figure.high / figure.low) / (2 * Z95)
