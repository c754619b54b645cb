"""`jar pour`, `add`, `correct`, `weigh`, `discard`, `change`: what happens to a jar."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import click

from lacwright.cli.jar_common import (
    STEP_G,
    VISIBLE_G,
    amount,
    contents_words,
    desk,
    grams,
    say,
    short_lines,
    takes_words,
)
from lacwright.cli.jar_mix import ready_lines
from lacwright.cli.mix_common import CUT, WEIGHT, check_step, cut_words, ml
from lacwright.cli.record_common import writes
from lacwright.cli.show import LENGTH, MASS, only_one
from lacwright.figures import Refusal

_in_spite = click.option("--in-spite", default="", metavar="REASON",
                         help="Why it went into a jar that had failed its test.")  # fmt: skip


@click.command("pour")
@click.argument("jar")
@click.option("--to", metavar="JAR", help="Into this jar.")
@click.option("--pad", metavar="NAME", help="Into this pad or brush.")
@click.option("--waste", is_flag=True, default=None, help="Into the waste.")
@_in_spite
@click.option("--amount", "how_much", metavar='"100 ml"', help='"100 ml", "80 g", "all"; leave it '
              "out if nobody knows.")  # fmt: skip
@writes
def pour_(
    *, jar: str, to: str | None, pad: str | None, waste: bool | None, how_much: str | None,
    in_spite: str, **when: Any,
) -> None:  # fmt: skip
    """Pour of a jar into another jar, a pad or brush, or the waste."""
    from lacwright.shop.amounts import read_amount

    only_one(to=to, pad=pad, waste=waste)
    kind, name = ("jar", to) if to else ("applicator", pad) if pad else ("waste", "")
    poured = None if how_much is None else read_amount(how_much, "--amount")
    with desk(when) as entry:
        from lacwright.shop.services.jars import pour

        answer = pour(jar=jar, to_kind=kind, to_name=name or "", amount=poured,
                      in_spite=in_spite, entry=entry)  # fmt: skip
    data = answer.data
    where = {"jar": f"jar {to}", "applicator": f"{pad}", "waste": "the waste"}[kind]
    lines = [f"Jar {data['jar']['name']} now holds {contents_words(data['jar'])}.",
             *short_lines(data["short"], data["jar"])]  # fmt: skip
    if kind == "applicator":
        lines.append(f"{pad} carries it on until it is washed out.")
    say("jar.pour", answer, when=when, lines=lines,
        line=f"poured {amount(poured)} of jar {data['jar']['name']} into {where}.")  # fmt: skip


@click.command("add")
@click.argument("jar")
@click.option("--take", "takes", multiple=True, required=True, metavar='"LOT: 60 g"',
              help='What went in: "can-3: 100 ml", "jar J3: 50 ml"; once for each.')  # fmt: skip
@click.option("--for", "why", default="", metavar="WORD",
              help="thin, strengthen, correct, top-up or give-back.")  # fmt: skip
@_in_spite
@writes
def add_(*, jar: str, takes: tuple[str, ...], why: str, in_spite: str, **when: Any) -> None:
    """Add alcohol, flakes, or what is in another jar.

    Example: lacwright jar add J7 --take "can-3: 100 ml" --for thin
    """
    with desk(when) as entry:
        from lacwright.shop.services.jar_sums import read_take
        from lacwright.shop.services.jars import add_to_jar

        answer = add_to_jar(jar=jar, takes=[read_take(t, "--take") for t in takes], why=why,
                            in_spite=in_spite, entry=entry)  # fmt: skip
    data = answer.data
    say("jar.add", answer, when=when,
        lines=[*ready_lines(data), *short_lines(data["short"], data["jar"])],
        line=f"added {takes_words(data['takes'])} to jar {data['jar']['name']}: "
        f"it now holds {contents_words(data['jar'])}.")  # fmt: skip


@click.command("correct")
@click.argument("jar")
@click.option("--to", "to_cut", type=CUT, required=True, help="The cut it should have.")
@click.option("--with", "lot", required=True, metavar="LOT",
              help="Alcohol where it is too strong, flakes where it is too thin.")  # fmt: skip
@click.option("--scale-step", type=WEIGHT, default=STEP_G, metavar='"0.1 g"',
              help='Step of your scale ["0.1 g"].')  # fmt: skip
@_in_spite
@writes
def correct_(
    *, jar: str, to_cut: float, lot: str, scale_step: float, in_spite: str, **when: Any
) -> None:  # fmt: skip
    """Bring what is left in a jar to a cut, and write that down.

    Coats that were laid before stay what they were. With --dry-run it only says how much.
    """
    check_step(scale_step)
    with desk(when) as entry:
        from lacwright.shop.services.jars import correct_jar

        answer = correct_jar(jar=jar, to_cut=to_cut, lot=lot, in_spite=in_spite, entry=entry)
    data = answer.data
    say("jar.correct", answer, when=when,
        line=f"added {takes_words(data['takes'], scale_step)} to the "
        f"{ml(data['left_before_ml'])} left in jar {data['jar']['name']}, a "
        f"{cut_words(data['cut_before'])}: makes {contents_words(data['jar'])}.",
        lines=["Coats laid before stay what they were.", *ready_lines(data),
               *short_lines(data["short"], data["jar"])])  # fmt: skip


@click.command("weigh")
@click.argument("jar")
@click.option("--net", type=MASS, help="The mix alone.")
@click.option("--gross", type=MASS, help="The jar with the mix; its tare must be known.")
@click.option(
    "--gone",
    type=click.Choice(["air", "waste", "unaccounted"]),
    default="air",
    help="Where what is missing went: it stood open, was spilled, nobody knows [air].",
)
@writes
def weigh_(*, jar: str, net: float | None, gross: float | None, gone: str, **when: Any) -> None:
    """Weigh a jar: the scale goes before the book. An open jar only loses alcohol."""
    only_one(net=net, gross=gross)
    with desk(when) as entry:
        from lacwright.shop.services.jars import weigh_jar

        answer = weigh_jar(jar=jar, net_g=net, gross_g=gross, gone=gone, entry=entry)
    data = answer.data
    say(
        "jar.weigh",
        answer,
        when=when,
        lines=_lost_lines(data),
        line=f"weighed jar {data['jar']['name']}: it holds {contents_words(data['jar'])}.",
    )


@click.command("discard")
@click.argument("jar")
@writes
def discard_(*, jar: str, **when: Any) -> None:
    """Write down that a jar was poured away and washed out. A new filling gets another name."""
    from lacwright.solution import caution

    with desk(when) as entry:
        from lacwright.shop.services.jars import discard_jar

        answer = discard_jar(jar=jar, entry=entry)
    data = answer.data
    thrown = data["thrown_away"]["g"]
    say("jar.discard", answer, when=when, cautions=(caution("flammable"),),
        line=f"washed out jar {data['jar']['name']}: "
        + (f"{grams(thrown)} went to waste." if thrown else "the book had it as empty."),
        lines=["Waste mix and wet rags are flammable: by your local codes."])  # fmt: skip


@click.command("change")
@click.argument("jar")
@click.option("--purpose", help="What it is for.")
@click.option("--tare", type=MASS, help="What it weighs empty, lid and all.")
@click.option("--mouth", type=LENGTH, help="Width of its mouth.")
@click.option("--note", help="In your own words.")
@writes
def change_(
    *, jar: str, purpose: str | None, tare: float | None, mouth: float | None, note: str | None,
    **when: Any,
) -> None:  # fmt: skip
    """Change what is known of a jar."""
    fields = {"purpose": purpose, "tare_g": tare, "mouth_mm": mouth, "note": note}
    changes = {key: value for key, value in fields.items() if value is not None}
    if not changes:
        raise Refusal("jar change", "nothing is changed", "say what is otherwise")
    with desk(when) as entry:
        from lacwright.shop.services.jars import describe_jar

        answer = describe_jar(jar=jar, changes=changes, entry=entry)
    data = answer.data
    units = {"tare_g": " g", "mouth_mm": " mm"}
    told = ", ".join(
        f"{key.partition('_')[0]} {value:g}{units[key]}" if key in units else f"{key} {value}"
        for key, value in data["now"].items()
    )
    say(
        "jar.change",
        answer,
        when=when,
        cautions=(),
        line=f"changed jar {data['jar']['name']}: {told}.",
        missing={f"was.{k}": "not said before" for k, v in data["was"].items() if v is None},
    )


def _lost_lines(data: Mapping[str, Any]) -> list[str]:
    lines = []
    if data["evaporated_g"] >= VISIBLE_G:
        lines.append(f"{grams(data['evaporated_g'])} of alcohol evaporated.")
    elif data["gone"] == "waste" and data["missing_g"] >= VISIBLE_G:
        lines.append(f"{grams(data['missing_g'])} of the mix were spilled.")
    if data["cut_before"] is not None and data["give_back_ml"] is not None:
        lines.append(f"Give back {ml(data['give_back_ml'])} of the same alcohol for the "
                     f"{cut_words(data['cut_before'])} it was "
                     f"('jar add {data['jar']['name']} --for give-back').")  # fmt: skip
    strange = data["unaccounted_g"]
    if strange >= VISIBLE_G:
        lines.append(f"{grams(strange)} are more than the book knew of: something went in that "
                     "was not written down.")  # fmt: skip
    elif strange <= -VISIBLE_G:
        lines.append(f"{grams(-strange)} are missing, and nobody knows where they went.")
    return lines
