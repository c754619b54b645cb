"""A plan as the commands make it: file, hand file, record; shared by `plan` and `job start`."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, TypeVar

import click

from lacwright.cli.show import DAY, DENSITY, TEMPERATURE

if TYPE_CHECKING:
    import datetime as dt

    from lacwright.figures import Refusal
    from lacwright.plan import Own, Piece, Plan, RoomSpec
    from lacwright.shop.plan_link import FromRecord, Used

F = TypeVar("F", bound=Callable[..., Any])

NONE_THERE = "there is no record"
LEFT_OUT = "it was left out"


def plan_options(command: F) -> F:
    """Add the options with which a plan is made."""
    for option in (
        click.option("--temp", type=TEMPERATURE, help="Of the shop, before the piece file's."),
        click.option("--density", type=DENSITY,
                     help="Density of the resin, before the piece file's."),
        click.option("--draws", type=click.IntRange(0, 100_000), default=2000, show_default=True,
                     help="Draws of the uncertain factors; 0 for the central case alone."),
        click.option("--seed", type=int, default=0, show_default=True,
                     help="Makes a run repeatable."),
        click.option("--by", type=DAY, help="Wished day, in place of the wish's."),
        click.option("--start", type=DAY, help="First day, in place of the wish's."),
        click.option("--hand", "hand_file", metavar="FILE",
                     help="Own figures: a file with [hand]."),
    ):  # fmt: skip
        command = option(command)
    return command


def record_options(command: F) -> F:
    """Add --home and --no-record to a command that takes what the record has."""
    for option in (
        click.option("--no-record", is_flag=True, help="Leave the record out."),
        click.option("--home", metavar="FOLDER", help="Folder of the shop (or LACWRIGHT_HOME)."),
    ):
        command = option(command)
    return command


@dataclass(frozen=True)
class Asked:
    """What a plan is made from."""

    piece_file: str
    today: dt.date
    hand_file: str | None = None
    start: dt.date | None = None
    by: dt.date | None = None
    seed: int = 0
    draws: int = 2000
    density: float | None = None
    temp: float | None = None
    room: RoomSpec | None = None  # before the piece file's


@dataclass(frozen=True)
class Made:
    """A plan, and what of the record went into it."""

    plan: Plan
    hand: tuple[Own, ...]  # own figures beside the piece file's
    record: FromRecord | None
    used: Used | None
    why: str  # why the record gave nothing

    @property
    def line(self) -> str | None:
        """What came from the record, in one line; None without one."""
        if self.record is None or self.used is None:
            return None
        return self.used.line(self.record.zone)

    def record_keys(self) -> tuple[dict[str, Any] | None, dict[str, str]]:
        """Return what came from the record as plain data, and the reason if there is none."""
        if self.record is None or self.used is None:
            return None, {"record": self.why}
        return self.used.as_json(self.record.zone), {}


def what_record_has(
    home: str | None, *, no_record: bool, day: dt.date | None
) -> FromRecord | str:  # fmt: skip
    """Return what the record offers, or why it offers nothing; nothing is made where there is none.

    Raises
    ------
    Refusal
        If there is a record that cannot be opened, or none in a folder that was named.
    """

    def read() -> FromRecord:
        from lacwright.shop.clock import now_us
        from lacwright.shop.plan_link import from_record

        return from_record(now_us=now_us(), day=day)

    return _of_record(home, read, no_record=no_record)


def own_of_record(home: str | None, *, no_record: bool) -> FromRecord | str:
    """Return the own figures of the record alone, or why there are none; see `what_record_has`."""

    def read() -> FromRecord:
        from lacwright.shop.plan_link import own_from_record

        return own_from_record()

    return _of_record(home, read, no_record=no_record)


def _of_record(
    home: str | None, read: Callable[[], FromRecord], *, no_record: bool
) -> FromRecord | str:  # fmt: skip
    from lacwright.figures import Refusal

    if no_record:
        if home is not None:
            raise Refusal("--no-record", "a folder of the record is named as well",
                          "leave one of the two out")  # fmt: skip
        return LEFT_OUT
    from lacwright.shop import find_home

    here = find_home(home)
    if home is None and not here.exists and not here.half_restored:
        return NONE_THERE
    from lacwright.cli.record_common import record

    try:
        with record(home):
            return read()
    except Refusal as refusal:
        raise Refusal(refusal.where, refusal.what,
                      f"{refusal.mend}; or leave it out with --no-record") from None  # fmt: skip


def made_plan(asked: Asked, link: FromRecord | str) -> Made:
    """Make a plan: the piece file first, then the hand file, then the record, then the default."""
    from lacwright.figures import Refusal, Refusals
    from lacwright.files.own import read_hand, with_hand
    from lacwright.files.piece import read_piece
    from lacwright.plan import make_plan

    record = None if isinstance(link, str) else link
    try:
        piece = read_piece(asked.piece_file, shelf=record.shelf if record else ())
    except Refusal as refusal:
        if link != LEFT_OUT:
            raise
        raise Refusals(_of_the_record(one) for one in (
            refusal.each if isinstance(refusal, Refusals) else (refusal,))) from None  # fmt: skip
    if asked.hand_file:
        piece = with_hand(piece, read_hand(asked.hand_file))
    piece = _with_options(piece, asked)
    hand: tuple[Own, ...] = ()
    whole = piece
    if record is not None:
        whole, hand = record.with_air(piece), (record.own_beside(piece.own),)
    plan = make_plan(whole, today=asked.today, hand=hand, start=asked.start, by=asked.by,
                     n=asked.draws, seed=asked.seed,
                     say=lambda line: click.echo(line, err=True))  # fmt: skip
    if record is None:
        return Made(plan, hand, None, None, str(link))
    from lacwright.shop.plan_link import used_by

    used = used_by(plan, record, piece)
    return Made(replace(plan, notes=(*plan.notes, *used.notes)), hand, record, used, "")


def _of_the_record(refusal: Refusal) -> Refusal:
    """Return the refusal of a name with what else may help: it may be one of the record's."""
    from lacwright.figures import Refusal

    if refusal.where.rpartition(", ")[2] not in ("alcohol", "lot", "jar", "grade"):
        return refusal
    return Refusal(refusal.where, refusal.what,
                   f"{refusal.mend}; or, if it stands on the shelf of the record, leave out "
                   "--no-record")  # fmt: skip


def _with_options(piece: Piece, asked: Asked) -> Piece:
    if asked.density is not None:
        piece = replace(piece, resin_density_g_ml=asked.density)
    if asked.temp is not None:
        piece = replace(piece, shop=replace(piece.shop, temp_c=asked.temp))
    if asked.room is not None:
        piece = replace(piece, room=asked.room.over(piece.room))
    return piece
