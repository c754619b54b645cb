"""From a piece to a plan: coats, amounts, film, dates, shelf, quote, class, cautions.

Every decision (how many coats, which day) is taken once, on the central case. Every number that
is shown is a figure with its band and working.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from lacwright.figures import (
    Caution,
    Figure,
    Mark,
    Refusal,
    Stop,
    computed,
    default,
    exact,
    given,
)
from lacwright.figures.draws import Draws
from lacwright.film import Layer, Schedule, coats_needed
from lacwright.plan import calendar as cal
from lacwright.plan.amounts import Amount, amount
from lacwright.plan.cautions import cautions_of
from lacwright.plan.class_pack import ClassPack, class_pack, item_lines, per_student
from lacwright.plan.course import Track, counts_as_body, lays, leaves_number_open, mixes, tracks
from lacwright.plan.film_figures import absorption_of
from lacwright.plan.film_run import FilmPlan, film_of, grounds_of, rules_of, schedule_of
from lacwright.plan.laying import Laying, area_figure, layings, uses_by_mix
from lacwright.plan.own import Array, OwnFigures
from lacwright.plan.piece import HoursLine, Lot, MixSpec, Own, Piece, QuoteSpec
from lacwright.plan.quote import Work, quote
from lacwright.plan.remarks import cut_notes, edge_notes
from lacwright.plan.sheen import sheen_of
from lacwright.plan.shelf import (
    Needs,
    ShelfLine,
    alcohol_of,
    failed_lots,
    jar_notes,
    needs_of,
    shelf_lines,
    shelf_notes,
)
from lacwright.plan.stock import age_word, ready_figure
from lacwright.plan.suitability import Suitability, suitability, use_keys
from lacwright.plan.tasks import Wait, settings_of, tasks_of, wait_notes
from lacwright.plan.vapour import Vapour, with_air
from lacwright.plan.waits import Waits, waits_of
from lacwright.solution import Resin
from lacwright.surface import Part, Zone, total_figure

DRAWS = 2000


@dataclass(frozen=True)
class CoatLine:
    """One coat or session on one part, as the plan lists it."""

    part: str
    laying: Laying
    film: Figure  # dry film it adds [um]
    wait: Wait


@dataclass(frozen=True)
class Plan:
    """A finishing plan."""

    piece: Piece
    course: tuple[Track, ...]
    coats: tuple[CoatLine, ...]
    mixes: tuple[Amount, ...]
    film: FilmPlan | None
    figures: dict[str, Figure]
    shelf: tuple[ShelfLine, ...]
    calendar: cal.Calendar | None
    finish: cal.Finish | None
    suitability: Suitability
    cautions: tuple[Caution, ...]
    stops: tuple[Stop, ...]
    own: OwnFigures = field(compare=False, repr=False)
    waits: Mapping[tuple[str, int], Wait] = field(default_factory=dict)  # by track, index of step
    notes: tuple[str, ...] = field(default_factory=tuple)
    air: Vapour | None = field(default=None, compare=False)
    no_air: Refusal | None = field(default=None, compare=False)  # why there is none

    @property
    def schedule(self) -> Schedule:
        """The coats and sandings as the film sees them, in order, with draws."""
        return self.film.schedule if self.film else ()

    @property
    def layers(self) -> tuple[Layer, ...]:
        """The film of every finished zone at the end, with draws."""
        return self.film.run.layers if self.film else ()


def make_plan(
    piece: Piece, *, today: dt.date, hand: Sequence[Own] = (), start: dt.date | None = None,
    by: dt.date | None = None, n: int = DRAWS, seed: int = 0,
    say: Callable[[str], None] | None = None,
) -> Plan:  # fmt: skip
    """Return the plan of a piece.

    Parameters
    ----------
    piece : Piece
        What is to be done, with what.
    today : date
        The day the plan is made; the job starts then unless a start is wished for.
    hand : sequence of mappings
        Own figures beside the piece file's, strongest first: a hand file, the record.
    start, by : date, optional
        In place of those of the wish.
    n, seed : int
        Draws of the uncertain factors, and the seed that makes a run repeatable.
    say : callable, optional
        Is told a line before the model of the drying coat is compiled, once for a machine.

    Raises
    ------
    Refusal
        For anything in the piece that cannot be planned, with the place and the mend.
    """
    if start is not None and by is not None and start > by:
        raise Refusal("--start", f"it begins on {start} and is wished for {by}",
                      "check both dates")  # fmt: skip
    by = by or piece.wish.by
    start = start or piece.wish.start or today
    sources: list[Own] = [piece.own, *hand]
    if piece.resin_density_g_ml is not None:
        Resin(density_g_ml=piece.resin_density_g_ml)  # refuses what lac cannot weigh
        density = given(piece.resin_density_g_ml, "g/ml", "piece file, resin_density")
        sources.insert(0, {"resin_density": density})
    own = OwnFigures(sources, Draws(n, seed))
    central = OwnFigures(sources, Draws(0, seed))
    specs, notes = _with_alcohol(piece, mixes(piece, own))
    figures: dict[str, Figure] = {}
    course = _course(piece, specs, central, figures)
    coats = layings(course, piece, specs, own)
    film = film_of(course, coats, piece, specs, own) if piece.parts else None
    if piece.parts:
        figures["area.total"] = total_figure(piece.parts)
    if film is not None:
        figures |= film.figures
        notes += film.notes
        sheen, told = sheen_of(course, piece.wish)
        notes += told
        if sheen is not None:
            figures["sheen.gu60"] = sheen
    pack = class_pack(piece.course, own) if piece.course is not None else None
    if pack is not None:
        figures |= pack.figures
    amounts = _amounts(piece, specs, coats, pack, own)
    for one in amounts:
        figures |= {f"mix.{one.spec.name}.{k}": f for k, f in one.figures.items()}
        ready = ready_figure(one.spec, own, piece.shelf)
        if ready is not None:
            figures[f"mix.{one.spec.name}.ready_after"] = ready
    waits = waits_of(course, coats, piece, own, say=say,
                     refused=film.refused if film else frozenset())  # fmt: skip
    figures |= _wait_figures(coats, waits)
    days = _dates(piece, course, coats, specs, film, figures, own, waits, start, by, today)
    cleaning = _cleaning(course, coats, days, pack, own, figures)
    needs = needs_of(piece, amounts, cleaning)
    shelf = shelf_lines(piece, needs, lambda lot: age_word(lot, today))
    notes += (*shelf_notes(shelf, needs, lambda lot: age_word(lot, today)),
              *jar_notes(piece, specs, lambda lot: age_word(lot, today)),
              *waits.notes, *wait_notes(piece, coats, waits.after), *cut_notes(coats, own),
              *edge_notes(figures, piece))  # fmt: skip
    figures |= _quote(piece, course, coats, needs, pack)
    cautions, stops = cautions_of(piece, specs, course, amounts,
                                  cleaning_ml=sum(f.number() for f, _ in cleaning))  # fmt: skip
    stops = (*stops, *failed_lots(shelf))
    if film is not None:
        cautions, stops = (*cautions, *film.run.cautions), (*film.run.stops, *stops)
    return with_air(Plan(
        piece=piece, course=course, coats=_lines(coats, film, waits) if film else (),
        mixes=amounts, film=film, figures=figures, shelf=shelf,
        calendar=days.calendar, finish=days.finish,
        suitability=suitability(piece.wish, _waxed(piece, specs)), cautions=cautions,
        stops=stops, own=own, waits=waits.after, notes=tuple(dict.fromkeys(notes)),
    ), say)  # fmt: skip


def _with_alcohol(
    piece: Piece, specs: tuple[MixSpec, ...]
) -> tuple[tuple[MixSpec, ...], tuple[str, ...]]:
    """Give a mix that names no alcohol the only one on the shelf, and say so."""
    out, notes = [], []
    for spec in specs:
        lot = alcohol_of(piece, spec)
        if spec.alcohol is None and lot is not None and lot.alcohol is not None:
            spec = replace(spec, alcohol=lot.alcohol)
            notes.append(f"mix {spec.name} names no alcohol: '{lot.name}', the only one on the "
                         "shelf, is taken")  # fmt: skip
        out.append(spec)
    return tuple(out), tuple(notes)


def _course(
    piece: Piece, specs: tuple[MixSpec, ...], central: OwnFigures, figures: dict[str, Figure]
) -> tuple[Track, ...]:
    """Return the course, the number of coats computed where it is left open."""
    course = tracks(piece, central)
    if not piece.parts or not leaves_number_open(piece):
        return course
    wished = _wished_film(piece, central)
    figures["film.wished"] = wished
    numbers: dict[str, int] = {}
    for track in course:
        numbers[track.name] = max(
            _number(track.name, part, piece, specs, central, wished.number())
            for part in _unlike_parts(track, piece)
        )
        searched = default(numbers[track.name], "1", Mark.PRACTICE,
                           "search: film run with 1, 2, 3, ... coats, central case")  # fmt: skip
        figures[f"coats.{track.name}"] = computed(
            "fewest", "1", {"fewest": searched},
            note=f"the fewest coats that leave {wished.number():g} um on the flats after all "
                 "planned sandings",
        )  # fmt: skip
    return tracks(piece, central, coats=numbers)


def _number(
    track: str, part: Part, piece: Piece, specs: tuple[MixSpec, ...], central: OwnFigures,
    film_left_um: float,
) -> int:  # fmt: skip
    """Return the coats one part needs; the others of its track are left out of the trial."""
    alone = replace(piece, parts=tuple(p for p in piece.parts if p.name == part.name), steps=tuple(
        replace(s, parts=(part.name,)) for s in piece.steps if not s.parts or part.name in s.parts
    ))  # fmt: skip

    def build(k: int) -> Schedule:
        trial = tracks(alone, central, coats={track: k})
        return schedule_of(trial, layings(trial, alone, specs, central), alone, specs, central)

    laid = layings(tracks(alone, central), alone, specs, central)
    # No coat adds more than all that lands of it, so fewer than this cannot do.
    fullest = max(_most_um(c) for c in laid)
    return coats_needed(
        grounds=grounds_of(laid, alone, central), build=build, part=part.name,
        film_left_um=film_left_um, rules=rules_of(central), most=round(central.value("most_coats")),
        at_least=math.floor((film_left_um / fullest - len(laid)) / max(1, _repeats(alone))) + 1,
    )  # fmt: skip


def _most_um(coat: Laying) -> float:
    """Return the film of a coat on sealed wood [um]."""
    if coat.load.deposit is not None:
        return coat.load.deposit.number()
    liquid = coat.liquid
    return (coat.load.landed.number() * liquid.resin_g_per_l.number() / 1000
            / liquid.resin_density.number())  # fmt: skip


def _repeats(piece: Piece) -> int:
    """Return how many entries of a written course are laid as often as needed."""
    return sum(1 for s in piece.steps if s.times is None and counts_as_body(s))


def _unlike_parts(track: Track, piece: Piece) -> list[Part]:
    """Return parts of a track that differ in what they drink or in their steps, one of each."""
    seen: dict[object, Part] = {}
    laid_on = [s.parts for s in track.steps if lays(s)]
    for part in piece.parts:
        if part.name not in track.parts or not any(not p or part.name in p for p in laid_on):
            continue
        steps = tuple(k for k, s in enumerate(track.steps) if not s.parts or part.name in s.parts)
        faces = tuple(sorted({absorption_of(z) for z in part.zones}))
        seen.setdefault((steps, faces), part)
    return list(seen.values())


def _wished_film(piece: Piece, own: OwnFigures) -> Figure:
    if piece.wish.film_left_um is not None:
        return given(piece.wish.film_left_um, "um", "piece file, wish, film_left")
    instrument = {"instrument", "sweat"} & set(use_keys(piece.wish.use))
    top = "wear" in use_keys(piece.wish.use)
    return own.figure("target.instrument" if instrument else
                      "target.table-top" if top else "target.furniture")  # fmt: skip


def _amounts(
    piece: Piece, specs: tuple[MixSpec, ...], coats: tuple[Laying, ...], pack: ClassPack | None,
    own: OwnFigures,
) -> tuple[Amount, ...]:  # fmt: skip
    if pack is not None:
        known = {s.name for s in specs}
        for name in pack.mixes:
            if name not in known:
                raise Refusal("[class]", f"there is no mix '{name}'",
                              "add a [[mix]] table of that name")  # fmt: skip
    by_mix = uses_by_mix(coats)
    temp_c = 20.0 if piece.shop.temp_c is None else piece.shop.temp_c
    return tuple(
        amount(spec, by_mix.get(spec.name, ()), own,
               class_mix=pack.mixes.get(spec.name) if pack else None, temp_c=temp_c,
               shelf=piece.shelf)
        for spec in specs
    )  # fmt: skip


@dataclass(frozen=True)
class _Days:
    """The calendar, its end against the wish, and how many of its tracks make mixes."""

    calendar: cal.Calendar | None = None
    finish: cal.Finish | None = None
    mix_tracks: int = 0


def _dates(
    piece: Piece, course: tuple[Track, ...], coats: tuple[Laying, ...],
    specs: tuple[MixSpec, ...], film: FilmPlan | None, figures: Mapping[str, Figure],
    own: OwnFigures, waits: Waits, start: dt.date, by: dt.date | None, today: dt.date,
) -> _Days:  # fmt: skip
    ready = {
        s.name: figures[f"mix.{s.name}.ready_after"].number()
        for s in specs if f"mix.{s.name}.ready_after" in figures
    }  # fmt: skip
    refused = film.refused if film else frozenset()
    tasks = [
        t for t in tasks_of(course, coats, specs, ready, piece, own, waits.after, refused) if t
    ]
    if not tasks:
        return _Days()
    settings = settings_of(piece, {c.method for c in coats}, own)
    mix_tracks = len(tasks) - sum(1 for t in course if t.steps)
    return _Days(cal.forward(tasks, settings, start),
                 cal.finish(tasks, settings, start, by, today), mix_tracks)  # fmt: skip


def _cleaning(
    course: tuple[Track, ...], coats: tuple[Laying, ...], days: _Days, pack: ClassPack | None,
    own: OwnFigures, figures: dict[str, Figure],
) -> tuple[tuple[Figure, Array], ...]:  # fmt: skip
    """Cleaning alcohol: once on every day on which a method is used, and for each of a class."""
    out: list[tuple[Figure, Array]] = []
    by_step = {(c.track, c.index): c for c in coats}
    names = [t.name for t in course if t.steps]
    used: dict[str, set[dt.date]] = {}
    for entry in days.calendar.entries if days.calendar else ():
        track = entry.track - days.mix_tracks
        laying = by_step.get((names[track], entry.index or 0)) if track >= 0 else None
        if laying is not None and entry.index is not None:
            used.setdefault(laying.method, set()).add(entry.date)
    for method, dates in used.items():
        each = own.figure(f"cleaning.{method}")
        rows = own.draw(f"cleaning.{method}") * len(dates)
        figure = computed(
            "each * days", "ml",
            {"each": each, "days": exact(len(dates), "1", f"days of {method}")}, draws=rows,
        )  # fmt: skip
        figures[f"cleaning.{method}"] = figure
        out.append((figure, rows))
    if pack is not None:
        out.append((pack.cleaning, own.draw_figure(pack.cleaning, "class.cleaning_ml")))
    return tuple(out)


def _quote(
    piece: Piece, course: tuple[Track, ...], coats: tuple[Laying, ...], needs: Needs,
    pack: ClassPack | None,
) -> dict[str, Figure]:  # fmt: skip
    def work(line: HoursLine) -> Work:
        meant = tuple(z for p in piece.parts for z in p.zones if _is_meant(z, line))
        covers = [tuple(z for z in c.zones if _is_meant(z, line)) for c in coats]
        laid = tuple(z for zones in covers for z in zones)
        where = ", ".join((*line.parts, *line.faces)) or "whole piece"
        return Work(
            area_figure(meant, piece, f"area of {where}"),
            exact(sum(1 for zones in covers if zones), "1", f"coats on {where}"),
            area_figure(laid, piece, f"area times coats on {where}"),
        )

    hours = sum(s.hours or 0.0 for t in course for s in t.steps)
    unpriced = tuple(what for what, _, _ in needs.absent)
    spec = piece.quote
    if piece.course is not None:
        items, without = item_lines(piece.course)
        spec = replace(spec or QuoteSpec(), materials=(*(spec.materials if spec else ()), *items))
        unpriced += without
    lines = quote(spec, step_hours=exact(hours, "h", "hours stated at the steps"),
                  work=work, uses=needs.uses, unpriced=unpriced)  # fmt: skip
    if piece.quote is None and piece.course is None:
        return lines
    if pack is not None and piece.course is not None:
        unit = (piece.quote.currency if piece.quote else "") or "money"
        lines["quote.per_student"] = per_student(piece.course, lines["quote.materials"], unit)
    return lines


def _is_meant(zone: Zone, line: HoursLine) -> bool:
    return (not line.parts or zone.part in line.parts) and (
        not line.faces or any(zone.on(face) for face in line.faces)
    )


def _lines(coats: tuple[Laying, ...], film: FilmPlan, waits: Waits) -> tuple[CoatLine, ...]:
    out = []
    for coat in coats:
        wait = waits.after[coat.track, coat.index]
        for part in dict.fromkeys(z.part for z in coat.zones):
            if (coat.key, part) in film.coat_um:
                out.append(CoatLine(part, coat, film.coat_um[coat.key, part], wait))
    return tuple(out)


def _wait_figures(coats: tuple[Laying, ...], waits: Waits) -> dict[str, Figure]:
    """Return the wait after each coat of which the model has a say: planned, usual, the model's."""
    out: dict[str, Figure] = {}
    for coat in coats:
        wait = waits.after[coat.track, coat.index]
        if wait.model is not None:
            out |= {f"wait.{coat.key}": wait.figure, f"wait.{coat.key}.usual": wait.practice,
                    f"wait.{coat.key}.model": wait.model}  # fmt: skip
    return out


def _waxed(piece: Piece, specs: tuple[MixSpec, ...]) -> bool | None:
    """Return whether the film holds wax: as wished, or as the flakes on the shelf say."""
    if piece.wish.waxed is not None:
        return piece.wish.waxed
    lots: dict[str, Lot] = {lot.name: lot for lot in piece.shelf}
    said = {lots[n].waxed for s in specs for n in (*(n for n, _ in s.flakes), s.jar) if n in lots}
    return said.pop() if len(said) == 1 else None
