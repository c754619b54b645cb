"""`mix match`: meet a recipe from what is on the shelf."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import click

from lacwright.cli.mix_common import cut_words, ml
from lacwright.cli.show import DENSITY, MASS, TEMPERATURE, brief, emit, json_option, to_step
from lacwright.figures import Figure, Refusal, exact, given
from lacwright.solution import (
    NOT_STATED,
    Answer,
    Match,
    Mix,
    answer,
    cautions_of,
    differs,
    exact_volume_ml,
    match_recipe,
    mix_values,
    resin_shares,
)
from lacwright.solution.num import central
from lacwright.solution.shown import NO_ALCOHOL, UNKNOWN_ALCOHOL, held
from lacwright.trade import table

if TYPE_CHECKING:
    from lacwright.files.recipe import Wish


@click.command("match")
@click.argument("recipe", type=click.Path())
@click.option("--density", type=DENSITY, help="Density of the resin in solution, g/ml [1.14].")
@click.option("--temp", type=TEMPERATURE, default=20.0, help="Of what is measured, C [20].")
@click.option("--scale-step", type=MASS, default=0.1, help='Step of your scale ["0.1 g"].')
@json_option
def match_(
    *, recipe: str, density: float | None, temp: float, scale_step: float, as_json: bool
) -> None:
    """Meet a recipe from several flakes, jars, alcohols and dye (RECIPE.toml).

    Exact where the shelf allows it, otherwise the nearest, with what is short. Tested jars are
    used up first. The file has [recipe], [[flakes]], [[jar]], [[alcohol]] and [[dye]].
    """
    from lacwright.files.recipe import read_recipe_file

    figure = table("solution")["resin_density"].figure()
    if density is not None:
        figure = given(density, "g/ml", "given with --density")

    def read_and_match(resin_density: float) -> tuple[Wish, Match]:
        wish = read_recipe_file(recipe, density_g_ml=resin_density, temp_c=temp)
        return wish, match_recipe(
            recipe=wish.recipe, solution_ml=wish.solution_ml, sources=wish.sources,
            any_alcohol=wish.any_alcohol,
        )  # fmt: skip

    wish, found = read_and_match(figure.number())
    if not found.made.resin_g or not found.made.solvent_g:
        lacking = ", ".join(f"{s.line} {brief(s.amount)} {s.unit}" for s in found.short)
        raise _nothing(lacking)
    out = _answer(found, lambda resin_density: read_and_match(resin_density)[1], figure)
    out.extra |= _shelf(found)
    if not found.exact:
        out.extra["exact_solution_ml"] = exact_volume_ml(
            recipe=wish.recipe, solution_ml=wish.solution_ml, sources=wish.sources,
            any_alcohol=wish.any_alcohol,
        )  # fmt: skip
    missing = out.missing
    if out.extra["ready_now"] is None:
        missing["ready_now"] = "no jar that passed a test is on the shelf"
    emit(schema="lacwright.mix.match/1", keys=out.keys, lines=_lines(found, out, scale_step),
         as_json=as_json, figures=out.figures, missing=missing,
         cautions=cautions_of(found.made.solvent_g))  # fmt: skip


def _numbers(found: Match) -> dict[str, float]:
    return {
        **mix_values(found.made),
        "add_resin_g": found.added("flakes"), "add_alcohol_ml": found.added("alcohol"),
        "add_dye_ml": found.added("dye"), "from_jars_ml": found.added("jar"),
    }  # fmt: skip


def _answer(found: Match, again: Callable[[float], Match], density: Figure) -> Answer:
    """Return the figures of what is made, each from the amounts taken of every source."""
    values = _numbers(found)
    inputs = {
        "resin_density": density,
        "alcohol_density": exact(values["alcohol_g"] / values["alcohol_ml"], "g/ml",
                                 "of the alcohols together"),
    }  # fmt: skip
    sums: dict[str, list[str]] = {
        "resin_g": [], "alcohol_ml": [], "add_resin_g": [], "add_alcohol_ml": [],
        "add_dye_ml": [], "from_jars_ml": [],
    }  # fmt: skip

    def count(name: str, value: float, unit: str, source: str, *keys: str) -> None:
        inputs[name] = given(value, unit, f"taken of {source}")
        if name.endswith(("_resin_g", "_alcohol_ml")):
            inputs[name] = held(value, unit, density, f"in what is taken of {source}")
        for key in keys:
            sums[key].append(name)

    for n, use in enumerate((u for u in found.uses if u.use > 0), start=1):
        taken, kind, name = use.taken, use.source.kind, use.source.name
        if kind == "flakes":
            count(f"flakes_{n}_g", use.use, "g", name, "resin_g", "add_resin_g")
        elif kind == "alcohol":
            count(f"alcohol_{n}_ml", use.use, "ml", name, "alcohol_ml", "add_alcohol_ml")
        elif kind == "dye":
            count(f"dye_{n}_ml", use.use, "ml", name, "add_dye_ml")
        else:
            count(f"jar_{n}_ml", use.use, "ml", name, "from_jars_ml")
            count(f"jar_{n}_resin_g", central(taken.total_resin_g), "g", name, "resin_g")
            count(f"jar_{n}_alcohol_ml", central(taken.alcohol_ml), "ml", name, "alcohol_ml")
    inputs["nothing"] = exact(0.0, "1", "nothing of the kind is taken")
    workings = {
        key: (" + ".join(names or ["nothing"]), tuple(names or ["nothing"]))
        for key, names in sums.items()
    }
    withheld = None
    if not found.made.masses_known:
        stated = any(a.lot != NOT_STATED.lot for a in found.made.solvent_g if not a.known)
        withheld = UNKNOWN_ALCOHOL if stated else NO_ALCOHOL
    out = answer(
        lambda **x: _numbers(again(x["resin_density"])), inputs, workings, withheld=withheld,
        dye_ml=central(found.made.dye_ml),
    )  # fmt: skip
    out.put("ready_after_h", found.ready_after_h)
    return out


def _shelf(found: Match) -> dict[str, Any]:
    per_lot = []
    for use in found.uses:
        row: dict[str, Any] = {
            "name": use.source.name, "kind": use.source.kind, "unit": use.source.unit,
            "use": use.use, "have": use.have, "left": use.left, "reorder": found.reorder(use),
        }  # fmt: skip
        if use.source.name in found.unused:
            row["not_used"] = found.unused[use.source.name]
        per_lot.append(row)
    now = found.ready_now
    return {
        "exact": found.exact,
        "per_lot": per_lot,
        "reorder": [
            {"line": s.line, "kind": s.kind, "short": s.amount, "unit": s.unit} for s in found.short
        ],
        "grades": resin_shares(found.made),
        "differs": differs(found.made, found.recipe),
        "ready_now": None if now is None else _now(now, found),
        "wet_edge": _wet_edge(found),
    }


def _now(now: Mix, found: Match) -> dict[str, Any]:
    return {
        "solution_ml": float(now.solution_ml),
        "cut_lb_per_gal": float(now.cut_lb_per_gal),
        "grades": resin_shares(now),
        "differs": differs(now, found.recipe),
    }


def _wet_edge(found: Match) -> str:
    stop = (
        "Lay off the wet edge now and stop at an edge, corner or joint of the piece, not in a "
        "face; do not stretch the mix."
    )
    if found.added("flakes") <= 0:
        return "The mix is ready as soon as it is stirred: go on while the edge is wet."
    now = found.ready_now
    hours = f"{found.ready_after_h.number():.0f} h"
    if now is None:
        return f"{stop} Nothing tested is ready; the new mix needs about {hours} to dissolve."
    how = differs(now, found.recipe)
    if not how:
        return (
            f"Go on with {ml(float(now.solution_ml))} that is ready now and meets the recipe; "
            f"the rest needs about {hours} to dissolve."
        )
    return (
        f"{stop} {ml(float(now.solution_ml))} is ready now but differs ({'; '.join(how)}): at "
        f"most finish this face with it. The new mix needs about {hours} to dissolve."
    )


def _lines(found: Match, out: Answer, step: float) -> list[str]:
    takes = []
    for use in found.uses:
        if use.use > 0:
            amount = f"{to_step(use.use, step)} g" if use.source.unit == "g" else ml(use.use)
            takes.append(
                f"{amount} of {use.source.name} ({brief(use.left)} {use.source.unit} left)"
            )
    keys = out.keys
    lines = [
        f"Take {', '.join(takes)}: makes {ml(keys['solution_ml'])} of "
        f"{cut_words(keys['cut_lb_per_gal'])}"
        + (", exactly the recipe." if found.exact else ", the nearest that the shelf allows.")
    ]
    if not found.exact:
        short = ", ".join(f"{brief(s.amount)} {s.unit} of {s.line}" for s in found.short)
        volume = out.extra["exact_solution_ml"]
        lines.append(f"Short: {short}. Exactly the recipe: {ml(volume)} from what is there.")
        if out.extra["differs"]:
            lines.append(f"It differs: {'; '.join(out.extra['differs'])}.")
    grew = float(found.made.solution_ml)
    if grew > 1.001 * float(found.target.solution_ml):
        lines.append("What had to go in makes it more than was wished.")
    ready = found.ready_after_h
    if ready.value:
        lines.append(f"Dissolved in about {ready.value:.0f} h ({ready.low:.0f}-{ready.high:.0f} h, "
                     f"{ready.mark}).")  # fmt: skip
    lines.append(out.extra["wet_edge"])
    for name, reason in found.unused.items():
        lines.append(f"{name} is not used: {reason}.")
    return lines


def _nothing(lacking: str) -> Exception:
    return Refusal("shelf", f"no mix can be made of what is there; short: {lacking}",
                   "add flakes, a jar or alcohol to the file")  # fmt: skip
