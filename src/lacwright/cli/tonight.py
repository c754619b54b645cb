"""`lacwright tonight`: the five-minute answer, without a file; with the record, if there is one."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

import click

from lacwright.cli.plan_made import record_options, what_record_has
from lacwright.cli.show import (
    AREA,
    CUT,
    DAY,
    DENSITY,
    SPREAD,
    TEMPERATURE,
    VOLUME,
    brief,
    emit,
    json_option,
    only_one,
    to_step,
)
from lacwright.figures import Refusal
from lacwright.figures.units import G_PER_L_PER_CUT, SQFT_M2

if TYPE_CHECKING:
    import datetime as dt

    from lacwright.plan import CoatTime, Lot, Own, Tonight
    from lacwright.shop.plan_link import FromRecord
    from lacwright.surface import Part


TOOLS = {"brush": "a new brush", "pad": "a new pad", "wipe": "a new cloth", "spray": "the gun",
         "dip": "the trough"}  # fmt: skip
"""By kind of method, what keeps some of the mix."""

OWN_CUT_ML = 0.5  # less alcohol than this is not worth pouring


@click.command()
@click.option("--cut", type=CUT, required=True, help="Cut of the mix.")
@click.option("--make", "make_ml", type=VOLUME, required=True, help="Volume to mix.")
@click.option("--grade", required=True, help="Grade of the flakes: garnet, amber, ...")
@click.option("--box", help="Outside of a closed box, e.g. 300x200x120 mm.")
@click.option("--panel", help="Both faces and edges of a board, e.g. 600x400x20 mm.")
@click.option("--area", "area_m2", type=AREA, help="Area, where you know it.")
@click.option("--coats", type=int, required=True, help="How many coats.")
@click.option("--method", default="brush", show_default=True, help="brush, pad, wipe, ...")
@click.option("--from", "begin", default="19:00", show_default=True, help="Hour to begin.")
@click.option("--alcohol", help="Name from `lacwright names alcohols`, or a composition.")
@click.option("--wood", help="Wood, for what the first coat loses to it.")
@click.option("--spread", type=SPREAD, help="Your own spread of a coat.")
@click.option("--ready", is_flag=True, help="The mix stands ready and tested.")
@click.option("--shelf", "shelf_file", metavar="FILE", help="A piece file: its tested jars.")
@click.option("--hand", "hand_file", metavar="FILE", help="Own figures: a file with [hand].")
@click.option("--density", type=DENSITY, help="Density of the resin.")
@click.option("--temp", type=TEMPERATURE, default=20.0, help="Of the alcohol when measured.")
@click.option("--now", type=DAY, help="Today's date.")
@click.option("--seed", type=int, default=0, help="Makes a run repeatable.")
@record_options
@json_option
def tonight(**given: Any) -> None:
    """Amounts, film and coat times for this evening.

    Where a record exists, its own figures and tested jars are used.

    lacwright tonight --cut 1.5 --make "200 ml" --grade garnet --box "300x200x120 mm"
    --coats 2 --method brush --from 19:00
    """
    import datetime as dt

    from lacwright.figures import given as stated
    from lacwright.plan import MixSpec
    from lacwright.plan import tonight as answer
    from lacwright.solution import Resin, read_alcohol, read_grade
    from lacwright.trade import table

    read_grade(given["grade"])
    if given["make_ml"] <= 0:
        raise Refusal("--make", "nothing is to be made", "write e.g. 200 ml")
    hand: list[Own] = []
    if given["density"] is not None:
        Resin(density_g_ml=given["density"])  # refuses what lac cannot weigh
        hand.append({"resin_density": stated(given["density"], "g/ml", "--density")})
    if given["hand_file"]:
        from lacwright.files.own import read_hand

        hand.append(read_hand(given["hand_file"]).own)
    shelf: tuple[Lot, ...] = ()
    if given["shelf_file"]:
        from lacwright.files.piece import read_piece

        shelf = read_piece(given["shelf_file"]).shelf
    link = what_record_has(given["home"], no_record=given["no_record"], day=given["now"])
    if not isinstance(link, str):
        hand.append(link.own_beside(name for own in hand for name in own))
        shelf += tuple(x for x in link.shelf if x.name not in {lot.name for lot in shelf})
    begin = _hour(given["begin"])
    today = given["now"] or dt.date.today()
    made = answer(
        part=_part(given),
        mix=MixSpec("tonight", given["cut"], grade=given["grade"], make_ml=given["make_ml"],
                    reserve_ml=0.0,
                    alcohol=read_alcohol(given["alcohol"]) if given["alcohol"] else None),
        coats=given["coats"], method=table("methods").find(given["method"], "--method").key,
        begin=dt.datetime.combine(today, begin), ready=given["ready"],
        spread_ml_m2=given["spread"], hand=hand, shelf=shelf, seed=given["seed"],
        temp_c=given["temp"],
    )  # fmt: skip
    keys, missing = _keys(made)
    lines = _lines(made, given)
    if isinstance(link, str):
        keys["record"], missing["record"] = None, link
    else:
        keys["record"], line = _from_record(made, link, given, hand[-1])
        lines[1:1] = [line]
    emit(schema="lacwright.tonight/1", keys=keys, missing=missing, figures=made.figures,
         lines=lines, as_json=given["as_json"], cautions=made.cautions,
         stops=made.stops, short=True)  # fmt: skip


def _from_record(
    made: Tonight, link: FromRecord, given: dict[str, Any], own: Own
) -> tuple[dict[str, Any], str]:
    """Return what came from the record, as plain data and in one line."""
    from lacwright.shop.plan_link import Used, own_used
    from lacwright.trade import table

    method = table("methods").find(given["method"], "--method").key
    figures = own_used(own, [method])
    if given["spread"] is not None:
        figures = tuple(f for f in figures if not f[0].startswith("spread."))
    jars = tuple(o.lot.name for o in made.offers if o.lot.logged)
    used = Used(figures, jars, None, ())
    return used.as_json(link.zone), used.line(link.zone)


def _part(given: dict[str, Any]) -> Part:
    from lacwright.surface.typed import part_of_area, part_typed
    from lacwright.trade import table

    wood = table("woods").find(given["wood"], "--wood").key if given["wood"] else "unknown"
    shape = only_one(box=given["box"], panel=given["panel"], area=given["area_m2"])
    if shape == "area":
        return part_of_area(given["area_m2"], wood=wood)
    return part_typed(shape, given[shape], wood=wood)


def _hour(text: str) -> dt.time:
    import datetime as dt

    match = re.fullmatch(r"\s*(\d{1,2})(?:[:.](\d{2}))?\s*(am|pm)?\s*", text.lower())
    if match:
        hour, minute = int(match[1]), int(match[2] or 0)
        if match[3] and 1 <= hour <= 12:
            hour = hour % 12 + (12 if match[3] == "pm" else 0)
        if hour < 24 and minute < 60:
            return dt.time(hour, minute)
    raise Refusal("--from", f"'{text}' is not an hour", "write e.g. 19:00 or 7 pm")


def _keys(made: Tonight) -> tuple[dict[str, Any], dict[str, str]]:
    f, mix = made.figures, made.mix
    resin, alcohol_g = mix.figures["resin"].number(), mix.figures["alcohol_g"]
    keys: dict[str, Any] = {
        "resin_g": resin, "alcohol_ml": mix.figures["alcohol"].number(),
        "alcohol_g": alcohol_g.value, "solution_ml": mix.figures["solution"].number(),
        "cut_lb_per_gal": mix.spec.cut_lb_per_gal,
        "resin_g_per_l_alcohol": mix.spec.cut_lb_per_gal * G_PER_L_PER_CUT,
        "area_m2": f["area.total"].number(), "needed_ml": f["needed"].number(),
        "left_ml": f["left_over"].number(),
        "ready_after_h": 0.0 if made.ready is None else made.ready.number(),
        "tonight": made.ready is None,
        "film_um": f["film.flat"].number(), "film_edge_um": f["film.edge"].number(),
        "coats": [_coat(c) for c in made.coats],
        "coats_with_ready_jar": [_coat(c) for c in made.at_once],
        "tested_jars": [
            {"lot": o.lot.name, "use_ml": o.use_ml, "add_alcohol_ml": o.add_alcohol_ml,
             "enough": o.enough}
            for o in made.offers
        ],
        "shut_jars": [{"lot": lot.name, "why": _why_shut(lot)} for lot in made.shut],
        "notes": list(made.notes),
    }  # fmt: skip
    missing = {"alcohol_g": alcohol_g.missing or ""} if alcohol_g.value is None else {}
    return keys, missing


def _coat(coat: CoatTime) -> dict[str, Any]:
    return {
        "n": coat.n, "at": coat.at.isoformat(timespec="minutes"), "used_ml": coat.used.number(),
        "film_um": coat.film.number(), "wait_h": coat.wait.number(),
    }  # fmt: skip


def _why_shut(lot: Lot) -> str:
    return "failed its test" + (f" of {lot.tested}" if lot.tested else "")


def _when(at: dt.datetime, begin: dt.datetime) -> str:
    """Return the hour, with its day where it is no longer the same."""
    return f"{at:%H:%M}" if at.date() == begin.date() else f"{at:%a %H:%M}"


def _lines(made: Tonight, given: dict[str, Any]) -> list[str]:
    from lacwright.cli.plan_text import banded
    from lacwright.trade import table

    f, mix = made.figures, made.mix
    resin, alcohol = mix.figures["resin"].number(), mix.figures["alcohol"].number()
    weigh = (
        f"weigh {to_step(resin, 0.1)} g of {given['grade']} into {to_step(alcohol, 1)} ml of "
        f"alcohol: {to_step(given['make_ml'], 1)} ml of {given['cut']:g}-lb cut "
        f"({given['cut'] * G_PER_L_PER_CUT:.0f} g per litre of alcohol)"
    )
    lines = []
    jars = [o for o in made.offers if o.enough]
    if made.ready is None:
        lines.append(f"Lay coat 1 at {made.begin:%H:%M} from the ready jar. To mix as much again, "
                     f"{weigh}.")  # fmt: skip
    elif jars:
        lines.append(f"Lay coat 1 at {made.begin:%H:%M} from tested jar '{jars[0].lot.name}'; to "
                     f"mix new, {weigh}.")  # fmt: skip
    else:
        lines.append(f"No coat at {made.begin:%H:%M} from fresh flakes; {weigh}.")
    for offer in made.offers:
        thin = ""
        if offer.add_alcohol_ml > OWN_CUT_ML:
            thin = f" and {to_step(offer.add_alcohol_ml, 1)} ml of alcohol"
        short = "" if offer.enough else f", but it holds only {to_step(offer.lot.have or 0, 1)} ml"
        of = ""
        if offer.enough and offer.lot.have is not None:
            of = f" of the {to_step(offer.lot.have, 1)} ml in it"
        lines.append(f"Jar '{offer.lot.name}' passed its test: take {to_step(offer.use_ml, 1)} ml"
                     f"{of}{thin}{short}.")  # fmt: skip
    lines += [f"Jar '{lot.name}' is shut: it {_why_shut(lot)}. Nothing of it goes on the work."
              for lot in made.shut]  # fmt: skip
    if made.ready is not None:
        first = made.coats[0].at
        lines.append(
            f"Flakes put in at {made.begin:%H:%M} are dissolved after about "
            f"{banded(made.ready, 'h')}: strain, coat 1 about {first:%a %H:%M}."
        )
        if not jars:
            lines.append("With a ready jar that has passed its drying test:")
    lines.append("  " + "; ".join(
        f"{_when(c.at, made.begin)} coat {c.n}, {to_step(c.used.number(), 1)} ml, "
        f"adds {brief(c.film.number(), 2)} um" for c in made.at_once)
        + (f"; {brief(made.at_once[0].wait.number(), 2)} h between" if len(made.at_once) > 1
           else ""))  # fmt: skip
    area = f["area.total"].number()
    left = f["left_over"].number()
    kind = table("methods").find(given["method"], "--method").text("kind")
    tool = TOOLS[kind]
    stays = f"{to_step(left, 1)} ml stay over"
    if left < 0:
        stays = f"{to_step(-left, 1)} ml are SHORT"
        if any(offer.enough for offer in made.offers):
            stays = f"{to_step(-left, 1)} ml more than would be mixed, and the jar holds them"
    lines.append(
        f"Area {brief(area, 3)} m2 ({brief(area / SQFT_M2, 2)} sqft); the coats and {tool} take "
        f"{banded(f['needed'], 'ml')}, {stays}."
    )
    edge = brief(f["film.edge"].number(), 2)
    lines.append(f"Film {banded(f['film.flat'], 'um')} on flats, {edge} um on edges, "
                 "before any sanding.")  # fmt: skip
    lines += [f"Note: {n}." for n in made.notes[:1]]
    return lines
