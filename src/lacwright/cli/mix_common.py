"""What the `mix` commands share: options, the bench they describe, and the words of an answer."""

from __future__ import annotations

import functools
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, TypeVar

import click

from lacwright.cli.show import (
    DENSITY,
    TEMPERATURE,
    Quantity,
    brief,
    emit,
    json_option,
    to_step,
)
from lacwright.figures import Caution, Figure, Num, Refusal, central, exact, given
from lacwright.figures import units as u
from lacwright.figures.quantities import read, read_cut, read_weight
from lacwright.figures.spoken import an
from lacwright.solution import (
    NOT_STATED,
    Alcohol,
    Mix,
    Resin,
    ethanol_water_density,
    mix_values,
    read_alcohol,
    resin_named,
    slowest_ready,
    suits,
)
from lacwright.solution.num import LEAST, meant
from lacwright.solution.shown import NO_ALCOHOL, UNKNOWN_ALCOHOL, Answer, Model, answer
from lacwright.trade import table

LEAST_ML = 0.05  # less than a drop, whatever it is measured with
DUST = 1e-6  # of a gram, a millilitre or a pound: only rounding
VISIBLE = 0.004  # a band narrower than that does not show in three figures
F = TypeVar("F", bound=Callable[..., Any])


def _quantity(kind: u.Kind, reader: Callable[[str | float, str], float] | None = None) -> Quantity:
    """Return an option type that also refuses what is too small to be meant."""
    return Quantity(kind, lambda text, where: meant(
        reader(text, where) if reader else read(text, kind, where), where
    ))  # fmt: skip


VOLUME, SHARE, SPREAD = (_quantity(kind) for kind in (u.VOLUME, u.SHARE, u.SPREAD))
CUT = _quantity(u.CUT, read_cut)
WEIGHT = _quantity(u.MASS, read_weight)
FLAKES = _quantity(u.MASS, lambda text, where: read_weight(
    text, where, "weigh them; only 'mix cut' reads a volume of flakes, with --bulk-density"
))  # fmt: skip
COATS = _quantity(u.Kind("number of coats", "coats", {"coat": 1.0, "coats": 1.0}, "2",
                         bare=True, most=1000.0))  # fmt: skip


@dataclass(frozen=True)
class Bench:
    """What the shared options say: resin, alcohol, temperature, scale."""

    grade: str
    wax: str | None
    alcohol: Alcohol
    resin_density: Figure
    temp_c: float
    moisture: float
    powder: bool
    step: float
    odd: bool
    as_json: bool
    suits: tuple[str, str] = ("yes", "")

    def resin(self, density: float) -> Resin:
        """Return the flakes with a density in solution [g/ml]."""
        return resin_named(self.grade, wax=self.wax, density_g_ml=density,
                           moisture_share=self.moisture)  # fmt: skip

    def spirit(self, density: float) -> Alcohol:
        """Return the alcohol with a density at the bench's temperature [g/ml]."""
        ethanol = ethanol_water_density(ethanol_share=1.0, temp_c=self.temp_c)
        at_20 = density * ethanol_water_density(ethanol_share=1.0) / ethanol
        return Alcohol(self.alcohol.lot, self.alcohol.parts, at_20)

    def inputs(self, *, needs_alcohol: bool = False, **more: Figure) -> dict[str, Figure]:
        """Return the base inputs of an answer.

        Where the answer needs the density of an alcohol that nobody named, it comes with the
        band of all suitable ones; else its middle only carries volumes in and out.
        """
        density = self.alcohol.density_figure(self.temp_c)
        if not (self.alcohol.known or needs_alcohol):
            density = exact(density.number(), "g/ml", "stands in, cancels out")
        return {**more, "resin_density": self.resin_density, "alcohol_density": density}

    def withheld(self) -> str | None:
        """Return why figures by weight cannot be given, None if they can."""
        if self.alcohol.known:
            return None
        return NO_ALCOHOL if self.alcohol.lot == NOT_STATED.lot else UNKNOWN_ALCOHOL

    def ready(self, *resins: Resin) -> Figure:
        """Return the time until these flakes are dissolved."""
        return slowest_ready(resins, "powder" if self.powder else None)

    def answer(
        self, model: Model, inputs: Mapping[str, Figure],
        workings: Mapping[str, tuple[str, tuple[str, ...]]], *, ready: Figure | None = None,
        keep: Collection[str] = (), withheld: str | None = "", dye_ml: float = 0.0,
        where: str = "cut",
    ) -> Answer:  # fmt: skip
        """Return the figures of a mix and question an odd cut.

        `withheld` is why figures by weight are not given, None where they are; "" leaves that to
        the bench. `keep` names those that hold all the same. `where` is the option to blame for
        an odd cut.
        """
        why = self.withheld() if withheld == "" else withheld
        out = answer(model, inputs, workings, moisture=self.moisture, dye_ml=dye_ml,
                     withheld=why, keep=keep)  # fmt: skip
        self.question_cut(out.figures["cut_lb_per_gal"].number(), where)
        out.put("ready_after_h", ready or exact(0.0, "h", "nothing is to dissolve"))
        return out

    def question_cut(self, cut: float, where: str) -> None:
        """Refuse a cut that is more likely a slip than a wish, unless --odd says it is meant."""
        rows = table("solution")
        if self.odd:
            return
        if cut < rows["cut_odd_low"].number("value"):
            raise Refusal(where, f"that is {an(brief(cut))}-lb cut, hardly any resin",
                          "was an ounce meant for a gram (2 oz is 56.7 g), or a cup for a "
                          "gallon? add --odd if it is meant")  # fmt: skip
        if cut > rows["cut_odd_high"].number("value"):
            raise Refusal(where, f"that is {an(brief(cut))}-lb cut, too thick to pour",
                          "was a gram meant for an ounce, or a pint for a cup? add --odd if it "
                          "is meant")  # fmt: skip


def bench_options(command: F) -> F:
    """Add the shared options; the command gets one argument, `bench`."""

    @functools.wraps(command)
    def wrapped(
        *, alcohol: str | None, alcohol_density: float | None, density: float | None,
        temp: float, grade: str, wax: str | None, moisture: float, powder: bool,
        scale_step: float, odd: bool, as_json: bool, **rest: Any,
    ) -> Any:  # fmt: skip
        spirit = NOT_STATED if alcohol is None else read_alcohol(alcohol)
        if alcohol_density is not None:
            _plausible(alcohol_density)
            spirit = Alcohol(spirit.lot, spirit.parts, alcohol_density)
        verdict, why = suits(spirit)
        if verdict == "no" and not odd:
            raise Refusal("--alcohol", f"{alcohol} does not suit shellac: {why}",
                          "use an alcohol of at least 95 % strength, or add --odd")  # fmt: skip
        check_step(scale_step)
        check_temp(temp)
        _moisture(moisture)
        bench = Bench(grade, wax, spirit, resin_density(density), temp, moisture, powder,
                      scale_step, odd, as_json, (verdict, why))  # fmt: skip
        bench.resin(bench.resin_density.number())  # refuse a wrong grade before anything else
        return command(bench=bench, **rest)

    for option in reversed(_OPTIONS):
        wrapped = option(wrapped)
    wrapped = json_option(wrapped)
    return wrapped  # type: ignore[return-value]


_OPTIONS: tuple[Callable[[Any], Any], ...] = (
    click.option(
        "--alcohol",
        help='A name ("ethanol-190", "unknown") or "ethanol 85, methanol '
        '10, water 5" by weight, "vol: ..." by volume.',
    ),
    click.option(
        "--alcohol-density",
        type=DENSITY,
        metavar='"0.793 g/ml"',
        help="Own weighing at 20 C, g/ml.",
    ),
    click.option("--grade", default="", help='Grade of the flakes: garnet, "dewaxed amber", ...'),
    click.option("--wax", type=click.Choice(["waxed", "dewaxed"]), help="Wax, as you asked for."),
    click.option("--density", type=DENSITY, help="Density of the resin in solution, g/ml [1.14]."),
    click.option("--temp", type=TEMPERATURE, default=20.0, help="Of what is measured, C [20]."),
    click.option(
        "--moisture",
        type=SHARE,
        default=0.0,
        metavar='"2 %"',
        help="Water in the flakes as a share [0].",
    ),
    click.option("--powder", is_flag=True, help="The flakes are ground fine."),
    click.option(
        "--scale-step",
        type=WEIGHT,
        default=0.1,
        metavar='"0.1 g"',
        help='Step of your scale ["0.1 g"].',
    ),
    click.option("--odd", is_flag=True, help="The odd amount is meant."),
)


def of(mix: Mix, **more: Num) -> dict[str, float]:
    """Return the numbers of a mix with some more of the question's own."""
    return {**mix_values(mix), **{name: central(value) for name, value in more.items()}}


def grams(value: float, bench: Bench) -> str:
    """Return a weight to the scale's step: "40.0 g"; more if that would hide a tenth of it."""
    if 0 < value < 10 * bench.step:
        return f"{brief(value)} g"
    return f"{to_step(value, bench.step)} g"


def ml(value: float) -> str:
    """Return a volume a measuring glass can show: "167 ml", "12.5 ml"."""
    if value < LEAST_ML:
        return "0 ml"
    return f"{value:.0f} ml" if value >= 100 else f"{brief(value)} ml"


def some_ml(value: float, what: str) -> str:
    """Return "167 ml of alcohol", or "nothing" where it would read 0 ml."""
    return f"{ml(value)} of {what}" if value >= LEAST_ML else "nothing"


def cut_words(cut: float) -> str:
    """Return "2-lb cut (240 g per litre of alcohol)"."""
    from lacwright.figures.units import G_PER_L_PER_CUT

    return f"{cut:.3g}-lb cut ({cut * G_PER_L_PER_CUT:.0f} g per litre of alcohol)"


def band_line(out: Answer, names: Mapping[str, str], why: str) -> list[str]:
    """Return one line with the bands of some keys, none where nothing is uncertain."""
    parts = []
    for key, words in names.items():
        figure = out.figures[key]
        if figure.value is None or figure.low is None or figure.high is None:
            continue
        if figure.high - figure.low > max(VISIBLE * abs(figure.value), DUST):
            shown = f"{brief(figure.low)}-{brief(figure.high)}"
            parts.append(f"{words} {shown} {figure.unit if figure.unit != '1' else ''}".strip())
    return [f"Band: {', '.join(parts)} ({why})."] if parts else []


def ready_line(figure: Figure) -> list[str]:
    """Return when the flakes are dissolved, with the band; nothing where none are added."""
    if not figure.value:
        return []
    return [f"Dissolved in about {figure.value:.0f} h ({figure.low:.0f}-{figure.high:.0f} h, "
            f"{figure.mark}), lid on, stirred now and then; strain before use."]  # fmt: skip


def density_note(bench: Bench) -> list[str]:
    """Return the line that says which density stands in for an alcohol nobody named."""
    if bench.alcohol.known:
        return []
    figure = bench.alcohol.density_figure(bench.temp_c)
    return [f"The alcohol is not named: its density is taken as {figure.value:.2f} g/ml "
            f"({figure.low:.2f}-{figure.high:.2f}, that of all suitable ones)."]  # fmt: skip


def say(
    name: str, bench: Bench, out: Answer, lines: Iterable[str], cautions: Iterable[Caution]
) -> None:
    """Print an answer."""
    notes = []
    verdict, why = bench.suits
    if verdict == "weak":
        notes.append(f"{bench.alcohol.lot}: {why}.")
    if verdict == "no":
        notes.append(f"{bench.alcohol.lot} does not suit shellac: {why}.")
    emit(schema=f"lacwright.mix.{name}/1", keys=out.keys, lines=[*lines, *notes],
         as_json=bench.as_json, figures=out.figures, missing=out.missing,
         cautions=cautions)  # fmt: skip


def resin_density(density: float | None) -> Figure:
    """Return the density of resin in solution: as given with --density, else the table's.

    Raises
    ------
    Refusal
        For a density that is not lac's.
    """
    if density is None:
        return table("solution")["resin_density"].figure()
    try:
        Resin(density_g_ml=density)
    except Refusal as refusal:
        raise refusal.at("--density") from None
    return given(density, "g/ml", "given with --density")


def check_step(step: float) -> None:
    """Refuse a scale without a step; --scale-step has refused one too fine for any scale."""
    if not step >= LEAST:
        raise Refusal("--scale-step", "a scale's step is above zero", 'write e.g. "0.1 g"')


def check_temp(temp_c: float) -> None:
    """Refuse a temperature for which no density of alcohol is on file, in the option's name."""
    try:
        ethanol_water_density(ethanol_share=1.0, temp_c=temp_c)
    except Refusal as refusal:
        raise refusal.at("--temp") from None


def _moisture(share: float) -> None:
    most = table("solution")["moisture_odd"].number("value")
    if share > most:
        raise Refusal("--moisture", f"{share:.0%} of water is more than dry flakes hold",
                      f"write a share of at most {most:.0%}, such as 2 %")  # fmt: skip


def _plausible(density: float) -> None:
    odd = table("solution")["alcohol_density_odd"]
    if not odd.number("low") <= density <= odd.number("high"):
        raise Refusal("--alcohol-density", f"{density:g} g/ml is no alcohol for shellac",
                      "weigh 100 ml and write e.g. 0.793")  # fmt: skip
