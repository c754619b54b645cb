"""`lacwright names`: what is accepted where a name is asked for."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import click

from lacwright.cli.show import emit, json_option

if TYPE_CHECKING:
    from lacwright.trade import Row


@click.command()
@click.argument("what", metavar="alcohols|woods|grades|methods|abrasives")
@json_option
def names(what: str, as_json: bool) -> None:
    """Names that are accepted, with their other names.

    Example: lacwright names methods
    """
    from lacwright.figures import Refusal, nearest
    from lacwright.trade import table

    if what not in _LINES:
        raise Refusal("names", f"there is no list of '{what}'", nearest(what, _LINES))
    entries = [
        {
            "key": row.key, "also": list(row.words("also")), "line": _LINES[what](row),
            "mark": str(row.mark), "source": row.source,
        }
        for row in table(what)
    ]  # fmt: skip
    lines = [f"These {len(entries)} {what} can be written; other names in brackets."]
    width = max(len(str(e["key"])) for e in entries)
    for row, entry in zip(table(what), entries, strict=True):
        also = f" ({', '.join(row.words('also'))})" if row.words("also") else ""
        lines.append(f"{row.key:<{width}}  {entry['line']}{also}  [{row.mark}]")
    emit(schema="lacwright.names/1", keys={"what": what, "names": entries}, lines=lines,
         as_json=as_json)  # fmt: skip


def _alcohol(row: Row) -> str:
    made_of = row.text("parts") and f"{row.text('parts')} by weight"
    made_of = made_of or (row.text("volumes") and f"{row.text('volumes')} by volume")
    fit = {"yes": "", "weak": "weak for shellac", "no": "does not suit shellac"}
    return _joined(made_of or "composition unknown", fit.get(row.text("suits"), ""),
                   row.text("words"))  # fmt: skip


def _wood(row: Row) -> str:
    pores = row.text("pores")
    pores = {"unknown": "", "softwood": "softwood"}.get(pores, f"{pores} pores")
    oily = "oily" if row.yes("oily") else ""
    return _joined(row.text("latin"), pores, oily, row.text("notes"))


def _grade(row: Row) -> str:
    bleached = "bleached" if row.yes("bleached") else ""
    return _joined(row.text("colour"), f"usually {row.text('wax')}", bleached, row.text("form"))


def _method(row: Row) -> str:
    how_much = (
        f"{row.number('load'):g} ml/m2 a {'pass' if row.has('passes') else row.text('unit')}"
        if row.has("load") else f"{row.number('wet'):g} um wet a {row.text('unit')}"
    )  # fmt: skip
    return _joined(row.text("words"), f"usually {how_much}")


def _abrasive(row: Row) -> str:
    size = f"{row.number('median'):g} um" if row.has("median") else "no size known"
    like = f"acts like {row.text('acts_like')}" if row.has("acts_like") else ""
    return _joined(size, like, row.text("words"))


def _joined(*parts: str) -> str:
    return "; ".join(p for p in parts if p)


_LINES: dict[str, Callable[[Row], str]] = {
    "alcohols": _alcohol,
    "woods": _wood,
    "grades": _grade,
    "methods": _method,
    "abrasives": _abrasive,
}
