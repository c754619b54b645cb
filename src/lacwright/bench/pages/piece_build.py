"""The piece as it is being described: its drawing, its areas, and the forms that hold it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from lacwright.bench import drafts, plans
from lacwright.bench.fields import words_of
from lacwright.bench.forms import pieces as forms
from lacwright.bench.pages.measures import area
from lacwright.bench.piece_text import REST, Typed, put_together, taken_apart
from lacwright.bench.toml_text import written
from lacwright.figures import Figure, Refusal, Refusals
from lacwright.plan import Piece
from lacwright.surface import Part, total_figure
from lacwright.surface import area as area_of


@dataclass(frozen=True)
class PartArea:
    """The finished areas of a part."""

    name: str
    count: int
    kinds: tuple[tuple[str, str], ...]  # "faces", "edges", "end grain", in both units
    whole: Figure
    words: str
    bare: str
    warnings: tuple[str, ...]


@dataclass(frozen=True)
class Drawn:
    """A piece that could be read."""

    sha: str
    text: str
    data: Mapping[str, Any]
    piece: Piece
    parts: tuple[PartArea, ...]
    total: Figure | None
    total_words: str


@dataclass
class Building:
    """Everything of the page."""

    parts: list[forms.Part]
    mixes: list[forms.Mix]
    wish: forms.Wish
    room: forms.Room
    typed: Typed
    wrong: list[tuple[str, str]] = field(default_factory=list)  # where, words
    rest_errors: list[str] = field(default_factory=list)
    drawn: Drawn | None = None


def begin() -> Typed:
    """Return what the form begins with: one board."""
    return Typed(parts=[{"name": "top", "shape": "panel", "wood": "unknown"}])


def typed_of_text(text: str) -> Typed:
    """Return a piece file as the form shows it.

    Raises
    ------
    Refusal
        If it is not TOML.
    """
    return taken_apart(plans.data_of(text))


def draw(typed: Typed, *, now_us: int) -> Drawn:
    """Return the piece that is meant, kept as a draft under the hash of its text.

    Raises
    ------
    Refusals
        Everything that is wrong with it.
    """
    data = put_together(typed)
    text = drafts.tidy(written(data))
    piece = plans.piece_of_data(data, "piece", now_us=now_us)
    return drawn_of(text, data, piece)


def drawn_of(text: str, data: Mapping[str, Any], piece: Piece) -> Drawn:
    """Return the areas of a piece that was read, its text kept as a draft."""
    total = total_figure(piece.parts) if piece.parts else None
    return Drawn(drafts.keep(text), text, data, piece, part_areas(piece.parts), total,
                 "" if total is None else area(total.value))  # fmt: skip


def part_areas(parts: Iterable[Part]) -> tuple[PartArea, ...]:
    """Return the areas of parts by kind of surface."""
    kinds = (("faces", "face"), ("edges", "edge"), ("end grain", "end"))
    out = []
    for part in parts:
        sums = [(word, float(area_of(part.zones, kind))) for word, kind in kinds]  # type: ignore[arg-type]
        whole = part.figure()
        out.append(PartArea(
            part.name, part.count, tuple((word, area(m2)) for word, m2 in sums if m2 > 0),
            whole, area(whole.value), ", ".join(dict.fromkeys(z.face for z in part.bare)),
            part.warnings,
        ))  # fmt: skip
    return tuple(out)


def building(typed: Typed, *, bound: bool) -> Building:
    """Return the forms that hold what was typed; bound ones say what is missing."""
    sources, alcohols = forms.sources_at_hand(), forms.alcohols_at_hand()
    parts = []
    for n, told in enumerate(typed.parts, 1):
        part = forms.Part(str(told.get("shape", "panel")), **_held(f"part{n}", told, bound))
        part.settle()
        parts.append(part)
    mixes = []
    for n, told in enumerate(typed.mixes, 1):
        mix = forms.Mix(**_held(f"mix{n}", told, bound))
        mix.offer(sources, alcohols)
        mix.settle()
        mixes.append(mix)
    wish = forms.Wish(**_held("wish", typed.wish, bound))
    room = forms.Room(**_held("room", typed.room, bound))
    for one in (wish, room):
        one.settle()
    return Building(parts, mixes, wish, room, typed)


def put_back(page: Building, refusal: Refusal) -> None:
    """Show everything that is wrong at its field, or above the form."""
    found = {f"part{n}": f for n, f in enumerate(page.parts, 1)}
    found |= {f"mix{n}": f for n, f in enumerate(page.mixes, 1)}  # type: ignore[misc]
    every: dict[str, forms.Loose] = {**found, "wish": page.wish, "room": page.room}
    for one in refusal.each if isinstance(refusal, Refusals) else (refusal,):
        name, key, more = forms.place_of(one)
        words = f"{more.lstrip(':, ')}: {words_of(one)}" if more else words_of(one)
        form = every.get(name)
        if form is not None and form.is_bound and form.put_back(key, words):
            page.wrong.append((one.where, words_of(one)))
            continue
        page.wrong.append((one.where, words_of(one)))
        if form is None:
            place = "" if one.where == REST else f"{one.where}: "
            page.rest_errors.append(f"{place}{words_of(one)}")


def _held(prefix: str, told: Mapping[str, Any], bound: bool) -> dict[str, Any]:
    if not bound:
        return {"prefix": prefix, "initial": dict(told), "kept": told.get("kept", "")}
    return {"prefix": prefix, "data": _data(prefix, told), "kept": told.get("kept", "")}


def _data(prefix: str, told: Mapping[str, Any]) -> Any:
    from django.http import QueryDict

    data = QueryDict(mutable=True)
    for key, value in told.items():
        if isinstance(value, list):
            data.setlist(f"{prefix}-{key}", value)
        else:
            data[f"{prefix}-{key}"] = value
    return data


def read_typed(data: Any) -> Typed:
    """Return what was typed into the form."""
    typed = Typed(title=data.get("title", ""), rest=data.get("rest", ""))
    for n in _numbers(data.getlist("parts")):
        shape = data.get(f"part{n}-shape", "panel")
        names = forms.Part(shape).fields
        typed.parts.append(forms.typed_of(data, f"part{n}", names) | {"shape": shape})
    for n in _numbers(data.getlist("mixes")):
        typed.mixes.append(forms.typed_of(data, f"mix{n}", forms.Mix().fields))
    typed.wish = forms.typed_of(data, "wish", forms.Wish.base_fields)
    typed.room = forms.typed_of(data, "room", forms.Room.base_fields)
    return typed


def change(typed: Typed, do: str) -> None:
    """Add or take away a part or a mix, as a button says."""
    verb, _, rest = do.partition("-")
    what, _, number = rest.partition("-")
    rows = {"part": typed.parts, "mix": typed.mixes}.get(what)
    if rows is None:
        return
    if verb == "add" and what == "part":
        # The next part is mostly of the same wood, finished the same way.
        like = typed.parts[-1] if typed.parts else {}
        rows.append({"shape": "panel", "wood": like.get("wood") or "unknown",
                     "method": like.get("method", "")})  # fmt: skip
    elif verb == "add":
        rows.append({"name": "" if rows else "body"})
    elif verb == "drop" and number.isdecimal() and 1 <= int(number) <= len(rows):
        del rows[int(number) - 1]


def _numbers(words: Sequence[str]) -> list[int]:
    return [int(w) for w in words if w.isdecimal()][:200]
