"""`mix thin`, `strengthen`, `correct` and `slow`: what to add to a mix that is there."""

from __future__ import annotations

import math
from collections.abc import Mapping

import click

from lacwright.cli.mix_common import (
    COATS,
    CUT,
    FLAKES,
    SHARE,
    SPREAD,
    VOLUME,
    Bench,
    band_line,
    bench_options,
    cut_words,
    density_note,
    grams,
    ml,
    of,
    ready_line,
    say,
    some_ml,
)
from lacwright.cli.show import brief, only_one
from lacwright.figures import Figure, Refusal, computed, exact, given, nearest, unknown
from lacwright.figures.spoken import an
from lacwright.figures.units import G_PER_L_PER_CUT
from lacwright.solution import (
    Alcohol,
    Answer,
    Mix,
    bands,
    cautions_of,
    correct,
    dissolve,
    explain_chart,
    make,
    planned_coats_equivalent,
    slow,
    thin,
)
from lacwright.solution import strengthen as strengthen_mix
from lacwright.trade import table

WHY = "resin density in solution"
GROWN = "(1 + cut * g_per_l_per_cut / 1000 / resin_density)"
HAD = {
    "had_alcohol_ml": (
        f"have / {GROWN}",
        ("have", "cut", "g_per_l_per_cut", "resin_density"),
    ),
    "had_resin_g": (
        "had_alcohol_ml * cut * g_per_l_per_cut / 1000",
        ("had_alcohol_ml", "cut", "g_per_l_per_cut"),
    ),
}


def jar(bench: Bench, x: dict[str, float]) -> Mix:
    """Return the mix that is there, from `have` and `cut`."""
    return make(cut_lb_per_gal=x["cut"], solution_ml=x["have"], temp_c=bench.temp_c,
                resin=bench.resin(x["resin_density"]),
                alcohol=bench.spirit(x["alcohol_density"]))  # fmt: skip


def check_jar(have: float, cut: float) -> None:
    """Refuse an empty jar or a jar of plain alcohol."""
    if have <= 0 or cut <= 0:
        raise Refusal("--have", "there is no mix", 'give e.g. --have "350 ml" --cut 3')


@click.command("thin")
@click.option("--have", type=VOLUME, required=True, help="Mix that is there.")
@click.option("--cut", type=CUT, required=True, help="Its cut.")
@click.option("--to", type=CUT, help="Wished cut.")
@click.option(
    "--to-solids", type=SHARE, metavar='"5 %"', help="Wished resin as a share of the mix by weight."
)
@bench_options
def thin_(
    *, bench: Bench, have: float, cut: float, to: float | None, to_solids: float | None
) -> None:
    """Alcohol to add for a thinner cut (--to), or for a share of solids by weight (--to-solids).

    Example: lacwright mix thin --have "350 ml" --cut 3 --to 1.5
    """
    only_one(to=to, to_solids=to_solids)
    check_jar(have, cut)
    by_weight = to_solids is not None
    goal = given(to if to is not None else to_solids or 0.0, "lb/gal" if to is not None else "1")
    inputs = bench.inputs(needs_alcohol=by_weight, have=given(have, "ml"),
                          cut=given(cut, "lb/gal"), to=goal)  # fmt: skip

    def model(**x: float) -> dict[str, float]:
        before = jar(bench, x)
        change = thin(mix=before, alcohol=bench.spirit(x["alcohol_density"]),
                      to_cut=None if by_weight else x["to"],
                      to_solids=x["to"] if by_weight else None)  # fmt: skip
        return of(change.after, had_alcohol_ml=before.alcohol_ml, had_resin_g=before.total_resin_g,
                  add_alcohol_ml=change.add_alcohol_ml, add_alcohol_g=change.add_alcohol_g,
                  add_resin_g=0.0)  # fmt: skip

    add: tuple[str, tuple[str, ...]]
    if by_weight:
        add = (
            "had_resin_g * (1 - moisture) / to / alcohol_density"
            " - (had_resin_g + had_alcohol_ml * alcohol_density) / alcohol_density",
            ("had_resin_g", "moisture", "to", "alcohol_density", "had_alcohol_ml"),
        )
    else:
        add = (
            "1000 * had_resin_g / (to * g_per_l_per_cut) - had_alcohol_ml",
            ("had_resin_g", "to", "g_per_l_per_cut", "had_alcohol_ml"),
        )
    out = bench.answer(model, inputs, {
        **HAD, "add_alcohol_ml": add, "resin_g": ("had_resin_g", ("had_resin_g",)),
        "alcohol_ml": ("had_alcohol_ml + add_alcohol_ml", ("had_alcohol_ml", "add_alcohol_ml")),
        "add_alcohol_g": ("add_alcohol_ml * alcohol_density",
                          ("add_alcohol_ml", "alcohol_density")),
        "add_resin_g": ("0 * had_resin_g", ("had_resin_g",)),
    }, keep=("solids_mass_fraction",) if by_weight else (),
       where="--to-solids" if by_weight else "--to")  # fmt: skip
    drop_had(out.figures)
    keys = out.keys
    solids = f", {keys['solids_mass_fraction']:.1%} solids by weight" if by_weight else ""
    chart = None
    if to is not None:
        chart = explain_chart(cut_lb_per_gal=cut, to_cut=to,
                              resin_density_g_ml=bench.resin_density.number())  # fmt: skip
    lines = [
        f"Add {some_ml(keys['add_alcohol_ml'], 'alcohol')} to {ml(have)} of {cut:.3g}-lb mix: "
        f"makes {ml(keys['solution_ml'])} of {cut_words(keys['cut_lb_per_gal'])}{solids}.",
        *band_line(out, {"add_alcohol_ml": "alcohol to add", "solution_ml": "mix"}, WHY),
        *(density_note(bench) if by_weight else []),
        *([chart] if chart else []),
    ]
    if chart:
        out.extra["note"] = chart
    say("thin", bench, out, lines, cautions_of([bench.alcohol]))


@click.command("strengthen")
@click.option("--have", type=VOLUME, required=True, help="Mix that is there.")
@click.option("--cut", type=CUT, required=True, help="Its cut.")
@click.option("--to", type=CUT, required=True, help="Wished cut.")
@bench_options
def strengthen_(*, bench: Bench, have: float, cut: float, to: float) -> None:
    """Flakes to add for a stronger cut.

    Example: lacwright mix strengthen --have "500 ml" --cut 1 --to 2
    """
    check_jar(have, cut)
    inputs = bench.inputs(have=given(have, "ml"), cut=given(cut, "lb/gal"),
                          to=given(to, "lb/gal"))  # fmt: skip

    def model(**x: float) -> dict[str, float]:
        before = jar(bench, x)
        change = strengthen_mix(mix=before, to_cut=x["to"])
        return of(change.after, had_alcohol_ml=before.alcohol_ml, had_resin_g=before.total_resin_g,
                  add_resin_g=change.add_resin_g, add_alcohol_ml=0.0,
                  add_alcohol_g=0.0)  # fmt: skip

    out = bench.answer(model, inputs, {
        **HAD,
        "add_resin_g": ("had_alcohol_ml * to * g_per_l_per_cut / 1000 - had_resin_g",
                        ("had_alcohol_ml", "to", "g_per_l_per_cut", "had_resin_g")),
        "resin_g": ("had_resin_g + add_resin_g", ("had_resin_g", "add_resin_g")),
        "alcohol_ml": ("had_alcohol_ml", ("had_alcohol_ml",)),
        "add_alcohol_ml": ("0 * had_alcohol_ml", ("had_alcohol_ml",)),
    }, ready=bench.ready(bench.resin(bench.resin_density.number())), where="--to")  # fmt: skip
    drop_had(out.figures)
    keys = out.keys
    lines = [
        f"Add {grams(keys['add_resin_g'], bench)} of flakes to {ml(have)} of {cut:.3g}-lb mix: "
        f"makes {ml(keys['solution_ml'])} of {cut_words(keys['cut_lb_per_gal'])}.",
        *band_line(out, {"add_resin_g": "flakes to add", "solution_ml": "mix"}, WHY),
        *ready_line(out.figures["ready_after_h"]),
    ]
    say("strengthen", bench, out, lines, cautions_of([bench.alcohol], "warm-bath"))


@click.command("correct")
@click.option("--resin", type=FLAKES, required=True, help="Flakes that really went in.")
@click.option("--solvent", type=VOLUME, required=True, help="Alcohol that really went in.")
@click.option("--used", type=VOLUME, default=0.0, metavar='"200 ml"', help="Mix used since.")
@click.option("--to", type=CUT, required=True, help="The cut it should have.")
@click.option("--coats-laid", type=COATS, help="Coats laid with the wrong mix.")
@click.option("--coats-planned", type=COATS, help="Coats that were planned.")
@click.option("--planned-cut", type=CUT, help="Cut that was planned for them [--to].")
@click.option("--spread", type=SPREAD, help="Mix laid per area and coat, for the resin laid.")
@bench_options
def correct_(
    *, bench: Bench, resin: float, solvent: float, used: float, to: float,
    coats_laid: float | None, coats_planned: float | None, planned_cut: float | None,
    spread: float | None,
) -> None:  # fmt: skip
    """Set a wrong mix right, counting only what is left of it; coats laid in planned coats.

    Example: lacwright mix correct --resin "40 g" --solvent "900 ml" --used "200 ml" --to 2
    --coats-laid 2 --coats-planned 5
    """
    if resin <= 0 or solvent <= 0:
        where = "--resin" if resin <= 0 else "--solvent"
        raise Refusal(where, "no flakes or no alcohol makes no mix", "check both amounts")
    _all_of_the_coats(coats_laid, coats_planned, planned_cut, spread)
    inputs = bench.inputs(flakes=given(resin, "g"), solvent=given(solvent, "ml"),
                          used=given(used, "ml"), to=given(to, "lb/gal"))  # fmt: skip

    def made(x: dict[str, float]) -> Mix:
        return dissolve(resin_g=x["flakes"], resin=bench.resin(x["resin_density"]),
                        alcohol=bench.spirit(x["alcohol_density"]), alcohol_ml=x["solvent"],
                        temp_c=bench.temp_c)  # fmt: skip

    def model(**x: float) -> dict[str, float]:
        change = correct(made=made(x), used_ml=x["used"], to_cut=x["to"])
        left = float(change.before.solution_ml)
        return of(change.after, add_resin_g=change.add_resin_g, add_alcohol_g=change.add_alcohol_g,
                  add_alcohol_ml=change.add_alcohol_ml, left_ml=left,
                  left_share=left / float(made(x).solution_ml))  # fmt: skip

    out = bench.answer(model, inputs, {
        "left_share": ("1 - used / (solvent + flakes / resin_density)",
                        ("used", "solvent", "flakes", "resin_density")),
        "left_ml": ("left_share * (solvent + flakes / resin_density)",
                    ("left_share", "solvent", "flakes", "resin_density")),
        "add_resin_g": ("max(left_share * (solvent * to * g_per_l_per_cut / 1000 - flakes), 0)",
                        ("left_share", "solvent", "to", "g_per_l_per_cut", "flakes")),
        "add_alcohol_ml": (
            "max(left_share * (1000 * flakes / (to * g_per_l_per_cut) - solvent), 0)",
            ("left_share", "solvent", "to", "g_per_l_per_cut", "flakes")),
        "add_alcohol_g": ("add_alcohol_ml * alcohol_density",
                          ("add_alcohol_ml", "alcohol_density")),
        "resin_g": ("left_share * flakes + add_resin_g",
                    ("left_share", "flakes", "add_resin_g")),
        "alcohol_ml": ("left_share * solvent + add_alcohol_ml",
                       ("left_share", "solvent", "add_alcohol_ml")),
    }, where="--to")  # fmt: skip
    keys = out.keys
    if keys["add_resin_g"] > 0:
        out.put("ready_after_h", bench.ready(bench.resin(bench.resin_density.number())))
        add = f"{grams(keys['add_resin_g'], bench)} of flakes"
    else:
        add = some_ml(keys["add_alcohol_ml"], "alcohol")
    wrong = made({k: f.number() for k, f in inputs.items()})
    lines = [
        f"Add {add} to the {ml(keys['left_ml'])} that are left: makes {ml(keys['solution_ml'])} "
        f"of {cut_words(keys['cut_lb_per_gal'])}.",
        f"What was mixed is {an(cut_words(float(wrong.cut_lb_per_gal)))}.",
        *band_line(out, {"add_resin_g": "flakes to add", "add_alcohol_ml": "alcohol to add"}, WHY),
        *ready_line(out.figures["ready_after_h"]),
        *_coats(out, bench, wrong, coats_laid, coats_planned, (planned_cut or to, to), spread),
    ]
    out.extra["made_cut_lb_per_gal"] = float(wrong.cut_lb_per_gal)
    warm = ("warm-bath",) if keys["add_resin_g"] > 0 else ()
    say("correct", bench, out, lines, cautions_of([bench.alcohol], *warm))


def _all_of_the_coats(
    laid: float | None, planned: float | None, planned_cut: float | None, spread: float | None
) -> None:
    """Refuse half a question about coats: an option that changes nothing is a slip."""
    asked = {"--coats-laid": laid, "--coats-planned": planned, "--planned-cut": planned_cut,
             "--spread": spread}  # fmt: skip
    given_ = [name for name, value in asked.items() if value is not None]
    lacking = [name for name in ("--coats-laid", "--coats-planned") if asked[name] is None]
    if given_ and lacking:
        raise Refusal(given_[0], f"coats are counted only with {' and '.join(lacking)} too",
                      "add --coats-laid 2 --coats-planned 5, and --planned-cut where it was "
                      "another than --to")  # fmt: skip


def _coats(
    out: Answer, bench: Bench, wrong: Mix, laid: float | None, planned: float | None,
    cuts: tuple[float, float], spread: float | None,
) -> list[str]:  # fmt: skip
    """Put coats laid with the wrong mix, in planned coats, into the answer; return the words.

    `cuts` are the planned one and the one that the mix now gets.
    """
    if laid is None or planned is None:
        reason = "cannot estimate without --coats-laid and --coats-planned"
        for name in ("planned_coats_equivalent", "coats_due", "coats_due_at_new_cut"):
            out.put(name, unknown("1", reason))
        return []
    inputs = {
        "coats_laid": given(laid, "1"), "coats_planned": given(planned, "1"),
        "made_g_per_l": exact(float(wrong.resin_g_per_l_alcohol), "g/l", "as mixed"),
        "planned_g_per_l": exact(cuts[0] * G_PER_L_PER_CUT, "g/l", "planned cut"),
        "new_g_per_l": exact(cuts[1] * G_PER_L_PER_CUT, "g/l", "new cut"),
        "resin_density": bench.resin_density,
    }  # fmt: skip

    def model(**x: float) -> dict[str, float]:
        resin = bench.resin(x["resin_density"])
        made, meant, new = (
            make(cut_lb_per_gal=x[name] / G_PER_L_PER_CUT, alcohol_ml=1000.0, resin=resin)
            for name in ("made_g_per_l", "planned_g_per_l", "new_g_per_l")
        )
        done = float(planned_coats_equivalent(coats_laid=x["coats_laid"], laid=made, planned=meant))
        due = max(x["coats_planned"] - done, 0.0)
        return {"done": done, "due": due, "over": max(done - x["coats_planned"], 0.0),
                "new": float(planned_coats_equivalent(coats_laid=due, laid=meant, planned=new)),
                "laid_g_per_l": float(made.resin_g_per_l)}  # fmt: skip

    found = bands(model, inputs)

    def put(name: str, key: str, formula: str, parts: Mapping[str, Figure], note: str) -> Figure:
        figure = computed(formula, "1", parts, note=note).with_band(*found[key][1:])
        out.put(name, figure)
        return figure

    def some(*names: str) -> dict[str, Figure]:
        return {name: inputs[name] for name in names}

    by_resin = "a coat of the same spread carries resin in proportion to grams per litre of mix"
    done = put(
        "planned_coats_equivalent", "done",
        "coats_laid * made_g_per_l / (1 + made_g_per_l / 1000 / resin_density)"
        " * (1 + planned_g_per_l / 1000 / resin_density) / planned_g_per_l",
        some("coats_laid", "made_g_per_l", "planned_g_per_l", "resin_density"), by_resin,
    )  # fmt: skip
    both = {**some("coats_planned"), "planned_coats_equivalent": done}
    due = put("coats_due", "due", "max(coats_planned - planned_coats_equivalent, 0)", both,
              "counted in coats of the planned cut")  # fmt: skip
    new = put(
        "coats_due_at_new_cut", "new",
        "coats_due * planned_g_per_l / (1 + planned_g_per_l / 1000 / resin_density)"
        " * (1 + new_g_per_l / 1000 / resin_density) / new_g_per_l",
        {"coats_due": due, **some("planned_g_per_l", "new_g_per_l", "resin_density")}, by_resin,
    )  # fmt: skip
    over = put("coats_too_many", "over", "max(planned_coats_equivalent - coats_planned, 0)", both,
               "counted in coats of the planned cut")  # fmt: skip
    whole = math.ceil(new.number() - 1e-9)
    out.extra["coats_due_whole"] = whole
    of_cut = f"of the planned {cuts[0]:.3g}-lb cut"
    words = [f"The {laid:g} coats laid are worth {brief(done.number())} coats {of_cut}: "]
    if over.number() > 0:
        words[0] += f"{brief(over.number())} coats too many; none is due."
    else:
        words[0] += f"{brief(due.number())} coats {of_cut} are due, "
        if abs(cuts[0] / cuts[1] - 1) > 1e-9:
            words[0] += f"or {brief(new.number())} of the new {cuts[1]:.3g}-lb cut, "
        words[0] += f"so lay {whole} more."
    if spread is not None:
        laid_g_m2 = laid * spread * found["laid_g_per_l"][0] / 1000
        out.extra["laid_resin_g_m2"] = laid_g_m2
        words.append(f"They carry {brief(laid_g_m2)} g of resin per m2.")
    return words


@click.command("slow")
@click.option("--have", type=VOLUME, required=True, help="Mix that is there.")
@click.option("--cut", type=CUT, required=True, help="Its cut.")
@click.option("--slow", "slow_name", required=True,
              help="n-butanol, isobutanol, isopropanol, 1-propanol or turpentine.")  # fmt: skip
@click.option("--share", type=SHARE, help="Of all alcohol by volume (turpentine: of the mix).")
@bench_options
def slow_(*, bench: Bench, have: float, cut: float, slow_name: str, share: float | None) -> None:
    """Slow alcohol or gum turpentine as a share: it keeps the wet edge open and dries later.

    Example: lacwright mix slow --have "500 ml" --cut 2 --slow n-butanol --share 5%
    """
    check_jar(have, cut)
    key, slow_alcohol = _slow_alcohol(slow_name)
    row = table("solution")[f"slow_{key}"]
    share_of = "mix" if key == "turpentine" else "alcohol"
    wanted = given(share, "1") if share is not None else row.figure()
    wanted = wanted.with_band(wanted.number(), wanted.number())
    inputs = bench.inputs(have=given(have, "ml"), cut=given(cut, "lb/gal"), share=wanted)
    inputs["slow_density"] = exact(
        float(slow_alcohol.density_g_ml(bench.temp_c)), "g/ml", "table of substances"
    )
    # A cut counts alcohol alone, and turpentine is none; it is part of the mix all the same.
    spirit = share_of == "alcohol"

    def model(**x: float) -> dict[str, float]:
        before = jar(bench, x)
        change = slow(mix=before, alcohol=slow_alcohol, share=x["share"], of=share_of)
        found = of(change.after, had_alcohol_ml=before.alcohol_ml,
                   had_resin_g=before.total_resin_g, add_alcohol_ml=change.add_alcohol_ml,
                   add_alcohol_g=change.add_alcohol_g)  # fmt: skip
        if not spirit:
            alone = of(before)
            for key in ("alcohol_ml", "alcohol_g", "cut_lb_per_gal", "resin_g_per_l_alcohol"):
                found[key] = alone[key]
        return found

    base = "had_alcohol_ml" if spirit else "have"
    counted = " + add_alcohol_ml" if spirit else ""
    slow_g = " + add_alcohol_ml * slow_density" if spirit else ""
    out = bench.answer(model, inputs, {
        **HAD, "add_alcohol_ml": (f"{base} * share / (1 - share)", (base, "share")),
        "add_alcohol_g": ("add_alcohol_ml * slow_density", ("add_alcohol_ml", "slow_density")),
        "resin_g": ("had_resin_g", ("had_resin_g",)),
        "alcohol_ml": (f"had_alcohol_ml{counted}", ("had_alcohol_ml", "add_alcohol_ml")),
        "alcohol_g": (f"had_alcohol_ml * alcohol_density{slow_g}",
                      ("had_alcohol_ml", "alcohol_density", "add_alcohol_ml", "slow_density")),
        "solution_ml": ("had_alcohol_ml + had_resin_g / resin_density + add_alcohol_ml",
                        ("had_alcohol_ml", "had_resin_g", "resin_density", "add_alcohol_ml")),
        "solution_g": ("had_resin_g + had_alcohol_ml * alcohol_density + add_alcohol_g",
                       ("had_resin_g", "had_alcohol_ml", "alcohol_density", "add_alcohol_g")),
        "solids_mass_fraction": ("resin_g * (1 - moisture) / solution_g",
                                 ("resin_g", "moisture", "solution_g")),
    }, keep=("add_alcohol_g",))  # fmt: skip
    drop_had(out.figures)
    keys = out.keys
    usual = row.figure()
    out.extra["slow"] = key
    lines = [
        f"Add {ml(keys['add_alcohol_ml'])} of {key} to {ml(have)} of {cut:.3g}-lb mix: "
        f"{wanted.number():.1%} of the {share_of} by volume; makes {ml(keys['solution_ml'])} of "
        f"{cut_words(keys['cut_lb_per_gal'])}.",
        *(
            []
            if spirit
            else [
                f"Turpentine is no alcohol: the cut counts the "
                f"{ml(keys['alcohol_ml'])} of alcohol alone."
            ]
        ),
        f"Usual share {usual.number():.0%} ({usual.low:.0%}-{usual.high:.0%}, {usual.mark}); "
        "every wait gets longer: try it on a board first.",
        *band_line(out, {"add_alcohol_ml": f"{key} to add"}, WHY),
    ]
    if (
        usual.high is not None
        and not bench.odd
        and (wanted.number() > table("solution")["odd_slow"].number("value") * usual.high)
    ):
        raise Refusal(
            "--share",
            f"{wanted.number():.0%} of {key} is far above the usual "
            f"{usual.low:.0%}-{usual.high:.0%}",
            "ask for less, or add --odd",
        )
    say("slow", bench, out, lines, cautions_of([bench.alcohol, slow_alcohol]))


def _slow_alcohol(name: str) -> tuple[str, Alcohol]:
    """Return the substance that is meant by --slow, and it as an alcohol."""
    known = [r.key[len("slow_") :] for r in table("solution") if r.key.startswith("slow_")]
    try:
        key = table("substances").find(name, "--slow").key
    except Refusal:
        key = ""
    if key not in known:
        raise Refusal("--slow", f"'{name}' is not a slow alcohol on file", nearest(name, known))
    return key, Alcohol(key, ((key, 1.0),))


def drop_had(figures: dict[str, Figure]) -> None:
    """Take out the figures of the mix before the change: they stay in the workings."""
    for key in HAD:
        figures.pop(key, None)
