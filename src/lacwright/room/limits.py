"""Limits of vapour in air: which one counts for a substance, where it comes from, how old it is.

A limit that is missing is missing: it is never taken as zero and never as infinity.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from lacwright.figures import Basis, Figure, Mark, Refusal, weakest
from lacwright.room.balance import g_m3_of, molar_mass_g, ppm_of
from lacwright.trade import Row, table

DAY, SHORT, CEILING, IDLH = "8h", "15min", "ceiling", "idlh"
KINDS = (DAY, SHORT, CEILING, IDLH)
NONE_ON_FILE = "no limit on file"


@dataclass(frozen=True)
class Limit:
    """One limit.

    Parameters
    ----------
    substance : str
    kind : str
        "8h", "15min", "ceiling" or "idlh".
    ppm : float
        Parts of vapour in a million of air at 25 C and 1 atm, above 0.
    where : str
        Who sets it: a key of the table of jurisdictions, or "own".
    mark : Mark
    source : str
    dated : str
        Year of what was read, "undated" where it is not known.
    note : str
        What else belongs to it.
    """

    substance: str
    kind: str
    ppm: float
    where: str
    mark: Mark
    source: str
    dated: str = ""
    note: str = ""

    def __post_init__(self) -> None:
        if not 0 < self.ppm < 1e6:
            raise Refusal(f"limit of {self.substance}", f"{self.ppm:g} ppm cannot be",
                          "write e.g. 'ethanol 500 ppm'")  # fmt: skip

    def figure(self) -> Figure:
        """Return it as a figure [ppm]."""
        basis = Basis.GIVEN if self.where == "own" else Basis.DEFAULT
        source = f"{self.where}: {self.source}" + (f" ({self.dated})" if self.dated else "")
        return Figure(self.ppm, self.ppm, self.ppm, "ppm", basis, self.mark, source)


@dataclass(frozen=True)
class Limited:
    """What counts for one substance.

    Parameters
    ----------
    substance : str
    day, short, ceiling, idlh : Limit or None
        None: no limit on file.
    skin : bool
        Whether any source says that it goes through the skin.
    notes : tuple of str
        What stands in for what.
    """

    substance: str
    day: Limit | None
    short: Limit | None
    ceiling: Limit | None
    idlh: Limit | None
    skin: bool
    notes: tuple[str, ...] = ()

    def all(self) -> tuple[Limit, ...]:
        """Return those that there are."""
        return tuple(x for x in (self.day, self.short, self.ceiling, self.idlh) if x is not None)


def limits_of(
    substances: Iterable[str], *, jurisdiction: str | None = None, own: Sequence[Limit] = ()
) -> dict[str, Limited]:
    """Return what counts for each substance.

    Parameters
    ----------
    substances : iterable of str
        Keys of the table of substances.
    jurisdiction : str, optional
        Key or name of the table of jurisdictions; without one the lowest on file of all counts,
        remembered ones included.
    own : sequence of Limit
        The maker's own; each goes before the file.

    Returns
    -------
    dict of str to Limited

    Raises
    ------
    Refusal
        For an unknown jurisdiction.

    Notes
    -----
    Where the jurisdiction has no 8-hour and no 15-minute limit on file, the lowest of all stands
    in, and `notes` says so. Where there is an 8-hour limit alone, three times that is the
    short-term limit. What is immediately dangerous to life or health counts everywhere.
    """
    where = None
    if jurisdiction is not None:
        where = table("room_jurisdictions").find(jurisdiction, "--jurisdiction").key
    return {s: _limited(s, where, [x for x in own if x.substance == s]) for s in substances}


def own_limit(
    substance: str, *, ppm: float | None = None, mg_m3: float | None = None, kind: str = DAY,
    where: str = "--limit",
) -> Limit:  # fmt: skip
    """Return a limit that the maker states: exactly one of `ppm` and `mg_m3`.

    Raises
    ------
    Refusal
        For an unnamed rest, which nobody can limit, or for water.
    """
    key = table("substances").find(substance, where).key
    molar = molar_mass_g(key)
    if molar is None or key == "water":
        raise Refusal(where, f"{key} has no limit that could be compared", "name the substance")
    if (ppm is None) == (mg_m3 is None):
        raise TypeError("give exactly one of ppm and mg_m3")
    value = ppm if ppm is not None else float(ppm_of(g_m3=(mg_m3 or 0) / 1000, molar_mass_g=molar))
    assert value is not None
    try:
        return Limit(key, kind, value, "own", Mark.OWN, "given")
    except Refusal as refusal:
        raise refusal.at(where) from None


def lel_of(
    substances: Iterable[str], *, own: Mapping[str, float] | None = None
) -> dict[str, Figure]:
    """Return the lower explosive limit of each substance [% by volume]; one without is left out.

    Parameters
    ----------
    substances : iterable of str
    own : mapping of str to float, optional
        The maker's own [%].
    """
    own, rows, out = own or {}, table("room_flammability"), {}
    for substance in substances:
        if substance in own:
            value = own[substance]
            if not 0 < value < 100:
                raise Refusal("--lel", f"{value:g} % cannot be", "write e.g. 'ethanol 3.3 %'")
            out[substance] = Figure(value, value, value, "%", Basis.GIVEN, Mark.OWN, "given")
        elif substance in rows:
            out[substance] = rows[substance].figure("lel_percent", "%")
    return out


def strictest_for_fire() -> str:
    """Return the substance of which the fewest grams in a cubic metre reach the LEL."""

    def grams(row: Row) -> float:
        molar = molar_mass_g(row.key)
        assert molar is not None
        return float(g_m3_of(ppm=1e4 * row.number("lel_percent"), molar_mass_g=molar))

    return min(table("room_flammability"), key=grams).key


def _limited(substance: str, where: str | None, own: Sequence[Limit]) -> Limited:
    rows = [r for r in table("room_limits") if r.text("substance") == substance]
    lowest = {kind: _lowest(rows, kind) for kind in KINDS}
    found = dict(lowest)
    notes: list[str] = []
    if where is not None:
        here = [r for r in rows if r.text("where") == where]
        found = {kind: _lowest(here, kind) for kind in KINDS} | {IDLH: lowest[IDLH]}
    mine = {limit.kind: limit for limit in own}
    found |= mine
    if found[DAY] is None:
        notes.append(f"{NONE_ON_FILE}: {substance}, 8 hours" + (f", {where}" if where else ""))
        found[DAY] = stands_in = lowest[DAY]
        if where is not None and stands_in is not None:
            notes[-1] += f"; the lowest of all stands in ({stands_in.where})"
    if found[SHORT] is None and found[CEILING] is None:
        found[SHORT] = _short(found[DAY])
        if found[SHORT] is not None:
            notes.append(f"{NONE_ON_FILE}: {substance}, 15 minutes; three times its 8-hour limit "
                         "stands in")  # fmt: skip
    return Limited(substance, found[DAY], found[SHORT], found[CEILING], found[IDLH],
                   any(r.yes("skin") for r in rows), tuple(notes))  # fmt: skip


def _lowest(rows: Iterable[Row], kind: str) -> Limit | None:
    limits = [_limit(row) for row in rows if row.text("kind") == kind]
    return min(limits, key=lambda limit: limit.ppm, default=None)


def _limit(row: Row) -> Limit:
    substance, value = row.text("substance"), row.number("value")
    if row.text("unit") == "mg/m3":
        molar = molar_mass_g(substance)
        assert molar is not None
        value = float(ppm_of(g_m3=value / 1000, molar_mass_g=molar))
    return Limit(substance, row.text("kind"), value, row.text("where"), row.mark, row.source,
                 row.text("dated"), row.text("note"))  # fmt: skip


def _short(day: Limit | None) -> Limit | None:
    if day is None:
        return None
    rule = table("room_constants")["short_of_day"]
    return replace(
        day,
        kind=SHORT,
        ppm=rule.number("value") * day.ppm,
        mark=weakest(day.mark, rule.mark),
        source=f"three times the 8-hour limit ({rule.source}); {day.source}",
    )
