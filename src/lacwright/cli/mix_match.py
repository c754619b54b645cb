"""`mix match`: meet a recipe from what is on the shelf."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

import click

from lacwright.cli.mix_common import (
    LEAST_ML,
    WEIGHT,
    check_step,
    check_temp,
    cut_words,
    ml,
    resin_density,
)
from lacwright.cli.show import DENSITY, TEMPERATURE, brief, emit, json_option, to_step
from lacwright.figures import Figure, Refusal, central, exact, given
from lacwright.solution import (
    NOT_STATED,
    Answer,
    Match,
    Mix,
    Use,
    answer,
    cautions_of,
    match_recipe,
    mix_values,
    resin_shares,
)
from lacwright.solution.match_lines import SHOWS
from lacwright.solution.shown import NO_ALCOHOL_IN_FILE, UNKNOWN_IN_FILE, held

if TYPE_CHECKING:
    from lacwright.files.recipe import Wish

ALIKE = 1e-3  # of a volume: nobody measures it


@click.command("match")
@click.argument("recipe", type=click.Path())
@click.option("--density", type=DENSITY, help="Density of the resin in solution, g/ml [1.14].")
@click.option("--temp", type=TEMPERATURE, default=20.0, help="Of what is measured, C [20].")
@click.option("--whole", is_flag=True,
              help="The whole volume, even where cut or grades must differ.")  # fmt: skip
@click.option("--scale-step", type=WEIGHT, default=0.1, metavar='"0.1 g"',
              help='Step of your scale ["0.1 g"].')  # fmt: skip
@json_option
def match_(
    *, recipe: str, density: float | None, temp: float, whole: bool, scale_step: float,
    as_json: bool,
) -> None:  # fmt: skip
    """Meet a recipe from several flakes, jars, alcohols and dye (RECIPE.toml).

    Exact where the shelf allows it; else as much of exactly the recipe as it allows, with what is
    short; the nearest only where nothing exact can be had, or with --whole. Tested jars are used
    up first. A file, with all keys in docs/reference/recipe-file.md:

    \b
    recipe = { cut = "2-lb", make = "500 ml", resin = [{ grade = "garnet" }] }
    flakes = [{ lot = "bag 12", grade = "garnet", have = "200 g" }]
    jar = [{ name = "jar 4", cut = 3, have = "1 cup", tested = true, resin = [{ lot = "bag 12" }] }]
    alcohol = [{ name = "blue can", composition = "ethanol-190", have = "1 l" }]
    dye = [{ name = "brown drops", have = "20 ml" }]
    """  # noqa: D301 (a real backspace keeps the lines apart)
    from lacwright.files.recipe import read_recipe_file

    figure = resin_density(density)
    check_step(scale_step)
    check_temp(temp)

    def read_and_match(resin_density: float) -> tuple[Wish, Match]:
        wish = read_recipe_file(recipe, density_g_ml=resin_density, temp_c=temp)
        return wish, match_recipe(
            recipe=wish.recipe, solution_ml=wish.solution_ml, sources=wish.sources,
            any_alcohol=wish.any_alcohol, whole=whole,
        )  # fmt: skip

    wish, found = read_and_match(figure.number())
    if not found.made.resin_g or not found.made.solvent_g:
        lacking = ", ".join(f"{s.line} {brief(s.amount)} {s.unit}" for s in found.short)
        raise _nothing(lacking)
    out = _answer(found, lambda resin_density: read_and_match(resin_density)[1], figure)
    out.extra |= _shelf(found)
    out.extra["alcohol_taken"] = wish.alcohol_taken
    if not found.exact:
        out.extra["exact_solution_ml"] = found.exact_ml
    missing = out.missing
    if out.extra["ready_now"] is None:
        missing["ready_now"] = "no jar that passed a test is on the shelf"
    warm = ("warm-bath",) if found.added("flakes") > 0 else ()
    emit(schema="lacwright.mix.match/1", keys=out.keys, lines=_lines(found, out, scale_step),
         as_json=as_json, figures=out.figures, missing=missing,
         cautions=cautions_of(found.made.solvent_g, *warm))  # fmt: skip


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
    out = answer(
        lambda **x: _numbers(again(x["resin_density"])), inputs, workings,
        withheld=_withheld(found), dye_ml=central(found.made.dye_ml),
    )  # fmt: skip
    out.put("ready_after_h", found.ready_after_h)
    return out


def _withheld(found: Match) -> str | None:
    """Return why the weights cannot be given and what on the shelf is to blame, None if they can.

    An alcohol that nobody stated is told only where no other is unknown.
    """
    unstated, unknown = [], []
    for use in found.uses:
        vague = [a for a in use.taken.solvent_g if not a.known] if use.use > 0 else []
        if any(a != NOT_STATED for a in vague):
            unknown.append(use.source.name)
        elif vague:
            unstated.append(use.source.name)
    if unknown:
        return UNKNOWN_IN_FILE.format(names=_names(unknown))
    return NO_ALCOHOL_IN_FILE.format(names=_names(unstated)) if unstated else None


def _shelf(found: Match) -> dict[str, Any]:
    per_lot = []
    for use in found.uses:
        row: dict[str, Any] = {
            "name": use.source.name, "kind": use.source.kind, "unit": use.source.unit,
            "use": use.use, "have": use.have, "left": use.left, "reorder": found.reorder(use),
        }  # fmt: skip
        if use.source.kind == "jar":
            row["tested"] = use.source.tested
        if use.source.name in found.unused:
            row["not_used"] = found.unused[use.source.name]
        per_lot.append(row)
    now = found.ready_now
    return {
        "exact": found.exact,
        "asked_ml": found.asked_ml,
        "test_first": list(found.test_first),
        "per_lot": per_lot,
        "reorder": [
            {"line": s.line, "kind": s.kind, "short": s.amount, "unit": s.unit} for s in found.short
        ],
        "grades": resin_shares(found.made),
        "differs": found.differs(),
        "ready_now": None if now is None else _now(now, found),
        "wet_edge": _wet_edge(found),
    }


def _now(now: Mix, found: Match) -> dict[str, Any]:
    return {
        "solution_ml": float(now.solution_ml),
        "cut_lb_per_gal": float(now.cut_lb_per_gal),
        "grades": resin_shares(now),
        "differs": found.differs(now),
    }


STOP = (
    "Lay off the wet edge now and stop at an edge, corner or joint of the piece, not in a face; "
    "do not stretch the mix."
)
DROP = "a drop on glass beside a fresh control"


def _wet_edge(found: Match) -> str:
    waits = []
    if found.test_first:
        waits.append(f"{_names(found.test_first)} must pass a test first ({DROP})")
    if found.added("flakes") > 0:
        hours = f"{found.ready_after_h.number():.0f} h"
        waits.append(f"the new mix needs about {hours} to dissolve")
    now = found.ready_now
    if not waits:
        how = found.differs(found.made)
        if how:
            return f"{STOP} What can be poured now differs ({'; '.join(how)})."
        return "The mix is ready as soon as it is stirred: go on while the edge is wet."
    later = f"{'; '.join(waits)}."
    if now is None:
        return f"{STOP} Nothing tested is ready; {later}"
    some = ml(float(now.solution_ml))
    how = found.differs(now)
    if not how:
        return f"Go on with {some} that is ready now and meets the recipe. The rest: {later}"
    at_most = "at most finish this face with it"
    if abs(central(now.cut_lb_per_gal) / central(found.recipe.cut_lb_per_gal) - 1) > SHOWS:
        at_most = "another cut shows, so keep it for elsewhere"
    return (
        f"{STOP} {some} is ready now but differs ({'; '.join(how)}): {at_most}. The rest: {later}"
    )


def _lines(found: Match, out: Answer, step: float) -> list[str]:
    takes = []
    for use in found.uses:
        grams = use.source.unit == "g"
        if use.use >= (step / 2 if grams else LEAST_ML):
            amount = f"{to_step(use.use, step)} g" if grams else ml(use.use)
            takes.append(f"{amount} of {use.source.name} ({_left(use)} left)")
    keys, extra = out.keys, out.extra
    first = f"Take {', '.join(takes)}: "
    if found.test_first:
        first = f"Test {_names(found.test_first)} first ({DROP}), then take {', '.join(takes)}: "
    made = float(found.made.solution_ml)
    less = made < found.asked_ml * (1 - ALIKE)
    end = "exactly the recipe"
    if extra["differs"]:
        end = "the nearest that the shelf allows"
    if less:
        end += f", but less than the {ml(found.asked_ml)} asked"
    lines = [
        f"{first}makes {ml(keys['solution_ml'])} of {cut_words(keys['cut_lb_per_gal'])}, {end}."
    ]
    if found.short:
        short = ", ".join(f"{brief(s.amount)} {s.unit} of {s.line}" for s in found.short)
        lines.append(f"Short: {short} for {ml(found.asked_ml)}.{_exactly(found, made)}")
    if extra["differs"]:
        lines.append(f"It differs: {'; '.join(extra['differs'])}.")
    if made > found.asked_ml * (1 + ALIKE):
        lines.append(f"What had to go in makes {ml(made - found.asked_ml)} more than the "
                     f"{ml(found.asked_ml)} asked.")  # fmt: skip
    if extra["alcohol_taken"]:
        lines.append(f"The recipe names no alcohol: {extra['alcohol_taken']} is taken, the only "
                     "one of the shelf.")  # fmt: skip
    ready = found.ready_after_h
    if ready.value:
        lines.append(f"Dissolved in about {ready.value:.0f} h ({ready.low:.0f}-{ready.high:.0f} h, "
                     f"{ready.mark}).")  # fmt: skip
    lines.append(out.extra["wet_edge"])
    for name, reason in found.unused.items():
        lines.append(f"{name} is not used: {reason}.")
    return lines


def _exactly(found: Match, made: float) -> str:
    """Return how much of exactly the recipe there is, where that is not what is made."""
    if found.exact_ml <= 0:
        return " Nothing can be made exactly."
    if abs(made - found.exact_ml) <= ALIKE * made:
        return ""
    return f" Exactly the recipe: {ml(found.exact_ml)} from what is there (leave out --whole)."


def _left(use: Use) -> str:
    left = use.left if use.left > ALIKE * use.have else 0.0
    return f"{brief(left)} {use.source.unit}"


def _names(names: Sequence[str]) -> str:
    return " and ".join(names)


def _nothing(lacking: str) -> Exception:
    return Refusal("shelf", f"no mix can be made of what is there; short: {lacking}",
                   "add flakes, a jar or alcohol to the file")  # fmt: skip
