"""`jar mix` and `jar fill`: a new filling, mixed here or bought."""

from __future__ import annotations

from typing import Any

import click

from lacwright.cli.jar_common import (
    STEP_G,
    contents_words,
    desk,
    parts_lines,
    say,
    short_lines,
    takes_words,
)
from lacwright.cli.lot_add import read_price
from lacwright.cli.mix_common import CUT, FLAKES, VOLUME, WEIGHT, check_step
from lacwright.cli.record_common import writes
from lacwright.cli.show import DAY, LENGTH, MASS, only_one
from lacwright.figures import Refusal


def jar_options(command: Any) -> Any:
    """Add what a jar is, apart from what is in it."""
    for option in (
        click.option("--note", default="", help="In your own words."),
        click.option("--mouth", type=LENGTH, help="Width of its mouth: how fast it loses alcohol."),
        click.option("--tare", type=MASS, help="What it weighs empty, lid and all."),
        click.option("--purpose", default="", help="What it is for."),
    ):
        command = option(command)
    return command


@click.command("mix")
@click.argument("jar")
@click.option("--cut", type=CUT, help="To this cut; what to weigh is worked out.")
@click.option("--solution", type=VOLUME, help="So much finished mix.")
@click.option("--resin", type=FLAKES, help="Or: use up this weight of flakes.")
@click.option("--alcohol-volume", type=VOLUME, help="Or: use this much alcohol.")
@click.option("--flakes", multiple=True, metavar="LOT",
              help='A lot, or a grade; "LOT: 40 %" for a share; once for each.')  # fmt: skip
@click.option("--alcohol", metavar="LOT", help="A lot, or the name of an alcohol.")
@click.option(
    "--take",
    "takes",
    multiple=True,
    metavar='"LOT: 60 g"',
    help='As it was put together: "garnet-b12: 60 g", "jar J3: 100 ml"; once for each.',
)
@click.option("--scale-step", type=WEIGHT, default=STEP_G, metavar='"0.1 g"',
              help='Step of your scale ["0.1 g"].')  # fmt: skip
@jar_options
@writes
def mix_(
    *, jar: str, cut: float | None, solution: float | None, resin: float | None,
    alcohol_volume: float | None, flakes: tuple[str, ...], alcohol: str | None,
    takes: tuple[str, ...], scale_step: float, purpose: str, tare: float | None,
    mouth: float | None, note: str, **when: Any,
) -> None:  # fmt: skip
    """Mix a jar: to a cut from lots, or just as it was put together.

    Example: lacwright jar mix J7 --cut 2 --solution "500 ml" --flakes garnet-b12 --alcohol can-3
    """
    check_step(scale_step)
    if bool(takes) == (cut is not None):
        raise Refusal("--cut or --take", "give one of the two",
                      'a cut to be worked out, or --take "LOT: 60 g" for what went in')  # fmt: skip
    if takes and any(x is not None for x in (solution, resin, alcohol_volume, alcohol)):
        raise Refusal("--take", "with it nothing else says how much",
                      "name every lot with --take, or leave it out")  # fmt: skip
    if cut is not None:
        only_one(solution=solution, resin=resin, alcohol_volume=alcohol_volume)
    with desk(when, create=True) as entry:
        from lacwright.shop.services.jar_sums import read_share, read_take, takes_for
        from lacwright.shop.services.jars import mix_jar

        if cut is None:
            wanted = [read_take(text, "--take") for text in takes]
        else:
            wanted = takes_for(cut=cut, flakes=[read_share(text, "--flakes") for text in flakes],
                               alcohol=alcohol or "", solution_ml=solution, resin_g=resin,
                               alcohol_ml=alcohol_volume)  # fmt: skip
        answer = mix_jar(jar=jar, takes=wanted, wished_cut=cut, wished_ml=solution,
                         purpose=purpose, tare_g=tare, mouth_mm=mouth, note=note,
                         entry=entry)  # fmt: skip
    data = answer.data
    told = data["jar"]
    what, into = takes_words(data["takes"], scale_step), f"jar {told['name']}"
    line = f"weigh {what} into {into}" if cut is not None else f"wrote down {into}: {what}"
    say("jar.mix", answer, when=when, line=f"{line}: makes {contents_words(told)}.",
        lines=[*ready_lines(data), *short_lines(data["short"], data["jar"])])  # fmt: skip


@click.command("fill")
@click.argument("jar")
@click.option("--amount", metavar='"500 ml"', help="How much; leave it out if nobody knows.")
@click.option("--cut", type=CUT, help="As its label claims; without it its make-up is unknown.")
@click.option("--grade", default="", help="As its label says.")
@click.option("--waxed/--dewaxed", default=None, help="As its label says.")
@click.option("--alcohol", default="", help="As its label or data sheet says.")
@click.option("--supplier", default="", help="Who sold it.")
@click.option("--batch", default="", help="Number on the label.")
@click.option("--bought", type=DAY, help="Day of buying.")
@click.option("--price", metavar="18.90", help="What all of it cost.")
@click.option("--opening", is_flag=True, help="It was there when the record began.")
@jar_options
@writes
def fill_(
    *, jar: str, amount: str | None, cut: float | None, grade: str, waxed: bool | None,
    alcohol: str, supplier: str, batch: str, bought: Any, price: str | None, opening: bool,
    purpose: str, tare: float | None, mouth: float | None, note: str, **when: Any,
) -> None:  # fmt: skip
    """Write down a bought liquid with the cut its label claims, or a jar nobody knows.

    Example: lacwright jar fill tin-1 --amount "1 l" --cut 3 --grade amber --price 24
    """
    from lacwright.shop.amounts import read_amount

    there = None if amount is None else read_amount(amount, "--amount")
    with desk(when, create=True) as entry:
        from lacwright.shop.services.jars import fill_jar

        answer = fill_jar(jar=jar, amount=there, claimed_cut=cut, grade=grade, waxed=waxed,
                          alcohol=alcohol, supplier=supplier, batch=batch, bought=bought,
                          price=read_price(price), purpose=purpose, tare_g=tare, mouth_mm=mouth,
                          note=note, opening=opening, entry=entry)  # fmt: skip
    told = answer.data["jar"]
    check = ("Its cut is a claim until it is tested: 'jar test' with a dried sample tells."
             if cut is not None else "A dried sample tells its cut: 'jar test'.")  # fmt: skip
    inside = [] if cut is not None else parts_lines(told)
    say("jar.fill", answer, when=when, lines=[*inside, check],
        line=f"wrote down jar {told['name']}: {contents_words(told)}.")  # fmt: skip


def ready_lines(data: Any) -> list[str]:
    """Return when the flakes that went in are dissolved."""
    hours = data["ready_after_h"]
    if not hours:
        return []
    told = data["figures"]["ready_after_h"]
    return [f"Dissolved in about {hours:.0f} h ({told['low']:.0f}-{told['high']:.0f} h, "
            f"{told['mark']}), lid on, stirred now and then; strain before use."]  # fmt: skip
