"""`lacwright piece` and `lacwright customer`: what is worked on, and for whom."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from lacwright.cli.job_common import areas_of, entry_of, tell
from lacwright.cli.record_common import reads, record, writes
from lacwright.cli.show import brief, emit
from lacwright.figures import Refusal

if TYPE_CHECKING:
    from lacwright.figures import Figure
    from lacwright.shop.queries.pieces import Happened, History


@click.group()
def piece() -> None:
    """Pieces of work and panels: their parts, and what is on them."""


@piece.command("add")
@click.argument("name", metavar="NAME")
@click.option("--panel", is_flag=True, help="It is a panel: a board to try or show a finish on.")
@click.option("--title", default="", metavar="TEXT", help="What it is.")
@click.option("--customer", metavar="NAME", help="Whose it is; one of the record.")
@click.option("--wood", default="", metavar="NAME", help="From `lacwright names woods`.")
@click.option("--area", "areas", multiple=True, metavar='"PART: 0.5 m2"',
              help="Finished area of a part; again for more.")  # fmt: skip
@click.option("--from", "piece_file", metavar="PIECE.toml", help="Parts and wood of a piece file.")
@click.option("--note", default="", metavar="TEXT", help="What else there is to say.")
@writes
def add_(
    name: str, panel: bool, title: str, customer: str | None, wood: str, areas: tuple[str, ...],
    piece_file: str | None, note: str, home: str | None, dry_run: bool, as_json: bool,
    **given: Any,
) -> None:  # fmt: skip
    """Write down a piece or a panel NAME."""
    found = areas_of(areas)
    if piece_file is not None and areas:
        raise Refusal("--area", "the piece file has the areas", "leave one of the two out")
    with record(home, create=True, dry_run=dry_run) as zone:
        if piece_file is not None:
            from lacwright.files.piece import read_piece
            from lacwright.shop.plan_link import areas_of as areas_of_piece
            from lacwright.shop.plan_link import wood_of

            read = read_piece(piece_file)
            found, wood, title = areas_of_piece(read), wood or wood_of(read), title or read.title
        from lacwright.shop.services.pieces import add_piece

        answer = add_piece(
            name=name, kind="panel" if panel else "piece", title=title, customer=customer,
            wood=wood, areas_m2=found, note=note,
            entry=entry_of(zone, given | {"dry_run": dry_run}),
        )  # fmt: skip
    tell(schema="lacwright.piece.add/1", answer=answer, as_json=as_json,
         line=f"{answer.data['kind'].capitalize()} {answer.data['piece']} is in the record"
              f"{_areas(answer.data['areas_m2'])}.")  # fmt: skip


@piece.command("describe")
@click.argument("name", metavar="NAME")
@click.option("--title", metavar="TEXT", help="What it is.")
@click.option("--customer", metavar="NAME", help="Whose it is.")
@click.option("--wood", metavar="NAME", help="From `lacwright names woods`.")
@click.option("--area", "areas", multiple=True, metavar='"PART: 0.5 m2"',
              help="Finished area of a part; again for more.")  # fmt: skip
@click.option("--note", metavar="TEXT", help="In place of its note.")
@writes
def describe_(
    name: str, title: str | None, customer: str | None, wood: str | None, areas: tuple[str, ...],
    note: str | None, home: str | None, dry_run: bool, as_json: bool, **given: Any,
) -> None:  # fmt: skip
    """Change what is known of a piece or panel."""
    said = {"title": title, "customer": customer, "wood": wood, "note": note,
            "areas_m2": areas_of(areas) or None}  # fmt: skip
    changes = {k: v for k, v in said.items() if v is not None}
    with record(home, dry_run=dry_run) as zone:
        from lacwright.shop.services.pieces import describe_piece

        answer = describe_piece(name=name, changes=changes,
                                entry=entry_of(zone, given | {"dry_run": dry_run}))  # fmt: skip
    tell(schema="lacwright.piece.describe/1", answer=answer, as_json=as_json,
         line=f"{answer.data['piece']} is described anew: {', '.join(changes)}.")  # fmt: skip


@piece.command("list")
@click.option("--panels", is_flag=True, help="Panels alone.")
@reads
def list_(panels: bool, home: str | None, now: str | None, as_json: bool) -> None:
    """List the pieces and panels."""
    with record(home):
        from lacwright.shop.queries.pieces import piece_lines

        found = piece_lines(kind="panel" if panels else None)
    word = "panels" if panels else "pieces and panels"
    lines = [f"{len(found)} {word}."]
    for row in found:
        facts = [row["kind"], f"{row['coats']} coats"]
        facts += [f"{brief(row['area_m2'], 3)} m2"] if row["area_m2"] else []
        facts += [row["wood"]] if row["wood"] else []
        facts += [f"for {row['customer']}"] if row["customer"] else []
        lines.append(f"  {row['piece']}: {', '.join(facts)}")
    emit(schema="lacwright.piece.list/1", keys={"pieces": found}, lines=lines, as_json=as_json)


@piece.command("show")
@click.argument("name", metavar="NAME")
@reads
def show_(name: str, home: str | None, now: str | None, as_json: bool) -> None:
    """Show what is on a piece or panel, in order."""
    with record(home) as zone:
        from lacwright.shop.models import Piece
        from lacwright.shop.names import find
        from lacwright.shop.queries.pieces import history

        found = history(find(Piece, name, "NAME"))
        keys = found.as_json(zone)
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
    out = [f"On {row.kind} {row.key}: {coats} coats; film {'; '.join(films)}."]
    out += [f"{', '.join(facts)}{_areas(row.areas_m2)}."] if facts or row.areas_m2 else []
    return [*out, *(_happened(one, zone) for one in found.happened)]


def _happened(one: Happened, zone: Any) -> str:
    from lacwright.shop.clock import plain

    body, event = one.body, one.event
    where = ", ".join(body.get("parts") or ())
    text = f"{plain(event.at_us, zone)} ({event.root_id}) "
    if event.kind != "coat":
        words = [body.get(k) for k in ("what", "abrasive", "test", "verdict", "how", "where",
                                       "text", "panel", "name", "note")]  # fmt: skip
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


def _areas(areas: dict[str, float]) -> str:
    if not areas:
        return ""
    return "; " + ", ".join(f"{part} {brief(area, 3)} m2" for part, area in areas.items())


@click.group()
def customer() -> None:
    """Customers of the shop."""


@customer.command("add")
@click.argument("name", metavar="NAME")
@click.option("--contact", default="", metavar="TEXT", help="Where they are reached.")
@click.option("--note", default="", metavar="TEXT", help="What else there is to say.")
@writes
def customer_add(
    name: str, contact: str, note: str, home: str | None, dry_run: bool, as_json: bool,
    **given: Any,
) -> None:  # fmt: skip
    """Write down a customer NAME."""
    with record(home, create=True, dry_run=dry_run) as zone:
        from lacwright.shop.services.people import add_customer

        answer = add_customer(name=name, contact=contact, note=note,
                              entry=entry_of(zone, given | {"dry_run": dry_run}))  # fmt: skip
    tell(schema="lacwright.customer.add/1", answer=answer, as_json=as_json,
         line=f"Customer {answer.data['customer']} is in the record.")  # fmt: skip


@customer.command("list")
@reads
def customer_list(home: str | None, now: str | None, as_json: bool) -> None:
    """List the customers with their pieces."""
    with record(home):
        from lacwright.shop.queries.people import customer_lines

        found = customer_lines()
    lines = [f"{len(found)} customer{'' if len(found) == 1 else 's'}."]
    for row in found:
        pieces = f": {', '.join(row['pieces'])}" if row["pieces"] else ""
        contact = f" ({row['contact']})" if row["contact"] else ""
        lines.append(f"  {row['customer']}{contact}{pieces}")
    emit(schema="lacwright.customer.list/1", keys={"customers": found}, lines=lines,
         as_json=as_json)  # fmt: skip
