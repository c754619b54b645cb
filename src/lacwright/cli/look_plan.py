"""`lacwright look --plan`: what every part of a piece looks like under what a plan leaves on it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from lacwright.cli import colour_options as common
from lacwright.cli.look import SCHEMA, Film, film_keys, sure_lines
from lacwright.cli.plan_made import Asked, Made, made_plan, what_record_has
from lacwright.cli.show import brief, counted, emit
from lacwright.figures import Refusal

if TYPE_CHECKING:
    from lacwright.colour import Bare, GradeColour, Viewing
    from lacwright.figures import Caution
    from lacwright.plan import LacLeft

DRAWS = 256
"""Of the plan: they tell how well each load is known."""
FROM_PLAN = ("dry lac on the flats, all coats together, after soak-in, sanding and rubbing; what "
             "soaked in is not counted")  # fmt: skip
OF_LOADS = ("spread", "lost", "cut", "hand", "uses", "deposit", "passes", "absorption",
            "soak_start", "removal", "resin_density")  # fmt: skip
"""Own figures by family on which the loads of a plan hang."""
WITHOUT_COLOUR = ("give the colour of the bare board with --bare, where all parts are of one wood; "
                  "else look at the part by itself, without --plan")  # fmt: skip
SOAKS = "colour-soaks"
"""A caution about counting coats: a plan reckons what soaks in."""


@dataclass(frozen=True)
class Row:
    """A part, or faces of it."""

    left: LacLeft
    board: Bare
    film: Film


def look_of_plan(
    piece_file: str, *, bare: str | None, wax_share: float | None, hand_file: str | None,
    seen: tuple[Viewing, tuple[str, ...]], home: str | None, no_record: bool, as_json: bool,
) -> None:  # fmt: skip
    """Tell what every part looks like; see `look`."""
    from lacwright.plan import lac_left

    link = what_record_has(home, no_record=no_record, day=None)
    made = made_plan(Asked(piece_file, dt.date.today(), hand_file, draws=DRAWS), link)
    parts = [one for one in lac_left(made.plan) if one.coats]
    if not parts:
        raise Refusal("--plan", "nothing is laid in it", "give it a part and a mix")
    mine = common.Taken(made.plan.piece.own, made.hand[0] if made.hand else {})
    viewing, assumed = seen
    if bare is not None and len({one.wood for one in parts}) > 1:
        raise Refusal("--bare", "the parts of the plan are of several woods",
                      "leave it out: one colour is that of one board")  # fmt: skip
    notes = [f"assumed: {one}" for one in assumed]
    rows = _rows(parts, bare, wax_share, viewing, mine, notes)
    notes += [f"mix {mix.spec.name} is dyed, and no dye is reckoned here"
              for mix in made.plan.mixes if mix.spec.dye_ml_per_l]  # fmt: skip
    _tell(rows, made, piece_file, viewing, list(dict.fromkeys(notes)), wax_share=wax_share,
          colours=_colours(rows, mine, viewing, measured=bare is not None),
          as_json=as_json)  # fmt: skip


def _rows(
    parts: Sequence[LacLeft], bare: str | None, wax_share: float | None, viewing: Viewing,
    mine: common.Taken, notes: list[str],
) -> list[Row]:  # fmt: skip
    """Return what can be told; a part of which it cannot is a note, unless it is all of them."""
    rows, wrong = [], []
    for one in parts:
        try:
            rows.append(_row(one, bare, wax_share, viewing, mine, notes))
        except Refusal as refusal:
            wrong.append((one.called, refusal))
    if not rows:
        raise wrong[0][1]
    notes += [f"{part} is not told: {one.what}; {one.mend}" for part, one in wrong]
    return rows


def _row(
    left: LacLeft, bare: str | None, wax_share: float | None, viewing: Viewing,
    mine: common.Taken, notes: list[str],
) -> Row:  # fmt: skip
    from lacwright.colour import look
    from lacwright.files.colour_words import blend_words

    wood = None if left.wood == "unknown" else left.wood
    if wood is None and bare is None:
        raise Refusal("--plan", f"the wood of {left.part} is not said",
                      'write wood = "cherry" in its [[part]], or give --bare')  # fmt: skip
    try:
        board = common.stated_wood(wood, bare, viewing, mine.own)
    except Refusal as refusal:
        if refusal.where != "--wood":
            raise
        raise Refusal(f"--plan, {left.part}", refusal.what, WITHOUT_COLOUR) from None
    lacs, whole = [], left.g_m2
    blend: dict[str, float] = {}
    for one in left.grades:
        lac = _lac(one.grade, one.lot, left.part, mine.own)
        if one.dewaxed and wax_share is None and lac.haze_per_g_m2 > 0:
            lac = lac.with_wax(0)
            notes.append(f"{one.lot or lac.name}: no wax, as it is dewaxed")
        lacs.append(lac)
        blend[lac.name] = blend.get(lac.name, 0.0) + (one.g_m2 / whole if whole else 0.0)
    told = look(bare=board, grades=lacs, loads_g_m2=[one.g_m2 for one in left.grades],
                viewing=viewing, wax_share=wax_share, load_ln_sd=left.ln_sd)  # fmt: skip
    return Row(left, board, Film(blend, tuple(lacs), blend_words(blend), told, ()))


def _lac(grade: str, lot: str, part: str, own: common.Own) -> GradeColour:
    if not grade:
        raise Refusal("--plan", f"of which grade {lot or 'the lac'} on {part} is is not said",
                      'write grade = "amber" in its [[mix]] or [[lot]]')  # fmt: skip
    try:
        return common.find_grades([grade], own, "--plan")[0]
    except Refusal as refusal:
        raise Refusal(refusal.where, refusal.what,
                      "look at another grade with --grade, or give its Gardner number with "
                      "--gardner, in place of --plan") from None  # fmt: skip


def _colours(
    rows: Sequence[Row], mine: common.Taken, viewing: Viewing, *, measured: bool
) -> tuple[str, ...]:
    """Return the record's figures of colour that were taken."""
    names = [mine.used((g.name for g in row.film.grades), common.wood_name(row.left.wood),
                       measured=measured, viewing=viewing) for row in rows]  # fmt: skip
    return tuple(dict.fromkeys(name for some in names for name in some))


def _cautions(rows: Sequence[Row], wax_share: float | None) -> list[Caution]:
    """Return what is not claimed, each text once."""
    from lacwright.colour import cautions_of

    told = [one for row in rows
            for one in cautions_of(row.board, row.film.grades, row.left.g_m2,
                                   wax_share)
            if one.code != SOAKS]  # fmt: skip
    return list({one.text: one for one in told}.values())


def _tell(
    rows: Sequence[Row], made: Made, piece_file: str, viewing: Viewing, notes: Sequence[str], *,
    wax_share: float | None, colours: tuple[str, ...], as_json: bool,
) -> None:  # fmt: skip
    first, seen = rows[0], rows[0].film.look
    loads = [] if made.used is None else [
        name for name, _ in made.used.own if name.partition(".")[0] in OF_LOADS
    ]  # fmt: skip
    of_record = (*colours, *loads)
    why = "the plan says what each coat leaves"
    keys: dict[str, Any] = {
        "wood": first.board.name, "viewing": viewing.as_json(), "bare_lab": list(seen.bare_lab),
        "coats": first.left.coats, "load_per_coat_g_m2": None, "method": None,
        "lab": list(seen.lab), "srgb": list(seen.srgb), "hex": seen.hex,
        "de00_band": list(seen.de00_band), "basis": seen.basis, "words": seen.words,
        "films": [_keys(row) for row in rows], "strips": [],
        "plan": piece_file, "from_record": list(of_record), "plot": None, "notes": list(notes),
    }  # fmt: skip
    emit(schema=SCHEMA, keys=keys, figures=seen.figures(), as_json=as_json, stops=made.plan.stops,
         missing={"load_per_coat_g_m2": why, "method": why, "plot": "of a plan none is drawn"},
         lines=_lines(rows, piece_file, viewing, of_record, notes),
         cautions=_cautions(rows, wax_share))  # fmt: skip


def _keys(row: Row) -> dict[str, Any]:
    left = row.left
    return {"part": left.part, "faces": list(left.faces), "wood": row.board.name,
            "coats": left.coats, "bare_lab": list(row.film.look.bare_lab),
            **film_keys(row.film, left.g_m2)}  # fmt: skip


def _lines(
    rows: Sequence[Row], piece_file: str, viewing: Viewing, of_record: tuple[str, ...],
    notes: Sequence[str],
) -> list[str]:  # fmt: skip
    first = rows[0]
    more = "" if len(rows) == 1 else f"; {counted(len(rows), 'row')} below"
    lines = [f"{_capital(first.left.called)} in {first.board.name}, as {piece_file} plans it: "
             f"{first.film.look.words}{more}."]  # fmt: skip
    for row in rows:
        left = row.left
        film = f"{brief(left.g_m2)} g/m2 of {row.film.called}" if left.g_m2 > 0 else "no film"
        lines += [
            f"Part      {left.called}, {row.board.name}, {film} from "
            f"{counted(left.coats, 'coat')}: {row.film.look.words}",
            *sure_lines(row.film.look),
        ]
    boards = {row.board.name: row for row in rows}
    lines += [f"Bare      {name}: L*, a*, b* {common.lab_words(row.film.look.bare_lab)}, "
              f"{row.board.source}" for name, row in boards.items()]  # fmt: skip
    return [
        *lines,
        f"Plan      {piece_file}: {FROM_PLAN}",
        f"Seen      {viewing.words()}",
        *common.record_note(of_record),
        *(f"Note      {note}" for note in notes),
    ]


def _capital(words: str) -> str:
    return words[0].upper() + words[1:]
