"""A piece file taken apart for a form, and put together again: nothing that stands in it is lost.

What the form has no field for (steps, lots on the shelf, own figures, quote, class) stays TOML in
one field; what a table has beside the form's fields is carried along unseen.
"""

from __future__ import annotations

import datetime as dt
import json
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from lacwright.bench.toml_text import written
from lacwright.figures import Refusal, Refusals, nearest
from lacwright.files.parts import PartFields, shapes
from lacwright.files.toml import parse_toml

TEXT, COUNT, YES, DAY, POINTS, ROWS = "text", "count", "yes", "day", "points", "rows"
NAMES, TICKS = "names", "ticks"  # several words: in one line with commas, or ticked
KINDS = {"count": COUNT, "shelves": COUNT, "lid": YES, "bottom": YES, "inside": YES, "back": YES,
         "smooth": YES, "finish": NAMES, "hidden": NAMES, "profile": POINTS, "stations": POINTS,
         "rows": ROWS}  # fmt: skip
"""How the fields of a part are written in the form; all others are text."""
WISH = {"use": TICKS, "under": TICKS, "over": TICKS, "start": DAY, "by": DAY, "sheen": TEXT,
        "grade": TEXT, "wax": TEXT, "film_left": TEXT}  # fmt: skip
ROOM = {"temp": TEXT, "rh": TEXT, "working_days": TICKS, "children": YES, "ignition": NAMES,
        "rag_plan": TEXT}  # fmt: skip
MIX = {"name": TEXT, "from": TEXT, "cut": TEXT, "alcohol": TEXT, "reserve": TEXT, "make": TEXT}
SOURCES = ("jar", "lot", "grade")
REST = "further tables"
_PAIR = re.compile(r"\s*\[?\s*(-?[\d.]+)\s*[,\s]\s*(-?[\d.]+)\s*\]?\s*")


@dataclass
class Typed:
    """What stands in the fields of the form, as text."""

    title: str = ""
    parts: list[dict[str, Any]] = field(default_factory=list)
    wish: dict[str, Any] = field(default_factory=dict)
    room: dict[str, Any] = field(default_factory=dict)
    mixes: list[dict[str, Any]] = field(default_factory=list)
    rest: str = ""


def taken_apart(data: Mapping[str, Any]) -> Typed:
    """Return the tables of a piece file as the form shows them."""
    mine = {"title", "part", "wish", "shop", "mix"}
    rest = {k: v for k, v in data.items() if k not in mine}
    title = data.get("title", "")
    typed = Typed(title=title if isinstance(title, str) else "",
                  rest=written(rest) if rest else "")  # fmt: skip
    for part in _tables(data, "part"):
        known = {k: KINDS.get(k, TEXT) for k in (*_keys(part.get("shape")), "shape")}
        typed.parts.append(_shown(part, known))
    for mix in _tables(data, "mix"):
        row = dict(mix)
        for source in SOURCES:
            if isinstance(row.get(source), str):
                row["from"] = f"{source}:{row.pop(source)}"
                break
        typed.mixes.append(_shown(row, MIX))
    typed.wish, typed.room = (
        _shown(table if isinstance(table := data.get(heading, {}), Mapping) else {}, known)
        for heading, known in (("wish", WISH), ("shop", ROOM))
    )
    return typed


def put_together(typed: Typed) -> dict[str, Any]:
    """Return the tables of a piece file for what stands in the form.

    Raises
    ------
    Refusals
        For what is no number or no list, each at its field as a piece file would name it.
    """
    wrong: list[Refusal] = []
    data: dict[str, Any] = {"title": typed.title.strip()} if typed.title.strip() else {}
    wish, room = (_meant(fields, known, f"[{heading}] ", wrong) for fields, known, heading in
                  ((typed.wish, WISH, "wish"), (typed.room, ROOM, "shop")))  # fmt: skip
    if wish:
        data["wish"] = wish
    if room:
        data["shop"] = room
    parts = []
    for n, fields in enumerate(typed.parts, 1):
        known = {k: KINDS.get(k, TEXT) for k in ("name", "shape", *_keys(fields.get("shape")))}
        parts.append(_meant(fields, known, f"part {n}: ", wrong))
    if parts:
        data["part"] = parts
    mixes = []
    for n, fields in enumerate(typed.mixes, 1):
        row = _meant(fields, MIX, f"[[mix]] {n}, ", wrong)
        source, _, name = str(row.pop("from", "")).partition(":")
        named = {source: name} if source in SOURCES and name else {}
        mixes.append({"name": row.pop("name", ""), **named, **row})
    if mixes:
        data["mix"] = mixes
    try:
        more = parse_toml(typed.rest.encode(), REST)
    except Refusal as refusal:
        wrong.append(refusal)
        more = {}
    for heading in ("part", "mix", "wish", "shop"):
        if heading in more:
            wrong.append(Refusal(REST, f"[{heading}] stands in the form above",
                                 "write it there, or edit the whole text"))  # fmt: skip
    if wrong:
        raise Refusals(wrong)
    top = {k: v for k, v in more.items() if not isinstance(v, dict | list)}
    tables = {k: v for k, v in more.items() if k not in top and k not in data}
    return {**{k: v for k, v in data.items() if k == "title"}, **top, **data, **tables}


def keys_of(shape: str) -> dict[str, bool]:
    """Return the keys that a shape has of its own, and whether each must be there."""
    model = shapes().get(shape)
    if model is None:
        return {}
    return {k: f.is_required() for k, f in model.model_fields.items()
            if k not in PartFields.model_fields}  # fmt: skip


def _keys(shape: object) -> tuple[str, ...]:
    """Return all keys of a shape in the order in which they are read best."""
    own = keys_of(shape) if isinstance(shape, str) else {}
    return ("name", "shape", "wood", *own, "method", "count", "finish", "hidden")


def _tables(data: Mapping[str, Any], heading: str) -> list[Mapping[str, Any]]:
    found = data.get(heading, [])
    return [t for t in found if isinstance(t, Mapping)] if isinstance(found, list) else []


def _shown(table: Mapping[str, Any], known: Mapping[str, str]) -> dict[str, Any]:
    """Return the fields of a table as text, and under "kept" what no field can show."""
    out: dict[str, Any] = {}
    kept: dict[str, Any] = {}
    for key, value in table.items():
        told = _as_text(value, known[key]) if key in known else None
        if told is None:
            kept[key] = value
        else:
            out[key] = told
    if kept:
        out["kept"] = json.dumps(kept, default=_dated)
    return out


def _dated(value: Any) -> Any:
    if isinstance(value, dt.date | dt.time | dt.datetime):
        return value.isoformat()
    raise TypeError(type(value).__name__)


def _as_text(value: Any, kind: str) -> Any:
    """Return a value as it stands in a field; None where it does not fit in."""
    if isinstance(value, bool):
        return ("yes" if value else "no") if kind == YES else None
    if kind in (NAMES, TICKS):
        names = value if isinstance(value, list) else [value]
        if not all(isinstance(n, str) and "," not in n for n in names):
            return None
        return names if kind == TICKS else ", ".join(names)
    if kind == POINTS and isinstance(value, list):
        pairs = [p for p in value if isinstance(p, list) and len(p) == 2]
        return "\n".join(f"{x} {y}" for x, y in pairs) if len(pairs) == len(value) else None
    if kind == ROWS and isinstance(value, list):
        rows = [r for r in value if isinstance(r, Mapping) and isinstance(r.get("size"), str)]
        if len(rows) < len(value) or any(set(r) - {"size", "count"} for r in rows):
            return None
        return "\n".join(f"{r['count']} of {r['size']}" if "count" in r else str(r["size"])
                         for r in rows)  # fmt: skip
    if isinstance(value, str | int | float):
        return str(value)
    return value.isoformat() if isinstance(value, dt.date) and kind == DAY else None


def _meant(
    fields: Mapping[str, Any], known: Mapping[str, str], where: str, wrong: list[Refusal]
) -> dict[str, Any]:  # fmt: skip
    """Return the table that is meant by the text in the fields; what is empty is left out."""
    out: dict[str, Any] = {}
    for key, kind in known.items():
        told = fields.get(key)
        if isinstance(told, str):
            told = told.strip()
        if told in (None, "", []):
            continue
        try:
            out[key] = _value(told, kind)
        except Refusal as refusal:
            wrong.append(refusal.at(f"{where}{key}"))
    if fields.get("kept"):
        try:
            kept = json.loads(fields["kept"])
        except ValueError:
            kept = {}
        out |= {k: v for k, v in kept.items() if k not in out} if isinstance(kept, dict) else {}
    return out


def _value(told: Any, kind: str) -> Any:
    if kind in (NAMES, TICKS):
        names = told if isinstance(told, list) else told.split(",")
        return [name.strip() for name in names if name.strip()]
    if kind == YES:
        if told not in ("yes", "no"):
            raise Refusal("", f"'{told}' is neither yes nor no", nearest(told, ("yes", "no")))
        return told == "yes"
    if kind == COUNT:
        if not told.isdecimal() or len(told) > 6:
            raise Refusal("", f"'{told}' is not a whole number", "write e.g. 4")
        return int(told)
    if kind == DAY:
        try:
            return dt.date.fromisoformat(told)
        except ValueError:
            return told
    if kind == POINTS:
        return [_pair(line) for line in re.split(r"[\n;]", told) if line.strip()]
    if kind == ROWS:
        return [_row(line) for line in re.split(r"[\n;]", told) if line.strip()]
    return told


def _pair(line: str) -> list[float]:
    match = _PAIR.fullmatch(line)
    try:
        if match is None:
            raise ValueError
        return [float(match[1]), float(match[2])]
    except ValueError:
        raise Refusal("", f"'{line.strip()}' is not a place and a measure",
                      "write two numbers a line, e.g. 200 45") from None  # fmt: skip


def _row(line: str) -> dict[str, Any]:
    many, of, size = line.partition(" of ")
    if not of:
        return {"size": line.strip()}
    if not many.strip().isdecimal():
        raise Refusal("", f"'{line.strip()}' does not say how many",
                      "write e.g. 2 of 460x70 mm")  # fmt: skip
    return {"size": size.strip(), "count": int(many)}
