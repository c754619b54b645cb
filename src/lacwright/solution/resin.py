"""Resin: a lot of lac by grade; colour, wax and bleaching are three separate things."""

from __future__ import annotations

from dataclasses import dataclass, field

from lacwright.figures import Num, Refusal
from lacwright.solution.num import every
from lacwright.trade import Row, table


def default_resin_density() -> float:
    """Return the density of lac resin in solution that is taken unless told otherwise [g/ml]."""
    return table("solution")["resin_density"].number("value")


@dataclass(frozen=True)
class Resin:
    """A lot of dry lac.

    Parameters
    ----------
    lot : str
        The bag, "" where there is only a grade.
    grade : str
        A key of the table of grades, "" where nobody said.
    density_g_ml : float or array
        What it takes up in solution [g/ml]. A belief about the lot, not part of its identity.
    wax_share : float
        Wax by weight [1].
    wax_stated : bool
        Whether somebody said waxed or dewaxed; else the grade's usual state was taken.
    moisture_share : float
        Water in the flakes as weighed [1]. Cut counts flakes as weighed, solids do not.
    """

    lot: str = ""
    grade: str = ""
    density_g_ml: Num = field(default_factory=default_resin_density, compare=False)
    wax_share: float = 0.0
    wax_stated: bool = field(default=False, compare=False)
    moisture_share: float = field(default=0.0, compare=False)

    def __post_init__(self) -> None:
        limits = table("solution")["resin_density_odd"]
        light, dense = limits.number("low"), limits.number("high")
        if not (every(self.density_g_ml >= light) and every(self.density_g_ml <= dense)):
            raise Refusal("resin density", "lac lies between 1.035 and 1.21 g/ml",
                          "write e.g. 1.14, in g/ml")  # fmt: skip
        if not (0 <= self.wax_share < 1 and 0 <= self.moisture_share < 1):
            raise Refusal("resin", "a share of wax or moisture outside 0 to 1", "write e.g. 0.05")

    @property
    def waxed(self) -> bool:
        """Whether it counts as waxed."""
        solution = table("solution")
        return self.wax_share > 2 * solution["wax_dewaxed"].number("value")


def read_grade(text: str, *, where: str = "--grade") -> tuple[Row, str | None]:
    """Read a grade and, where it is said, its wax: "garnet", "dewaxed garnet".

    Returns
    -------
    (Row, "waxed" | "dewaxed" | None)
        The row of the table of grades, and the wax state where the text names it.

    Raises
    ------
    Refusal
        For an unknown grade, with the nearest.
    """
    words = text.lower().replace(",", " ").split()
    wax = next((w for w in words if w in ("waxed", "waxy", "dewaxed", "wax-free")), None)
    name = " ".join(w for w in words if w != wax and w != "shellac") or text
    row = table("grades").find(name, where)
    state = None if wax is None else ("waxed" if wax in ("waxed", "waxy") else "dewaxed")
    return row, state


def resin_named(
    grade: str = "", *, lot: str = "", wax: str | None = None, density_g_ml: Num | None = None,
    wax_share: float | None = None, moisture_share: float = 0.0, where: str = "--grade",
) -> Resin:  # fmt: skip
    """Return a resin of a grade.

    Parameters
    ----------
    grade : str
        A name of the table ("garnet", "dewaxed amber"), "" where nobody said.
    lot : str
        The bag.
    wax : "waxed", "dewaxed" or None
        As stated; None = as the text of `grade` says, else the grade's usual state.
    density_g_ml : float or array, optional
        Density in solution [g/ml].
    wax_share : float, optional
        Wax by weight [1] where it is known better.
    moisture_share : float
        Water in the flakes [1].

    Raises
    ------
    Refusal
        For an unknown grade or wax state.
    """
    if wax not in (None, "waxed", "dewaxed"):
        raise Refusal("wax", f"'{wax}' is not a wax state", "write waxed or dewaxed")
    if density_g_ml is None:
        density_g_ml = default_resin_density()
    key, stated = "", wax
    if grade.strip():
        row, said = read_grade(grade, where=where)
        if said and wax and said != wax:
            raise Refusal(where, f"'{grade}' and '{wax}' contradict each other", "say one of them")
        key, stated = row.key, wax or said
        state: str | None = stated or row.text("wax")
    else:
        state = stated
    if wax_share is None:
        wax_share = 0.0
        if state is not None:
            wax_share = table("solution")[f"wax_{state}"].number("value")
    return Resin(lot, key, density_g_ml, wax_share, stated is not None, moisture_share)


def ageing_class(resin: Resin) -> str:
    """Return "bleached", "dewaxed" or "waxed": the row of the table of ageing.

    Of a resin that nobody described it is the one that keeps shortest.
    """
    if not resin.grade and not resin.wax_stated:
        return "bleached"
    if resin.grade and table("grades")[resin.grade].yes("bleached"):
        return "bleached"
    return "waxed" if resin.waxed else "dewaxed"
