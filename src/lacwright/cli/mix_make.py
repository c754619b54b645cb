"""`mix make` and `mix cut`: flakes and alcohol for a wish, or the cut of what was put together."""

from __future__ import annotations

import click

from lacwright.cli.mix_common import (
    CUT,
    FLAKES,
    SHARE,
    VOLUME,
    Bench,
    band_line,
    bench_options,
    cut_words,
    grams,
    ml,
    of,
    ready_line,
    say,
)
from lacwright.cli.show import DENSITY, only_one
from lacwright.figures import Figure, Refusal, given
from lacwright.figures import units as u
from lacwright.figures.quantities import read, read_weight
from lacwright.figures.spoken import an
from lacwright.solution import cautions_of, dissolve, make
from lacwright.solution.num import meant
from lacwright.trade import table

WHY = "resin density in solution"


@click.command("make")
@click.option("--cut", type=CUT, required=True, help="Wished cut: 2, 2-lb, 240 g/l.")
@click.option("--solution", type=VOLUME, help="Make this much finished mix.")
@click.option("--resin", type=FLAKES, help="Use up this weight of flakes.")
@click.option("--alcohol-volume", type=VOLUME, help="Use this much alcohol.")
@click.option(
    "--dye",
    type=SHARE,
    default=0.0,
    metavar='"1 %"',
    help="Liquid dye concentrate, share of alcohol.",
)
@bench_options
def make_(
    *, bench: Bench, cut: float, solution: float | None, resin: float | None,
    alcohol_volume: float | None, dye: float,
) -> None:  # fmt: skip
    """Flakes and alcohol for a cut: a volume of mix, a weight of flakes, or a volume of alcohol.

    Example: lacwright mix make --cut 2 --solution "600 ml" --grade garnet --alcohol ethanol-190
    """
    which = only_one(solution=solution, resin=resin, alcohol_volume=alcohol_volume)
    if cut <= 0:
        raise Refusal("--cut", "a cut of zero is alcohol", "write e.g. 2")
    if dye > 1:
        raise Refusal("--dye", "more dye than alcohol", "write a share, for example 1 %")

    amount = solution or resin or alcohol_volume
    if not amount:
        raise Refusal("--" + which.replace("_", "-"), "nothing is to be made",
                      "give an amount above zero")  # fmt: skip
    wished = given(amount, "g" if resin is not None else "ml")
    inputs = bench.inputs(amount=wished, cut=given(cut, "lb/gal"), dye=given(dye, "1"))

    def model(**x: float) -> dict[str, float]:
        mix = make(
            cut_lb_per_gal=x["cut"], resin=bench.resin(x["resin_density"]),
            alcohol=bench.spirit(x["alcohol_density"]), dye_share=x["dye"], temp_c=bench.temp_c,
            solution_ml=x["amount"] if solution is not None else None,
            resin_g=x["amount"] if resin is not None else None,
            alcohol_ml=x["amount"] if alcohol_volume is not None else None,
        )  # fmt: skip
        return of(mix, dye_ml=float(mix.dye_ml))

    if solution is not None:
        per_ml = "1 + cut * g_per_l_per_cut / 1000 / resin_density + dye"
        alcohol: tuple[str, tuple[str, ...]] = (
            f"amount / ({per_ml})",
            ("amount", "cut", "g_per_l_per_cut", "resin_density", "dye"),
        )
    elif resin is not None:
        alcohol = (
            "1000 * amount / (cut * g_per_l_per_cut)",
            ("amount", "cut", "g_per_l_per_cut"),
        )
    else:
        alcohol = ("amount", ("amount",))
    flakes = (
        "alcohol_ml * cut * g_per_l_per_cut / 1000",
        ("alcohol_ml", "cut", "g_per_l_per_cut"),
    )
    out = bench.answer(
        model, inputs, {"alcohol_ml": alcohol, "resin_g": flakes},
        ready=bench.ready(bench.resin(bench.resin_density.number())),
        dye_ml=model(**{k: f.number() for k, f in inputs.items()})["dye_ml"], where="--cut",
    )  # fmt: skip
    keys = out.keys
    dyed = ""
    if dye:
        out.put("dye_ml", _dye(dye, out.figures["alcohol_ml"]))
        dyed = f" and {ml(out.keys['dye_ml'])} of dye concentrate"
    lines = [
        f"Weigh {grams(keys['resin_g'], bench)} of {bench.grade or 'flakes'} into "
        f"{ml(keys['alcohol_ml'])} of alcohol{dyed}: makes {ml(keys['solution_ml'])} of "
        f"{cut_words(keys['cut_lb_per_gal'])}.",
        *band_line(out, {"resin_g": "flakes", "alcohol_ml": "alcohol", "solution_ml": "mix"}, WHY),
        *ready_line(out.figures["ready_after_h"]),
    ]
    say("make", bench, out, lines, cautions_of([bench.alcohol], "warm-bath"))


@click.command("cut")
@click.option("--resin", required=True, metavar='"2 oz"', help="Weight of flakes.")
@click.option("--solvent", type=VOLUME, help="Alcohol they go into.")
@click.option("--solution", type=VOLUME, help="Made up to this much finished mix.")
@click.option("--bulk-density", type=DENSITY, metavar='"0.36 g/ml"',
              help="Of the flakes as they lie, for a cup of them.")  # fmt: skip
@bench_options
def cut_(
    *, bench: Bench, resin: str, solvent: float | None, solution: float | None,
    bulk_density: float | None,
) -> None:  # fmt: skip
    """The cut of flakes in alcohol, or made up to a volume of finished mix.

    Example: lacwright mix cut --resin "2 oz" --solvent "1 cup"
    """
    only_one(solvent=solvent, solution=solution)
    weighed = read_flakes(resin, bulk_density, "--resin")
    amount = solvent if solvent is not None else solution
    assert amount is not None
    if weighed.number() <= 0 or amount <= 0:
        liquid = "--solvent" if solvent is not None else "--solution"
        raise Refusal(
            "--resin" if weighed.number() <= 0 else liquid,
            "no flakes or no liquid makes no mix",
            "check both amounts",
        )
    inputs = bench.inputs(flakes=weighed, amount=given(amount, "ml"))

    def model(**x: float) -> dict[str, float]:
        return of(dissolve(
            resin_g=x["flakes"], resin=bench.resin(x["resin_density"]),
            alcohol=bench.spirit(x["alcohol_density"]), temp_c=bench.temp_c,
            alcohol_ml=x["amount"] if solvent is not None else None,
            solution_ml=x["amount"] if solution is not None else None,
        ))  # fmt: skip

    workings: dict[str, tuple[str, tuple[str, ...]]] = {"resin_g": ("flakes", ("flakes",))}
    if solvent is not None:
        workings["alcohol_ml"] = ("amount", ("amount",))
    else:
        workings["alcohol_ml"] = (
            "amount - flakes / resin_density",
            ("amount", "flakes", "resin_density"),
        )
    ready = bench.ready(bench.resin(bench.resin_density.number()))
    out = bench.answer(model, inputs, workings, ready=ready, where="--resin")
    keys = out.keys
    lines = [
        f"That is {an(cut_words(keys['cut_lb_per_gal']))}: {grams(keys['resin_g'], bench)} of "
        f"flakes in {ml(keys['alcohol_ml'])} of alcohol, {ml(keys['solution_ml'])} of mix.",
        *band_line(out, {"cut_lb_per_gal": "cut", "solution_ml": "mix"}, WHY),
        *ready_line(out.figures["ready_after_h"]),
    ]
    say("cut", bench, out, lines, cautions_of([bench.alcohol]))


def read_flakes(text: str, bulk_density: float | None, where: str) -> Figure:
    """Read a weight of flakes; a volume only with a bulk density, which a weight does not need."""
    if bulk_density is not None:
        rows = table("solution")
        usual, odd = rows["bulk_density"], rows["bulk_density_odd"]
        if not odd.number("low") <= bulk_density <= odd.number("high"):
            raise Refusal(
                "--bulk-density",
                f"{bulk_density:g} g/ml is not how flakes lie",
                f"weigh a level cup of them; loose flakes are near {usual.number('value'):g}",
            )
    try:
        mend = "weigh them, or give --bulk-density with your own weighed cup"
        return given(meant(read_weight(text, where, mend), where), "g")
    except Refusal as no_weight:
        if bulk_density is None:
            raise
        try:
            volume = meant(read(text, u.VOLUME, where), where)
        except Refusal:
            raise no_weight from None
    return given(volume * bulk_density, "g", "volume of flakes times --bulk-density")


def _dye(share: float, alcohol: Figure) -> Figure:
    from lacwright.figures import computed

    inputs = {"dye": given(share, "1"), "alcohol_ml": alcohol}
    figure = computed("dye * alcohol_ml", "ml", inputs)
    assert alcohol.low is not None
    assert alcohol.high is not None
    return figure.with_band(share * alcohol.low, share * alcohol.high)
