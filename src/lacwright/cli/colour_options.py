"""What the commands of colour share: how it is looked at, the wood, the grades, a coat's load."""

from __future__ import annotations

import functools
import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, TypeVar

import click

from lacwright.cli.show import CUT, Quantity, brief
from lacwright.figures import Figure, Learned, Mark, Refusal, given
from lacwright.figures import units as u
from lacwright.figures.learned import Z95

if TYPE_CHECKING:
    from lacwright.colour import Bare, GradeColour, Viewing
    from lacwright.shop.plan_link import FromRecord

F = TypeVar("F", bound=Callable[..., Any])
Own = Mapping[str, Figure | Learned]
LOAD = Quantity(u.LOAD)

_VIEWING: tuple[Callable[[Any], Any], ...] = (
    click.option("--light", "--illuminant", "illuminant", metavar="NAME",
                 help="Light of every L*, a*, b*: D65, D50, A, C or LED-B3 [D65]."),
    click.option("--observer", metavar="2|10", help="Observer of them: 2 or 10 degrees [2]."),
    click.option("--geometry", metavar="45/0|8/d",
                 help="Gloss excluded (45/0) or included (8/d, SCI) [45/0]."),
)  # fmt: skip
_WOOD: tuple[Callable[[Any], Any], ...] = (
    click.option("--wood", help="Wood: maple, cherry, black-walnut, ..."),
    click.option("--bare", metavar="L,a,b",
                 help="Measured colour of the bare board, before the wood's usual one."),
)  # fmt: skip
_COAT: tuple[Callable[[Any], Any], ...] = (
    click.option("--load", "load_g_m2", type=LOAD,
                 help="Dry lac that one coat leaves: '3.5 g/m2'."),
    click.option("--method", help="In place of a load: how a coat is laid [brush]."),
    click.option("--cut", type=CUT, help="With a method: cut of the mix [the method's]."),
)  # fmt: skip


def _adding(options: Sequence[Callable[[Any], Any]]) -> Callable[[F], F]:
    def add(command: F) -> F:
        return functools.reduce(lambda made, option: option(made), reversed(options), command)

    return add


viewing_options = _adding(_VIEWING)
"""--light --observer --geometry, for `stated_viewing`."""
wood_options = _adding(_WOOD)
"""--wood --bare, for `stated_wood`."""
coat_options = _adding(_COAT)
"""--load --method --cut, for `stated_coat`."""

ASKED = {"illuminant": "--light", "observer": "--observer", "geometry": "--geometry"}


@dataclass(frozen=True)
class Taken:
    """The own figures that count.

    Parameters
    ----------
    hand : mapping
        Of a hand file: they go first.
    record : mapping
        Of the record, beside them.
    asked : set of str
        Which of the record's the load of a coat took.
    """

    hand: Own
    record: Own = field(default_factory=dict)
    asked: set[str] = field(default_factory=set)

    @property
    def own(self) -> Own:
        """All of them."""
        return {**self.record, **self.hand}

    def load(self, method: str, cut: float | None) -> Figure:
        """Return the dry lac of one coat of a method [g/m2]."""
        from lacwright.figures.draws import Draws
        from lacwright.files.board_photo import coat_load
        from lacwright.plan.own import OwnFigures

        return coat_load(method, cut, OwnFigures([self.hand, self.record], Draws(0)))

    def used(
        self, grades: Iterable[str], wood: str | None = None, *, measured: bool = False,
        viewing: Viewing | None = None,
    ) -> tuple[str, ...]:  # fmt: skip
        """Return the names of the record's figures that went into an answer.

        Parameters
        ----------
        grades : iterable of str
            In its films.
        wood : str or None
            Its wood.
        measured : bool
            Whether the colour of the bare board was given.
        viewing : Viewing, optional
            How it is looked at: with the gloss counted no own skin is taken.
        """
        from lacwright.colour import is_skin, skinless, wood_key
        from lacwright.trade import table

        found = self.record if viewing is None or viewing.geometry != "8/d" else (
            skinless(self.record)
        )  # fmt: skip
        of = {f"colour.{grade}" for grade in grades}
        names = [n for n in found if n.rpartition(".")[0] in of]
        if wood is not None and (key := wood_key(wood)) in table("colour_woods"):
            mine = [n for n in found if n.rpartition(".")[0] == f"colour.{key}"]
            names += [n for n in mine
                      if not measured or is_skin(n) or n.endswith(".wetting")]  # fmt: skip
        return tuple(sorted({*names, *self.asked}))


def taken(hand_file: str | None, link: FromRecord | str) -> Taken:
    """Return the own figures of a hand file, and beside it those of the record."""
    from lacwright.cli.dry_common import own_of

    hand = own_of(hand_file)
    return Taken(hand) if isinstance(link, str) else (
        Taken(hand, link.own_beside(hand), link.asked)
    )  # fmt: skip


def record_words(names: Sequence[str]) -> str:
    """Return what came from the record: "your own figures: amber, hard maple; ..."."""
    from lacwright.shop.queries.own_words import called

    things = dict.fromkeys(name.split(".")[1].replace("-", " ") for name in names
                           if name.startswith("colour."))  # fmt: skip
    told = [", ".join(things)] if things else []
    told += [called(n) for n in names if not n.startswith("colour.")]
    return f"your own figures: {'; '.join(told)}"


def record_note(names: Sequence[str]) -> list[str]:
    """Return the line that says what came from the record, none where nothing did."""
    return [f"Record    {record_words(names)}"] if names else []


def stated_viewing(
    illuminant: str | None, observer: str | None, geometry: str | None
) -> tuple[Viewing, tuple[str, ...]]:
    """Return how colours are looked at, and what was assumed of it."""
    from lacwright.colour import Viewing, viewing_of

    usual = Viewing()
    try:
        viewing = viewing_of(
            illuminant=illuminant or usual.illuminant, observer=observer or usual.observer,
            geometry=geometry or usual.geometry,
        )  # fmt: skip
    except Refusal as refusal:
        raise refusal.at(ASKED.get(refusal.where, refusal.where)) from None
    said = {"--light": illuminant, "--observer": observer, "--geometry": geometry}
    gloss = "included" if viewing.geometry == "8/d" else "excluded"
    told = {"--light": viewing.illuminant, "--observer": f"{viewing.observer} degrees",
            "--geometry": f"gloss {gloss}"}  # fmt: skip
    open_ = [option for option, value in said.items() if value is None]
    if not open_:
        return viewing, ()
    words = ", ".join(told[option] for option in open_)
    return viewing, (f"every L*, a*, b* is taken as {words}: say {', '.join(open_)} as your "
                     "instrument has it",)  # fmt: skip


def wood_name(wood: str | None) -> str | None:
    """Return a wood as it is called on file, None of one whose colour is not on file."""
    from lacwright.colour import find_bare

    try:
        return None if wood is None else find_bare(wood).name
    except Refusal:
        return None


def stated_wood(wood: str | None, bare: str | None, viewing: Viewing, own: Own) -> Bare:
    """Return the bare wood: measured, else that of the maker's panels, else the table's."""
    from lacwright.colour import bare_for, measured_bare
    from lacwright.files.colour_words import read_lab

    if wood is None and bare is None:
        raise Refusal("--wood", "neither a wood nor the colour of a bare board is given",
                      "name the wood, or measure the board: --bare '72, 6.5, 19'")  # fmt: skip
    try:
        like = None if wood is None else bare_for(wood, own, viewing)
    except Refusal as refusal:
        if bare is None or refusal.where != "wood":
            raise refusal.at("--wood" if refusal.where == "wood" else refusal.where) from None
        like = None  # a wood whose colour is not on file, and his was measured
    if bare is None:
        assert like is not None
        return like
    return measured_bare(read_lab(bare, "--bare"), viewing, like, where="--bare",
                         name=f"measured {wood}" if wood else "")  # fmt: skip


def stated_coat(
    load_g_m2: float | None, method: str | None, cut: float | None, mine: Taken
) -> tuple[Figure, str | None]:
    """Return the dry lac of one coat [g/m2], and the method it is usual for."""
    if load_g_m2 is None:
        return mine.load(method or "brush", cut), method or "brush"
    if method is not None or cut is not None:
        raise Refusal("--load", "a method or cut says the same another way",
                      "leave one of the two out")  # fmt: skip
    if load_g_m2 == 0:
        raise Refusal("--load", "a coat of nothing", "write e.g. '3.5 g/m2'")
    return given(load_g_m2, "g/m2", "--load"), None


def load_ln_sd(coat: Figure) -> float | None:
    """Return how well the load of a coat is known (ln), None for one that was given."""
    if not coat.low or coat.high is None or coat.high <= coat.low:
        return None
    return math.log(coat.high / coat.low) / (2 * Z95)


def coat_words(coat: Figure, method: str | None) -> str:
    """Return the load of a coat in words, and what it rests on."""
    told = f"{brief(coat.number())} g/m2 of dry lac"
    if method is None or coat.low is None or coat.high is None:
        return f"{told} each, as you say"
    mark = "your own figure" if coat.mark is Mark.OWN else str(coat.mark)
    return (f"{told} each ({brief(coat.low)} to {brief(coat.high)}), the usual coat of {method}: "
            f"{mark}; give --load if yours is weighed")  # fmt: skip


def find_grades(names: Sequence[str], own: Own, where: str = "--grade") -> list[GradeColour]:
    """Return grades by name, each once, as own figures have them before the table."""
    from lacwright.colour import grade_for

    found: dict[str, GradeColour] = {}
    for name in names:
        try:
            grade = grade_for(name, own)
        except Refusal as refusal:
            raise refusal.at(where if refusal.where == "grade" else refusal.where) from None
        found.setdefault(grade.name, grade)
    return list(found.values())


def sure_words(claim: Any, band: tuple[float, float]) -> str:
    """Return what may be claimed, in words."""
    return (f"{claim.words} ({claim.basis}); half of such estimates lie within {band[0]:.1f} dE00, "
            f"most within {band[1]:.0f} ({claim.mark})")  # fmt: skip


def lab_words(lab: Sequence[float]) -> str:
    """Return "78.2, 4.3, 29.0"."""
    return ", ".join(f"{v:.1f}" for v in lab)
