"""`lot add`, `count` and `change`: what came, what is there, what is known of it."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

import click

from lacwright.cli.jar_common import by_volume, desk, grams, number_words, say
from lacwright.cli.mix_common import ml
from lacwright.cli.record_common import money, writes
from lacwright.cli.show import DAY, DENSITY
from lacwright.figures import Refusal

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from decimal import Decimal

COUNTED = re.compile(r"[\d.,\s]+(pc|pcs|pieces?|sheets?|pads?)?\s*")
KINDS = ("flakes", "alcohol", "dye", "wax", "abrasive", "other")


def described(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add the options that say what a lot is."""
    for option in (
        click.option("--note", help="In your own words."),
        click.option("--order-below", metavar='"200 g"', help="What should be there at least."),
        click.option("--price-for", metavar='"1 kg"', help="How much that price is for."),
        click.option("--price", metavar="48.50", help="What it cost."),
        click.option("--bought", type=DAY, help="Day of buying: flakes age from then."),
        click.option("--batch", help="Number on the label."),
        click.option("--supplier", help="Who sold it."),
        click.option("--density", type=DENSITY, metavar='"0.793 g/ml"', help="Weighed yourself."),
        click.option("--alcohol", help='What an alcohol is: "ethanol-190", or "ethanol 85, '
                     'methanol 10, water 5" by weight; "vol: ..." by volume.'),
        click.option("--bleached/--unbleached", default=None, help="Of flakes, as stated."),
        click.option("--waxed/--dewaxed", default=None, help="Of flakes, as stated."),
        click.option("--grade", help='Of flakes: garnet, "dewaxed blonde"; of paper: P320.'),
    ):  # fmt: skip
        command = option(command)
    return command


@click.command("add")
@click.argument("name")
@click.option("--kind", type=click.Choice(KINDS), help="Told by --grade or --alcohol otherwise.")
@click.option("--amount", metavar='"1 kg"', help="How much came; leave it out if nobody knows.")
@described
@click.option("--opening", is_flag=True, help="It was there when the record began.")
@writes
def add_(
    *, name: str, kind: str | None, amount: str | None, grade: str | None, waxed: bool | None,
    bleached: bool | None, alcohol: str | None, density: float | None, supplier: str | None,
    batch: str | None, bought: Any, price: str | None, price_for: str | None,
    order_below: str | None, note: str | None, opening: bool, **when: Any,
) -> None:  # fmt: skip
    """Write down a lot: a bag, can or box that came, or that was there already.

    Example: lacwright lot add garnet-b12 --grade garnet --amount "1 kg" --price 48
    """
    from lacwright.shop.amounts import read_amount

    kind = kind or _kind(grade, alcohol)
    unit = "pc" if kind == "abrasive" and COUNTED.fullmatch(amount or "1") else "g"

    def read(text: str | None, where: str) -> Any:
        return None if text is None else read_amount(text, where, of=kind, unit=unit)

    with desk(when, create=True) as entry:
        from lacwright.shop.services.lots import add_lot

        answer = add_lot(
            name=name, kind=kind, unit=unit, amount=read(amount, "--amount"), grade=grade or "",
            waxed=waxed, bleached=bleached, alcohol=alcohol or "", density_g_ml=density,
            supplier=supplier or "", batch=batch or "", bought=bought, price=read_price(price),
            price_for=read(price_for, "--price-for"), note=note or "", opening=opening,
            order_below=read(order_below, "--order-below"), entry=entry,
        )  # fmt: skip
    lot = answer.data["lot"]
    how = "an amount that was not said" if lot["left"] is None else left_words(lot)
    say("lot.add", answer, when=when, keys=_flat(answer.data),
        line=f"wrote down lot {lot['name']}: {how} of {what_words(lot)}.",
        lines=answer.data["says"])  # fmt: skip


@click.command("count")
@click.argument("name")
@click.option("--amount", required=True, metavar='"740 g"', help="What is there.")
@click.option("--gone", type=click.Choice(["unaccounted", "waste", "air"]), default="unaccounted",
              help="Where what is missing went [unaccounted].")  # fmt: skip
@writes
def count_(*, name: str, amount: str, gone: str, **when: Any) -> None:
    """Write down what of a lot is really there; the difference to the book is booked."""
    with desk(when) as entry:
        from lacwright.shop import names
        from lacwright.shop.amounts import read_amount
        from lacwright.shop.facts import liquid_density
        from lacwright.shop.models import Lot
        from lacwright.shop.services.lots import count_lot

        row = names.find(Lot, name, "NAME")
        there = read_amount(amount, "--amount", of=row.kind, unit=row.unit)
        density = liquid_density(row)
        answer = count_lot(name=name, amount=there, gone=gone, entry=entry)
    data = answer.data
    lot, off = data["lot"], data["difference"]
    told = f"{number_words(abs(off))} pc" if data["unit"] == "pc" else by_volume(abs(off), density)
    book = "as the book has it" if abs(off) < 1e-6 else (
        f"{told} {'more' if off > 0 else 'less'} than the book had"
    )  # fmt: skip
    say("lot.count", answer, when=when, keys=_flat(data),
        line=f"counted lot {lot['name']}: {left_words(lot)}, {book}.")  # fmt: skip


@click.command("change")
@click.argument("name")
@described
@writes
def change_(
    *, name: str, density: float | None, price: str | None, price_for: str | None,
    order_below: str | None, **given: Any,
) -> None:  # fmt: skip
    """Say more of a lot, or say it right; what rests on it is worked out anew."""
    fields = ("grade", "waxed", "bleached", "alcohol", "supplier", "batch", "bought", "note")
    changes = {field: given.pop(field) for field in fields}
    with desk(given) as entry:
        from lacwright.shop import names
        from lacwright.shop.amounts import read_amount
        from lacwright.shop.models import Lot
        from lacwright.shop.services.lots import describe_lot

        row = names.find(Lot, name, "NAME")
        changes |= {"density_g_ml": density, "price": read_price(price)}
        for key, text, where in (("price_for", price_for, "--price-for"),
                                 ("order_below", order_below, "--order-below")):  # fmt: skip
            if text is not None:
                changes[key] = read_amount(text, where, of=row.kind, unit=row.unit)
        asked = {key: value for key, value in changes.items() if value is not None}
        if not asked:
            raise Refusal("lot change", "nothing is changed", "say what is otherwise")
        answer = describe_lot(name=name, changes=asked, entry=entry)
    data = answer.data
    told = ", ".join(_changed(key, value) for key, value in data["now"].items())
    say("lot.change", answer, when=given, keys=_flat(data),
        missing={f"was.{k}": "not said before" for k, v in data["was"].items() if v is None}
        | {f"now.{k}": "not said any more" for k, v in data["now"].items() if v is None},
        line=f"changed lot {data['lot']['name']}: {told}.", lines=data["says"])  # fmt: skip


def read_price(text: str | None) -> Decimal | None:
    """Return a price as it is typed.

    Raises
    ------
    Refusal
        For anything that is not a number.
    """
    from decimal import Decimal, InvalidOperation

    if text is None:
        return None
    try:
        price = Decimal(text.strip().replace(",", "."))
    except InvalidOperation:
        price = Decimal("nan")
    if not price.is_finite():
        raise Refusal("--price", f"'{text.strip()}' is not a price", "write e.g. 48.50")
    return price if price else price.copy_abs()  # "-0" is nothing, without a sign


def left_words(lot: Mapping[str, Any]) -> str:
    """Return what is left of a lot as a person says it."""
    if lot["left"] is None:
        return "not said"
    if lot["unit"] == "pc":
        return f"{number_words(lot['left'])} pc"
    if lot["left_ml"] is not None:
        return ml(lot["left_ml"])
    return grams(lot["left"])


def what_words(lot: Mapping[str, Any]) -> str:
    """Return what a lot is: "garnet flakes, dewaxed", "alcohol (ethanol 92 %, water 8 %)"."""
    if lot["kind"] == "alcohol":
        if lot["composition"] is None:
            return "alcohol of unknown composition"
        parts = sorted(lot["composition"].items(), key=lambda p: -p[1])
        return f"alcohol ({', '.join(f'{s} {100 * share:.3g} %' for s, share in parts)} by weight)"
    words = f"{lot['grade']} {lot['kind']}".strip()
    if lot["waxed"] is not None:
        words += ", waxed" if lot["waxed"] else ", dewaxed"
    return words + (", bleached" if lot["bleached"] else "")


def _kind(grade: str | None, alcohol: str | None) -> str:
    if (grade is None) == (alcohol is None):
        raise Refusal("--kind", "what it is is not said",
                      f"write --kind with one of {', '.join(KINDS)}")  # fmt: skip
    return "alcohol" if grade is None else "flakes"


def _flat(data: Mapping[str, Any]) -> dict[str, Any]:
    """Return what the lot is beside what was done with it."""
    return {**data["lot"], "currency": money(),
            **{key: value for key, value in data.items() if key != "lot"}}  # fmt: skip


def _changed(key: str, value: Any) -> str:
    """Return what a field is now: "supplier B", "dewaxed", "composition ethanol 92 %"."""
    if isinstance(value, bool):
        return {"waxed": ("dewaxed", "waxed"), "bleached": ("unbleached", "bleached")}[key][value]
    words = {"parts": "composition", "price_for_u": "price for", "order_below_u": "order below",
             "density_g_ml": "density"}.get(key, key)  # fmt: skip
    if isinstance(value, dict):
        return f"{words} {', '.join(f'{s} {100 * share:.3g} %' for s, share in value.items())}"
    if key.endswith("_u") and value is not None:
        return f"{words} {number_words(value / 1e6)}"
    return f"{words} {'not said' if value is None or value == '' else value}"
