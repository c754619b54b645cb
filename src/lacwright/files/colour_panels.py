"""Panels whose colour was read: boards in bands, bare, sealed, so many coats.

They stand as [[panel]] in a file of their own, or, kept, as [[hand.panel]] in a hand file. Kept
ones carry beside the readings what they say (`says`), so that a hand file is read without a fit;
`lacwright calibrate-colour` computes it again.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any, Literal

import numpy as np
from pydantic import AfterValidator, BeforeValidator, model_validator

from lacwright.colour import (
    Band,
    Evidence,
    Lab,
    Panel,
    Viewing,
    check_panels,
    find_bare,
    find_grade_colour,
    lab_of_srgb,
    read_evidence,
    viewing_of,
    wood_key,
)
from lacwright.figures import Refusal, Refusals
from lacwright.figures import units as u
from lacwright.files import words as w
from lacwright.files.checks import FileTable, entry
from lacwright.files.checks import check as check_table
from lacwright.files.kept import read_kept

MOST_COATS, MOST_BANDS, MOST_PANELS = 200, 40, 60
"""More is taken for a slip."""
BARE, SEALED = "bare", "sealed"
_HEX = re.compile(r"#?([0-9a-fA-F]{6})")
_COATS = 'write "bare", "sealed", 4 or { blonde = 1, amber = 4 }'


def read_lab(value: Any) -> Lab:
    """Read a colour: [84, 3.2, 16.5] or "84, 3.2, 16.5".

    Raises
    ------
    Refusal
        For anything else.
    """
    parts = re.split(r"[,;\s]+", value.strip()) if isinstance(value, str) else value
    try:
        out = [float(x) for x in parts if not isinstance(x, bool)]
    except (TypeError, ValueError):
        out = []
    if len(out) != 3 or len(parts) != 3 or not all(map(math.isfinite, out)):
        raise Refusal("", f"{w.shown(value)} is not L*, a* and b*", "write e.g. [84.0, 3.2, 16.5]")
    return out[0], out[1], out[2]


def read_srgb(value: Any) -> Lab:
    """Read a patch of a corrected photo: "#d9b98a" or [217, 185, 138]; 0 to 1 comes back.

    Raises
    ------
    Refusal
        For anything else.
    """
    if isinstance(value, str) and (found := _HEX.fullmatch(value.strip())):
        red, green, blue = (int(found[1][n : n + 2], 16) for n in (0, 2, 4))
        return red / 255, green / 255, blue / 255
    numbers = value if isinstance(value, list) else []
    good = [float(x) for x in numbers if isinstance(x, int | float) and not isinstance(x, bool)]
    if len(numbers) != 3 or len(good) != 3 or not all(0 <= x <= 255 for x in good):
        raise Refusal("", f"{w.shown(value)} is no sRGB colour", 'write e.g. "#d9b98a"')
    return good[0] / 255, good[1] / 255, good[2] / 255


def _readings(value: Any) -> tuple[Lab, ...]:
    if not isinstance(value, list) or not value or not isinstance(value[0], list | str):
        raise Refusal("", f"{w.shown(value)} is no list of readings",
                      "write e.g. [[84.0, 3.2, 16.5], [83.6, 3.3, 16.9]]")  # fmt: skip
    return tuple(read_lab(one) for one in value)


def _coats(value: Any) -> dict[str, int]:
    """Read what lies on a band; the key "" stands for the panel's grade."""
    if isinstance(value, str) and value.strip().lower() in (BARE, SEALED):
        return {"": 0} if value.strip().lower() == BARE else {SEALED: 1}
    if isinstance(value, Mapping) and value:
        return {_grade(name): _count(n) for name, n in value.items()}
    return {"": _count(value)}


def _count(value: Any) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value <= MOST_COATS:
        raise Refusal("", f"{w.shown(value)} is no number of coats", _COATS)
    return value


def _load(value: Any) -> dict[str, float]:
    if isinstance(value, Mapping) and value:
        return {_grade(name): w.amount(one, u.LOAD) for name, one in value.items()}
    return {"": w.amount(value, u.LOAD)}


def _grade(name: str) -> str:
    try:
        return find_grade_colour(name).name
    except Refusal as refusal:
        raise refusal.at("") from None


def _wood(name: str) -> str:
    try:
        return wood_key(find_bare(name).name)
    except Refusal as refusal:
        raise refusal.at("") from None


Colour = Annotated[Lab, BeforeValidator(read_lab)]
Patch = Annotated[Lab, BeforeValidator(read_srgb)]
Readings = Annotated[tuple[Lab, ...], BeforeValidator(_readings)]
Coats = Annotated[dict[str, int], BeforeValidator(_coats)]
Load = Annotated[dict[str, float], BeforeValidator(_load)]
Grade = Annotated[w.Text, AfterValidator(_grade)]
Wood = Annotated[w.Text, AfterValidator(_wood)]


class EvidenceTable(FileTable):
    """What one panel says by itself."""

    names: list[str] = entry("the constants it speaks of", '["colour.amber.level"]', needed=True)
    pull: list[float] = entry("information times where it lies", "[-640.2]", needed=True)
    information: list[list[float]] = entry("inverse of the covariance", "[[101.5]]", needed=True)
    wood: w.Text = entry("its wood", '"maple"')
    bare: list[float] = entry("its bare wood, L*, a*, b*", "[84.0, 3.2, 16.5]")
    reader: w.Text = entry("what read it", '"instrument"')


class BandTable(FileTable):
    """One band: what lies on it, and how it reads."""

    coats: Coats = entry("what lies on it", '"bare", "sealed", 4, { blonde = 1, amber = 4 }',
                         needed=True)  # fmt: skip
    load: Load = entry("dry shellac on it, all coats together", '"14 g/m2"', unit="g/m2",
                       default="coats times `load_per_coat`")  # fmt: skip
    lab: Colour = entry("L*, a*, b*, the mean of its readings", "[84.0, 3.2, 16.5]")
    readings: Readings = entry("or every reading of it", "[[84.0, 3.2, 16.5], [83.6, 3.3, 16.9]]")
    srgb: Patch = entry("or its patch of a photo that was corrected by a card", '"#d9b98a"')

    @model_validator(mode="after")
    def _one_colour(self) -> BandTable:
        said = [k for k in ("lab", "readings", "srgb") if getattr(self, k) is not None]
        if len(said) != 1:
            raise Refusal(said[1] if said else "lab", "its colour must be said once",
                          "give lab, readings or srgb")  # fmt: skip
        return self


class PanelTable(FileTable):
    """A board in bands."""

    name: w.Text = entry("what it is called; `calibrated on` names it", '"panel 7"', needed=True)
    date: w.Date = entry("day of the reading", "2027-02-01")
    wood: Wood = entry("its wood", '"maple"', needed=True)
    grade: Grade = entry("grade of its coats", '"amber"',
                         default="say it at each band")  # fmt: skip
    sealed_with: Grade = entry("grade of a seal coat below them", '"blonde"',
                               default="its own grade")  # fmt: skip
    load_per_coat: Load = entry("dry shellac of one coat", '"3.5 g/m2"', unit="g/m2")
    light: w.Text = entry("illuminant of the reading", '"D65"', default="D65")
    observer: int = entry("its observer, 2 or 10 degrees", "10", default="2")
    geometry: w.Text = entry('"45/0" (gloss excluded, or a photo) or "8/d" (gloss included)',
                             '"45/0"', default="45/0")  # fmt: skip
    reader: Literal["instrument", "camera"] = entry("what read it", '"camera"',
                                                    default="instrument")  # fmt: skip
    noise: float = entry("spread of the reading of a band, dE", "0.5", gt=0, le=20,
                         default="the reader's usual one")  # fmt: skip
    band: list[BandTable] = entry("its bands", '{ coats = "bare", lab = [84.0, 3.2, 16.5] }',
                                  needed=True)  # fmt: skip
    says: EvidenceTable = entry("what it says; written by `lacwright calibrate-colour`",
                                "{ names = [], pull = [], information = [] }")  # fmt: skip

    @property
    def source(self) -> str:
        """Name and day, as "calibrated on" has them."""
        return f"{self.name}, {self.date}" if self.date is not None else self.name

    def viewing(self) -> Viewing:
        """Return how it was looked at."""
        return viewing_of(illuminant=self.light or "D65", observer=self.observer or 2,
                          geometry=self.geometry or "45/0")  # fmt: skip

    def evidence(self) -> Evidence | None:
        """Return what it says by itself, None where that is not reckoned."""
        return None if self.says is None else read_evidence(self.says.model_dump(exclude_none=True),
                                                                self.source)  # fmt: skip

    def panel(self) -> Panel:
        """Return it as the model takes it.

        Raises
        ------
        Refusal
            For a band of which grade or load is not said.
        """
        if len(self.band) > MOST_BANDS:
            raise Refusal("band", f"{len(self.band)} bands", f"a panel has at most {MOST_BANDS}")
        viewing = self.viewing()
        wrong, bands = [], []
        for n, row in enumerate(self.band, 1):
            try:
                bands.append(self._band(row, viewing))
            except Refusal as refusal:
                wrong.append(refusal.at(f"band {n} {refusal.where}".strip()))
        if wrong:
            raise Refusals(wrong)
        return Panel(self.source, self.wood, tuple(bands), viewing,
                     self.reader or "instrument", self.noise)  # fmt: skip

    def _band(self, row: BandTable, viewing: Viewing) -> Band:
        coats = self._coats(row.coats)
        loads = self._loads(row, coats)
        sd = None
        if row.readings is not None:
            each = np.array(row.readings)
            mean = each.mean(axis=0)
            lab: Lab = (float(mean[0]), float(mean[1]), float(mean[2]))
            if len(each) > 2 and self.noise is None:
                # What its places differ by, at least as much as the reader itself.
                off = float(np.sqrt((each.std(axis=0, ddof=1) ** 2).sum() / len(each)))
                sd = max(off, Panel("", "", (), viewing, self.reader or "instrument").spread(
                    Band(lab)))  # fmt: skip
        elif row.srgb is not None:
            told = lab_of_srgb(np.array(row.srgb), viewing)
            lab = (float(told[0]), float(told[1]), float(told[2]))
        else:
            lab = row.lab
        return Band(lab, coats, loads, sd)

    def _coats(self, said: Mapping[str, int]) -> dict[str, int]:
        out: dict[str, int] = {}
        seal = self.sealed_with
        for name, n in said.items():
            grade = name
            if name == SEALED:
                grade = seal or self.grade or ""
            elif name == "":
                grade = self.grade or ""
                if n and seal is not None and seal != grade:
                    out[seal] = out.get(seal, 0) + 1  # the seal coat lies below
            if n and not grade:
                raise Refusal("coats", "of which grade is not said",
                              'give the panel its grade = "amber"')  # fmt: skip
            if n:
                out[grade] = out.get(grade, 0) + n
        return out

    def _loads(self, row: BandTable, coats: Mapping[str, int]) -> dict[str, float]:
        each = self._by_grade(self.load_per_coat, coats, "load_per_coat")
        told = self._by_grade(row.load, coats, "load")
        out = {}
        for grade, n in coats.items():
            if grade in told:
                out[grade] = told[grade]
            elif grade in each:
                out[grade] = n * each[grade]
        extra = [g for g, load in told.items() if load and g not in coats]
        if extra:
            raise Refusal("load", f"a load of {extra[0]}, and no coat of it",
                          "say its coats as well")  # fmt: skip
        return {g: load for g, load in out.items() if load}

    def _by_grade(
        self, said: Mapping[str, float] | None, coats: Mapping[str, int], key: str
    ) -> dict[str, float]:  # fmt: skip
        if said is None:
            return {}
        if "" not in said:
            return dict(said)
        if key == "load_per_coat":
            return dict.fromkeys(coats, said[""])
        if len(coats) > 1:
            raise Refusal(key, "one load of two grades",
                          'write e.g. load = { blonde = "3 g/m2", amber = "14 g/m2" }')  # fmt: skip
        if not coats and said[""]:
            raise Refusal(key, "a load on the bare wood", "say its coats as well")
        return dict.fromkeys(coats, said[""])


@dataclass(frozen=True)
class Written:
    """A panel as it stands in a file.

    Parameters
    ----------
    row : PanelTable
        Read.
    panel : Panel
        As the model takes it.
    raw : mapping
        As it was typed, without what it says.
    where : str
        Heading and number, for refusals.
    """

    row: PanelTable
    panel: Panel
    raw: Mapping[str, Any]
    where: str


def read_panels(path: Path | str) -> tuple[Written, ...]:
    """Return the panels of a file, or those kept in a hand file.

    Parameters
    ----------
    path : Path or str
        TOML with [[panel]], or a hand file with [[hand.panel]].

    Raises
    ------
    Refusal
        For all that is wrong with them, or where there are none.
    """
    nothing = Refusal("", "there is no panel in it", "write [[panel]] tables")
    return read_kept(path, panels_of, ("panel",), nothing=nothing)


def panels_of(data: Mapping[str, Any], above: str) -> tuple[tuple[Written, ...], list[Refusal]]:
    """Return the panels of tables that were read, and all that is wrong with them.

    Parameters
    ----------
    data : mapping
        With the key panel.
    above : str
        "hand." where they stand in a hand file, for the headings.
    """
    items = data.get("panel", [])
    heading = f"[[{above}panel]]"
    if not isinstance(items, list):
        return (), [Refusal(heading, f"{w.shown(items)} is not a list of tables",
                            f"write {heading} on a line of its own")]  # fmt: skip
    if len(items) > MOST_PANELS:
        return (), [Refusal(heading, f"{len(items)} panels",
                            f"write at most {MOST_PANELS} into a file")]  # fmt: skip
    found: list[Written] = []
    wrong: list[Refusal] = []
    for n, item in enumerate(items, 1):
        where = f"{heading} {n}"
        row, panel, faults = read_panel(item, where)
        wrong += faults
        if row is not None and panel is not None:
            found.append(Written(row, panel, {k: v for k, v in item.items() if k != "says"},
                                 where))  # fmt: skip
    return tuple(found), wrong


def read_panel(data: Any, where: str) -> tuple[PanelTable | None, Panel | None, list[Refusal]]:
    """Return a checked panel, as a table and as the model takes it, or all that is wrong."""
    row, wrong = check_table(PanelTable, data, where)
    if row is None:
        return None, None, wrong
    try:
        panel = row.panel()
        row.evidence()
        check_panels([panel])
    except Refusals as several:
        return None, None, [r.at(_joint(where, r.where, row.source)) for r in several.each]
    except Refusal as refusal:
        return None, None, [refusal.at(_joint(where, refusal.where, row.source))]
    return row, panel, []


def _joint(where: str, inner: str, source: str) -> str:
    inner = _KEYS.get(inner, inner.removeprefix(source).removeprefix(", "))
    return " ".join(filter(None, (where, inner)))


_KEYS = {"illuminant": "light"}


def evidence_of(data: Mapping[str, Any]) -> tuple[list[Evidence], list[Refusal]]:
    """Return what the panels kept in a hand file say; nothing is computed.

    Parameters
    ----------
    data : mapping
        The table [hand].
    """
    found, wrong = panels_of(data, "hand.")
    out = []
    for one in found:
        says = one.row.evidence()
        if says is None:
            wrong.append(Refusal(one.where, "what it says is not reckoned yet",
                                 "put it into a file of its own as [[panel]] and keep it with "
                                 "`lacwright calibrate-colour`"))  # fmt: skip
        else:
            out.append(says)
    return out, wrong
