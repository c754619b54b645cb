"""One thing of a piece file changed: what can be, and what moved against the plan before."""

from __future__ import annotations

import copy
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from lacwright.bench.words import amount
from lacwright.figures import Figure, Refusal, nearest
from lacwright.figures.spoken import to_step
from lacwright.plan import Plan, told

_WISH = (("film_left", "film wanted on the flats"), ("start", "first day of work"),
         ("by", "wanted by"), ("sheen", "sheen"), ("grade", "grade of lac"),
         ("wax", "wax (waxed, dewaxed)"), ("use", "what it will meet"))  # fmt: skip
_SHOP = (("temp", "air temperature"), ("rh", "relative humidity"))
_ROOM = (("volume", "volume of the room"), ("air_changes", "how often its air changes"),
         ("jurisdiction", "jurisdiction: whose limits of vapour count"),
         ("limits", "your own limit of vapour"), ("gloves", "gloves"),
         ("pilot_off", "pilot lights and heaters are out (yes)"),
         ("alone", "nobody else shares the air (yes)"))  # fmt: skip
_COUNTS, _YES = ("times", "students", "demonstrators"), ("pilot_off", "alone")


@dataclass(frozen=True)
class Moved:
    """A figure that is another one now."""

    what: str
    before: str
    after: str


def changes_of(data: Mapping[str, Any]) -> list[tuple[str, str]]:
    """Return what can be changed: where it stands, and in words."""
    out = [(f"wish.{key}", words) for key, words in _WISH]
    mixes = _named(data, "mix")
    out += [(f"mix.{n}.cut", f"cut of {name}") for n, name in mixes]
    if not mixes:
        out.append(("mix.0.cut", "cut"))
    parts = _named(data, "part")
    if len(parts) > 1:
        out.append(("part.all.method", "how everything is laid"))
    for n, name in parts:
        out.append((f"part.{n}.method", f"how {name} is laid"))
        if isinstance(data["part"][n].get("size"), str):
            out.append((f"part.{n}.size", f"size of {name}"))
    steps = data.get("step", [])
    for n, step in enumerate(steps if isinstance(steps, list) else []):
        if isinstance(step, Mapping) and step.get("what") in ("coat", "session", "seal", "glaze"):
            out.append((f"step.{n}.times", f"how often step {n + 1} ({step['what']}) is done"))
    course = data.get("class")
    if isinstance(course, Mapping):
        out += [("class.students", "students"), ("class.demonstrators", "people who show it"),
                ("room.session", "in which all of a class lay one coat")]  # fmt: skip
    out += [(f"room.{key}", words) for key, words in _ROOM]
    return out + [(f"shop.{key}", words) for key, words in _SHOP]


def changed(data: Mapping[str, Any], what: str, to: str) -> dict[str, Any]:
    """Return the tables with one thing changed; an empty text takes it away.

    Raises
    ------
    Refusal
        For something that cannot be changed.
    """
    known = dict(changes_of(data))
    if what not in known:
        raise Refusal("change", f"'{what}' cannot be changed here", nearest(what, known))
    out = copy.deepcopy(dict(data))
    heading, *path = what.split(".")
    key, to = path[-1], to.strip()
    value: Any = int(to) if key in _COUNTS and to.isdecimal() else to
    if key in _YES and to.lower() in ("yes", "no"):
        value = to.lower() == "yes"
    if key == "use":
        value = [word.strip() for word in to.split(",") if word.strip()]
    for table in _tables(out, heading, path):
        if to:
            table[key] = value
        else:
            table.pop(key, None)
        if heading == "mix" and key == "cut":
            table.pop("jar", None)  # a jar has the cut it has
    return out


def now(data: Mapping[str, Any], what: str) -> str:
    """Return how a thing stands now, as it would be typed."""
    heading, *path = what.split(".")
    found = data.get(heading, {})
    if len(path) == 2:
        number = 0 if path[0] == "all" else int(path[0])
        found = found[number] if isinstance(found, list) and number < len(found) else {}
    value = found.get(path[-1], "") if isinstance(found, Mapping) else ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return ", ".join(map(str, value)) if isinstance(value, list) else str(value)


def moved(before: Plan, after: Plan) -> list[Moved]:
    """Return what is shown differently now."""
    out = [Moved("Coats and sessions", *(_coats(p) for p in (before, after)))]
    out.append(Moved("Done", *(_done(p) for p in (before, after))))
    names = dict.fromkeys((*before.figures, *after.figures))
    for name in names:
        words = _words_of(name)
        if words is not None:
            both = (_said(plan.figures.get(name)) for plan in (before, after))
            out.append(Moved(words, *both))
    out.append(Moved("Shellac for this use", before.suitability.verdict, after.suitability.verdict))
    stops = tuple(" ".join(s.text for s in p.stops) or "none" for p in (before, after))
    out.append(Moved("Stops", *stops))
    refused = tuple(" ".join(told.refused_lines(p)) or "none" for p in (before, after))
    out.append(Moved("Refused sandings", *refused))
    return [one for one in out if one.before != one.after]


def _coats(plan: Plan) -> str:
    return str(len({c.laying.key for c in plan.coats}))


def _done(plan: Plan) -> str:
    if plan.finish is None:
        return "no day"
    finish = plan.finish
    late = f", {finish.days_late} days late" if finish.days_late else ""
    wished = "" if finish.wished is None else f", wanted by {told.day(finish.wished)}"
    return f"{told.day(finish.earliest)}{wished}{late}"


_PLAIN = {
    "area.total": "Area to finish",
    "film.flat_left": "Film left on flats, least part",
    "film.edge_left": "Film left on edges, least part",
    "sheen.gu60": "Sheen",
    "quote.total": "Quote",
    "quote.hours": "Hours",
    "quote.per_student": "For each student",
    "air.mixture_index": "Vapour near the work over 8 hours, times the limits",
    "air.lel_fraction_bound": "Share of the explosive limit, without any air",
}


def _words_of(name: str) -> str | None:
    if name in _PLAIN:
        return _PLAIN[name]
    head, _, rest = name.partition(".")
    mix, _, key = rest.rpartition(".")
    if head == "mix" and key in ("resin", "alcohol", "solution"):
        return f"{mix}: {'flakes' if key == 'resin' else key}"
    if head == "class" and rest.startswith("total."):
        return f"{rest.removeprefix('total.')}: for the class"
    return None


def _said(figure: Figure | None) -> str:
    if figure is None:
        return "none"
    if figure.value is None:
        return str(figure.missing)
    if figure.unit in ("g", "ml"):
        return f"{to_step(figure.value, 0.1 if figure.unit == 'g' else 1)} {figure.unit}"
    return f"{amount(figure.value)} {figure.unit}"


def _named(data: Mapping[str, Any], heading: str) -> list[tuple[int, str]]:
    rows = data.get(heading, [])
    return [
        (n, str(row.get("name", n + 1)))
        for n, row in enumerate(rows if isinstance(rows, list) else [])
        if isinstance(row, Mapping)
    ]


def _tables(data: dict[str, Any], heading: str, path: list[str]) -> list[dict[str, Any]]:
    """Return the tables in which something is changed, made where they are missing."""
    if len(path) == 1:
        table: dict[str, Any] = data.setdefault(heading, {})
        return [table]
    rows: list[dict[str, Any]] = data.setdefault(heading, [{"name": "body"}])
    return rows if path[0] == "all" else [rows[int(path[0])]]
