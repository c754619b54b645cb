"""`lacwright film`: the film after every coat and sanding of a piece file."""

from __future__ import annotations

from typing import Any

import click

from lacwright.cli.show import emit, json_option


@click.command()
@click.argument("piece_file", metavar="PIECE.toml")
@click.option("--hand", "hand_file", metavar="FILE", help="Own figures: a file with [hand].")
@click.option("--seed", type=int, default=0, show_default=True, help="Makes a run repeatable.")
@click.option("--draws", type=click.IntRange(0, 100_000), default=2000, show_default=True,
              help="Draws of the uncertain factors; 0 for the central case alone.")  # fmt: skip
@json_option
def film(piece_file: str, hand_file: str | None, seed: int, draws: int, as_json: bool) -> None:
    """Film after every coat and sanding, on flats and edges; what is refused.

    A sanding that would go through is not done and is listed with need and have.
    """
    import datetime as dt

    from lacwright.figures import Refusal
    from lacwright.files.own import read_hand, with_hand
    from lacwright.files.piece import read_piece
    from lacwright.plan import make_plan

    piece = read_piece(piece_file)
    if hand_file:
        piece = with_hand(piece, read_hand(hand_file))
    today = piece.wish.start or dt.date.today()
    made = make_plan(piece, today=today, n=draws, seed=seed,
                     say=lambda line: click.echo(line, err=True))  # fmt: skip
    if made.film is None:
        raise Refusal(piece_file, "there is no part to coat", "add a [[part]] table")
    run = made.film.run
    steps: list[dict[str, Any]] = []
    for s in run.steps:
        flat, edge = _banded(s.flat_um), _banded(s.edge_um)
        steps.append({
            "what": s.what, "part": s.part, "face": s.zone.face,
            "flat_um": flat[0], "flat_um_low": flat[1], "flat_um_high": flat[2],
            "edge_um": edge[0], "edge_um_low": edge[1], "edge_um_high": edge[2],
            "refused": s.refused,
        })  # fmt: skip
    refused = [
        {"step": r.what, "part": r.part, "place": r.place, "need_um": r.need_um,
         "have_um": r.have_um, "least_left_um": r.least_left_um,
         "through_share": r.through_share, "text": r.text}
        for r in run.refused
    ]  # fmt: skip
    keys = {"steps": steps, "refused": refused, "notes": list(made.film.notes)}
    figures = {k: f for k, f in made.figures.items() if k.startswith("film.")}
    emit(schema="lacwright.film/1", keys=keys, figures=figures, lines=_lines(steps, refused, keys),
         as_json=as_json, cautions=run.cautions, stops=run.stops)  # fmt: skip


def _banded(rows: Any) -> tuple[float, float, float]:
    import numpy as np

    from lacwright.figures.draws import band

    return band(np.atleast_1d(np.asarray(rows, dtype=float)))


def _lines(
    steps: list[dict[str, Any]], refused: list[dict[str, Any]], keys: dict[str, Any]
) -> list[str]:
    """The film step by step; parts with the same course stand together."""
    courses: dict[str, list[str]] = {}
    last: dict[str, str] = {}
    for part in dict.fromkeys(s["part"] for s in steps):
        mine = [s for s in steps if s["part"] == part]
        table = "\n".join(_row(s) for s in mine)
        courses.setdefault(table, []).append(part)
        flat, edge = mine[-1]["flat_um"], mine[-1]["edge_um"]
        last[table] = f"{flat:.0f} um on flats and {edge:.0f} um on edges"
    left = "; ".join(f"{', '.join(parts)} {last[rows]}" for rows, parts in courses.items())
    lines = [f"Film left: {left}." if courses else "No film is laid."]
    if refused:
        lines[0] += f" {len(refused)} sanding{'s' if len(refused) > 1 else ''} refused."
    for rows, parts in courses.items():
        lines += [f"  {', '.join(parts)}", *rows.splitlines()]
    lines += [f"Refused: {r['text']}" for r in refused]
    lines += [f"Note: {n}." for n in keys["notes"]]
    return lines


def _row(step: dict[str, Any]) -> str:
    band = f"({step['flat_um_low']:.0f} to {step['flat_um_high']:.0f})"
    mark = "  REFUSED" if step["refused"] else ""
    return (
        f"    {step['what'][:18]:<18} flat {step['flat_um']:>6.1f} um {band:<14} "
        f"edge {step['edge_um']:>6.1f} um{mark}"
    )
