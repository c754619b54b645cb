"""`mix read`, `shortcut` and `wax`: recipes as written, rules of thumb, paste wax."""

from __future__ import annotations

from typing import Any

import click

from lacwright.cli.mix_common import (
    CUT,
    VOLUME,
    WEIGHT,
    Bench,
    band_line,
    bench_options,
    check_step,
    cut_words,
    density_note,
    ml,
    of,
    resin_density,
    say,
)
from lacwright.cli.mix_make import read_flakes
from lacwright.cli.show import DENSITY, brief, emit, json_option, to_step
from lacwright.figures import Figure, Refusal, computed, given
from lacwright.figures.spoken import a_cut, an
from lacwright.solution import (
    Answer,
    bands,
    caution,
    cautions_of,
    cut_by_rule,
    dissolve,
    explain_chart,
    make,
    parts_to_thin,
    paste_wax,
    read_recipe,
)
from lacwright.trade import table


@click.command("read")
@click.argument("text")
@bench_options
def read_(*, bench: Bench, text: str) -> None:
    """A recipe as written elsewhere, as pounds per US gallon of alcohol.

    TEXT: "1.5 lb/imp gal", "3 lb/gal of mix", "20 % by weight", "1:4", "200 g/l of mix",
    "2 oz per cup", "25 g per 100 g of alcohol", "1 part to 4 parts by weight".
    Amounts in the answer are for one litre of alcohol.
    """
    written = read_recipe(text, where="TEXT")
    needs = written.needs_alcohol_density
    unit = "g/l" if written.how in ("alcohol", "mix") else "1"
    inputs = bench.inputs(needs_alcohol=needs, amount=given(written.amount, unit))

    def model(**x: float) -> dict[str, float]:
        cut = written.cut_lb_per_gal(resin_density_g_ml=x["resin_density"],
                                     alcohol_density_g_ml=x["alcohol_density"])  # fmt: skip
        mix = make(cut_lb_per_gal=cut, alcohol_ml=1000.0, resin=bench.resin(x["resin_density"]),
                   alcohol=bench.spirit(x["alcohol_density"]), temp_c=bench.temp_c)  # fmt: skip
        return of(mix, _cut=cut)

    names = [n for n in ("amount", "resin_density", "alcohol_density", "g_per_l_per_cut")
             if n in written.formula]  # fmt: skip
    out = bench.answer(model, inputs, {
        "_cut": (written.formula, tuple(names)),
        "alcohol_ml": ("1000 + 0 * _cut", ("_cut",)),
        "resin_g": ("_cut * g_per_l_per_cut", ("_cut", "g_per_l_per_cut")),
    }, keep=("solids_mass_fraction",) if needs else (), where="TEXT",
       ready=bench.ready(bench.resin(bench.resin_density.number())))  # fmt: skip
    out.extra |= {"read_as": written.words, "how": written.how}
    cut = out.keys["cut_lb_per_gal"]
    why = "density of the alcohol" if needs else "resin density in solution"
    lines = [
        f"Mix it as {an(cut_words(cut))}: '{text}' is {written.words}.",
        *band_line(out, {"cut_lb_per_gal": "cut"}, why),
        *(density_note(bench) if needs else []),
    ]
    say("read", bench, out, lines, cautions_of([bench.alcohol]))


@click.command("shortcut")
@click.option("--cut", type=CUT, help="With --to: thinned by 'from/to - 1 parts'.")
@click.option("--to", type=CUT, help="The cut that the rule promises.")
@click.option("--per-mix", type=CUT, help="Pounds to a gallon of finished mix.")
@click.option("--flakes", metavar='"1 cup"', help="A measure of flakes, with --solvent.")
@click.option("--solvent", type=VOLUME, help="Alcohol over the flakes.")
@click.option(
    "--bulk-density",
    type=DENSITY,
    metavar='"0.36 g/ml"',
    help="Own weighed cup of flakes, g/ml [0.36].",
)
@click.option("--density", type=DENSITY, help="Density of the resin in solution, g/ml [1.14].")
@json_option
def shortcut_(
    *, cut: float | None, to: float | None, per_mix: float | None, flakes: str | None,
    solvent: float | None, bulk_density: float | None, density: float | None, as_json: bool,
) -> None:  # fmt: skip
    """What a common shortcut really gives.

    --cut 3 --to 1: thinned with "from/to - 1" parts of alcohol, forgetting the room of the resin.
    --per-mix 3: pounds to a gallon of mix. --flakes "1 cup" --solvent "1 cup": by the measure.
    """
    asked = [cut is not None and to is not None, per_mix is not None,
             flakes is not None and solvent is not None]  # fmt: skip
    if sum(asked) != 1:
        raise Refusal("shortcut", "one question at a time",
                      "give --cut and --to, or --per-mix, or --flakes and --solvent")  # fmt: skip
    figure = resin_density(density)
    if per_mix is not None:
        out, lines = _per_mix(per_mix, figure)
    elif flakes is not None and solvent is not None:
        out, lines = _by_measure(flakes, solvent, bulk_density)
    else:
        assert cut is not None
        assert to is not None
        out, lines = _by_rule(cut, to, figure)
    emit(schema="lacwright.mix.shortcut/1", keys=out.keys, lines=lines, as_json=as_json,
         figures=out.figures, missing=out.missing, cautions=(caution("flammable"),))  # fmt: skip


@click.command("wax")
@click.option("--beeswax", type=WEIGHT, default=0.0, metavar='"190 g"', help="Weight of beeswax.")
@click.option(
    "--carnauba", type=WEIGHT, default=0.0, metavar='"30 g"', help="Weight of carnauba wax."
)
@click.option("--firmness", type=click.FloatRange(0.2, 5), default=1.0,
              help="2 = half the turpentine; 0.5 = twice.")  # fmt: skip
@click.option("--scale-step", type=WEIGHT, default=0.1, metavar='"0.1 g"',
              help='Step of your scale ["0.1 g"].')  # fmt: skip
@json_option
def wax_(
    *, beeswax: float, carnauba: float, firmness: float, scale_step: float, as_json: bool
) -> None:
    """Paste wax: beeswax takes its own weight of turpentine, carnauba three times its weight.

    Example: lacwright mix wax --beeswax "190 g" --carnauba "30 g"
    """
    check_step(scale_step)
    paste = paste_wax(beeswax_g=beeswax, carnauba_g=carnauba, firmness=firmness)
    rows = table("solution")
    inputs = {
        "beeswax_g": given(beeswax, "g"), "carnauba_g": given(carnauba, "g"),
        "beeswax_takes": rows["wax_turps_beeswax"].figure(unit="g/g"),
        "carnauba_takes": rows["wax_turps_carnauba"].figure(unit="g/g"),
        "firmness": given(firmness, "1"),
    }  # fmt: skip
    out = Answer()
    turps = computed(
        "(beeswax_g * beeswax_takes + carnauba_g * carnauba_takes) / firmness", "g", inputs
    )
    density = table("substances")["turpentine"].figure("density_20_g_ml", "g/ml")
    out.put("turpentine_g", turps)
    out.put("turpentine_ml", computed("turpentine_g / turpentine_density", "ml", {
        "turpentine_g": turps, "turpentine_density": density}))  # fmt: skip
    out.put("total_g", computed("beeswax_g + carnauba_g + turpentine_g", "g", {
        "beeswax_g": inputs["beeswax_g"], "carnauba_g": inputs["carnauba_g"],
        "turpentine_g": turps}))  # fmt: skip
    out.extra["wax_share"] = float(paste.wax_share)
    keys = out.keys
    softer = rows["wax_softer"]
    waxes = " and ".join(
        f"{to_step(w, scale_step)} g of {name}"
        for w, name in ((beeswax, "beeswax"), (carnauba, "carnauba"))
        if w > 0
    )
    lines = [
        f"Melt {waxes} in a water bath, take it off, stir in "
        f"{to_step(keys['turpentine_g'], scale_step)} g ({ml(keys['turpentine_ml'])}) of gum "
        f"turpentine: makes {keys['total_g']:.0f} g of paste, {keys['wax_share']:.0%} wax.",
        f"Another published recipe is softer ({softer.text('note')}): --firmness "
        f"{softer.number('value'):g} gives that.",
    ]
    emit(schema="lacwright.mix.wax/1", keys=keys, lines=lines, as_json=as_json,
         figures=out.figures, missing={},
         cautions=(caution("paste-wax-heat"), caution("turpentine")))  # fmt: skip


def _per_mix(per_mix: float, density: Any) -> tuple[Answer, list[str]]:
    written = read_recipe(f"{per_mix:.12g} lb/gal of mix", where="--per-mix")
    inputs = {"amount": given(written.amount, "g/l"), "resin_density": density}

    def model(**x: float) -> dict[str, float]:
        return {"cut": float(written.cut_lb_per_gal(
            resin_density_g_ml=x["resin_density"], alcohol_density_g_ml=0.8))}  # fmt: skip

    out = Answer()
    out.put("cut_lb_per_gal", _cut_figure(written.formula, inputs, bands(model, inputs)["cut"]))
    cut = out.keys["cut_lb_per_gal"]
    return out, [
        f"Call it {an(cut_words(cut))}: {per_mix:.3g} lb to a gallon of finished mix leaves less "
        "than a gallon of alcohol.",
        *band_line(out, {"cut_lb_per_gal": "cut"}, "resin density in solution"),
    ]


def _by_measure(flakes: str, solvent: float, bulk: float | None) -> tuple[Answer, list[str]]:
    lies = table("solution")["bulk_density"].figure()
    if bulk is not None:
        lies = given(bulk, "g/ml", "given with --bulk-density")
    weighed = read_flakes(flakes, lies.number(), "--flakes")
    if solvent <= 0 or weighed.number() <= 0:
        raise Refusal("--flakes" if solvent > 0 else "--solvent",
                      "no flakes or no alcohol makes no mix", "check both amounts")  # fmt: skip
    if weighed.source == "given":
        return _by_weight(weighed, solvent)
    volume = weighed.number() / lies.number()
    inputs = {"flakes_ml": given(volume, "ml"), "bulk_density": lies,
              "solvent_ml": given(solvent, "ml")}  # fmt: skip

    def model(**x: float) -> dict[str, float]:
        mix = make(cut_lb_per_gal=1.0, alcohol_ml=x["solvent_ml"])
        return {"cut": x["flakes_ml"] * x["bulk_density"] / float(mix.total_resin_g)}

    out = Answer()
    formula = "1000 * flakes_ml * bulk_density / solvent_ml / g_per_l_per_cut"
    out.put("cut_lb_per_gal", _cut_figure(formula, inputs, bands(model, inputs)["cut"]))
    cut = out.keys["cut_lb_per_gal"]
    return out, [
        f"Weigh the flakes instead: by the measure it is about {an(cut_words(cut))}.",
        *band_line(out, {"cut_lb_per_gal": "cut"}, "how loosely flakes lie, " + str(lies.mark)),
    ]


def _by_weight(weighed: Figure, solvent: float) -> tuple[Answer, list[str]]:
    inputs = {"flakes": weighed, "solvent_ml": given(solvent, "ml")}

    def model(**x: float) -> dict[str, float]:
        mix = dissolve(resin_g=x["flakes"], alcohol_ml=x["solvent_ml"])
        return {"cut": float(mix.cut_lb_per_gal)}

    out = Answer()
    formula = "1000 * flakes / solvent_ml / g_per_l_per_cut"
    out.put("cut_lb_per_gal", _cut_figure(formula, inputs, bands(model, inputs)["cut"]))
    return out, [
        f"Call it {an(cut_words(out.keys['cut_lb_per_gal']))}: {brief(weighed.number())} g of "
        f"flakes by weight in {ml(solvent)} of alcohol; a weight needs no bulk density.",
    ]


def _by_rule(cut: float, to: float, density: Any) -> tuple[Answer, list[str]]:
    inputs = {"from_cut": given(cut, "lb/gal"), "to_cut": given(to, "lb/gal"),
              "resin_density": density}  # fmt: skip

    def model(**x: float) -> dict[str, float]:
        args = {"cut_lb_per_gal": x["from_cut"], "to_cut": x["to_cut"],
                "resin_density_g_ml": x["resin_density"]}  # fmt: skip
        return {"cut": float(cut_by_rule(**args)), "parts": float(parts_to_thin(**args))}

    found = bands(model, inputs)
    grown = "(1 + from_cut * g_per_l_per_cut / 1000 / resin_density)"
    out = Answer()
    out.put("cut_lb_per_gal", _cut_figure(
        f"from_cut / (1 + {grown} * (from_cut / to_cut - 1))", inputs, found["cut"]))  # fmt: skip
    out.put("parts_alcohol", _cut_figure(
        f"(from_cut / to_cut - 1) / {grown}", inputs, found["parts"], "1"))  # fmt: skip
    out.extra["parts_by_rule"] = cut / to - 1
    chart = explain_chart(cut_lb_per_gal=cut, to_cut=to, resin_density_g_ml=density.number())
    if chart:
        out.extra["note"] = chart
    keys = out.keys
    return out, [
        f"Add {brief(keys['parts_alcohol'])} parts of alcohol to one part of mix for "
        f"{a_cut(to)}; the rule's {brief(cut / to - 1)} parts leave "
        f"{an(cut_words(keys['cut_lb_per_gal']))}.",
        *band_line(out, {"parts_alcohol": "parts", "cut_lb_per_gal": "cut by the rule"},
                   "resin density in solution"),
        *([chart] if chart else []),
    ]  # fmt: skip


def _cut_figure(
    formula: str, inputs: dict[str, Any], band: tuple[float, float, float], unit: str = "lb/gal"
) -> Any:
    from lacwright.figures import exact
    from lacwright.figures.units import G_PER_L_PER_CUT

    factor = exact(G_PER_L_PER_CUT, "g/l", "definition of pound and US gallon")
    figure = computed(formula, unit, {**inputs, "g_per_l_per_cut": factor})
    return figure.with_band(band[1], band[2])
