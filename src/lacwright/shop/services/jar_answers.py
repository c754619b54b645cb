"""What a request about a jar answers: how the jar stands now, and what was moved."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django.db.models import Sum

from lacwright.figures import Caution, Figure, Refusal
from lacwright.figures.spoken import a_cut
from lacwright.shop.asked import things
from lacwright.shop.facts import ALCOHOL, FLAKES
from lacwright.shop.ledger import AIR, UNACCOUNTED
from lacwright.shop.models import Jar, Line, Lot, Movement
from lacwright.shop.queries import shelf
from lacwright.shop.queries.contents import Contents, Held, contents, resin_of
from lacwright.shop.queries.suiting import suits_lac
from lacwright.shop.writing import Writer
from lacwright.solution import cautions_of, give_back, slowest_ready
from lacwright.trade import table


def after(jar: Jar, w: Writer, *, takes: Sequence[Mapping[str, Any]] = ()) -> dict[str, Any]:
    """Return how a jar stands after a request: figures, cautions, when it is ready.

    Parameters
    ----------
    jar : Jar
        The jar.
    w : Writer
        Of the request.
    takes : sequence
        What went in: flakes among it must dissolve first.
    """
    line = shelf.jar_line(jar, at_us=w.written_us)
    figures = dict(line.contents.figures.figures)
    ready = ready_figure(takes)
    out: dict[str, Any] = {"jar": line.as_json()}
    if takes:
        figures["ready_after_h"] = ready
        out["ready_after_h"], out["takes"] = ready.value, [dict(t) for t in takes]
    held = line.taints if line.discarded_us is None and not line.empty else ()
    out["says"] = [*(taint.holding(f"jar {jar.key}", line.zone) for taint in held),
                   *says(line.contents)]  # fmt: skip
    out["figures"] = {name: slim(figure) for name, figure in figures.items()}
    out["cautions"] = [c.as_json() for c in cautions(line.contents, takes)]
    return out


def says(inside: Contents) -> list[str]:
    """Return what is odd about a mix: a cut that looks like a slip, alcohol that does not suit."""
    out = []
    rows, cut = table("solution"), inside.numbers[0]["cut_lb_per_gal"]
    if cut is not None and cut < rows["cut_odd_low"].number("value"):
        out.append(f"That is {a_cut(cut, 2)}, hardly any resin: was an ounce meant for a gram?")
    if cut is not None and cut > rows["cut_odd_high"].number("value"):
        out.append(f"That is {a_cut(cut)}, too thick to pour: was a gram meant for an ounce?")
    for held in inside.held:
        if held.lot.kind == ALCOHOL:
            verdict, why = suits_lac(held.lot)
            if verdict != "yes":
                fit = "does not suit shellac" if verdict == "no" else "suits shellac only in part"
                out.append(f"{held.lot.key} {fit}: {why}.")
    return out


def cautions(
    inside: Contents, takes: Sequence[Mapping[str, Any]] = ()
) -> tuple[Caution, ...]:  # fmt: skip
    """Return the usual cautions for what is in a jar; of flakes that dissolve, one more."""
    warm = ("warm-bath",) if ready_figure(takes).value else ()
    return cautions_of(inside.mix.solvent_g, *warm)


def ready_figure(takes: Sequence[Mapping[str, Any]]) -> Figure:
    """Return the time until the flakes among the takes are dissolved [h]."""
    keys = [t["lot"] for t in takes if "lot" in t]
    return slowest_ready(resin_of(lot) for lot in things(Lot, _FLAKES, keys, also=[FLAKES]))


_FLAKES = "WHERE t.key IN ({}) AND t.kind = %s"


def added(made: Movement, place_key: str) -> dict[str, Any]:
    """Return what a movement put into a place, by lot [g]."""
    rows = (
        Line.objects.filter(about=made, place__key=place_key).values("lot__key")
        .annotate(u=Sum("ug")).order_by("lot__key").values_list("lot__key", "u")
    )  # fmt: skip
    lots = {key: ug / 1e6 for key, ug in rows if ug > 0}
    return {"g": sum(lots.values()), "lots": lots}


def lost(jar: Jar, made: Movement, gone: str) -> dict[str, Any]:
    """Return what a weighing found: what is missing or too much, the alcohol to give back.

    Of a jar that stood open the same alcohol given back restores the mix as it was.
    """
    rows = list(
        Line.objects.filter(about=made).values("place__key", "lot__key")
        .annotate(u=Sum("ug")).values_list("place__key", "lot__key", "u")
    )  # fmt: skip
    here = {lot: ug for place, lot, ug in rows if place == jar.place.key}
    air_g = sum(ug for place, _, ug in rows if place == AIR) / 1e6
    strange_g = -sum(ug for place, _, ug in rows if place == UNACCOUNTED) / 1e6
    out: dict[str, Any] = {
        "gone": gone, "missing_g": max(-sum(here.values()), 0) / 1e6, "evaporated_g": air_g,
        "unaccounted_g": strange_g, "cut_before": None, "give_back_ml": None, "give_back_g": None,
        "missing": {},
    }  # fmt: skip
    now = contents(jar.place.key, at_us=made.at_us)
    held = {h.lot.key: h for h in now.held}
    used_up = Lot.objects.select_related("opened").filter(key__in=set(here) - set(held))
    was = [Held(h.lot, h.ug - here.get(h.lot.key, 0)) for h in now.held]
    was += [Held(lot, -here[lot.key]) for lot in used_up]
    before = Contents(now.place, tuple(was), now.unsaid)
    why = before.no_cut
    if why is not None:
        out["missing"] = dict.fromkeys(("cut_before", "give_back_ml", "give_back_g"), why)
        return out
    out["cut_before"] = float(before.mix.cut_lb_per_gal)
    reason = "nothing evaporated"
    if air_g > 0:
        try:
            change = give_back(mix=before.mix, lost_g=air_g)
        except Refusal as refusal:
            reason = refusal.what
        else:
            out["give_back_ml"] = float(change.add_alcohol_ml)
            out["give_back_g"] = float(change.add_alcohol_g)
    if out["give_back_ml"] is None:
        out["missing"] |= dict.fromkeys(("give_back_ml", "give_back_g"), reason)
    elif before.no_masses is not None:
        out["give_back_g"] = None
        out["missing"]["give_back_g"] = before.no_masses
    return out


def slim(figure: Figure) -> dict[str, Any]:
    """Return a figure as plain data without its working: an answer is kept for ever."""
    return {"value": figure.value, "low": figure.low, "high": figure.high, "unit": figure.unit,
            "basis": str(figure.basis), "mark": str(figure.mark), "source": figure.source,
            "missing": figure.missing}  # fmt: skip
