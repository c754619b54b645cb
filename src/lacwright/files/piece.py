"""The piece file: TOML to a Piece, or everything that is wrong with it at once."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any, ParamSpec, TypeVar

from lacwright.figures import Refusal, Refusals, nearest
from lacwright.files import spec
from lacwright.files.checks import FileTable, check, keys, unknown_key
from lacwright.files.own import read_own
from lacwright.files.parts import read_parts
from lacwright.files.room_table import room_of
from lacwright.files.tables import LotTable, MixTable, StepTable, TopTable
from lacwright.files.toml import load_toml
from lacwright.plan.piece import ClassSpec, Lot, MixSpec, Piece, QuoteSpec, Step
from lacwright.surface import Part
from lacwright.trade import table

TABLES = ("wish", "shop", "room", "part", "mix", "step", "lot", "hand", "quote", "class")
"""The headings of a piece file."""

T = TypeVar("T", bound=FileTable)
R = TypeVar("R")
P = ParamSpec("P")


def read_piece(path: Path | str, shelf: Iterable[Lot] = ()) -> Piece:
    """Return the piece that a file describes.

    Parameters
    ----------
    path : Path or str
        A TOML file, see the reference of the piece file.
    shelf : iterable of Lot
        What stands on the shelf beside the lots of the file, which go before it.

    Raises
    ------
    Refusal
        For all that is wrong with it, each with its place: "[[step]] 3, wait".
    """
    return piece_of(load_toml(path), Path(path).stem, shelf)


def piece_of(data: Mapping[str, Any], name: str, shelf: Iterable[Lot] = ()) -> Piece:
    """Return the piece of a file that has been read already.

    Parameters
    ----------
    data : mapping
        What TOML gave.
    name : str
        Title where the file gives none.
    shelf : iterable of Lot
        As for `read_piece`.

    Raises
    ------
    Refusal
        As `read_piece`.
    """
    reading = _Reading(data)
    known = (*keys(TopTable), *TABLES)
    reading.refusals += [
        unknown_key(k, known, f"[{k}]" if isinstance(v, dict | list) else k)
        for k, v in data.items()
        if k not in known
    ]
    top = reading.part_of(check(TopTable, {k: data[k] for k in keys(TopTable) if k in data}, ""))
    parts = reading.parts()
    hand = reading.part_of(read_own(data.get("hand", {}), "piece file"))
    shop = reading.part_of(spec.shop_of(data.get("shop", {}), hand.working_days))
    room = reading.part_of(room_of(data["room"])) if "room" in data else None
    wish = reading.part_of(spec.wish_of(data.get("wish", {})))
    lots = reading.shelf()
    lots |= {lot.name: lot for lot in shelf if lot.name not in lots}
    mixes = reading.mixes(lots)
    steps = reading.steps(parts)
    quote = reading.quote(parts)
    course = reading.course()
    if not data.get("part") and "class" not in data:
        reading.refusals.append(
            Refusal("[[part]]", "there is nothing to finish", "add a [[part]] table")
        )
    if reading.refusals or top is None:
        raise Refusals(reading.refusals)
    return Piece(
        title=top.title or name, parts=parts, wish=wish, shop=shop, mixes=mixes, steps=steps,
        shelf=tuple(lots.values()), own=hand.own, quote=quote, course=course,
        resin_density_g_ml=top.resin_density,
        room=room,
    )  # fmt: skip


class _Reading:
    """One file being read: every table by itself, and what is wrong so far."""

    def __init__(self, data: Mapping[str, Any]) -> None:
        self.data = data
        self.refusals: list[Refusal] = []

    def part_of(self, read: tuple[R, list[Refusal]]) -> R:
        self.refusals += read[1]
        return read[0]

    def parts(self) -> tuple[Part, ...]:
        if not self.data.get("part"):
            return ()
        found = []
        for n, part in enumerate(self._kept(read_parts, self.data["part"]) or (), 1):
            where = f"part {n} ({part.name}): method"
            method = part.method and self._kept(table("methods").find, part.method, where)
            found.append(replace(part, method=method.key) if method else part)
        return tuple(found)

    def shelf(self) -> dict[str, Lot]:
        self._each_once("lot")
        out: dict[str, Lot] = {}
        for where, row in self._rows("lot", LotTable):
            lot = self._kept(spec.lot_of, row, where)
            if lot is not None:
                out[lot.name] = lot
        return out

    def mixes(self, shelf: Mapping[str, Lot]) -> tuple[MixSpec, ...]:
        self._each_once("mix")
        # A lot that could not be read is not to be called missing as well.
        unread = set(self._called("lot")) - set(shelf)
        made = [
            self._kept(spec.mix_of, row, where, shelf)
            for where, row in self._rows("mix", MixTable)
            if unread.isdisjoint((row.lot, row.jar, row.alcohol, *(f.lot for f in row.flakes)))
        ]
        return tuple(m for m in made if m is not None)

    def steps(self, parts: tuple[Part, ...]) -> tuple[Step, ...]:
        for n, item in enumerate(self._list("step"), 1):
            self._names(item, "parts", "part", f"[[step]] {n}, parts")
            self._names(item, "mix", "mix", f"[[step]] {n}, mix")
        return tuple(
            spec.step_of(row, self._faces(row.faces, row.parts, parts, f"{where}, faces"))
            for where, row in self._rows("step", StepTable)
        )

    def quote(self, parts: tuple[Part, ...]) -> QuoteSpec | None:
        if "quote" not in self.data:
            return None
        quote = self.part_of(spec.quote_spec(self.data["quote"]))
        for n, item in enumerate(_listed(self.data["quote"], "hours"), 1):
            self._names(item, "parts", "part", f"[[quote.hours]] {n}, parts")
        hours = []
        for n, line in enumerate(quote.hours if quote else (), 1):
            where = f"[[quote.hours]] {n}, faces"
            hours.append(replace(line, faces=self._faces(line.faces, line.parts, parts, where)))
        return quote and replace(quote, hours=tuple(hours))

    def course(self) -> ClassSpec | None:
        if "class" not in self.data:
            return None
        for n, item in enumerate(_listed(self.data["class"], "exercise"), 1):
            self._names(item, "mix", "mix", f"[[class.exercise]] {n}, mix")
        course = self.part_of(spec.class_spec(self.data["class"]))
        lost = [mix for mix, _ in course.lost_per_person_ml] if course else []
        self._names({"lost": lost}, "lost", "mix", "[class.lost]")
        return course

    def _list(self, heading: str) -> list[Any]:
        return _listed(self.data, heading)

    def _rows(self, heading: str, model: type[T]) -> Iterable[tuple[str, T]]:
        if not isinstance(self.data.get(heading, []), list):
            self.refusals.append(_single(heading))
        for n, item in enumerate(self._list(heading), 1):
            where = f"[[{heading}]] {n}"
            row = self.part_of(check(model, item, where))
            if row is not None:
                yield where, row

    def _called(self, heading: str) -> list[str]:
        """Return the names under a heading, also of tables that are wrong otherwise."""
        names = (i.get("name") for i in self._list(heading) if isinstance(i, Mapping))
        return [n.strip() for n in names if isinstance(n, str)]

    def _each_once(self, heading: str) -> None:
        names = self._called(heading)
        for name in dict.fromkeys(n for n in names if names.count(n) > 1):
            self.refusals.append(
                Refusal(f"[[{heading}]]", f"two of them are called '{name}'",
                        "give each its own name")
            )  # fmt: skip

    def _names(self, item: Any, key: str, heading: str, where: str) -> None:
        """Refuse names that stand under no heading, even where the table is wrong otherwise."""
        wanted = item.get(key) if isinstance(item, Mapping) else None
        known = self._called(heading)
        for name in wanted if isinstance(wanted, list) else [wanted]:
            if isinstance(name, str) and name.strip() not in known:
                mend = nearest(name, known) if known else f"add a [[{heading}]] table"
                self.refusals.append(Refusal(where, f"there is no {heading} '{name}'", mend))

    def _faces(
        self, wanted: Iterable[str], on: Iterable[str], parts: tuple[Part, ...], where: str
    ) -> tuple[str, ...]:
        """Return the finished faces that are meant, as the parts call them."""
        names = tuple(on)
        zones = [z for p in parts if not names or p.name in names for z in p.zones]
        out: dict[str, None] = {}
        for face in wanted:
            meant = [z.face for z in zones if z.on(face)]
            if zones and not meant:
                self.refusals.append(
                    Refusal(where, f"no finished face is called '{face}'",
                            nearest(face, {z.face for z in zones}))
                )  # fmt: skip
            out |= dict.fromkeys(meant)
        return tuple(out)

    def _kept(self, read: Callable[P, R], *args: P.args, **kwargs: P.kwargs) -> R | None:
        try:
            return read(*args, **kwargs)
        except Refusals as several:
            self.refusals += several.each
        except Refusal as refusal:
            self.refusals.append(refusal)
        return None


def _single(heading: str) -> Refusal:
    return Refusal(f"[{heading}]", "there can be several of them", f"write [[{heading}]]")


def _listed(data: Any, key: str) -> list[Any]:
    found = data.get(key) if isinstance(data, Mapping) else None
    return found if isinstance(found, list) else []
