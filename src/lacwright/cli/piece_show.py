"""`piece list` and `show`: what is on a piece or panel."""

from __future__ import annotations

from collections.abc import Callable, Container, Mapping
from typing import TYPE_CHECKING, Any

import click

from lacwright.cli.record_common import in_json, reads, record
from lacwright.cli.show import brief, counted, emit

if TYPE_CHECKING:
    from lacwright.figures import Figure
    from lacwright.shop.queries.pieces import Happened, History


TOLD: dict[str, Callable[[Mapping[str, Any]], str]] = {
    "timed-coat": lambda _: "coat timed",
    "whitened": lambda body: "whitened" if body["result"].get("whitened") else "stayed clear",
    "colour-panel": lambda _: "colour read",
    "colour-look": lambda body: "look read" if "hit" in body else "look foretold",
}
"""Tests without a verdict: what they say is told in sentences."""


@click.command("list")
@click.option("--panels", is_flag=True, help="Panels alone.")
@reads
def list_(panels: bool, home: str | None, now: str | None, as_json: bool) -> None:
    """List the pieces and panels."""
    with record(home):
        from lacwright.shop.queries.pieces import piece_lines

        found = piece_lines(kind="panel" if panels else None)
    of = ("panel",) if panels else ("piece or panel", "pieces and panels")
    lines = [f"{counted(len(found), *of)}."]
    for row in found:
        facts = [row["kind"], counted(row["coats"], "coat")]
        facts += [f"{brief(row['area_m2'], 3)} m2"] if row["area_m2"] else []
        facts += [row["wood"]] if row["wood"] else []
        facts += [f"for {row['customer']}"] if row["customer"] else []
        lines.append(f"  {row['piece']}: {', '.join(facts)}")
    emit(schema="lacwright.piece.list/1", keys={"pieces": found}, lines=lines, as_json=as_json)


@click.command("show")
@click.argument("name", metavar="NAME")
@reads
def show_(name: str, home: str | None, now: str | None, as_json: bool) -> None:
    """Show what is on a piece or panel, in order."""
    with record(home) as zone:
        from lacwright.shop.models import Piece
        from lacwright.shop.names import find
        from lacwright.shop.queries.pieces import history

        found = history(find(Piece, name, "NAME"))
        keys = in_json(found.as_json(zone), zone)
        lines = [] if as_json else _page(found, zone)
    missing = keys.pop("missing", {})
    emit(schema="lacwright.piece.show/1", keys=keys, missing=missing, lines=lines, as_json=as_json)


def _page(found: History, zone: Any) -> list[str]:
    row = found.piece
    coats = sum(1 for one in found.happened if one.event.kind == "coat")
    films = [f"{part} {_film(figure)}" if part else _film(figure)
             for part, figure in found.film.items()]  # fmt: skip
    facts = [row.title] if row.title else []
    facts += [row.wood] if row.wood else []
    facts += [f"for {row.customer.key}"] if row.customer is not None else []
    facts += [f"job {', '.join(found.jobs)}"] if found.jobs else []
    out = [f"On {row.kind} {row.key}: {counted(coats, 'coat')}; film {'; '.join(films)}."]
    out += [f"{', '.join(facts)}{areas_words(row.areas_m2)}."] if facts or row.areas_m2 else []
    done = {one.body["spot"] for one in found.happened if one.event.kind == "spot-done"}
    return [*out, *(_happened(one, zone, done) for one in found.happened)]


def _happened(one: Happened, zone: Any, done: Container[int]) -> str:
    from lacwright.shop.clock import plain

    body, event = one.body, one.event
    where = ", ".join(body.get("parts") or ())
    text = f"{plain(event.at_us, zone)} ({event.root_id}) "
    if event.kind == "test" and body["test"] in TOLD:
        return f"{text}{TOLD[body['test']](body)}: {' '.join(body['says'])}"
    if event.kind != "coat":
        words = [body.get(k) for k in ("what", "abrasive", "test", "verdict", "how", "where",
                                       "text", "panel", "name", "note")]  # fmt: skip
        if body.get("price"):
            words.append(f"{body['price']} {body.get('currency') or ''}".strip())
        if event.kind == "spot":
            words.append("done" if event.root_id in done else "still open")
        if event.kind == "spot-done":
            words.insert(0, f"spot {body['spot']}")
        told = ", ".join(str(w) for w in words if w)
        return f"{text}{event.kind}{f' on {where}' if where else ''}{f': {told}' if told else ''}"
    text += f"{body['what']} {one.number}{f' on {where}' if where else ''}"
    if event.jar is not None:
        text += f" from {event.jar.key}"
    if one.cut is not None:
        text += f" ({one.cut:.2g}-lb)"
    facts = [body["method"]] if body["method"] else []
    facts += [f"{brief(g, 3)} g {lot.key}" if per is None else f"{brief(per, 3)} g/m2 {lot.key}"
              for lot, g, per in one.resin()]  # fmt: skip
    films = {_film(figure) for figure in one.film.values()}
    facts += [f"adds {' / '.join(sorted(films))}"] if films else []
    return f"{text}: {', '.join([*facts, body['amount_basis']])}"


def _film(figure: Figure) -> str:
    if figure.value is None:
        return f"not known ({figure.missing})"
    text = f"{brief(figure.value, 3)} um" if figure.value else "0 um"
    low, high = figure.low or 0.0, figure.high or 0.0
    if high - low > 0.02 * figure.value:
        text += f" ({brief(low, 2)} to {brief(high, 2)})"
    return text


def areas_words(areas: dict[str, float]) -> str:
    """Return "; top 0.500 m2, legs 0.300 m2", nothing where none is known."""
    if not areas:
        return ""
    return "; " + ", ".join(f"{part} {brief(area, 3)} m2" for part, area in areas.items())
