"""`mix blend`, `loss`, `residue` and `decant`: jars as they stand on the shelf."""

from __future__ import annotations

import re
from dataclasses import replace

import click

from lacwright.cli.mix_change import GROWN, HAD, check_jar, drop_had, jar
from lacwright.cli.mix_common import (
    CUT,
    LEAST_ML,
    SHARE,
    VOLUME,
    WEIGHT,
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
)
from lacwright.cli.show import brief, founded
from lacwright.figures import Figure, Refusal, central, exact, given
from lacwright.figures import units as u
from lacwright.figures.quantities import read, read_cut
from lacwright.figures.spoken import an
from lacwright.solution import (
    Alcohol,
    Change,
    Mix,
    Resin,
    blend_to,
    cautions_of,
    cut_of_residue,
    decanted,
    evaporated,
    give_back,
    make,
    pour_to_cut,
    read_alcohol,
    resin_named,
    resin_shares,
)
from lacwright.solution.num import meant
from lacwright.solution.shown import held
from lacwright.trade import table

WHY = "resin density in solution"
UNKNOWN_IN_JARS = (
    "cannot estimate without the alcohol of {jars}: its composition is unknown (ask for the "
    'safety data sheet and write e.g. --jar "300 ml 3-lb garnet in ethanol 95, water 5")'
)
_JAR = re.compile(
    r"(?P<volume>.+?)[ ,]+(?P<cut>\d[\d.,]*(?: \d/\d|/\d)?[ -]?lb\b(?:[ -]cut)?)"
    r"[ ,]*(?P<rest>.*)"
)


def read_jar(
    text: str, *, density: float, alcohol: Alcohol, temp_c: float, wax: str | None = None,
    moisture: float = 0.0,
) -> Mix:  # fmt: skip
    """Read "300 ml 3-lb garnet" or "1/2 pint 2-lb dewaxed blonde in methanol" into a mix.

    `alcohol` is that of a jar that names none, and of one that names the same.

    Raises
    ------
    Refusal
        Where volume, cut or grade cannot be read.
    """
    where = f'--jar "{text}"'
    match = _JAR.fullmatch(" ".join(text.lower().split()))
    if match is None:
        raise Refusal(where, "volume and cut are wanted", 'write e.g. "300 ml 3-lb garnet"')
    grade, _, spirit = match["rest"].partition(" in ")
    if match["rest"].startswith("in "):
        grade, spirit = "", match["rest"][3:]
    resin = resin_named(grade, density_g_ml=density, where=where, wax=wax, moisture_share=moisture)
    own = read_alcohol(spirit, where=where) if spirit else alcohol
    own = alcohol if own == alcohol else own  # what was weighed of it holds for this jar too
    have = meant(read(match["volume"], u.VOLUME, where), where)
    cut = meant(read_cut(match["cut"].replace("-", " "), where), where)
    if have <= 0 or cut <= 0:
        raise Refusal(where, "there is no mix in it", "leave it out")
    return make(cut_lb_per_gal=cut, solution_ml=have, resin=resin, alcohol=own, temp_c=temp_c)


@click.command("blend")
@click.option("--jar", "jars", multiple=True, required=True, metavar='"300 ml 3-lb garnet"',
              help="Volume, cut and grade; once for every jar.")  # fmt: skip
@click.option("--to", type=CUT, help="Bring the blend to this cut.")
@click.option("--solution", type=VOLUME, help="Make only this much.")
@click.option("--only-jars", is_flag=True, help="Two jars, nothing added: how much of each.")
@bench_options
def blend_(
    *, bench: Bench, jars: tuple[str, ...], to: float | None, solution: float | None,
    only_jars: bool,
) -> None:  # fmt: skip
    """Pour jars of different cuts and grades together, to a cut and a volume where asked.

    Example: lacwright mix blend --jar "300 ml 3-lb garnet" --jar "200 ml 1-lb blonde" --to 2
    """

    def poured(x: dict[str, float]) -> list[Mix]:
        spirit = bench.spirit(x["alcohol_density"])
        return [
            read_jar(
                text,
                density=x["resin_density"],
                alcohol=spirit,
                temp_c=bench.temp_c,
                wax=bench.wax,
                moisture=bench.moisture,
            )
            for text in jars
        ]

    volumes = [float(m.solution_ml) for m in poured({
        "resin_density": bench.resin_density.number(), "alcohol_density": 0.8})]  # fmt: skip
    if only_jars and (to is None or solution is None or len(jars) != 2):
        raise Refusal("--only-jars", "it needs two jars, --to and --solution",
                      'write e.g. --to 2 --solution "250 ml"')  # fmt: skip
    if len(jars) == 1:
        raise Refusal("--jar", "one jar is no blend",
                      "give a second --jar, or ask 'mix thin' or 'mix strengthen'")  # fmt: skip
    inputs = bench.inputs()

    def blended(x: dict[str, float]) -> tuple[list[Mix], float, Change]:
        mixes = poured(x)
        if only_jars:
            assert to is not None
            assert solution is not None
            pours = pour_to_cut(strong=mixes[0], weak=mixes[1], to_cut=to, solution_ml=solution)
            mixes = [m.part(ml=p)[0] for m, p in zip(mixes, pours, strict=True)]
            return mixes, *blend_to(jars=mixes)
        return mixes, *blend_to(jars=mixes, to_cut=to, solution_ml=solution,
                                alcohol=bench.spirit(x["alcohol_density"]),
                                resin=_main_resin(mixes))  # fmt: skip

    def model(**x: float) -> dict[str, float]:
        mixes, share, change = blended(x)
        out = of(change.after, add_alcohol_ml=change.add_alcohol_ml,
                 add_alcohol_g=change.add_alcohol_g, add_resin_g=change.add_resin_g,
                 blend_cut_lb_per_gal=change.before.cut_lb_per_gal)  # fmt: skip
        for n, mix in enumerate(mixes, start=1):
            out[f"pour_{n}_ml"] = share * float(mix.solution_ml)
            out[f"jar_{n}_resin_g"] = share * float(mix.total_resin_g)
            out[f"jar_{n}_alcohol_ml"] = share * float(mix.alcohol_ml)
        return out

    middle = {k: f.number() for k, f in inputs.items()}
    found = model(**middle)
    numbers = range(1, len(jars) + 1)
    for n in numbers:  # each jar's share is a base input of the workings
        inputs[f"jar_{n}_resin_g"] = held(
            found[f"jar_{n}_resin_g"], "g", bench.resin_density, f"jar {n}"
        )
        inputs[f"jar_{n}_alcohol_ml"] = held(
            found[f"jar_{n}_alcohol_ml"], "ml", bench.resin_density, f"jar {n}"
        )
    workings = _blend_workings(numbers, found, inputs, to)
    inputs["added_density"] = inputs["alcohol_density"]
    # The density of several alcohols together is what their weights and volumes make it.
    inputs["alcohol_density"] = exact(
        found["alcohol_g"] / found["alcohol_ml"], "g/ml", "of the alcohols in the blend"
    )
    base = ("resin_density",)
    out = bench.answer(
        lambda **x: model(alcohol_density=middle["alcohol_density"],
                          **{name: x[name] for name in base}),
        inputs, workings, withheld=_withheld(bench, *blended(middle)[::2]),
        keep=("add_alcohol_g",) if bench.alcohol.known else (),
        where="--to" if to is not None else "--jar",
    )  # fmt: skip
    keys = out.keys
    warm: tuple[str, ...] = ()
    if keys["add_resin_g"] > 0:
        out.put("ready_after_h", bench.ready(_main_resin(poured(middle))))
        warm = ("warm-bath",)
    pours = [out.keys[f"pour_{n}_ml"] for n in numbers]
    parts = [m.scaled(p / v) for m, p, v in zip(poured(middle), pours, volumes, strict=True)]
    shares = {name: share for name, share in resin_shares(_all(parts)).items() if share > 1e-9}
    out.extra["grades"] = shares
    out.extra["left_ml"] = [max(v - p, 0.0) for v, p in zip(volumes, pours, strict=True)]
    told = [f"{ml(p)} of jar {n}" for n, p in enumerate(pours, start=1) if p >= LEAST_ML]
    also = f"{' together' if len(told) > 1 else ''}{_also(keys, bench)}"
    lines = [
        f"Pour {' and '.join(told)}{also}: makes "
        f"{ml(keys['solution_ml'])} of {cut_words(keys['cut_lb_per_gal'])}.",
        f"Poured together alone they are {an(brief(keys['blend_cut_lb_per_gal']))}-lb cut; resin "
        + ", ".join(f"{share:.0%} {name}" for name, share in shares.items()) + ".",
        *band_line(out, {"cut_lb_per_gal": "cut", "add_alcohol_ml": "alcohol to add",
                         "add_resin_g": "flakes to add"}, WHY),
        *ready_line(out.figures["ready_after_h"]),
        "Blend only jars that passed a test: an old one spoils the whole.",
    ]  # fmt: skip
    alcohols = {a: None for m in poured(middle) for a in m.solvent_g}
    say("blend", bench, out, lines, cautions_of(alcohols, *warm))


@click.command("loss")
@click.option("--have", type=VOLUME, required=True, help="Mix that was in the jar.")
@click.option("--cut", type=CUT, required=True, help="Its cut then.")
@click.option("--lost", type=WEIGHT, required=True, metavar='"50 g"',
              help="Weight that is missing since.")  # fmt: skip
@bench_options
def loss_(*, bench: Bench, have: float, cut: float, lost: float) -> None:
    """An open jar that lost weight: its cut now, and the alcohol to give back.

    Only solvent leaves a jar; all solvents are taken to leave in proportion.
    Example: lacwright mix loss --have "400 ml" --cut 2 --lost "50 g"
    """
    check_jar(have, cut)
    inputs = bench.inputs(needs_alcohol=True, have=given(have, "ml"), cut=given(cut, "lb/gal"),
                          lost=given(lost, "g"))  # fmt: skip

    def model(**x: float) -> dict[str, float]:
        before = jar(bench, x)
        now = evaporated(mix=before, lost_g=x["lost"])
        back = give_back(mix=before, lost_g=x["lost"])
        return of(now, had_alcohol_ml=before.alcohol_ml, had_resin_g=before.total_resin_g,
                  add_alcohol_ml=back.add_alcohol_ml, add_alcohol_g=back.add_alcohol_g,
                  add_resin_g=0.0)  # fmt: skip

    out = bench.answer(model, inputs, {
        **HAD, "add_alcohol_ml": ("lost / alcohol_density", ("lost", "alcohol_density")),
        "resin_g": ("had_resin_g", ("had_resin_g",)),
        "alcohol_ml": ("had_alcohol_ml - add_alcohol_ml", ("had_alcohol_ml", "add_alcohol_ml")),
        "add_alcohol_g": ("lost", ("lost",)),
        "add_resin_g": ("0 * had_resin_g", ("had_resin_g",)),
    }, keep=("add_alcohol_g",), where="--lost")  # fmt: skip
    drop_had(out.figures)
    keys = out.keys
    lines = [
        f"Give back {ml(keys['add_alcohol_ml'])} of alcohol ({grams(lost, bench)}) to make it a "
        f"{cut:.3g}-lb cut again: as it stands it is {ml(keys['solution_ml'])} of "
        f"{cut_words(keys['cut_lb_per_gal'])}.",
        *band_line(out, {"add_alcohol_ml": "alcohol", "cut_lb_per_gal": "cut now"},
                   "densities of resin and alcohol"),
        *density_note(bench),
        "Taken: only solvent left, all of it in proportion. A slow alcohol stays longer, and an "
        "open jar takes in water: try a drop on glass.",
    ]  # fmt: skip
    say("loss", bench, out, lines, cautions_of([bench.alcohol]))


@click.command("residue")
@click.option("--sample", type=WEIGHT, required=True, metavar='"5 g"',
              help="The sample, wet, without the dish.")  # fmt: skip
@click.option("--dry", type=WEIGHT, required=True, metavar='"0.8 g"',
              help="The same, dried to constant weight.")  # fmt: skip
@click.option("--have", type=VOLUME, help="Mix in the jar: then the amounts are the jar's.")
@bench_options
def residue_(*, bench: Bench, sample: float, dry: float, have: float | None) -> None:
    """The cut of an unknown jar from a weighed sample dried in moving air, never in an oven.

    Example: lacwright mix residue --sample "5 g" --dry "0.8 g"
    """
    retained = table("solution")["retained_alcohol"].figure()
    inputs = bench.inputs(needs_alcohol=True, sample=given(sample, "g"), dry=given(dry, "g"),
                          retained=retained)  # fmt: skip
    if have is not None:
        inputs["have"] = given(have, "ml")

    def model(**x: float) -> dict[str, float]:
        cut = cut_of_residue(sample_g=x["sample"], dry_g=x["dry"], retained=x["retained"],
                             alcohol_density_g_ml=x["alcohol_density"],
                             moisture_share=bench.moisture)  # fmt: skip
        resin, spirit = bench.resin(x["resin_density"]), bench.spirit(x["alcohol_density"])
        if have is not None:
            return of(make(cut_lb_per_gal=cut, solution_ml=x["have"], resin=resin,
                           alcohol=spirit, temp_c=bench.temp_c), _cut=cut)  # fmt: skip
        flakes = x["dry"] * (1 - x["retained"]) / (1 - bench.moisture)
        small = Mix({resin: flakes}, {spirit: x["sample"] - flakes}, temp_c=bench.temp_c)
        return of(small, _cut=cut)

    # A dried sample holds no water, and a cut counts flakes as weighed, with theirs.
    flakes = "dry * (1 - retained) / (1 - moisture)"
    cut = (f"{flakes} / (sample - {flakes}) * alcohol_density * 1000 / g_per_l_per_cut",
           ("dry", "retained", "moisture", "sample", "alcohol_density",
            "g_per_l_per_cut"))  # fmt: skip
    if have is not None:
        formula = f"have / {GROWN.replace('cut *', '_cut *')}"
        amounts = {
            "alcohol_ml": (formula, ("have", "_cut", "g_per_l_per_cut", "resin_density")),
            "resin_g": ("alcohol_ml * _cut * g_per_l_per_cut / 1000",
                        ("alcohol_ml", "_cut", "g_per_l_per_cut")),
        }  # fmt: skip
    else:
        amounts = {
            "resin_g": (flakes, ("dry", "retained", "moisture")),
            "alcohol_ml": ("(sample - resin_g) / alcohol_density",
                           ("sample", "resin_g", "alcohol_density")),
            "alcohol_g": ("sample - resin_g", ("sample", "resin_g")),
            "solution_g": ("sample + 0 * resin_g", ("sample", "resin_g")),
        }  # fmt: skip
    # What was weighed holds whatever the alcohol is; the weight of the whole jar does not.
    weighed = ("solids_mass_fraction", *(("alcohol_g", "solution_g") if have is None else ()))
    out = bench.answer(model, inputs, {"_cut": cut, **amounts}, keep=weighed, where="--dry")
    keys = out.keys
    moist = ""
    if bench.moisture:
        moist = f"; the cut counts flakes as weighed, {bench.moisture:.1%} of them water"
    lines = [
        f"Label the jar {cut_words(keys['cut_lb_per_gal'])}: {grams(dry, bench)} dry of "
        f"{grams(sample, bench)}, {keys['solids_mass_fraction']:.1%} dry resin by weight"
        f"{moist}.",
        *band_line(out, {"cut_lb_per_gal": "cut"},
                   "alcohol left in the sample 0-10 %, density of the alcohol"),
        *density_note(bench),
    ]  # fmt: skip
    if have is not None:
        lines.append(f"{ml(have)} of it hold {grams(keys['resin_g'], bench)} of flakes.")
    if sample < 2:
        lines.append("The sample is small: 2-5 g makes the scale's step matter less.")
    say("residue", bench, out, lines, cautions_of([bench.alcohol], "residue-drying"))


@click.command("decant")
@click.option("--have", type=VOLUME, required=True, help="Mix that has settled.")
@click.option("--cut", type=CUT, required=True, help="Its cut.")
@click.option("--wax-share", type=SHARE, metavar='"5 %"', help="Wax in the flakes by weight.")
@bench_options
def decant_(*, bench: Bench, have: float, cut: float, wax_share: float | None) -> None:
    """The cut of the clear liquor poured off the settled wax: it falls by about the wax.

    The wax is --wax-share, or what the grade (or --wax) usually holds.
    Example: lacwright mix decant --have "500 ml" --cut 2 --grade amber
    """
    check_jar(have, cut)
    wax, why, notes = _wax(bench, wax_share)
    inputs = bench.inputs(have=given(have, "ml"), cut=given(cut, "lb/gal"), wax=wax)

    def model(**x: float) -> dict[str, float]:
        before = jar(bench, x)
        clear, settled = decanted(mix=before, settles=x["wax"])
        return of(clear, had_alcohol_ml=before.alcohol_ml, had_resin_g=before.total_resin_g,
                  wax_g=settled)  # fmt: skip

    out = bench.answer(model, inputs, {
        **HAD, "wax_g": ("had_resin_g * wax", ("had_resin_g", "wax")),
        "resin_g": ("had_resin_g - wax_g", ("had_resin_g", "wax_g")),
        "alcohol_ml": ("had_alcohol_ml", ("had_alcohol_ml",)),
    }, where="--wax-share")  # fmt: skip
    drop_had(out.figures)
    keys = out.keys
    liquor = f"{ml(keys['solution_ml'])} of {cut_words(keys['cut_lb_per_gal'])}"
    first = f"Pour the clear liquor off without stirring: up to {liquor}; "
    if keys["wax_g"] > 0:
        first += f"{grams(keys['wax_g'], bench)} of wax stay behind."
    else:
        first = f"Use it as it is, {liquor}: nothing to speak of settles."
    lines = [
        first,
        *band_line(out, {"cut_lb_per_gal": "cut", "wax_g": "wax"}, why),
        *notes,
    ]
    if keys["wax_g"] > 0:
        lines.append("What wets the sediment is not counted; let it settle for days, or strain it.")
    say("decant", bench, out, lines, cautions_of([bench.alcohol], "iron"))


def _wax(bench: Bench, share: float | None) -> tuple[Figure, str, list[str]]:
    """Return the share of the flakes that settles, whence its band, and what to say about it."""
    rows = table("solution")
    if share is not None:
        most = rows["wax_odd"].number("value")
        if share > most and not bench.odd:
            raise Refusal("--wax-share", f"{share:.0%} of wax is more than lac holds",
                          "give a share such as 5 %, or add --odd if it is meant")  # fmt: skip
        return given(share, "1", "given with --wax-share"), WHY, []
    plain = bench.resin(bench.resin_density.number())
    if plain.grade or bench.wax:
        if not plain.waxed:
            limit = rows["wax_dewaxed"].figure()
            figure = replace(limit, value=0.0, low=0.0, high=0.0)
            return figure, WHY, [f"Dewaxed lac holds at most {limit.high:.1%} of wax "
                                 f"({founded(limit.mark, limit.source)})."]  # fmt: skip
        return rows["wax_waxed"].figure(), "wax in the flakes", []
    usual = rows["wax_waxed"].figure()
    return usual, "wax in the flakes", [
        f"Neither grade nor --wax-share is given: taken as waxed lac with {usual.value:.1%} of "
        f"wax, a default ({usual.low:.0%}-{usual.high:.0%}, "
        f"{founded(usual.mark, usual.source)})."
    ]  # fmt: skip


def _withheld(bench: Bench, jars: list[Mix], change: Change) -> str | None:
    """Return why the weights of a blend cannot be given, None if every alcohol in it is known."""
    own: list[str] = []
    for n, mix in enumerate(jars, start=1):
        own += [f"jar {n}" for a in mix.solvent_g if a != bench.alcohol and not a.known]
    if own:
        return UNKNOWN_IN_JARS.format(jars=" and ".join(own))
    # Inside the model a stand-in density makes the bench's alcohol look known; ask the bench.
    there = any(a == bench.alcohol and central(g) > 0 for a, g in change.after.solvent_g.items())
    return bench.withheld() if there else None


def _main_resin(mixes: list[Mix]) -> Resin:
    """Return the kind of which the jars hold most: flakes to add are taken to be of it."""
    held = _all(mixes).resin_g
    return max(held, key=lambda resin: float(held[resin]))


def _all(mixes: list[Mix]) -> Mix:
    poured = mixes[0]
    for mix in mixes[1:]:
        poured = poured + mix
    return poured


def _blend_workings(
    numbers: range, found: dict[str, float], inputs: dict[str, Figure], to: float | None
) -> dict[str, tuple[str, tuple[str, ...]]]:
    resins = tuple(f"jar_{n}_resin_g" for n in numbers)
    alcohols = tuple(f"jar_{n}_alcohol_ml" for n in numbers)
    resin, alcohol = " + ".join(resins), " + ".join(alcohols)
    workings: dict[str, tuple[str, tuple[str, ...]]] = {}
    goal: tuple[str, ...] = ()
    if to is not None and found["add_alcohol_ml"] + found["add_resin_g"] > 0:
        inputs["to"] = given(to, "lb/gal")
        goal = ("to", "g_per_l_per_cut")
    both = (*resins, *alcohols, *goal)
    add_alcohol = f"max(1000 * ({resin}) / (to * g_per_l_per_cut) - ({alcohol}), 0)"
    add_resin = f"max(({alcohol}) * to * g_per_l_per_cut / 1000 - ({resin}), 0)"
    workings["add_alcohol_ml"] = (add_alcohol if goal else f"0 * ({resin})", both)
    workings["add_alcohol_g"] = (
        "add_alcohol_ml * added_density",
        ("add_alcohol_ml", "added_density"),
    )
    workings["add_resin_g"] = (add_resin if goal else f"0 * ({resin})", both)
    workings["resin_g"] = (f"{resin} + add_resin_g", (*resins, "add_resin_g"))
    workings["alcohol_ml"] = (f"{alcohol} + add_alcohol_ml", (*alcohols, "add_alcohol_ml"))
    workings["blend_cut_lb_per_gal"] = (
        f"1000 * ({resin}) / ({alcohol}) / g_per_l_per_cut",
        (*resins, *alcohols, "g_per_l_per_cut"),
    )
    for n in numbers:
        workings[f"pour_{n}_ml"] = (
            f"jar_{n}_alcohol_ml + jar_{n}_resin_g / resin_density",
            (f"jar_{n}_alcohol_ml", f"jar_{n}_resin_g", "resin_density"),
        )
    return workings


def _also(keys: dict[str, float], bench: Bench) -> str:
    if keys["add_alcohol_ml"] >= LEAST_ML:
        return f" and add {ml(keys['add_alcohol_ml'])} of alcohol"
    if keys["add_resin_g"] > 0:
        return f" and add {grams(keys['add_resin_g'], bench)} of flakes"
    return ""
