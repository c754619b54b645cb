"""`lot list` and `lot show`: the shelf, and where a lot went."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from lacwright.cli.jar_common import by_volume, number_words
from lacwright.cli.lot_add import left_words, what_words
from lacwright.cli.record_common import moment, money, reads, record
from lacwright.cli.show import counted, emit, there_are

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence


@click.command("list")
@click.option("--kind", type=click.Choice(["flakes", "alcohol", "dye", "wax", "abrasive", "other"]),
              help="This kind alone.")  # fmt: skip
@click.option("--all", "everything", is_flag=True, help="Also what is used up.")
@reads
def list_(
    *, kind: str | None, everything: bool, home: str | None, now: str | None, as_json: bool
) -> None:  # fmt: skip
    """The lots of the shelf: what is left, and the one word about each."""
    with record(home) as zone:
        from lacwright.shop.queries.shelf import EMPTY, lots

        lines = [line.as_json() for line in lots(at_us=moment(now, zone))]
    shown = [lot for lot in lines if kind in (None, lot["kind"])
             and (everything or lot["word"] != EMPTY)]  # fmt: skip
    width = max((len(lot["name"]) for lot in shown), default=0)
    text = [f"{there_are(len(shown), 'lot')} on the shelf."]
    for lot in shown:
        word = f"  [{lot['word']}]" if lot["word"] else ""
        text.append(f"{lot['name']:<{width}}  {left_words(lot):>10}  {what_words(lot)}{word}")
    emit(schema="lacwright.lot.list/1", keys={"currency": money(), "lots": shown}, lines=text,
         as_json=as_json)  # fmt: skip


@click.command("show")
@click.argument("name")
@reads
def show_(*, name: str, home: str | None, now: str | None, as_json: bool) -> None:
    """A lot, and where it went: what is left, and every jar, pad, piece and loss it is in."""
    with record(home) as zone:
        from lacwright.shop import names
        from lacwright.shop.facts import liquid_density
        from lacwright.shop.models import Lot
        from lacwright.shop.queries.carry import where_went
        from lacwright.shop.queries.shelf import lot_line

        row = names.find(Lot, name, "NAME")
        lot = lot_line(row, at_us=moment(now, zone)).as_json()
        went, density = where_went(row).as_json(), liquid_density(row)
    missing = lot.pop("missing")
    word = f" It {lot['word']}." if lot["word"].startswith("failed") else (
        f" {lot['word'][0].upper()}{lot['word'][1:]}." if lot["word"] else ""
    )  # fmt: skip
    left = "How much is left is not said." if lot["left"] is None else f"{left_words(lot)} left."
    lines = [f"Lot {lot['name']} is {what_words(lot)}: {left}{word}", *_label(lot, money()),
             *went_lines(went, density)]  # fmt: skip
    emit(schema="lacwright.lot.show/1", keys={**lot, "currency": money(), "went": went},
         lines=lines, missing=missing, as_json=as_json)  # fmt: skip


def went_lines(went: Mapping[str, Any], density_g_ml: float | None = None) -> list[str]:
    """Return where a lot went, a line for every place; of a liquid by volume, weight beside."""
    unit = went["unit"]

    def told(value: float) -> str:
        return by_volume(value, density_g_ml) if unit == "g" else f"{number_words(value)} {unit}"

    out = []
    if went["came"] is not None:
        out.append(f"{told(went['came'])} came; it went:")
    for word, holders in (("jar ", went["jars"]), ("", went["applicators"])):
        out += [f"  {told(h['amount'])} in {word}{h['name']}" for h in holders]
    for piece in went["pieces"]:
        out.append(f"  {told(piece['amount'])} on {piece['name']}: {_coats(piece['coats'])}")
    for key, words in (("air", "into the air"), ("waste", "to waste"),
                       ("unaccounted", "unaccounted")):  # fmt: skip
        if went[key] > 0:
            out.append(f"  {told(went[key])} {words}")
        elif went[key] < 0 and went["came"] is not None:  # of an unsaid amount any may go
            out.append(f"  {told(-went[key])} more went than ever came (unaccounted)")
    if went["in_store"] > 0:
        out.append(f"  {told(went['in_store'])} are left")
    if out and went["came"] is None:
        out.insert(0, "How much came was not said; of it went:")
    if went["also_in_amount_not_said"]:
        out.append(f"It also went, by amounts that were not said, into "
                   f"{', '.join(went['also_in_amount_not_said'])}.")  # fmt: skip
    return out


def _coats(coats: Sequence[Mapping[str, Any]]) -> str:
    laid = [c for c in coats if c["amount"] > 0]
    days = list(dict.fromkeys(c["at"][:10] for c in laid))
    count = counted(len(laid), "coat")
    return f"{count}, {days[0]}" + (f" to {days[-1]}" if len(days) > 1 else "") if days else count


def _label(lot: Mapping[str, Any], currency: str) -> list[str]:
    told = []
    if lot["supplier"]:
        told.append(f"from {lot['supplier']}")
    if lot["batch"]:
        told.append(f"batch {lot['batch']}")
    if lot["bought"]:
        told.append(f"bought {lot['bought']}")
    if lot["price"] is not None:
        unit = "pc" if lot["unit"] == "pc" else "g"
        told.append(f"{lot['price']:.2f} {currency}".strip()
                    + f" for {number_words(lot['price_for'])} {unit}")  # fmt: skip
    if lot["tested"]:
        told.append(f"test of {lot['tested']} {'passed' if lot['passed'] else 'failed'}")
    if lot["note"]:
        told.append(lot["note"])
    text = "; ".join(told)
    return [f"{text[0].upper()}{text[1:]}."] if text else []
