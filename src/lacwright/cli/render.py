"""`lacwright render`: a photograph of the bare board under each grade and number of coats."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from lacwright.cli import colour_options as common
from lacwright.cli.dry_common import hand_option
from lacwright.cli.plan_made import own_of_record, record_options
from lacwright.cli.show import CUT, Quantity, brief, emit, json_option
from lacwright.figures import Refusal
from lacwright.figures import units as u

if TYPE_CHECKING:
    from lacwright.colour import Bare, Viewing
    from lacwright.figures import Figure
    from lacwright.files.board_photo import BoardPhoto, Shown
    from lacwright.files.photo_file import Photo

SCHEMA = "lacwright.render/1"
LOAD = Quantity(u.LOAD)
MOST_PICTURES = 60
PANEL_POINTS, ROW_POINTS = 24_000_000, 4_000_000
"""A panel is looked at whole: it and each of its rows are made no larger."""


@click.command()
@click.argument("photo", metavar="PHOTO")
@click.option("--grade", "grades", multiple=True, required=True,
              help="Grade of lac; several for a picture of each.")  # fmt: skip
@click.option("--coats", multiple=True, type=click.IntRange(1, 60), required=True,
              help="Number of coats; several for a picture of each.")  # fmt: skip
@click.option("-o", "--out", required=True, metavar="FILE",
              help="JPEG or PNG; of several, grade and coats are added to its name.")  # fmt: skip
@click.option("--load", "load_g_m2", type=LOAD, help="Dry lac that one coat leaves: '3.5 g/m2'.")
@click.option("--method", help="In place of a load: how a coat is laid [brush].")
@click.option("--cut", type=CUT, help="With a method: cut of the mix [the method's].")
@click.option("--wood", help="Its wood, for how it takes a film; the colour is the photo's.")
@click.option("--bare", "bare_lab", metavar="L,a,b",
              help="Measured colour of this bare board: the photo is brought to it.")  # fmt: skip
@click.option("--light", help="With --bare: D65, D50, A, C or LED-B3 [D65].")
@click.option("--observer", help="With --bare: 2 or 10 degrees [2].")
@click.option("--card", metavar="CORNERS", help="Corners of a 24-patch reference card in the "
              "photo: '0.1,0.1 0.3,0.1 0.3,0.2 0.1,0.2', shares of width and height, clockwise "
              "from the dark brown patch.")  # fmt: skip
@click.option("--mask", "marked", metavar="AREA", help="Where the board is; the rest stays: "
              "'left,top,right,bottom' or corners as shares, or a picture that is white "
              "there.")  # fmt: skip
@click.option("--panel", is_flag=True,
              help="One step panel: bands bare, 1 to --coats coats; grades as rows.")  # fmt: skip
@hand_option
@record_options
@json_option
def render(
    photo: str, grades: tuple[str, ...], coats: tuple[int, ...], out: str,
    load_g_m2: float | None, method: str | None, cut: float | None, wood: str | None,
    bare_lab: str | None, light: str | None, observer: str | None, card: str | None,
    marked: str | None, panel: bool, hand_file: str | None, home: str | None,
    no_record: bool, as_json: bool,
) -> None:  # fmt: skip
    """Show a photo of the bare board under each grade and number of coats.

    PHOTO is JPEG, PNG or HEIC. Its place, time and camera are not written into the pictures, and
    a picture of a grade that is known by its name alone says so across it. Without a card in the
    photo or a measured colour of the board, its colours are those that the camera took.

    Example: lacwright render board.jpg --wood maple --grade amber --coats 4 -o board-amber.jpg
    """
    from lacwright.colour import grade_for
    from lacwright.files.board_photo import board_photo
    from lacwright.files.photo_file import check_out, read_photo
    from lacwright.files.photo_marks import read_board, read_corners

    if panel and len(coats) > 1:
        raise Refusal("--coats", "a panel goes from bare to one number of coats", "give it once")
    check_out(out, "-o", photo)
    mine = common.taken(hand_file, own_of_record(home, no_record=no_record))
    own = mine.own
    lacs = [grade_for(name, own) for name in dict.fromkeys(grades)]
    lacs = list({lac.name: lac for lac in lacs}.values())
    if len(lacs) * len(set(coats)) > MOST_PICTURES:
        raise Refusal("--grade", f"{len(lacs) * len(set(coats))} pictures in one go",
                      f"ask for {MOST_PICTURES} at most")  # fmt: skip
    coat, usual = common.stated_coat(load_g_m2, method, cut, mine)
    lab, viewing = _reading(bare_lab, light, observer)
    corners = None if card is None else read_corners(card, "--card")
    within = min(ROW_POINTS, PANEL_POINTS // len(lacs)) if panel else None
    taken = read_photo(photo, within=within)
    board = board_photo(
        taken, lab=lab, viewing=viewing, card=corners, wood=_wood(wood, own),
        board=None if marked is None else read_board(marked, taken.width, taken.height),
    )  # fmt: skip
    films = [board.shown(lac, n, coat.number()) for lac in lacs for n in dict.fromkeys(coats)]
    if panel:
        files = [_write_panel(board, films, coat.number(), out)] * len(films)
    else:
        files = _write_pictures(board, films, out)
    _tell(board, films, files, coat, photo=photo, taken=taken, wood=wood, panel=panel,
          method=usual, of_record=mine.used((lac.name for lac in lacs), common.wood_name(wood),
                                           measured=True), as_json=as_json)  # fmt: skip


def _wood(wood: str | None, own: Any) -> Bare | None:
    from lacwright.colour import bare_for

    return None if wood is None else bare_for(wood, own)


def _reading(
    text: str | None, light: str | None, observer: str | None
) -> tuple[list[float] | None, Viewing | None]:
    if text is None:
        if light is not None or observer is not None:
            raise Refusal("--light" if light is not None else "--observer",
                          "it belongs to a measured colour", "give --bare as well")  # fmt: skip
        return None, None
    from lacwright.colour import viewing_of

    try:
        lab = [float(part) for part in text.split(",")]
    except ValueError:
        lab = []
    if len(lab) != 3:
        raise Refusal("--bare", f"'{text}' is no colour", "write L*, a*, b* as in '72,6.5,19'")
    return lab, viewing_of(illuminant=light or "D65", observer=observer or 2)


def _write_pictures(board: BoardPhoto, films: list[Shown], out: str) -> list[str]:
    from lacwright.files.photo_file import image_of, write_picture
    from lacwright.files.photo_words import across

    files = []
    for film in films:
        name = out if len(films) == 1 else _named(out, film)
        image = image_of(board.pixels(film))
        write_picture(name, across(image, film.across) if film.across else image)
        files.append(name)
    return files


def _named(out: str, film: Shown) -> str:
    file = Path(out)
    return str(file.with_name(f"{file.stem}-{film.grade.name}-{film.coats}{file.suffix}"))


def _write_panel(board: BoardPhoto, films: list[Shown], coat_g_m2: float, out: str) -> str:
    from lacwright.files.photo_file import write_picture
    from lacwright.files.photo_words import Row, panel_image

    rows = []
    for film in films:
        pixels, edges = board.bands(film.grade, film.coats, coat_g_m2)
        bands = ("bare", *(str(n) for n in range(1, film.coats + 1)))
        rows.append(Row(f"{film.grade.name}, 0 to {film.coats} coats of {brief(coat_g_m2)} g/m2",
                        bands, edges, pixels, film.across_bands))  # fmt: skip
    write_picture(out, panel_image(rows, [f"{c.text}." for c in board.cautions(films)]))
    return out


def _tell(
    board: BoardPhoto, films: list[Shown], files: list[str], coat: Figure, *, photo: str,
    taken: Photo, wood: str | None, panel: bool, method: str | None, of_record: tuple[str, ...],
    as_json: bool,
) -> None:  # fmt: skip
    from lacwright.colour import PHOTO, hex_of_lab

    pictures = [
        {"file": file, "grade": film.grade.name, "coats": film.coats,
         "load_g_m2": film.load_g_m2, "lab": list(film.lab), "hex": film.hex,
         "words": film.words, "de00_band": [film.claim.typical, film.claim.most],
         "basis": film.basis, "says": film.claim.words, "guessed": film.guessed,
         "mark": str(film.mark), "source": film.grade.source}
        for film, file in zip(films, files, strict=True)
    ]  # fmt: skip
    keys: dict[str, Any] = {
        "photo": photo, "kind": taken.kind, "width_px": taken.width, "height_px": taken.height,
        "wood": wood, "method": method, "load_per_coat_g_m2": coat.number(), "panel": panel,
        "light": board.light, "viewing": PHOTO.as_json(),
        "card_de00": None if board.fit is None else board.fit.mean_de00,
        "board": {"share": board.palette.board_share, "lab": list(board.lab),
                  "hex": hex_of_lab(board.lab, PHOTO),
                  "overexposed_share": board.palette.clipped_share},
        "pictures": pictures, "from_record": list(of_record), "notes": list(board.notes),
    }  # fmt: skip
    missing = {}
    if wood is None:
        missing["wood"] = "not said: skin and wetting are those of any wood"
    if method is None:
        missing["method"] = "a load was given"
    if board.fit is None:
        missing["card_de00"] = "no card in the photo"
    lines = [*_lines(board, films, files, coat, panel), *common.record_note(of_record)]
    emit(schema=SCHEMA, keys=keys, missing=missing, lines=lines,
         figures={"load_per_coat_g_m2": coat}, cautions=board.cautions(films),
         as_json=as_json)  # fmt: skip


def _lines(
    board: BoardPhoto, films: list[Shown], files: list[str], coat: Figure, panel: bool
) -> list[str]:
    first = films[-1] if panel else films[0]
    more = "" if len(films) == 1 else f"; {len(films)} {'rows' if panel else 'pictures'}"
    lines = [f"{first.called[0].upper()}{first.called[1:]}: {first.words}{more}."]
    for film, file in zip(films, files, strict=True):
        lines.append(f"{'Row' if panel else 'Picture':<9} {film.called}: {film.words}"
                     + ("" if panel else f": {file}"))  # fmt: skip
    sure: dict[str, list[str]] = {}
    for film in films:
        sure.setdefault(_sure(film), []).append(film.grade.name)
    for words, names in sure.items():
        of = f"{', '.join(dict.fromkeys(names))}: " if len(sure) > 1 else ""
        lines.append(f"{'Sure':<9} {of}{words}")
    if panel:
        lines.append(f"{'Panel':<9} {files[0]}: bare, then 1 to {films[0].coats} coats")
    lines.append(f"{'Coat':<9} {_told(coat)}")
    lines.append(f"{'Board':<9} {board.light}, {board.palette.board_share:.0%} of the photo")
    lines += [f"{'Photo':<9} {note}" for note in board.notes]
    return lines


def _sure(film: Shown) -> str:
    guess = "a guess, said across it; " if film.guessed else ""
    return (f"{guess}{film.claim.words} ({film.basis}); half lie within "
            f"{brief(film.claim.typical)} dE00, most within {brief(film.claim.most)} "
            f"({film.claim.mark})")  # fmt: skip


def _told(coat: Figure) -> str:
    told = f"{brief(coat.number())} g/m2 of dry lac"
    if coat.low is None or coat.high is None or coat.low == coat.high:
        return f"{told}, as you say"
    return (f"{told} ({brief(coat.low)} to {brief(coat.high)}), the usual coat: {coat.mark}; "
            "give --load if yours is weighed")  # fmt: skip
