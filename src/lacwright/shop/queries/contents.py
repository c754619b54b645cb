"""What is in a place: by lot, and as a mix with its cut, volumes and bands."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from django.db import connection

from lacwright.figures import Figure, exact, given, unknown
from lacwright.figures.spoken import brief, founded
from lacwright.shop.asked import chunks, rows, things
from lacwright.shop.facts import ALCOHOL, DYE, FLAKES, OTHER, alcohol_of, density_of
from lacwright.shop.models import Lot, Movement, Place
from lacwright.shop.queries.unsaid import Unsaid, unsaid_in
from lacwright.solution import MIX_KEYS, Answer, Mix, Resin, answer, mix_values, resin_named
from lacwright.solution.shown import MASS_KEYS
from lacwright.trade import table

FILL = "fill"
RECORD = "from the record"
CLAIMED = "as claimed on the label of a bought liquid"
MANY = 500
DUST_UG = 1000
"""A milligram: below it a jar counts as empty."""


@dataclass(frozen=True)
class Held:
    """So much of a lot."""

    lot: Lot
    ug: int

    @property
    def g(self) -> float:
        """Grams (pieces of what is counted)."""
        return self.ug / 1e6

    @property
    def claimed(self) -> bool:
        """Whether its amount rests on the cut that the label of a bought liquid claims."""
        return self.came_mixed and self.lot.kind in (FLAKES, ALCOHOL)

    @property
    def came_mixed(self) -> bool:
        """Whether it came into the shop in a liquid."""
        return self.lot.opened is not None and self.lot.opened.kind == FILL

    def as_json(self) -> dict[str, Any]:
        """Return it as plain data; of an alcohol whose density nobody knows the volume alone."""
        lot = self.lot
        out: dict[str, Any] = {
            "lot": lot.key,
            "kind": lot.kind,
            "grade": lot.grade,
            "said": lot.said,
            "claimed": self.claimed,
            "g": self.g,
        }
        if lot.kind == OTHER and self.came_mixed:
            out["ml"], out["density_g_ml"] = self.g / density_of(lot), density_of(lot)
            out["density_from"] = "given" if lot.density_g_ml is not None else _assumed_density()
        if lot.kind == ALCOHOL:
            out["ml"] = self.g / density_of(lot)
            if not alcohol_of(lot).known:
                out["g"], out["missing"] = (
                    None,
                    {
                        "g": f"cannot estimate without the alcohol of "
                        f"{lot.key}: its composition is not on "
                        "record"
                    },
                )
        return out


@dataclass(frozen=True, eq=False)
class Contents:
    """What a place holds.

    Parameters
    ----------
    place : str
        Its key.
    held : tuple of Held
        By lot, in the order of the names.
    unsaid : tuple of str
        Places from which something came in of which nobody said how much.
    """

    place: str
    held: tuple[Held, ...]
    unsaid: tuple[str, ...] = ()

    @property
    def by_lot_ug(self) -> dict[str, int]:
        """Micrograms by the name of the lot."""
        return {h.lot.key: h.ug for h in self.held}

    @cached_property
    def mix(self) -> Mix:
        """Resin, alcohol and dye of it, as the model knows them; what else is in it is not."""
        resin = {resin_of(h.lot): h.g for h in self.held if h.lot.kind == FLAKES}
        solvent = {alcohol_of(h.lot): h.g for h in self.held if h.lot.kind == ALCOHOL}
        dye = sum(h.g for h in self.held if h.lot.kind == DYE)
        return Mix(dict(resin), dict(solvent), dye)

    @property
    def total_g(self) -> float:
        """All of it [g]."""
        return sum(h.ug for h in self.held) / 1e6

    @property
    def unknown_g(self) -> float:
        """What is neither resin nor alcohol nor dye, or of which nothing is known [g]."""
        known = (FLAKES, ALCOHOL, DYE)
        return sum(h.ug for h in self.held if h.lot.kind not in known) / 1e6

    @property
    def claimed_share(self) -> float:
        """Share of the resin that rests on a claimed cut [1]."""
        resin = [h for h in self.held if h.lot.kind == FLAKES]
        whole = sum(h.ug for h in resin)
        return sum(h.ug for h in resin if h.claimed) / whole if whole else 0.0

    @property
    def empty(self) -> bool:
        """Whether the book has nothing in it."""
        return sum(h.ug for h in self.held) < DUST_UG

    @property
    def no_cut(self) -> str | None:
        """Why no cut can be given, None if it can."""
        if self.unsaid:
            return ("cannot estimate without the amount that came from "
                    f"{', '.join(_plain(p) for p in self.unsaid)}: it was not said")  # fmt: skip
        if self.empty:
            return "cannot estimate without anything in it: the book has it as empty"
        if self.unknown_g * 1e6 >= DUST_UG:
            return (f"cannot estimate without the make-up of {brief(self.unknown_g)} g in it: "
                    "nobody said what that is; a weighed, dried sample tells the cut")  # fmt: skip
        if float(self.mix.alcohol_ml) <= 0:
            return "cannot estimate without alcohol: there is none in it"
        return None

    @property
    def _resin_known(self) -> bool:
        """Whether the resin in it is known though no cut can be given: there is no alcohol."""
        return not (self.unsaid or self.empty or self.unknown_g * 1e6 >= DUST_UG)

    @property
    def no_masses(self) -> str | None:
        """Why figures by weight are not given, None if they can be."""
        names = [h.lot.key for h in self.held if h.lot.kind == ALCOHOL
                 and not alcohol_of(h.lot).known]  # fmt: skip
        if not names:
            return None
        return (f"cannot estimate without the alcohol of {', '.join(names)}: its composition is "
                "not on record")  # fmt: skip

    @cached_property
    def numbers(self) -> tuple[dict[str, float | None], dict[str, str]]:
        """Its bare numbers, by the keys of `solution.MIX_KEYS`, and why some are missing."""
        why = self.no_cut
        if why is not None:
            missing = dict.fromkeys(MIX_KEYS, why)
            values: dict[str, float | None] = dict.fromkeys(MIX_KEYS)
            if self._resin_known:
                values["resin_g"] = float(self.mix.total_resin_g)
                del missing["resin_g"]
            return values, missing
        values = {**mix_values(self.mix)}
        heavy = self.no_masses
        if heavy is None:
            return values, {}
        withheld = [key for key in MIX_KEYS if key in MASS_KEYS]
        return values | dict.fromkeys(withheld), dict.fromkeys(withheld, heavy)

    @cached_property
    def figures(self) -> Answer:
        """The same numbers as figures, each with its band or its reason."""
        mix, why = self.mix, self.no_cut
        source = CLAIMED if self.claimed_share else RECORD
        resin = given(float(mix.total_resin_g), "g", source)
        if why is not None:
            out = Answer()
            for key in MIX_KEYS:
                out.put(key, unknown(_UNITS[key], why))
            if self._resin_known:
                out.put("resin_g", resin)
            return out
        inputs = {
            "resin_g": resin, "alcohol_ml": given(float(mix.alcohol_ml), "ml", source),
            "resin_density": self._resin_density(),
            "alcohol_density": exact(float(mix.alcohol_g) / float(mix.alcohol_ml), "g/ml",
                                     "of the alcohols in it"),
        }  # fmt: skip
        dye_g = float(mix.dye_g)

        def model(**x: float) -> Mapping[str, float]:
            stand_in = Lot(key="", kind=ALCOHOL, density_g_ml=x["alcohol_density"])
            spirit = alcohol_of(stand_in)
            return mix_values(
                Mix(
                    {Resin(density_g_ml=x["resin_density"]): x["resin_g"]},
                    {spirit: x["alcohol_ml"] * x["alcohol_density"]},
                    dye_g,
                )
            )

        return answer(model, inputs, {}, withheld=self.no_masses, dye_ml=float(mix.dye_ml))

    def _resin_density(self) -> Figure:
        if any(h.lot.density_g_ml is not None for h in self.held if h.lot.kind == FLAKES):
            return given(float(self.mix.resin_density_g_ml), "g/ml", "given with the lots in it")
        return table("solution")["resin_density"].figure()

    def as_json(self) -> dict[str, Any]:
        """Return its numbers and what they are made of, with the reason for every null."""
        values, missing = self.numbers
        return {**values, "unknown_g": self.unknown_g, "claimed_share": self.claimed_share,
                "amounts_not_said": list(self.unsaid),
                "lots": [h.as_json() for h in self.held], "missing": missing}  # fmt: skip


def _assumed_density() -> str:
    """Return on what the density of a liquid rests that nobody weighed."""
    row = table("solution")["alcohol_density"]
    figure = row.figure()
    return (f"assumed, {figure.low:g} to {figure.high:g} g/ml as the alcohols that suit have "
            f"({founded(row.mark, row.source)}); resin in it makes it heavier")  # fmt: skip


_UNITS = {"resin_g": "g", "alcohol_ml": "ml", "alcohol_g": "g", "solution_ml": "ml",
          "solution_g": "g", "cut_lb_per_gal": "lb/gal", "resin_g_per_l_alcohol": "g/l",
          "solids_mass_fraction": "1", "solids_volume_fraction": "1"}  # fmt: skip
assert set(_UNITS) == set(MIX_KEYS)
assert set(MASS_KEYS) >= {"alcohol_g", "solution_g"}


def contents(place_key: str, *, at_us: int | None = None) -> Contents:
    """Return what a place holds.

    Parameters
    ----------
    place_key : str
        "jar:J7", "store:garnet-b12", "applicator:pad 2", ...
    at_us : int, optional
        When; now if not given. What was done at that moment counts as done.
    """
    place = _place(place_key)
    if at_us is None:
        return contents_of([place])[place.id]
    sums = rows(_UNTIL, [place.id], also=[at_us])
    unsaid = _sources(unsaid_in([place.id], until_us=at_us))
    return _of_sums(place, dict(sums), unsaid.get(place.id, ()))


def contents_of(places: Iterable[Place]) -> dict[int, Contents]:
    """Return what many places hold now, by the number of the place, in a fixed number of queries.

    Places of which nothing is known come with nothing in them.
    """
    by_id = {place.id: place for place in places}
    if len(by_id) > MANY:  # all of a kind is asked for at once more cheaply than many by number
        kinds = {place.kind for place in by_id.values()}
        amounts = list(rows(_ALIKE, kinds))
        unsaid = _sources(unsaid_in(kinds=kinds))
    else:
        amounts = list(rows(_HELD, by_id))
        unsaid = _sources(unsaid_in(by_id))
    lots = _lots({lot for _, lot, _ in amounts})
    held: dict[int, list[Held]] = defaultdict(list)
    for place, lot, ug in sorted(amounts, key=lambda row: lots[row[1]].key):
        held[place].append(Held(lots[lot], ug))
    return {
        number: Contents(place.key, tuple(held.get(number, ())), unsaid.get(number, ()))
        for number, place in by_id.items()
    }


def made_of(root: int, place_key: str) -> Contents:
    """Return what an observation put into a place (a coat on a piece), by lot."""
    place = _place(place_key)
    # Plus nothing: an event has few lines, a place may have very many.
    return _of_sums(place, dict(rows(_ABOUT, [root], also=[place.id])), ())


def came_into(place_key: str) -> Contents:
    """Return all that ever went into a place: the make-up of one that is empty by now."""
    place = _place(place_key)
    sums: dict[int, int] = defaultdict(int)
    for lot, ug in rows(_EVER, [place.id]):
        sums[lot] += max(int(ug), 0)
    unsaid = _sources(unsaid_in([place.id], ever=True))
    return _of_sums(place, sums, unsaid.get(place.id, ()))


def resin_of(lot: Lot) -> Resin:
    """Return a lot of flakes as the model knows it."""
    wax = {None: None, True: "waxed", False: "dewaxed"}[lot.waxed]
    return resin_named(lot.grade, lot=lot.key, wax=wax, density_g_ml=lot.density_g_ml)


def _place(key: str) -> Place:
    found = things(Place, "WHERE t.key IN ({})", [key])
    if not found:
        raise LookupError(f"the record has no place {key}")  # a fault of the program
    return found[0]


def _of_sums(place: Place, sums: Mapping[int, int], unsaid: tuple[str, ...]) -> Contents:
    lots = _lots({lot for lot, ug in sums.items() if ug})
    held = sorted((Held(lot, int(sums[number])) for number, lot in lots.items()),
                  key=lambda h: h.lot.key)  # fmt: skip
    return Contents(place.key, tuple(held), unsaid)


def _lots(numbers: set[int]) -> dict[int, Lot]:
    """Return lots by number, with the kind of the movement that made them."""
    lots: list[Lot] = []
    kinds: dict[int, str] = {}
    for some in chunks(sorted(numbers)):
        lots += things(Lot, "WHERE t.id IN ({})", some)
        kinds.update(rows(_KINDS, some))
    for lot in lots:
        if lot.opened_id is not None:  # all else of the movement is read if somebody asks
            told = [lot.opened_id, kinds[lot.id]]
            lot.opened = Movement.from_db(connection.alias, ["id", "kind"], told)
    return {lot.id: lot for lot in lots}


def _sources(found: Mapping[int, list[Unsaid]]) -> dict[int, tuple[str, ...]]:
    """Return, by place, from where something came in without an amount."""
    return {to: tuple(dict.fromkeys(u.source for u in mine)) for to, mine in found.items()}


def _plain(place: str) -> str:
    return place.partition(":")[2] or place


_UNTIL = """
SELECT n.lot_id, SUM(n.ug) FROM shop_line n JOIN shop_event e ON e.root_id = n.about_id
WHERE n.place_id IN ({}) AND e.at_us <= %s GROUP BY n.lot_id
"""

_ABOUT = """
SELECT lot_id, SUM(ug) FROM shop_line WHERE about_id IN ({}) AND place_id + 0 = %s GROUP BY lot_id
"""

_EVER = "SELECT lot_id, SUM(ug) FROM shop_line WHERE place_id IN ({}) GROUP BY lot_id, about_id"

_HELD = "SELECT place_id, lot_id, ug FROM shop_balance WHERE place_id IN ({})"

_ALIKE = """
SELECT b.place_id, b.lot_id, b.ug FROM shop_balance b JOIN shop_place p ON p.id = b.place_id
WHERE p.kind IN ({})
"""

_KINDS = """
SELECT k.id, m.kind FROM shop_lot k JOIN shop_movement m ON m.id = k.opened_id WHERE k.id IN ({})
"""
