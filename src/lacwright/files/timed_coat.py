"""Observations that calibrate the model of the drying coat: timed coats, and whether one whitened.

They stand as [[timed]] and [[event]] in a file of their own, or, kept, as [[hand.timed]] and
[[hand.event]] in a hand file. Kept ones carry beside the raw observation what it says (`says`), so
that a hand file is read without computing a coat; `lacwright calibrate-drying` computes it again.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Annotated, Any, TypeVar

from pydantic import BeforeValidator, model_validator

from lacwright.climate import Air
from lacwright.drying import (
    AIR,
    STEP,
    TOLERANCE,
    Board,
    Bound,
    Event,
    TimedCoat,
    Under,
    WetCoat,
    observed,
    tolerance_of,
)
from lacwright.figures import Learned, Refusal
from lacwright.figures import units as u
from lacwright.figures.quantities import read_size
from lacwright.files import words as w
from lacwright.files.checks import FileTable, check, entry
from lacwright.files.coat_words import read_below, read_film, read_speed, read_vapours
from lacwright.files.kept import read_kept
from lacwright.solution import Mix, Resin, default_resin_density, read_alcohol
from lacwright.trade import table

S = 3600.0
_UM_M2_ML = 1.0  # a millilitre on a square metre lies a micrometre thick


def _amount(kind: u.Kind) -> BeforeValidator:
    return BeforeValidator(lambda value: w.amount(value, kind, zero=False))


def _size(value: Any) -> tuple[float, float]:
    if not isinstance(value, str):
        raise Refusal("", f"{w.shown(value)} is not a size", 'write e.g. "100x100 mm"')
    sides = read_size(value, "")
    if len(sides) != 2:
        raise Refusal("", f"{w.shown(value)} has {len(sides)} lengths, a panel has two",
                      "write e.g. 100x100 mm")  # fmt: skip
    return sides[0], sides[1]


Film = Annotated[float, BeforeValidator(lambda value: read_film(value, ""))]
Grams = Annotated[float, _amount(u.MASS)]
Millimetres = Annotated[float, _amount(u.LENGTH)]
Speed = Annotated[float, BeforeValidator(lambda value: read_speed(value, ""))]
Size = Annotated[tuple[float, float], BeforeValidator(_size)]
Area = Annotated[float, BeforeValidator(w.area)]


class SaysTable(FileTable):
    """What one observation says by itself."""

    air: float = entry("air factor that makes the model touch-dry then", "1.12", gt=0)
    diffusion: float = entry("step of diffusion that then meets the late time", "0.431", gt=0)
    tolerance: float = entry("water tolerance that puts this coat at haze index 1", "0.55", gt=0)


class CoatTable(FileTable):
    """A coat on a panel, or on a piece: what was laid, on what, in which air."""

    name: w.Text = entry("what it is called; `calibrated on` names it", '"panel 3"', needed=True)
    date: w.Date = entry("day", "2027-02-01")
    method: w.Method = entry("method of laying", '"brush"')
    wet: Film = entry("wet film", '"100 um"', unit="um")
    weighed: Grams = entry("weight of the wet coat: what jar and brush lost", '"0.86 g"', unit="g")
    before: Grams = entry(
        "weight of the panel (or of jar and brush) before", '"112.40 g"', unit="g"
    )
    after: Grams = entry("the same straight after the coat", '"113.26 g"', unit="g")
    used: w.Ml = entry("volume that landed", '"1 ml"', unit="ml")
    size: Size = entry("coated face, the side along the air first", '"100x100 mm"', unit="mm")
    area: Area = entry("coated area, where it is not a rectangle", '"0.01 m2"', unit="m2")
    cut: w.Cut = entry("cut of the mix", "2", unit="lb/gal", needed=True)
    alcohol: w.Text = entry("name or composition of the alcohol", '"ethanol-190"', needed=True)
    resin_density: w.Density = entry("density of the resin", '"1.12 g/ml"', unit="g/ml")
    temp: w.Temperature = entry("thermometer beside it", "20", unit="C", needed=True)
    rh: w.Humidity = entry("hygrometer beside it", '"45 %"', unit="1", needed=True)
    air: Speed = entry("speed of the air that will be said of this bench", '"0.1 m/s"', unit="m/s",
                       default="still, 0.1 m/s")  # fmt: skip
    vapour: w.Texts = entry("vapours already in the room", '["ethanol 200 ppm"]', many=True)
    wood: w.Text = entry("wood of the panel, or glass, steel, paper", '"maple"', needed=True)
    thickness: Millimetres = entry("its thickness", '"20 mm"', unit="mm", needed=True)
    length: Millimetres = entry("length along the air", '"100 mm"', unit="mm",
                                default="the first side of `size`")  # fmt: skip
    free_both_sides: bool = entry("does air reach its back", "true", default="no")
    vertical: bool = entry("did it stand upright", "true", default="no")
    board_temp: w.Temperature = entry("temperature of the panel", "19", unit="C",
                                      default="the room's")  # fmt: skip
    below: w.Texts = entry("coats below that are dissolved again", '["100 um 2-lb 6 h ago"]',
                           many=True)  # fmt: skip
    says: SaysTable = entry("what it says; written by `lacwright calibrate-drying`",
                            "{ air = 1.12 }")  # fmt: skip

    @model_validator(mode="after")
    def _one_film(self) -> CoatTable:
        said = [k for k in ("wet", "weighed", "used") if getattr(self, k) is not None]
        said += ["before"] if self.before is not None or self.after is not None else []
        if len(said) != 1:
            raise Refusal(said[1] if said else "wet", "the wet film must be said once",
                          "give wet, weighed, before and after, or used")  # fmt: skip
        if said == ["before"] and (self.before is None or self.after is None):
            raise Refusal("before", "one weighing tells nothing", "give before and after")
        if self.size is not None and self.area is not None:
            raise Refusal("area", "the area is said twice", "give size or area")
        if said != ["wet"] and self.size is None and self.area is None:
            raise Refusal("size", "a weight or volume tells no film without the area",
                          'write e.g. size = "100x100 mm"')  # fmt: skip
        return self

    @property
    def source(self) -> str:
        """Name and day, as "calibrated on" has them."""
        return f"{self.name}, {self.date}" if self.date is not None else self.name

    def coat(self) -> WetCoat:
        """Return the coat as it lay there."""
        spirit = read_alcohol(self.alcohol, where="alcohol")
        parts = None if spirit.parts is None else dict(spirit.parts)
        method = self.method or ""
        # Its film does not change what is refused of the rest.
        coat = WetCoat(self.wet or 100.0, self.cut, parts, self.resin_density, method)
        return coat if self.wet is not None else replace(coat, wet_um=self._film_um())

    def _film_um(self) -> float:
        area = self.area
        if self.size is not None:
            area = self.size[0] * self.size[1] / 1e6
        assert area is not None  # checked with the table
        if self.used is not None:
            return self.used / area * _UM_M2_ML
        grams = self.weighed
        if self.before is not None and self.after is not None:
            grams = abs(self.after - self.before)  # a panel gains what jar and brush lose
        if not grams:
            raise Refusal("after", "nothing was laid between the two weighings", "weigh again")
        return grams / self._density_g_ml() / area * _UM_M2_ML

    def _density_g_ml(self) -> float:
        resin = Resin(density_g_ml=self.resin_density or default_resin_density())
        spirit = read_alcohol(self.alcohol, where="alcohol")
        grams = self.cut * u.G_PER_L_PER_CUT / 1000
        mix = Mix({resin: grams}, {spirit: float(spirit.density_g_ml(20.0))})
        return float(mix.density_g_ml)

    def board(self) -> Board:
        """Return the panel."""
        along = self.length
        if along is None and self.size is not None:
            along = self.size[0]
        if along is None and self.area is not None:
            along = math.sqrt(self.area) * 1000
        if along is None:
            raise Refusal("size", "how long the panel is along the air is not said",
                          'write e.g. size = "100x100 mm" or length = "100 mm"')  # fmt: skip
        return Board(wood=self.wood, thickness_mm=self.thickness, length_m=along / 1000,
                     free_both_sides=bool(self.free_both_sides), vertical=bool(self.vertical),
                     temp_c=self.board_temp)  # fmt: skip

    def air_beside(self) -> Air:
        """Return the air beside it."""
        still = table("drying")["still_air"].number("value")
        return Air(None, self.temp, self.rh, still if self.air is None else self.air,
                   read_vapours(self.vapour, "vapour", temp_c=self.temp))  # fmt: skip

    def under(self, coat: WetCoat) -> tuple[Under, ...]:
        """Return the coats below."""
        return read_below(self.below, coat=coat, where="below")


class TimedTable(CoatTable):
    """A coat that was timed."""

    touch_dry: w.Hours = entry("until a fingertip takes nothing off", '"9 min"', unit="h",
                               needed=True)  # fmt: skip
    print_free: w.Hours = entry("until it can be handled without a print", '"25 min"', unit="h")
    recoat: w.Hours = entry("until the next coat lay clean", '"1 h"', unit="h")

    @model_validator(mode="after")
    def _one_late_time(self) -> TimedTable:
        if self.print_free is not None and self.recoat is not None:
            raise Refusal("recoat", "two late times, and one number to learn from them",
                          "keep print_free or recoat")  # fmt: skip
        return self

    def timed(self) -> TimedCoat:
        """Return it as the model takes it."""
        coat = self.coat()
        late = self.print_free if self.recoat is None else self.recoat
        return TimedCoat(
            coat=coat, air=self.air_beside(), touch_dry_s=self.touch_dry * S, source=self.source,
            late_s=None if late is None else late * S,
            late="print_free" if self.recoat is None else "recoat", board=self.board(),
            under=self.under(coat),
        )  # fmt: skip


class EventTable(CoatTable):
    """A coat that whitened, or did not."""

    whitened: bool = entry("whether it did", "true", needed=True)

    def event(self) -> Event:
        """Return it as the model takes it."""
        coat = self.coat()
        return Event(coat=coat, air=self.air_beside(), whitened=self.whitened, source=self.source,
                     board=self.board(), under=self.under(coat))  # fmt: skip


T = TypeVar("T", bound=CoatTable)


@dataclass(frozen=True)
class Written:
    """An observation as it stands in a file.

    Parameters
    ----------
    row : TimedTable or EventTable
        Read.
    raw : mapping
        As it was typed, without what it says.
    where : str
        Heading and number, for refusals.
    """

    row: TimedTable | EventTable
    raw: Mapping[str, Any]
    where: str


def read_observations(path: Path | str) -> tuple[Written, ...]:
    """Return the timed coats and the events of a file, or those kept in a hand file.

    Parameters
    ----------
    path : Path or str
        TOML with [[timed]] and [[event]], or a hand file with [[hand.timed]] and [[hand.event]].

    Raises
    ------
    Refusal
        For all that is wrong with them, or where there are none.
    """
    nothing = Refusal("", "there is no timed coat and no event in it",
                      "write [[timed]] or [[event]] tables")  # fmt: skip
    return read_kept(path, observations_of, ("timed", "event"), nothing=nothing)


def observations_of(
    data: Mapping[str, Any], above: str
) -> tuple[tuple[Written, ...], list[Refusal]]:
    """Return the observations of tables that were read, and all that is wrong with them.

    Parameters
    ----------
    data : mapping
        With the keys timed and event.
    above : str
        "hand." where they stand in a hand file, for the headings.
    """
    found: list[Written] = []
    wrong: list[Refusal] = []
    kinds: tuple[tuple[str, type[CoatTable]], ...] = (("timed", TimedTable), ("event", EventTable))
    for key, model in kinds:
        items = data.get(key, [])
        if not isinstance(items, list):
            wrong.append(Refusal(f"[[{above}{key}]]", f"{w.shown(items)} is not a list of tables",
                                 f"write [[{above}{key}]] on a line of its own"))  # fmt: skip
            continue
        for n, item in enumerate(items, 1):
            where = f"[[{above}{key}]] {n}"
            row, faults = observation(model, item, where)
            wrong += faults
            if row is not None:
                assert isinstance(row, TimedTable | EventTable)
                found.append(Written(row, {k: v for k, v in item.items() if k != "says"}, where))
    return tuple(found), wrong


def observation(model: type[T], data: Any, where: str) -> tuple[T | None, list[Refusal]]:
    """Return a checked observation, the coat and the panel among it, or all that is wrong."""
    row, wrong = check(model, data, where)
    if row is None:
        return None, wrong
    try:
        coat = row.coat()
        row.board(), row.air_beside(), row.under(coat)
    except Refusal as refusal:
        return None, [refusal.at(f"{where} {_KEY.get(refusal.where, refusal.where)}".strip())]
    return row, []


_KEY = {"wet film": "wet", "board": "wood", "thickness of the board": "thickness",
        "length of the face": "length", "temperature of the board": "board_temp"}  # fmt: skip


def learned_of(data: Mapping[str, Any]) -> tuple[dict[str, Learned], list[Refusal]]:
    """Return the own figures that the observations kept in a hand file teach.

    Nothing is computed: each carries what it says.

    Parameters
    ----------
    data : mapping
        The table [hand].
    """
    found, wrong = observations_of(data, "hand.")
    own: dict[str, Learned] = {}
    bounds: list[Bound] = []
    for one in found:
        says, row = one.row.says, one.row
        if says is None or (says.air if isinstance(row, TimedTable) else says.tolerance) is None:
            wrong.append(Refusal(one.where, "what it says is not reckoned yet",
                                 "put it into a file of its own as [[timed]] or [[event]] and "
                                 "keep it with `lacwright calibrate-drying`"))  # fmt: skip
            continue
        if isinstance(row, EventTable):
            bounds.append(Bound(row.whitened, says.tolerance, row.source))
            continue
        own[AIR] = observed(own, AIR, says.air, row.source)
        if says.diffusion is not None:
            own[STEP] = observed(own, STEP, says.diffusion, row.source)
    if bounds and not wrong:
        own[TOLERANCE] = tolerance_of(bounds).learned
    return own, wrong
