"""Pieces of work, and panels: boards to try or show a finish on."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from lacwright.figures import Refusal, nearest
from lacwright.figures import units as u
from lacwright.shop import names
from lacwright.shop.models import Customer, Movement, Piece
from lacwright.shop.services.amend import Body, write_body
from lacwright.shop.services.describing import describe
from lacwright.shop.writing import Answer, Entry, Writer, write
from lacwright.trade import table

PIECE, PANEL = "piece", "panel"
FIELDS = ("title", "customer", "wood", "areas_m2", "note")
MOST_PARTS = 200
TITLE = 200
"""Longest title."""


def add_piece(
    *, name: str, kind: str = PIECE, title: str = "", customer: str | None = None, wood: str = "",
    areas_m2: Mapping[str, float] | None = None, note: str = "", entry: Entry,
) -> Answer:  # fmt: skip
    """Write down a piece or a panel.

    Parameters
    ----------
    name : str
        What it is called from now on.
    kind : str
        "piece" or "panel".
    title, note : str
        Free text.
    customer : str, optional
        Whose it is; one of the record.
    wood : str
        A wood of the table, "" where it is not said.
    areas_m2 : mapping of part to m2
        What of it is finished, by part.
    entry : Entry
        Who and when.

    Raises
    ------
    Refusal
        For a name that is taken, an unknown customer or wood, an area that cannot be.
    """
    request = {"name": name, "kind": kind, "title": title, "customer": customer, "wood": wood,
               "areas_m2": checked_areas(areas_m2 or {}), "note": note}  # fmt: skip

    def do(w: Writer) -> dict[str, Any]:
        row = new_piece(name=name, kind=kind, title=title, customer=customer, wood=wood,
                        areas_m2=areas_m2 or {}, note=note, where="NAME")  # fmt: skip
        open_piece(w, row)
        return {"piece": row.key, "kind": row.kind, "wood": row.wood, "areas_m2": row.areas_m2}

    return write("add_piece", request, entry, do)


def describe_piece(*, name: str, changes: Mapping[str, Any], entry: Entry) -> Answer:
    """Change what is known of a piece.

    Parameters
    ----------
    name : str
        The piece or panel.
    changes : mapping
        Any of: title, customer (a name or None), wood, areas_m2 (parts beside those that are
        known), note.
    entry : Entry
        Who and when.

    Raises
    ------
    Refusal
        For an unknown piece or field, or if nothing changes.
    """
    if "areas_m2" in changes:
        changes = {**changes, "areas_m2": checked_areas(changes["areas_m2"])}

    def do(w: Writer) -> dict[str, Any]:
        row = names.find(Piece, name, "NAME")
        fields: dict[str, Any] = {}
        for field, value in changes.items():
            if field not in FIELDS:
                raise Refusal(field, "it is not part of the description of a piece",
                              nearest(field, FIELDS))  # fmt: skip
            fields[field] = _field(row, field, value)
        describe(w, "piece", row, fields)
        return {"piece": row.key, "kind": row.kind, "wood": row.wood, "areas_m2": row.areas_m2}

    return write("describe_piece", {"name": name, "changes": dict(changes)}, entry, do)


def new_piece(
    *, name: str, kind: str, title: str, customer: str | None, wood: str,
    areas_m2: Mapping[str, float], note: str, where: str,
) -> Piece:  # fmt: skip
    """Make the row and the place of a piece, inside a request that then calls `open_piece`."""
    key = names.new(Piece, name, where)
    if kind not in (PIECE, PANEL):
        raise Refusal("--kind", f"'{kind}' is neither a piece nor a panel", "write piece or panel")
    row = Piece(key=key, kind=kind)
    for field, value in (("title", title), ("customer", customer), ("wood", wood),
                         ("areas_m2", areas_m2), ("note", note)):  # fmt: skip
        setattr(row, field, _field(row, field, value))
    row.place = names.new_place(Piece, key)
    row.save()
    return row


def open_piece(w: Writer, row: Piece) -> Movement:
    """Write down that a new piece is in the record."""
    refs = {"piece": row.key} | ({} if row.customer is None else {"customer": row.customer.key})
    made = write_body(w, "open", Body(refs, facts={"table": "piece", "kind": row.kind}))
    row.opened = made
    row.save()
    return made


def checked_areas(areas_m2: Mapping[str, float], where: str = "--area") -> dict[str, float]:
    """Return areas by part, the names tidied.

    Raises
    ------
    Refusal
        For an area of nothing, one that cannot be, or too many parts.
    """
    if len(areas_m2) > MOST_PARTS:
        raise Refusal(where, f"{len(areas_m2)} parts are more than {MOST_PARTS}",
                      "put like ones together")  # fmt: skip
    out: dict[str, float] = {}
    for part, area in areas_m2.items():
        key = names.read_name(part, where) if part.strip() else WHOLE
        if not (math.isfinite(area) and 0 < area <= u.AREA.most):
            raise Refusal(where, f"{area:g} m2 of {key} is no area", 'write e.g. "top: 0.5 m2"')
        if key in out:
            raise Refusal(where, f"'{key}' stands there twice", "give each part once")
        out[key] = float(area)
    return out


WHOLE = "whole"
"""The part of a piece of which only one area is said."""


def _field(row: Piece, field: str, value: Any) -> Any:
    """Return the value of a field of the row for what was said."""
    if field == "customer":
        return None if value is None else names.find(Customer, value, "--customer")
    if field == "areas_m2":
        return {**(row.areas_m2 or {}), **checked_areas(value)}
    text = str(value).strip()
    if field == "wood" and text:
        return table("woods").find(text, "--wood").key
    if field == "title" and len(text) > TITLE:
        raise Refusal("--title", f"it has {len(text)} characters, {TITLE} are the most",
                      "write the rest in --note")  # fmt: skip
    return text
