"""Readings of a panel after so many coats, and the piece that is to come to a reading."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

from pydantic import BeforeValidator, model_validator

from lacwright.colour import MOST_COATS, SCALES, Laid, Reading
from lacwright.figures import Refusal, Refusals, nearest
from lacwright.files import words as w
from lacwright.files.checks import MOST_PRICE, FileTable, check, entry
from lacwright.files.toml import load_toml

_SCALES = {"l*": "L*", "l": "L*", "lightness": "L*", "reflectance": "reflectance",
           "%": "reflectance", "percent": "reflectance"}  # fmt: skip
MOST_READINGS = 400


def _scale(value: Any) -> str:
    said = str(value).strip().lower()
    if said not in _SCALES:
        raise Refusal("", f"{w.shown(value)} is no scale of a reading",
                      nearest(said, SCALES) if said else 'write "L*" or "reflectance"')  # fmt: skip
    return _SCALES[said]


def _readings(value: Any) -> list[float]:
    found = value if isinstance(value, list) else [value]
    good = [float(x) for x in found if isinstance(x, int | float) and not isinstance(x, bool)]
    if not good or len(good) != len(found):
        raise Refusal("", f"{w.shown(value)} is no reading",
                      "write a number, or several in a list: [62.8, 63.1, 63.0]")  # fmt: skip
    return good


Scale = Annotated[str, BeforeValidator(_scale)]
Values = Annotated[list[float], BeforeValidator(_readings)]


class BandReadings(FileTable):
    """A band of the panel."""

    coats: int = entry("coats on it; 0 is bare", "2", needed=True, ge=0, le=MOST_COATS)
    value: Values = entry("its reading, or several of it", "[63.1, 62.8, 63.4]", needed=True)


class LaidTable(FileTable):
    """How a coat is laid."""

    spread: w.Spread | None = entry("mix that leaves the jar for each m2", '"75 ml/m2"',
                                    unit="ml/m2", default="no amounts")  # fmt: skip
    loss: w.Share | None = entry("share of it that does not stay on the work", '"10 %"', unit="1",
                                 default="nothing")  # fmt: skip
    cut: w.Cut | None = entry("cut of the mix", "2", unit="lb/gal", default="no film")
    resin_density: w.Density | None = entry("density of the resin", '"1.12 g/ml"', unit="g/ml",
                                            default="of the table")  # fmt: skip

    def laid(self) -> Laid:
        """Return it as the model takes it."""
        return Laid(self.spread, self.loss or 0.0, self.cut, self.resin_density)


class PieceReadings(FileTable):
    """The piece."""

    coats: int | None = entry("coats of this mix already on it", "2", ge=0, le=MOST_COATS,
                              default="0")  # fmt: skip
    now: float | None = entry("its own reading as it is", "59.4",
                              default="what the panel says")  # fmt: skip
    area: w.Area | None = entry("its area", '"0.8 m2"', unit="m2", default="no amounts")
    coat_price: float | None = entry("what one more coat costs the customer", "40", ge=0,
                                     le=MOST_PRICE, default="no price")  # fmt: skip
    currency: w.Text | None = entry("how prices are written", '"EUR"', default="money")


class ReadingsTable(FileTable):
    """The file."""

    scale: Scale = entry('"L*", or "reflectance" through one filter, in percent', '"L*"',
                         needed=True)  # fmt: skip
    target: float = entry("wished reading", "52", needed=True)
    tolerance: float = entry("how far from it is still good", "1", needed=True, gt=0)
    scatter: float | None = entry("spread of one reading", "0.5", gt=0,
                                  default="0.7 L*, a guess")  # fmt: skip
    zero_is: Annotated[str, BeforeValidator(lambda v: _zero(v))] | None = entry(
        'what a band with 0 coats is: "bare", or "sealed" with a pale grade', '"sealed"',
        default='"bare", which is left out of the line',
    )  # fmt: skip
    clear_factor: float | None = entry(
        "what a coat of the clear mix leaves of the light", "0.99", gt=0, le=1,
        default="1, all of it",
    )  # fmt: skip
    reading: list[BandReadings] = entry("bands of the panel, each a [[reading]] table",
                                        "[{ coats = 1, value = 66 }]", many=True)  # fmt: skip
    piece: PieceReadings | None = entry("table [piece]", "{ coats = 2 }", default="a bare piece")
    coat: LaidTable | None = entry("table [coat]: a coat on the piece",
                                   '{ spread = "75 ml/m2" }', default="no amounts")  # fmt: skip
    panel_coat: LaidTable | None = entry(
        "table [panel_coat]: a coat on the panel", '{ spread = "90 ml/m2" }',
        default="as on the piece",
    )  # fmt: skip

    @model_validator(mode="after")
    def _known(self) -> ReadingsTable:
        if self.panel_coat is not None and (self.load_ratio is None):
            raise Refusal("panel_coat", "how much lies on panel and piece is not told by both",
                          "give spread and cut in [coat] and in [panel_coat]")  # fmt: skip
        return self

    @property
    def readings(self) -> tuple[Reading, ...]:
        """Every reading by itself."""
        return tuple(Reading(band.coats, v) for band in self.reading for v in band.value)

    @property
    def load_ratio(self) -> float | None:
        """Dry lac of a coat on the piece over that on the panel; None where it is not told."""
        if self.panel_coat is None:
            return 1.0
        mine, panel = (self.coat or LaidTable()).laid().load(), self.panel_coat.laid().load()
        if mine is None or panel is None or not panel.number():
            return None
        return mine.number() / panel.number()


def _zero(value: Any) -> str:
    if value not in ("bare", "sealed"):
        raise Refusal("", f"{w.shown(value)} is neither of two", 'write "bare" or "sealed"')
    return str(value)


def read_readings(path: Path | str) -> ReadingsTable:
    """Return the readings of a file.

    Raises
    ------
    Refusal
        For all that is wrong with it.
    """
    data, name = load_toml(path), Path(path).name
    row, wrong = check(ReadingsTable, data, name)
    if row is None:
        raise Refusals(wrong)
    if len(row.readings) > MOST_READINGS:
        raise Refusal(name, f"{len(row.readings)} readings", f"give at most {MOST_READINGS}")
    return row
