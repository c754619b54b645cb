"""`lacwright look`: what a wood looks like under so many coats, grades side by side."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import click

from lacwright.cli import colour_options as common
from lacwright.cli.dry_common import hand_option
from lacwright.cli.plan_made import own_of_record, record_options
from lacwright.cli.plot_file import check_plot, write_plot
from lacwright.cli.show import SHARE, counted, emit, json_option
from lacwright.figures import Refusal

if TYPE_CHECKING:
    from lacwright.colour import Bare, GradeColour, Look, Step, Viewing
    from lacwright.figures import Caution, Figure

SCHEMA = "lacwright.look/1"
MOST_COATS, MOST_FILMS = 60, 12
STRENGTHS = {"mass": "20 % by mass", "volume": "20 % by volume"}


@dataclass(frozen=True)
class Film:
    """One blend of the answer."""

    blend: dict[str, float]
    grades: tuple[GradeColour, ...]
    called: str
    look: Look
    strip: tuple[Step, ...]


@click.command()
@common.wood_options
@click.option("--grade", "blends", multiple=True, help="Grade of lac, or a blend: 'amber 70 % + "
              "garnet 30 %'; again for more side by side.")  # fmt: skip
@click.option("--coats", type=click.IntRange(1, MOST_COATS), help="Number of coats.")
@click.option("--plan", "piece_file", metavar="PIECE.toml",
              help="Wood, grades and lac of every part as a plan leaves them, in place of "
              "these.")  # fmt: skip
@common.coat_options
@click.option("--steps", is_flag=True, help="Also a strip: bare, then every coat.")
@click.option("--gardner", type=float, help="Gardner number of the 20 % solution of the lac at "
              "hand, in place of what its name stands for.")  # fmt: skip
@click.option("--solution", type=click.Choice(list(STRENGTHS)),
              help="With --gardner: 20 % by mass, or 20 g in 100 ml (volume) [mass].")  # fmt: skip
@click.option("--wax", "wax_share", type=SHARE, help="Wax in the film: '4 %', 0 where it was "
              "decanted [what each grade usually holds].")  # fmt: skip
@common.viewing_options
@click.option("--plot", metavar="FILE.svg", help="Draw the strips: grades as rows.")
@hand_option
@record_options
@json_option
def look(
    wood: str | None, bare: str | None, blends: tuple[str, ...], coats: int | None,
    piece_file: str | None, load_g_m2: float | None, method: str | None, cut: float | None,
    steps: bool, gardner: float | None, solution: str | None, wax_share: float | None,
    illuminant: str | None, observer: str | None, geometry: str | None, plot: str | None,
    hand_file: str | None, home: str | None, no_record: bool, as_json: bool,
) -> None:  # fmt: skip
    """What a wood looks like under coats of a grade or a blend, with how sure that is.

    Where a record exists, its own figures are used. With --plan every part of the piece is a row:
    what is left on its flats after soak-in, sanding and rubbing.

    Example: lacwright look --wood maple --grade amber --coats 4 --load "3.5 g/m2"
    """
    check_plot(plot)
    if piece_file is not None:
        from lacwright.cli.look_plan import look_of_plan

        _not_with_plan({
            "--wood": wood, "--grade": blends or None, "--coats": coats, "--load": load_g_m2,
            "--method": method, "--cut": cut, "--gardner": gardner, "--solution": solution,
            "--steps": steps or None, "--plot": plot,
        })  # fmt: skip
        look_of_plan(
            piece_file, bare=bare, wax_share=wax_share, hand_file=hand_file, home=home,
            seen=common.stated_viewing(illuminant, observer, geometry), no_record=no_record,
            as_json=as_json,
        )  # fmt: skip
        return
    if coats is None:
        raise Refusal("--coats", "how many coats is not said", "write e.g. --coats 4")
    mine = common.taken(hand_file, own_of_record(home, no_record=no_record))
    own = mine.own
    viewing, assumed = common.stated_viewing(illuminant, observer, geometry)
    board = common.stated_wood(wood, bare, viewing, own)
    coat, usual = common.stated_coat(load_g_m2, method, cut, mine)
    if not blends and gardner is None:
        raise Refusal("--grade", "no grade is named", "write e.g. --grade amber")
    if len(blends) > MOST_FILMS:
        raise Refusal("--grade", f"{len(blends)} films", f"ask for {MOST_FILMS} at most")
    notes = [f"assumed: {one}" for one in assumed]
    if solution is not None and gardner is None:
        raise Refusal("--solution", "it belongs to a Gardner number", "give --gardner as well")
    if gardner is not None and solution is None:
        notes.append("assumed: the solution held 20 % by mass; say --solution volume if it was "
                     "20 g in 100 ml")  # fmt: skip
    films = [
        _film(shares, lacs, coat, board, viewing, coats, wax_share, strip=steps or plot is not None)
        for shares, lacs in _lacs(blends, gardner, solution, own)
    ]
    if plot is not None:
        write_plot(plot, _drawn(films, board, coat))
    _tell(
        films,
        board,
        viewing,
        coat,
        usual,
        coats,
        notes,
        steps=steps,
        plot=plot,
        cautions=_cautions(films, board, wax_share, coats * coat.number()),
        of_record=mine.used((g.name for film in films for g in film.grades),
                            common.wood_name(wood), measured=bare is not None, viewing=viewing),
        as_json=as_json,
    )  # fmt: skip


def _not_with_plan(said: Mapping[str, Any]) -> None:
    for option, value in said.items():
        if value is not None:
            raise Refusal(option, "the plan says what lies on each part",
                          "leave one of the two out")  # fmt: skip


def _lacs(
    blends: Sequence[str], gardner: float | None, solution: str | None, own: common.Own
) -> list[tuple[dict[str, float], list[GradeColour]]]:
    """Return every blend by name of its grades, and the grades."""
    from lacwright.files.colour_words import read_blend

    out: list[tuple[dict[str, float], list[GradeColour]]] = []
    for text in blends:
        said = read_blend(text, "--grade")
        lacs = common.find_grades(list(said), own)
        if len(lacs) < len(said):
            raise Refusal("--grade", f"'{text}' names a grade twice", "add its shares up")
        out.append((dict(zip((g.name for g in lacs), said.values(), strict=True)), lacs))
    if gardner is None:
        return out
    if len(out) > 1 or (out and len(out[0][1]) > 1):
        raise Refusal("--gardner", "it is the number of one lac", "name one grade, or none")
    named = out[0][1][0] if out else None
    made = _of_gardner(gardner, solution, named)
    return [({made.name: 1.0}, [made])]


def _of_gardner(number: float, solution: str | None, named: GradeColour | None) -> GradeColour:
    from lacwright.colour import grade_of_gardner

    made = grade_of_gardner(number, STRENGTHS[solution or "mass"], where="--gardner",
                            name=f"{named.name}, Gardner {number:g}" if named else "")  # fmt: skip
    if named is None:
        return made
    return replace(made, haze_per_g_m2=named.haze_per_g_m2, haze_ln_sd=named.haze_ln_sd)


def _film(
    blend: dict[str, float], lacs: Sequence[GradeColour], coat: Figure, board: Bare,
    viewing: Viewing, coats: int, wax_share: float | None, *, strip: bool,
) -> Film:  # fmt: skip
    from lacwright.colour import look as predicted
    from lacwright.colour import steps as strip_of
    from lacwright.files.colour_words import blend_words

    each = [coat.number() * share for share in blend.values()]
    try:
        seen = predicted(
            bare=board, grades=lacs, loads_g_m2=[coats * x for x in each], viewing=viewing,
            wax_share=wax_share, load_ln_sd=common.load_ln_sd(coat),
        )  # fmt: skip
    except Refusal as refusal:
        raise refusal.at(f"--{refusal.where}") from None
    fields = strip_of(bare=board, grades=lacs, coat_g_m2=each, coats=coats, viewing=viewing,
                      wax_share=wax_share) if strip else ()  # fmt: skip
    return Film(blend, tuple(lacs), blend_words(blend), seen, fields)


def _cautions(
    films: Sequence[Film], board: Bare, wax_share: float | None, load_g_m2: float
) -> tuple[Caution, ...]:
    """Return what is not claimed, once for all films."""
    from lacwright.colour import cautions_of

    grades = {g.name: g for film in films for g in film.grades}
    return cautions_of(board, list(grades.values()), load_g_m2, wax_share)


def _drawn(films: Sequence[Film], board: Bare, coat: Figure) -> str:
    from lacwright.bench.charts.strip import Strip, strip_chart

    rows = [Strip(f"{f.called}, coats of {coat.number():.3g} g/m2", f.strip, f.look.claim.words)
            for f in films]  # fmt: skip
    return strip_chart(
        rows, f"{_capital(board.name)} under {' and '.join(f.called for f in films)}"
    )


def _tell(
    films: Sequence[Film], board: Bare, viewing: Viewing, coat: Figure, usual: str | None,
    coats: int, notes: Sequence[str], *, steps: bool, plot: str | None,
    cautions: Sequence[Caution], of_record: tuple[str, ...], as_json: bool,
) -> None:  # fmt: skip
    first = films[0].look
    keys: dict[str, Any] = {
        "wood": board.name, "viewing": viewing.as_json(), "bare_lab": list(first.bare_lab),
        "coats": coats, "load_per_coat_g_m2": coat.number(), "method": usual,
        "lab": list(first.lab), "srgb": list(first.srgb), "hex": first.hex,
        "de00_band": list(first.de00_band), "basis": first.basis, "words": first.words,
        "films": [film_keys(film, coats * coat.number()) for film in films],
        "strips": [
            {"blend": film.blend,
             "steps": [{"coats": s.coats, "called": s.called, "lab": list(s.lab),
                        "srgb": list(s.srgb), "hex": s.hex, "words": s.words}
                       for s in film.strip]}
            for film in films if steps
        ],
        "plan": None, "from_record": list(of_record), "plot": plot, "notes": list(notes),
    }  # fmt: skip
    missing = {"plan": "wood, grades and coats were named"}
    if usual is None:
        missing["method"] = "a load was given"
    if plot is None:
        missing["plot"] = "no drawing was asked for"
    emit(schema=SCHEMA, keys=keys, missing=missing, cautions=cautions,
         figures={"load_per_coat_g_m2": coat, **first.figures()}, as_json=as_json,
         lines=_lines(films, board, viewing, coat, usual, coats,
                      [*common.record_note(of_record), *(f"Note      {n}" for n in notes)],
                      steps, plot))  # fmt: skip


def film_keys(film: Film, load_g_m2: float) -> dict[str, Any]:
    """Return a film as plain data; `load_g_m2` is all of its lac."""
    seen = film.look
    return {
        "blend": film.blend,
        "load_g_m2": {n: load_g_m2 * share for n, share in film.blend.items()},
        "lab": list(seen.lab), "lab_low": list(seen.lab_low), "lab_high": list(seen.lab_high),
        "srgb": list(seen.srgb), "hex": seen.hex, "de00_band": list(seen.de00_band),
        "de00_from_bare": seen.de00_from_bare, "words": seen.words, "basis": seen.basis,
        "says": seen.claim.words, "mark": str(seen.mark), "source": seen.claim.source,
    }  # fmt: skip


def _lines(
    films: Sequence[Film], board: Bare, viewing: Viewing, coat: Figure, usual: str | None,
    coats: int, notes: Sequence[str], steps: bool, plot: str | None,
) -> list[str]:  # fmt: skip
    first = films[0]
    more = "" if len(films) == 1 else f"; {len(films)} films below"
    lines = [f"{_capital(board.name)} under {counted(coats, 'coat')} of {first.called}: "
             f"{first.look.words}{more}."]  # fmt: skip
    for film in films:
        lines += [f"Film      {film.called}: {film.look.words}", *sure_lines(film.look)]
        if steps:
            lines += [f"{_capital(s.called):<9} {s.words} ({s.hex})" for s in film.strip]
    lines += [
        f"Bare      {board.name}: L*, a*, b* {common.lab_words(first.look.bare_lab)}, "
        f"{board.source}",
        f"Coats     {common.coat_words(coat, usual)}",
        f"Seen      {viewing.words()}",
    ]
    return [*lines, *notes, *([f"Drawn     {plot}"] if plot else [])]


def sure_lines(seen: Look) -> list[str]:
    """Return how sure a colour is, and its numbers."""
    return [
        f"Sure      {common.sure_words(seen.claim, seen.de00_band)}",
        f"Colour    L*, a*, b* {common.lab_words(seen.lab)} "
        f"({common.lab_words(seen.lab_low)} to {common.lab_words(seen.lab_high)}); "
        f"{seen.de00_from_bare:.1f} dE00 from bare; on a screen {seen.hex}",
    ]


def _capital(words: str) -> str:
    return words[0].upper() + words[1:]
