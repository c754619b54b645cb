"""Which coats an hour table judges: one by options, those of a plan, or none but an own rule."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from lacwright.cli import dry_common as common
from lacwright.drying import Planned, Rule, Task
from lacwright.figures import Refusal

if TYPE_CHECKING:
    from lacwright.plan.judged import Wanted

COAT = ("method", "wet_um", "cut", "alcohol", "after", "board", "thickness_mm", "length_mm")
OPTIONS = {"wet_um": "--wet", "thickness_mm": "--thickness", "length_mm": "--length"}


def coat_keys(wanted: Wanted) -> list[dict[str, Any]]:
    """Return the coats as plain data."""
    return [
        {"name": c.name, "method": c.task.coat.method, "wet_um": c.task.coat.wet_um,
         "cut_lb_per_gal": c.task.coat.cut_lb_per_gal, "board": c.task.board.wood,
         "thickness_mm": c.task.board.thickness_mm,
         "below": [{"wet_um": x.coat.wet_um, "age_s": x.age_s} for x in c.task.under]}
        for c in wanted.coats
    ]  # fmt: skip


def wanted(
    *, rule: Rule, piece_file: str | None, method: str | None, wet_um: float | None,
    cut: float | None, alcohol: str | None, after: tuple[str, ...], board: str | None,
    thickness_mm: float | None, free_both_sides: bool, length_mm: float | None, vertical: bool,
    board_c: float | None, hand_file: str | None, home: str | None, no_record: bool,
    **_: Any,
) -> Wanted:  # fmt: skip
    """Return what the options ask for.

    Raises
    ------
    Refusal
        For a piece and a coat at once; neither, where no own chill stands in for the model; an
        alcohol of unknown composition.
    """
    said = {"method": method, "wet_um": wet_um, "cut": cut, "alcohol": alcohol,
            "after": after or None, "board": board, "thickness_mm": thickness_mm,
            "length_mm": length_mm}  # fmt: skip
    given = [OPTIONS.get(k, "--" + k) for k in COAT if said[k] is not None]
    if piece_file is not None:
        if given:
            raise Refusal("--piece", f"{given[0]} is given as well",
                          "the piece file says it: leave one of the two out")  # fmt: skip
        return _of_piece(piece_file, rule, hand_file, home, no_record)
    if not any(said[k] is not None for k in COAT[:5]):
        if rule.chill_k is None:
            raise Refusal("--piece", "neither a piece nor a coat is given",
                          "name one, or --method and --alcohol, or --own-chill")  # fmt: skip
        return _without_coat()
    own, of_record = common.own_with_record(hand_file, home=home, no_record=no_record)
    made = _by_options(rule, own, method=method, wet_um=wet_um, cut=cut, alcohol=alcohol,
                       after=after, board={
                           "board": board, "thickness_mm": thickness_mm, "length_mm": length_mm,
                           "free_both_sides": free_both_sides, "vertical": vertical,
                           "board_c": board_c,
                       })  # fmt: skip
    return replace(made, of_record=of_record) if made.coats else made


def _without_coat() -> Wanted:
    from lacwright.plan.judged import Wanted, told_with, with_slow
    from lacwright.solution import NOT_STATED

    cautions, stops = told_with(NOT_STATED)
    return Wanted((), (), {}, (), with_slow(cautions), stops)


def _by_options(
    rule: Rule, own: common.Own, *, method: str | None, wet_um: float | None,
    cut: float | None, alcohol: str | None, after: tuple[str, ...], board: dict[str, Any],
) -> Wanted:  # fmt: skip
    from lacwright.files.coat_words import read_below
    from lacwright.plan.judged import Wanted, told_with, with_slow
    from lacwright.solution import read_alcohol

    unknown = alcohol is not None and read_alcohol(alcohol).parts is None
    if unknown and alcohol is not None and rule.chill_k is not None:
        # The maker's rule judges without the model; what is in the can stands as a stop.
        cautions, stops = told_with(read_alcohol(alcohol), method="")
        why = "the composition of its alcohol is unknown, and how it dries hangs on what it is"
        return Wanted((), ((method or "coat", why),), {}, (), with_slow(cautions), stops)
    stated = common.stated_coat(method=method, wet_um=wet_um, cut=cut, alcohol=alcohol, own=own)
    on, of_board = common.stated_board(**board)
    under = read_below(after, coat=stated.coat, own=own)
    name = f"{stated.method or 'coat'}, {stated.coat.wet_um:.0f} um on {on.wood}"
    cautions, stops = told_with(stated.alcohol, method=stated.method)
    return Wanted((Planned(name, Task(stated.coat, under, on)),), (), common.hand_of(own),
                  (*stated.assumed, *of_board), with_slow(cautions), stops)  # fmt: skip


def _of_piece(
    piece_file: str, rule: Rule, hand_file: str | None, home: str | None, no_record: bool
) -> Wanted:
    import datetime as dt

    from lacwright.cli.plan_made import Asked, made_plan, what_record_has
    from lacwright.drying import own_constants
    from lacwright.plan.judged import of_plan

    link = what_record_has(home, no_record=no_record, day=None)
    made = made_plan(Asked(piece_file, dt.date.today(), hand_file, draws=0), link)
    wanted = of_plan(made.plan)
    if not wanted.coats and not wanted.silent:
        raise Refusal("--piece", "its plan lays no coat", "add a coat, or name one by options")
    if not wanted.coats and rule.chill_k is None:
        what, why = wanted.silent[0]
        raise Refusal(
            "--piece", f"the model says nothing of its coats: {what}: {why}",
            "give your own measured chill with --own-chill, or a coat by options",
        )  # fmt: skip
    assumed = () if made.line is None else (made.line,)
    kept = {} if isinstance(link, str) else own_constants(link.own)
    # What the piece file or a hand file says goes before the record.
    of_record = tuple(name for name, one in kept.items() if wanted.hand.get(name) == one)
    return replace(wanted, assumed=assumed, of_record=of_record)
