"""A photograph of a bare board, ready to be shown under films: board, light, wood, what is sure.

Commands and pages ask here, so that both say the same of the same photograph.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from lacwright.colour import (
    BOARD,
    NAME,
    PHOTO,
    SPECIES,
    Bare,
    CardFit,
    Claim,
    Correction,
    GradeColour,
    Palette,
    Pixels,
    Prepared,
    Viewing,
    band_edges,
    bare_table,
    brought_to,
    cautions_of,
    claim_of,
    code_of_light,
    colour_words,
    difference_words,
    film_table,
    fit_card,
    hex_of_lab,
    lab_of_srgb,
    lab_under,
    light_of_code,
    measured_bare,
    paint,
    paint_bands,
    palette_of,
    prepare,
    read_patches,
    reference_card,
)
from lacwright.figures import Caution, Figure, Learned, Mark, Refusal, weakest
from lacwright.figures.spoken import counted
from lacwright.files.coat_words import usual_film
from lacwright.files.photo_file import Marked, Photo
from lacwright.film import reference_g_per_l
from lacwright.plan.own import OwnFigures
from lacwright.trade import table

Lab = tuple[float, float, float]

AS_SHOWN, BY_CARD, BY_READING = "photo as it is", "card in the photo", "measured colour"
"""How the light of a photograph was put right."""
GUESS = "A guess: {grade} by its name alone, {coats}; {claim}"


@dataclass(frozen=True, eq=False)
class BoardPhoto:
    """A photographed board.

    Parameters
    ----------
    palette : Palette
    prepared : Prepared
        Its colours, corrected.
    bare : Bare
        Its mean colour, and how its wood takes a film.
    light : str
        `AS_SHOWN`, `BY_CARD` or `BY_READING`.
    fit : CardFit or None
        Of the card.
    correction : Correction or None
    notes : tuple of str
        What was done, and what is to be known.
    """

    palette: Palette
    prepared: Prepared
    bare: Bare
    light: str
    fit: CardFit | None
    correction: Correction | None
    notes: tuple[str, ...]

    @property
    def lab(self) -> Lab:
        """Mean colour of the bare board."""
        return self.bare.lab

    def bare_pixels(self) -> Pixels:
        """Return the photograph without a coat, its light put right."""
        return paint(self.palette, bare_table(self.prepared))

    def pixels(self, film: Shown) -> Pixels:
        """Return the photograph under a film."""
        return paint(self.palette, self._table(film.grade, film.load_g_m2))

    def bands(self, grade: GradeColour, coats: int, coat_g_m2: float) -> tuple[Pixels, list[int]]:
        """Return the photograph in bands: bare, then 1 to so many coats; and their edges."""
        tables = [bare_table(self.prepared)]
        tables += [self._table(grade, n * coat_g_m2) for n in range(1, coats + 1)]
        edges = band_edges(self.palette.index.shape[1], len(tables))
        return paint_bands(self.palette, tables), edges

    def shown(self, grade: GradeColour, coats: int, coat_g_m2: float) -> Shown:
        """Return what a film looks like on the mean of the board, and what it rests on."""
        load = coats * coat_g_m2
        lab = lab_under(bare=self.bare, grades=[grade], loads_g_m2=np.array([load]), viewing=PHOTO)
        claim = claim_of(self.bare, [grade], np.array([load]))
        three = (float(lab[0]), float(lab[1]), float(lab[2]))
        return Shown(grade, coats, load, three, self.lab, claim, self.light,
                     weakest(self.bare.mark, grade.mark, claim.mark))  # fmt: skip

    def cautions(self, films: Sequence[Shown]) -> tuple[Caution, ...]:
        """Return what is not claimed of films on this board."""
        grades = list({film.grade.name: film.grade for film in films}.values())
        least = min(film.load_g_m2 for film in films)
        out = []
        for one in cautions_of(self.bare, grades, least, None):
            if one.code == "colour-remembered-wood":
                off = table("colour_photo")["photo.spread"].number("value")
                one = Caution("colour-photo-as-it-is", "The board is as the camera shows it, which "
                              f"may be off by about {off:g} (from memory): put a 24-patch card "
                              "beside it, or give its measured colour")  # fmt: skip
            out.append(one)
        return tuple(out)

    def _table(self, grade: GradeColour, load_g_m2: float) -> Pixels:
        return film_table(self.prepared, grades=[grade], loads_g_m2=[load_g_m2])


@dataclass(frozen=True, eq=False)
class Shown:
    """A film on a photographed board."""

    grade: GradeColour
    coats: int
    load_g_m2: float
    lab: Lab
    bare_lab: Lab
    claim: Claim
    light: str
    mark: Mark

    @property
    def hex(self) -> str:
        """Mean colour for a screen, "#rrggbb"."""
        return hex_of_lab(self.lab, PHOTO)

    @property
    def words(self) -> str:
        """Mean colour in words."""
        return f"{colour_words(self.lab)}, {difference_words(self.lab, self.bare_lab)}"

    @property
    def called(self) -> str:
        """Coats and grade: "4 coats of amber"."""
        return f"{counted(self.coats, 'coat')} of {self.grade.name}"

    @property
    def basis(self) -> str:
        """What it rests on."""
        return f"{self.grade.basis}; {self.light}"

    @property
    def guessed(self) -> bool:
        """Whether the grade is known by its name alone."""
        return self.grade.basis == NAME

    @property
    def across(self) -> str:
        """Words that stand across its picture, "" for none."""
        return self._guess(counted(self.coats, "coat"))

    @property
    def across_bands(self) -> str:
        """Words that stand across its row of a panel, "" for none."""
        return self._guess(f"0 to {counted(self.coats, 'coat')}")

    def _guess(self, coats: str) -> str:
        if not self.guessed:
            return ""
        return GUESS.format(grade=self.grade.name, coats=coats, claim=self.claim.words)


def board_photo(
    photo: Photo, *, board: Marked | None = None, wood: Bare | None = None,
    lab: ArrayLike | None = None, viewing: Viewing | None = None, card: ArrayLike | None = None,
) -> BoardPhoto:  # fmt: skip
    """Return a photographed board.

    Parameters
    ----------
    photo : Photo
    board : array of bool, optional
        Where the board is; all of the photograph by default.
    wood : Bare, optional
        Its wood, for skin and wetting; those of any wood by default.
    lab, viewing : optional
        Its colour as measured, and how: the photograph is brought to it by a factor for each of
        red, green and blue.
    card : array, shape (4, 2), optional
        Corners of a 24-patch reference card in the photograph.

    Raises
    ------
    Refusal
        For a card that cannot be used, a colour that no wood has, a board that is not there.
    """
    if lab is not None and card is not None:
        raise Refusal("card", "both a card and a measured colour are given",
                      "give one of them")  # fmt: skip
    notes = list(photo.notes)
    if photo.clear is not None:
        board = ~photo.clear if board is None else board & ~photo.clear
    palette = palette_of(photo.pixels, board)
    light, fit, correction = AS_SHOWN, None, None
    if card is not None:
        chips = reference_card()
        fit = fit_card(read_patches(photo.pixels, card, chips), chips)
        light, correction = BY_CARD, fit.correction
        notes.append(f"card: {fit.words()}")
    if lab is not None:
        measured_bare(lab, viewing or PHOTO, wood, where="bare")
        light = BY_READING
        correction = brought_to(palette.mean_light, lab, viewing or PHOTO)
        factors = ", ".join(f"{factor:.2f}" for factor in np.diag(correction.matrix))
        notes.append("the photo was brought to the measured colour by factors of red, green and "
                     f"blue: {factors}")  # fmt: skip
    like = wood or measured_bare([70, 6, 20], PHOTO)
    prepared = prepare(palette, bare=like, correction=correction)
    bare = _bare_of(prepared, palette, wood, light, fit)
    clipped = palette.clipped_share
    if clipped > table("colour_photo")["board.clipped"].number("value"):
        notes.append(f"{clipped:.0%} of the board is overexposed: what lies there cannot be told")
    if palette.board < len(palette.codes):
        notes.append("what lies outside the board is left as it is in the photo")
    return BoardPhoto(palette, prepared, bare, light, fit, correction, tuple(notes))


def coat_load(method: str, cut: float | None, own: OwnFigures) -> Figure:
    """Return the dry lac that one coat of a method leaves on sealed wood [g/m2].

    Parameters
    ----------
    method : str
        A method of the table; of a session of French polishing all its passes.
    cut : float or None
        [lb/gal]; that of the method by default.
    own : OwnFigures
        Spread, lost share and cut of the method, density of the resin.
    """
    from lacwright.figures import computed, exact, given
    from lacwright.figures.units import G_PER_L_PER_CUT

    row = table("methods").find(method, "--method")
    wet = usual_film(row.key, own)
    strong = own.figure(f"cut.{row.key}") if cut is None else given(cut, "lb/gal", "--cut")
    density = own.figure("resin_density")
    inputs = {"wet": wet, "cut": strong, "density": density,
              "per_lb": exact(G_PER_L_PER_CUT, "g/l", "1 lb per US gallon")}  # fmt: skip
    formula = "wet / 1000 * cut * per_lb / (1 + cut * per_lb / (1000 * density))"
    passes = 1.0
    if row.has("passes") and row.number("passes") > 1:
        inputs["passes"] = row.figure("passes", "1")
        formula, passes = f"passes * {formula}", row.number("passes")

    def load(wet_um: float, cut_lb: float) -> float:
        g_per_l = reference_g_per_l(reference_cut_lb_per_gal=cut_lb,
                                    resin_density_g_ml=density.number())  # fmt: skip
        return float(passes * wet_um / 1000 * g_per_l)

    made = computed(formula, "g/m2", inputs, note="on sealed wood: bare wood takes part of it")
    return made.with_band(load(wet.low or wet.number(), strong.number()),
                          load(wet.high or wet.number(), strong.number()))  # fmt: skip


def own_figures(own: dict[str, Figure | Learned]) -> OwnFigures:
    """Return own figures of a hand file as `coat_load` takes them, without draws."""
    from lacwright.figures.draws import Draws

    return OwnFigures([own], Draws(0))


def _bare_of(
    prepared: Prepared, palette: Palette, wood: Bare | None, light: str, fit: CardFit | None
) -> Bare:
    """Return the mean of the board as a bare wood, known as well as its light was put right."""
    weight = palette.counts[: palette.board] / palette.counts[: palette.board].sum()
    mean = code_of_light(weight @ light_of_code(prepared.start))
    bare = measured_bare(lab_of_srgb(mean, PHOTO), PHOTO, wood, where="photo",
                         name=f"board of {wood.name}" if wood else "board")  # fmt: skip
    limits = table("colour_photo")
    if light == BY_READING:
        return bare
    if fit is not None:
        off = math.hypot(limits["card.spread"].number("value"), fit.mean_de00)
        return replace(bare, lab_sd=off, basis=BOARD if bare.basis == SPECIES else bare.basis,
                       mark=weakest(bare.mark, fit.mark, limits["card.spread"].mark))  # fmt: skip
    spread = limits["photo.spread"]
    return replace(bare, lab_sd=spread.number("value"), basis=SPECIES,
                   mark=weakest(bare.mark, spread.mark))  # fmt: skip
