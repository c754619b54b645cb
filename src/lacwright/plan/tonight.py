"""The five-minute answer: a volume, a cut, a size, a number of coats, an hour to begin.

It is a plan of one part and one mix without file or record, laid out on the clock instead of the
calendar.
"""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from lacwright.figures import Caution, Figure, Refusal, Stop, computed
from lacwright.figures.draws import Draws
from lacwright.plan.amounts import Amount, amount
from lacwright.plan.cautions import cautions_of
from lacwright.plan.course import Track
from lacwright.plan.film_run import film_of
from lacwright.plan.laying import layings
from lacwright.plan.own import OwnFigures
from lacwright.plan.piece import Lot, MixSpec, Own, Piece, Step
from lacwright.plan.shelf import left_of
from lacwright.plan.stock import age_word, ready_figure
from lacwright.plan.tasks import wait_after
from lacwright.solution import default_resin_density, parts_to_thin
from lacwright.surface import Part, total_figure
from lacwright.trade import table


@dataclass(frozen=True)
class CoatTime:
    """One coat on the clock."""

    n: int
    at: dt.datetime
    used: Figure
    film: Figure
    wait: Figure  # hours to the next coat


@dataclass(frozen=True)
class Offer:
    """A tested jar of the shelf that could be used tonight."""

    lot: Lot
    use_ml: float  # of the jar, for all coats
    add_alcohol_ml: float  # 0 where the cut is right
    enough: bool  # does the jar hold so much? True where its content is not said


@dataclass(frozen=True)
class Tonight:
    """The answer."""

    mix: Amount
    ready: Figure | None  # hours until dissolved; None for a jar that stands ready
    begin: dt.datetime  # the hour that was asked for
    coats: tuple[CoatTime, ...]  # from the hour at which the mix can be laid
    at_once: tuple[CoatTime, ...]  # the same from the asked hour, with a ready jar
    figures: dict[str, Figure]
    offers: tuple[Offer, ...]
    notes: tuple[str, ...]
    cautions: tuple[Caution, ...]
    stops: tuple[Stop, ...]
    shut: tuple[Lot, ...] = ()  # jars that would do, had they not failed their test


def tonight(
    *, part: Part, mix: MixSpec, coats: int, method: str, begin: dt.datetime,
    ready: bool = False, spread_ml_m2: float | None = None, hand: Sequence[Own] = (),
    shelf: tuple[Lot, ...] = (), n: int = 500, seed: int = 0, temp_c: float = 20.0,
) -> Tonight:  # fmt: skip
    """Return amounts, film and coat times for one part and one mix.

    Parameters
    ----------
    part : Part
        What is coated.
    mix : MixSpec
        Cut, grade, and the volume to make (`make_ml`).
    coats : int
        At least 1.
    method : str
        Key of the table of methods.
    begin : datetime
        The hour that was asked for, in the maker's own time.
    ready : bool
        The mix stands ready.
    spread_ml_m2 : float, optional
        Own spread of a coat.
    hand : sequence of mappings
        Own figures.
    shelf : tuple of Lot
        Where tested jars are looked for.

    Raises
    ------
    Refusal
        For fewer than one coat.
    """
    if not 1 <= coats <= 60:
        raise Refusal("--coats", f"{coats} coats", "write a number from 1 to 60")
    own = OwnFigures(tuple(hand), Draws(n, seed))
    step = Step("coat", method=method, mix=mix.name,
                spread_ml_m2=() if spread_ml_m2 is None else (spread_ml_m2,))  # fmt: skip
    piece = Piece(part.name, (part,), mixes=(mix,))
    course = (Track("job", (part.name,), method, (step,) * coats),)
    laid = layings(course, piece, (mix,), own)
    film = film_of(course, laid, piece, (mix,), own)
    mixed = amount(mix, laid, own, class_mix=None, temp_c=temp_c)
    figures = {"area.total": total_figure((part,)), **film.figures}
    figures |= {f"mix.{mix.name}.{k}": f for k, f in mixed.figures.items() if k != "reserve"}
    figures["needed"] = computed(
        "coats + applicators", "ml",
        {k: mixed.figures[k] for k in ("coats", "applicators")},
        draws=sum((c.used_draws for c in laid), own.draw(f"left_in.{method}")),
    )  # fmt: skip
    figures["left_over"] = left_of(mixed.figures["solution"], figures["needed"])
    dissolved = None if ready else ready_figure(mix, own)
    if dissolved is not None:
        figures["ready_after"] = dissolved
    wait = wait_after(step, method, own).figure
    figures["wait"] = wait
    delay = 0.0 if dissolved is None else dissolved.number()

    def on_the_clock(first: dt.datetime) -> tuple[CoatTime, ...]:
        return tuple(
            CoatTime(k + 1, first + dt.timedelta(hours=k * wait.number()), c.used,
                     film.coat_um[c.key, part.name], wait)
            for k, c in enumerate(laid)
        )  # fmt: skip

    notes = film.notes
    most = own.value(f"coats_per_day.{method}")
    in_a_day = max(Counter(c.at.date() for c in on_the_clock(begin)).values())
    if in_a_day > most:
        notes = (f"{in_a_day} coats in a day are more than the {most:g} of the usual course: lay "
                 "the rest tomorrow", *notes)  # fmt: skip
    cautions, stops = cautions_of(piece, (mix,), course, (mixed,))
    fitting = _fitting(shelf, mix)
    return Tonight(
        mix=mixed, ready=dissolved, begin=begin,
        coats=on_the_clock(begin + dt.timedelta(hours=delay)), at_once=on_the_clock(begin),
        figures=figures, offers=_offers(fitting, mix, figures["needed"].number(), begin.date()),
        notes=notes, cautions=(*cautions, *film.run.cautions),
        stops=(*film.run.stops, *stops),
        shut=tuple(lot for lot in fitting if lot.passed is False and lot.some_left),
    )  # fmt: skip


def _fitting(shelf: tuple[Lot, ...], mix: MixSpec) -> tuple[Lot, ...]:
    """Return the jars of the grade that are strong enough, whatever their tests say."""
    grades = table("grades")
    wanted = grades.find(mix.grade, "--grade").key if mix.grade else None
    return tuple(
        lot for lot in shelf
        if lot.kind == "jar" and lot.cut_lb_per_gal is not None
        and lot.cut_lb_per_gal >= mix.cut_lb_per_gal
        and (not wanted or (lot.grade is not None
                            and grades.find(lot.grade, lot.name).key == wanted))
    )  # fmt: skip


def _offers(
    fitting: tuple[Lot, ...], mix: MixSpec, needed_ml: float, on: dt.date
) -> tuple[Offer, ...]:
    """Return those of the jars that fit that passed their test, and whether they hold enough."""
    out = []
    for lot in fitting:
        if lot.cut_lb_per_gal is None or not lot.passed or age_word(lot, on):
            continue
        # Thinned in proportion, so many ml of the jar make what is needed.
        parts = 0.0
        if lot.cut_lb_per_gal > mix.cut_lb_per_gal:
            parts = float(parts_to_thin(
                cut_lb_per_gal=lot.cut_lb_per_gal, to_cut=mix.cut_lb_per_gal,
                resin_density_g_ml=default_resin_density(),
            ))  # fmt: skip
        use = needed_ml / (1 + parts)
        out.append(Offer(lot, use, needed_ml - use, lot.have is None or lot.have >= use))
    return tuple(out)
