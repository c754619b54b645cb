"""What a plan starts from: the piece, the wish, the shop, the shelf, the course of steps.

Everything is in bench units (ml, g, um, m2, h, C). `None` means "not said": the plan then takes
the maker's own figure, or the default, and shows which.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field

from lacwright.figures import Figure, Learned
from lacwright.plan.room_spec import RoomSpec
from lacwright.solution import Alcohol, Mix
from lacwright.surface import Part

Own = Mapping[str, Figure | Learned]
"""The maker's own figures by their name in the table of practice ("spread.brush")."""


@dataclass(frozen=True)
class Wish:
    """What is wanted, and what the piece will have to bear."""

    use: tuple[str, ...] = ()  # keys of the table of uses: "drinks", "outdoors", "sweat", ...
    under: tuple[str, ...] = ()  # what lies under the film already
    over: tuple[str, ...] = ()  # what will come over it
    start: dt.date | None = None
    by: dt.date | None = None
    sheen: str | None = None
    grade: str | None = None
    waxed: bool | None = None
    film_left_um: float | None = None  # film wanted after rubbing out; coats are then computed


@dataclass(frozen=True)
class Shop:
    """The room and the week."""

    temp_c: float | None = None
    rh: float | None = None
    working_days: tuple[int, ...] | None = None  # 0 = Monday
    closed: tuple[dt.date, ...] = ()  # holidays, days away
    rag_plan: str | None = None  # what happens to oily rags
    ignition: tuple[str, ...] = ()  # sparks, flames, heaters that are in the room
    children: bool | None = None


@dataclass(frozen=True)
class MixSpec:
    """A mix the job needs."""

    name: str
    cut_lb_per_gal: float
    grade: str | None = None
    alcohol: Alcohol | None = None  # None = not said
    flakes: tuple[tuple[str, float], ...] = ()  # (lot or grade, share of the resin)
    reserve_share: float | None = None
    reserve_ml: float | None = None
    make_ml: float | None = None  # a fixed batch
    new_applicators: int | None = None  # new pads or brushes charged from it
    dye_ml_per_l: float = 0.0
    jar: str | None = None  # a ready jar on the shelf that is this mix


@dataclass(frozen=True)
class Step:
    """One entry of the course of a job, `times` times over."""

    what: str  # a key of the table of steps: "coat", "session", "scuff", "level", "rest", ...
    parts: tuple[str, ...] = ()  # () = all parts
    faces: tuple[str, ...] = ()  # () = all finished faces
    times: int | None = None  # None: once, or as often as the wished film needs
    method: str | None = None
    mix: str | None = None
    spread_ml_m2: tuple[float, ...] = ()  # one per coat, the last one repeated
    uses_ml: float | None = None  # taken from the jar for one coat or session, all faces together
    wet_um: float | None = None
    deposit_um: float | None = None  # net dry film: nothing more is deducted
    deposit_g_m2: float | None = None
    soaks_in: bool | None = None  # counts as wholly soaked in
    lost_share: float | None = None
    removes_um: float | None = None
    abrasive: str | None = None
    edges: bool | None = None  # do the arrises get the sanding too?
    wait_h: float | None = None  # before the next step
    rest_days: float | None = None  # calendar days before the next step
    rest_working_days: int | None = None
    working_day: bool | None = None
    hours: float | None = None
    oil: str | None = None  # pad lubricant or oil used in this step
    note: str = ""
    rest_figure: str | None = None  # the own figure that `rest_days` was taken from


@dataclass(frozen=True)
class Lot:
    """Something on the shelf: flakes, alcohol, a jar of mix, dye, abrasives."""

    name: str
    kind: str  # "flakes", "alcohol", "jar", "dye", "other"
    have: float | None  # g of flakes, ml of a liquid; None = not said
    unit: str
    grade: str | None = None
    waxed: bool | None = None
    alcohol: Alcohol | None = None
    cut_lb_per_gal: float | None = None
    date: dt.date | None = None  # bought or mixed
    tested: dt.date | None = None
    passed: bool | None = None
    price: float | None = None  # for `price_for`
    price_for: float | None = None  # in `unit`
    content: Mix | None = None  # of a jar that is known by lot: then it goes before cut and grade
    logged: bool = False  # from the record: what the piece file has of its own goes first

    @property
    def some_left(self) -> bool:
        """Whether there is any of it, for all that is known."""
        return self.have is None or self.have > 0


@dataclass(frozen=True)
class HoursLine:
    """Working hours of one kind of work: fixed, per m2, per coat, per m2 and coat."""

    what: str
    fixed_h: float = 0.0
    per_m2_h: float = 0.0
    per_coat_h: float = 0.0
    per_m2_coat_h: float = 0.0
    faces: tuple[str, ...] = ()  # the m2 of these faces only
    parts: tuple[str, ...] = ()


@dataclass(frozen=True)
class MaterialLine:
    """A material of the quote that no lot covers."""

    what: str
    amount: float
    price: float
    per: str = ""


@dataclass(frozen=True)
class QuoteSpec:
    """What a quote is made from. Nothing is assumed: no rate, no price."""

    currency: str = ""
    rate_per_h: float | None = None
    hours: tuple[HoursLine, ...] = ()
    materials: tuple[MaterialLine, ...] = ()
    contingency_share: float | None = None
    contingency_on: str | None = None  # None: labour and materials


@dataclass(frozen=True)
class Exercise:
    """An exercise of a class: an area to coat, so many times, by every person."""

    name: str
    area_m2: float
    coats: int
    mix: str
    per_person: float = 1.0  # items per person
    method: str = "brush"
    spread_ml_m2: float | None = None


@dataclass(frozen=True)
class ClassSpec:
    """A class: who comes, what each does, what is lost."""

    students: int
    demonstrators: int = 0
    exercises: tuple[Exercise, ...] = ()
    lost_per_person_ml: tuple[tuple[str, float], ...] = ()  # per mix: jars, pads, spills
    spare_share: float | None = None
    cleaning_ml_per_person: float | None = None
    items: tuple[tuple[str, float, float | None], ...] = ()  # (what, per person, price each)


@dataclass(frozen=True)
class Piece:
    """A job as described: parts, wish, shop, mixes, course, shelf, own figures, quote, class."""

    title: str
    parts: tuple[Part, ...]
    wish: Wish = field(default_factory=Wish)
    shop: Shop = field(default_factory=Shop)
    mixes: tuple[MixSpec, ...] = ()
    steps: tuple[Step, ...] = ()  # () = the usual course of each part's method
    shelf: tuple[Lot, ...] = ()
    own: Own = field(default_factory=dict)
    quote: QuoteSpec | None = None
    course: ClassSpec | None = None
    resin_density_g_ml: float | None = None
    room: RoomSpec | None = None  # where it is laid, for the vapour
