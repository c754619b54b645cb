"""What the commands of the drying coat share: options of a coat, its board and its air, and words.

The options stand here, and the functions that turn them into what the model takes; whatever was
assumed on the way is told with the answer.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, TypeVar

import click

from lacwright.cli.show import CUT, LENGTH, RH, TEMPERATURE, Quantity
from lacwright.drying import words
from lacwright.figures import Figure, Learned, Refusal
from lacwright.figures import units as u
from lacwright.figures.spoken import trimmed

if TYPE_CHECKING:
    from lacwright.climate import Air
    from lacwright.drying import Board
    from lacwright.figures import Hand
    from lacwright.files.stated_coat import StatedCoat

F = TypeVar("F", bound=Callable[..., Any])
Own = Mapping[str, Figure | Learned]
AFTER_HAZE = f"If it whitens: {words.AFTER_HAZE[0].lower()}{words.AFTER_HAZE[1:]}"


class Speed(click.ParamType[float]):
    """An option that takes a speed of air: "0.1 m/s", still, draught."""

    name = "speed"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """Read the text; raise Refusal with the option's name."""
        from lacwright.files.coat_words import read_speed

        return value if isinstance(value, float) else read_speed(value, "--air")

    def get_metavar(self, param: click.Parameter, ctx: click.Context | None = None) -> str:
        """Return an example as the placeholder of the help."""
        return '"0.1 m/s"'


class Kelvin(click.ParamType[float]):
    """An option that takes a difference of temperature: 2, "2 K", "2 C", "3.6 F"."""

    name = "kelvin"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """Read the text; raise Refusal with the option's name."""
        from lacwright.files.coat_words import read_kelvin

        where = param.opts[0] if param else "difference"
        return value if isinstance(value, float) else read_kelvin(value, where)

    def get_metavar(self, param: click.Parameter, ctx: click.Context | None = None) -> str:
        """Return an example as the placeholder of the help."""
        return '"2 K"'


KELVIN = Kelvin()


class _Film(Quantity):
    """A wet film as it lies there, or as what lies on an area."""

    def __init__(self) -> None:
        super().__init__(u.FILM)

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """Read the text; raise Refusal with the option's name."""
        from lacwright.files.coat_words import read_film

        where = param.opts[0] if param else "--wet"
        return value if isinstance(value, float) else read_film(value, where)


_COAT: tuple[Callable[[Any], Any], ...] = (
    click.option("--method", help="How it is laid: brush, pad, ... Its usual wet film and cut "
                 "stand in for what is not given."),
    click.option("--wet", "wet_um", type=_Film(), help="Wet film as it lies there: '100 um', "
                 "'4 mil', '100 ml/m2', '400 sqft/gal'."),
    click.option("--cut", type=CUT, help="Cut of the mix [the method's]."),
    click.option("--alcohol", help='A name ("ethanol-190") or "ethanol 85, methanol 10, water 5" '
                 'by weight, "vol: ..." by volume.'),
)  # fmt: skip
_BOARD: tuple[Callable[[Any], Any], ...] = (
    click.option("--board", help="Wood below it, or glass, steel, paper [maple]."),
    click.option("--thickness", "thickness_mm", type=LENGTH, help='Of the board ["20 mm"].'),
    click.option("--free-both-sides", is_flag=True, help="Air reaches its back: a thin plate."),
    click.option("--length", "length_mm", type=LENGTH,
                 help='Of the face, along the air ["300 mm"].'),
    click.option("--vertical", is_flag=True, help="The face stands upright."),
    click.option("--board-temp", "board_c", type=TEMPERATURE, help="Of the board [the room's]."),
)  # fmt: skip
_ROOM: tuple[Callable[[Any], Any], ...] = (
    click.option("--temp", "temp_c", type=TEMPERATURE, required=True, help="Of the room."),
    click.option("--rh", type=RH, required=True, help="Relative humidity: '45 %' or 0.45."),
)
_SPEED: tuple[Callable[[Any], Any], ...] = (
    click.option("--air", "speed_m_s", type=Speed(),
                 help="Speed of the air over the work: a number, still or draught [still]."),
    click.option("--vapour", multiple=True, help="Vapour already in the room, 'ethanol 500 ppm' "
                 "or 'ethanol 50 Pa'."),
)  # fmt: skip
_HAND = click.option("--hand", "hand_file", metavar="FILE",
                     help="Own figures: a file with [hand].")  # fmt: skip


def _adding(options: Sequence[Callable[[Any], Any]]) -> Callable[[F], F]:
    def add(command: F) -> F:
        return functools.reduce(lambda made, option: option(made), reversed(options), command)

    return add


coat_options = _adding(_COAT)
"""--method --wet --cut --alcohol, as `method`, `wet_um`, `cut`, `alcohol`."""
board_options = _adding(_BOARD)
"""--board --thickness --free-both-sides --length --vertical --board-temp, for `stated_board`."""
room_options = _adding(_ROOM)
"""--temp --rh, as `temp_c`, `rh`; an hour table has them in its rows."""
speed_options = _adding(_SPEED)
"""--air --vapour, as `speed_m_s`, `vapour`."""
hand_option = _adding((_HAND,))
"""--hand, as `hand_file`, for `own_of`."""


def stated_coat(
    *, method: str | None, wet_um: float | None, cut: float | None, alcohol: str | None,
    own: Own | None = None,
) -> StatedCoat:  # fmt: skip
    """Turn the options of a coat into the model's coat; see `files.stated_coat`."""
    from lacwright.files.stated_coat import stated_coat as stated
    from lacwright.solution import read_alcohol

    if alcohol is None:
        raise Refusal("--alcohol", "it is not said, and how a coat dries hangs on it",
                      "name it: see `lacwright names alcohols`")  # fmt: skip
    try:
        return stated(method=method, wet_um=wet_um, cut=cut, alcohol=read_alcohol(alcohol),
                      own=own)  # fmt: skip
    except Refusal as refusal:
        raise refusal.at(_OPTION.get(refusal.where, refusal.where)) from None


def stated_board(
    *, board: str | None, thickness_mm: float | None, free_both_sides: bool = False,
    length_mm: float | None = None, vertical: bool = False, board_c: float | None = None,
) -> tuple[Board, tuple[str, ...]]:  # fmt: skip
    """Turn the options of a board into the model's, with what was assumed."""
    from lacwright.files.stated_coat import stated_board as stated

    length = {} if length_mm is None else {"length_m": length_mm / 1000}
    try:
        return stated(wood=board, thickness_mm=thickness_mm, free_both_sides=free_both_sides,
                      vertical=vertical, temp_c=board_c, **length)  # fmt: skip
    except Refusal as refusal:
        raise refusal.at(_OPTION.get(refusal.where, refusal.where)) from None


_OPTION = {
    "alcohol": "--alcohol", "method": "--method", "wet": "--wet", "cut": "--cut",
    "board": "--board", "thickness of the board": "--thickness",
    "length of the face": "--length", "temperature of the board": "--board-temp",
}  # fmt: skip


def stated_air(
    *, temp_c: float, rh: float, speed_m_s: float | None, vapour: Sequence[str] = ()
) -> tuple[Air, tuple[str, ...]]:
    """Turn the options of the air into the model's, with what was assumed."""
    from lacwright.climate import Air
    from lacwright.files.coat_words import read_vapours
    from lacwright.files.stated_coat import extrapolated, stated_speed

    speed, assumed = stated_speed(speed_m_s)
    assert isinstance(speed, float)
    assumed = (*assumed, *extrapolated(temp_c))
    return Air(None, temp_c, rh, speed, read_vapours(vapour, temp_c=temp_c)), assumed


def own_of(hand_file: str | None) -> dict[str, Figure | Learned]:
    """Return the own figures of a hand file, none without one."""
    if hand_file is None:
        return {}
    from lacwright.files.own import read_hand

    return dict(read_hand(hand_file).own)


def own_with_record(
    hand_file: str | None, *, home: str | None, no_record: bool
) -> tuple[dict[str, Figure | Learned], tuple[str, ...]]:  # fmt: skip
    """Return the own figures, and the names of those of the drying coat that the record gave.

    The hand file goes before the record; of the record only the constants of the drying coat are
    taken.
    """
    from lacwright.cli.plan_made import what_record_has
    from lacwright.drying import own_constants

    own = own_of(hand_file)
    link = what_record_has(home, no_record=no_record, day=None)
    if isinstance(link, str):
        return own, ()
    kept = {name: one for name, one in own_constants(link.own).items() if name not in own}
    return {**kept, **own}, tuple(kept)


def hand_of(own: Own) -> Hand:
    """Return what of the own figures the model of the drying coat takes."""
    from lacwright.drying import own_constants

    return own_constants(own)


def ready_model() -> None:
    """Compile the model if that is due, with a line on stderr before it begins."""
    from lacwright.drying import compile_now

    compile_now(lambda words: click.echo(f"{words} ...", err=True))


def duration(seconds: float) -> str:
    """Return a time as people say it: "55 s", "9 min", "1.5 h", "3 days"."""
    if seconds < 90:
        return f"{seconds:.0f} s"
    if seconds < 90 * 60:
        return f"{seconds / 60:.0f} min"
    if seconds < 48 * 3600:
        return f"{trimmed(seconds / 3600, 2)} h"
    return f"{trimmed(seconds / 86400, 2)} days"
