"""A coat of the record as the model of the drying coat sees it: how wet, of what, on what.

What landed by the book, over the area, is the wet film; where no amount or no area is on record
the usual film of the method stands in, and that is said. Nothing is computed here that needs the
compiled model.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from lacwright.climate import Air
from lacwright.drying import Board, Under, WetCoat
from lacwright.drying.coat import LENGTH_M, THICKNESS_MM
from lacwright.figures import Figure
from lacwright.figures.draws import Draws
from lacwright.figures.spoken import trimmed
from lacwright.film import soaked_ml_m2, strength
from lacwright.plan.film_figures import absorption_of
from lacwright.plan.own import OwnFigures
from lacwright.plan.wet import PLATES, SESSION, SOAKS_IN, UNKNOWN
from lacwright.shop import clock
from lacwright.shop.models import Event, Job, Piece
from lacwright.shop.queries.own_figures import for_plans, own_figures
from lacwright.shop.queries.past import contents_before
from lacwright.shop.queries.pieces import landed_on, zones_on
from lacwright.shop.queries.preferences import own_given
from lacwright.shop.queries.progress import COAT, ONE, STRIP, zones_meant
from lacwright.shop.queries.readings import Reading, nearest
from lacwright.shop.queries.wet_film import Film, coat_of, film_of, silent
from lacwright.shop.reading import snapshot
from lacwright.solution import Alcohol, Mix
from lacwright.surface import Zone
from lacwright.trade import table

BELOW, BELOW_US = 8, 30 * clock.DAY
"""So many coats below count, the newest, and none that is older: it hardly swells any more."""
READ = 60
"""So many coats of a piece are looked at, the newest: wood has long drunk what it can."""
OVER_UNKNOWN = "the composition of the alcohol of a coat below it is not known"
NO_AIR = "temperature and humidity were not read near that time"


@dataclass(frozen=True)
class Laid:
    """A coat on parts of a piece on which it lies alike.

    Parameters
    ----------
    event : Event
        Of the coat, with movement, job and jar.
    parts, faces : tuple of str
        Where; no part is the whole piece.
    at_us : int
        When it lay there: its end, where that was said.
    coat : WetCoat or None
        None where the model has no say.
    why_not : str
        Why there is no coat.
    board : Board
    under : tuple of Under
        Coats below that are dissolved again, the oldest first.
    below : tuple of int
        Their movements.
    amount : str
        Where the wet film comes from.
    wet_ln_sd : float or None
        Its spread (ln), None for the model's own.
    alcohols : tuple of Alcohol
        What was in the jar.
    reading : Reading or None
        The air beside it.
    assumed : tuple of str
        What was not on record, and what stands in.
    """

    event: Event
    parts: tuple[str, ...]
    faces: tuple[str, ...]
    at_us: int
    coat: WetCoat | None
    why_not: str
    board: Board
    under: tuple[Under, ...] = ()
    below: tuple[int, ...] = ()
    amount: str = ""
    wet_ln_sd: float | None = None
    alcohols: tuple[Alcohol, ...] = ()
    reading: Reading | None = None
    assumed: tuple[str, ...] = ()

    @property
    def air(self) -> Air | None:
        """The air beside it, still; None where it was not read."""
        if self.reading is None or self.reading.temp_c is None or not self.reading.rh:
            return None
        return air_of(self.reading.temp_c, self.reading.rh)

    @property
    def silent(self) -> str:
        """Why the model has no say of it as it was laid; empty where it has."""
        return self.why_not or ("" if self.air is not None else NO_AIR)


def air_of(temp_c: float, rh: float) -> Air:
    """Return the air of a reading; its speed is that of a closed room, nobody measured it.

    Raises
    ------
    Refusal
        For a temperature or humidity that the model does not know.
    """
    return Air(None, temp_c, rh, table("drying")["still_air"].number("value"))


def air_near(at_us: int) -> Reading | None:
    """Return the reading of temperature and humidity nearest in time, None if none is fresh."""
    hours = table("practice")["reading.fresh"].number("value")
    return nearest(at_us=at_us, within_us=round(hours * 3600) * clock.SECOND)


def laid_of(event: Event, *, air: bool = True) -> tuple[Laid, ...]:
    """Return a coat as the model sees it, once for each group of parts on which it lies alike.

    Parameters
    ----------
    event : Event
        Of a coat.
    air : bool
        Whether to look for a reading beside it.
    """
    with snapshot():
        assert event.piece is not None
        on = _On(event.piece, until=(event.at_us, event.root_id))
        return on.laid(next(e for e in on.coats if e.root_id == event.root_id), air=air)


def last_laid(
    piece: Piece, *, at_us: int, within_us: int, parts: Iterable[str] = ()
) -> tuple[Laid, ...]:  # fmt: skip
    """Return the last coat of every part of a piece, the newest first.

    Parameters
    ----------
    piece : Piece
    at_us : int
        When one looks.
    within_us : int
        A coat that is older is left out.
    parts : iterable of str
        Of which parts; all of them if none is named.
    """
    with snapshot():
        on = _On(piece, until=(at_us, 2**62))
        wanted = set(parts)
        out: list[Laid] = []
        for event in reversed(on.coats):
            if _end(event) < at_us - within_us:
                continue
            top = [p for p in on.parts_of(event) if on.is_last(event, p)
                   and (not wanted or p in wanted)]  # fmt: skip
            if top:
                out += on.laid(event, only=top)
        return tuple(out)


class _On:
    """A piece up to a moment: its coats in order, and what each of them was."""

    def __init__(self, piece: Piece, *, until: tuple[int, int]) -> None:
        self.piece = piece
        found = (
            Event.objects.filter(piece=piece, void=False, kind__in=(COAT, STRIP),
                                 at_us__lte=until[0])
            .select_related("movement", "job", "jar__place").order_by("at_us", "root")
        )  # fmt: skip
        self.events = [e for e in found if (e.at_us, e.root_id) <= until]
        every = [e for e in self.events if e.kind == COAT]
        self.coats = every[-READ:]
        self._unread = {e.root_id for e in every[:-READ]}
        jobs = Job.objects.filter(piece=piece, opened__event__void=False).order_by("id")
        self.zones = zones_on(piece, jobs, every)
        before = contents_before(self.coats)
        self.landed = landed_on(piece, self.coats, before)
        named = [part for e in every for part in e.movement.body["parts"]]
        self.every = list(dict.fromkeys((*piece.areas_m2, *named))) or [ONE]
        self._films: dict[int, Film] = {}

    @cached_property
    def own(self) -> OwnFigures:
        """His own figures, as far as coats without a weighing need them."""
        methods = {e.movement.body["method"] for e in self.coats}
        names = [f"{family}.{m}" for m in sorted(filter(None, methods))
                 for family in ("spread", "lost")]  # fmt: skip
        return OwnFigures([own_given() | for_plans(own_figures(only=names))], Draws(0))

    def parts_of(self, event: Event) -> list[str]:
        """Return the parts a coat or stripping was on."""
        return list(event.movement.body["parts"]) or self.every

    def is_last(self, event: Event, part: str) -> bool:
        """Return whether nothing was laid over a coat on a part, nor was it taken off."""
        after = self.events[self.events.index(event) + 1 :]
        return not any(part in self.parts_of(e) and (e.kind == STRIP or self._over(event, e, part))
                       for e in after)  # fmt: skip

    def laid(self, event: Event, *, only: Sequence[str] = (), air: bool = True) -> tuple[Laid, ...]:
        """Return a coat as the model sees it, by groups of parts on which it lies alike."""
        groups: dict[tuple[Any, ...], list[str]] = {}
        for part in only or self.parts_of(event):
            zone = self._zone(event, part)
            key = (tuple(e.root_id for e in self._earlier(event, part)), zone.wood, zone.kind)
            groups.setdefault(key, []).append(part)
        reading = air_near(_end(event)) if air else None
        return tuple(self._laid(event, parts, reading) for parts in groups.values())

    def _laid(self, event: Event, parts: list[str], reading: Reading | None) -> Laid:
        zone, film = self._zone(event, parts[0]), self._film(event)
        board, assumed = self._board(zone, reading, event.movement.body.get("area_m2"))
        below = self._below(event, parts[0])
        coat, why = below.top, below.why
        if not why and below.unknown:
            coat, why = None, OVER_UNKNOWN
        return Laid(
            event, tuple(p for p in parts if p), tuple(event.movement.body["faces"]), _end(event),
            coat, why, board, tuple(Under(c, s) for _, c, s in below.under),
            tuple(root for root, _, _ in below.under), film.amount, film.ln_sd,
            () if film.mix is None else tuple(film.mix.solvent_g), reading,
            (*assumed, *below.assumed),
        )  # fmt: skip

    # --- what lies below -----------------------------------------------------------------------

    def _earlier(self, event: Event, part: str) -> list[Event]:
        """Return the coats a coat lies on, since the part was bare."""
        out: list[Event] = []
        for one in self.events[: self.events.index(event)]:
            if part not in self.parts_of(one):
                continue
            if one.kind == STRIP:
                out = []
            elif self._over(one, event, part):
                out.append(one)
        return out

    def _over(self, one: Event, other: Event, part: str) -> bool:
        """Return whether two coats lie on a face of the part in common."""
        here, there = (tuple(e.movement.body["faces"]) for e in (one, other))
        if not here or not there:
            return True
        faces = [{z.face for z in zones_meant(self.zones, [part], names) if z.face} or set(names)
                 for names in (here, there)]  # fmt: skip
        return bool(faces[0] & faces[1])

    def _below(self, event: Event, part: str) -> _Below:
        """Work through the coats of a part up to one: what soaks in, what is there to dissolve."""
        out, drunk, last = _Below(), 0.0, _end(event)
        stays: list[tuple[int, WetCoat, int]] = []
        earlier = self._earlier(event, part)
        for one in (*earlier, event):
            if one.root_id in self._unread:
                continue
            film, own = self._film(one), one is event
            first = not earlier if own else one is earlier[0]
            why = silent(one, film)
            soaked = 0.0
            if film.mix is not None and film.um:
                counted, soaked = self._soaked(film.um, film.mix, self._zone(one, part), drunk)
                drunk += counted
            if own:
                out.top, out.why = None, why
                if not why:
                    assert film.um is not None
                    most = 0.0 if first else table("drying")["soaks_most"].number("value") * film.um
                    out.top, out.why = coat_of(one, film, film.um)
                    if soaked > most:
                        out.top, out.why = None, SOAKS_IN
                continue
            if last - _end(one) > BELOW_US:
                continue
            if why == SESSION:
                out.assumed.append("a session below it is not counted")
            elif why == UNKNOWN:
                out.unknown = True
            elif why:
                out.assumed.append(f"a coat below it is not counted: {why}")
            elif film.um is not None and film.um - soaked >= 1:
                coat, _ = coat_of(one, film, film.um - soaked)
                if coat is not None:
                    stays.append((one.root_id, coat, _end(one)))
        ages, age_s = [], 0.0
        for root, coat, end in reversed(stays[-BELOW:]):
            age_s = max((last - end) / clock.SECOND, age_s + 1.0)
            ages.append((root, coat, age_s))
        out.under, out.assumed = ages[::-1], list(dict.fromkeys(out.assumed))
        return out

    def _soaked(
        self, um: float, mix: Mix, zone: Zone, before_ml_m2: float
    ) -> tuple[float, float]:  # fmt: skip
        """Return a coat as the wood counts it, as the mix of reference, and what soaks in."""
        surface = absorption_of(zone)
        counted = strength(
            resin_g_per_l=float(mix.resin_g_per_l),
            resin_density_g_ml=float(mix.resin_density_g_ml),
            reference_cut_lb_per_gal=table("absorption")[surface].number("reference_cut"),
        )  # fmt: skip
        figures = OwnFigures([self._given], Draws(0))
        soaked = soaked_ml_m2(
            before_ml_m2=before_ml_m2, landed_ml_m2=um, strength=counted,
            capacity_ml_m2=figures.value(f"absorption.{surface}"),
            start_share=min(max(figures.value(f"soak_start.{surface}"), 0.0), 1.0),
        )  # fmt: skip
        return um * float(counted), float(soaked)

    @cached_property
    def _given(self) -> dict[str, Figure]:
        return own_given()

    # --- one coat ------------------------------------------------------------------------------

    def _film(self, event: Event) -> Film:
        if event.root_id not in self._films:
            self._films[event.root_id] = film_of(
                event, self.landed.get(event.root_id), lambda: self.own
            )
        return self._films[event.root_id]

    def _zone(self, event: Event, part: str) -> Zone:
        mine = [z for z in self.zones if z.part == part]
        meant = zones_meant(mine, (), event.movement.body["faces"]) or mine
        return max(meant, key=lambda z: float(z.area_m2))

    def _board(
        self, zone: Zone, reading: Reading | None, coated_m2: float | None
    ) -> tuple[Board, list[str]]:  # fmt: skip
        usual, assumed = Board(), []
        wood = zone.wood if zone.wood != "unknown" else self.piece.wood
        if not wood:
            assumed.append(f"wood: {usual.wood}")
        # The body of an instrument; a table has a top as well.
        plate = zone.face in PLATES and any(
            z.part == zone.part and z.face == "ribs" for z in self.zones
        )
        thick = table("drying")["plate_thickness"].number("value") if plate else usual.thickness_mm
        assumed.append(f"{trimmed(thick)} mm thick")
        area = float(zone.area_m2) or coated_m2
        length = math.sqrt(area) if area else usual.length_m
        temp = None if reading is None else reading.board_temp_c
        return Board(wood=wood or usual.wood, thickness_mm=_kept(thick, THICKNESS_MM),
                     length_m=_kept(length, LENGTH_M), temp_c=temp), assumed  # fmt: skip


class _Below:
    """A coat with what lies below it, on the way to a `Laid`."""

    def __init__(self) -> None:
        self.top: WetCoat | None = None
        self.why = ""
        self.under: list[tuple[int, WetCoat, float]] = []
        self.unknown = False
        self.assumed: list[str] = []


def _end(event: Event) -> int:
    until = event.movement.body.get("until_us")
    return max(event.at_us, int(until or 0))


def _kept(value: float, reach: tuple[float, float]) -> float:
    return min(max(value, reach[0]), reach[1])


def as_json(laid: Laid) -> Mapping[str, Any]:
    """Return what was laid as plain data with the reason for every null."""
    coat, body = laid.coat, laid.event.movement.body
    keys: dict[str, Any] = {
        "movement": laid.event.root_id, "at_us": laid.at_us, "parts": list(laid.parts),
        "faces": list(laid.faces), "method": body["method"],
        "wet_um": None if coat is None else coat.wet_um,
        "dry_um": None if coat is None else coat.dry_um, "amount": laid.amount,
        "cut_lb_per_gal": None if coat is None else coat.cut_lb_per_gal,
        "alcohol": [] if coat is None else [{"of": k, "share": v} for k, v in coat.parts.items()],
        "below": [
            {"movement": root, "wet_um": u.coat.wet_um, "cut_lb_per_gal": u.coat.cut_lb_per_gal,
             "age_s": u.age_s}
            for root, u in zip(laid.below, laid.under, strict=True)
        ],
        "board": {"wood": laid.board.wood, "thickness_mm": laid.board.thickness_mm,
                  "length_mm": 1000 * laid.board.length_m},
        "temp_c": laid.reading and laid.reading.temp_c, "rh": laid.reading and laid.reading.rh,
        "read_us": laid.reading and laid.reading.at_us, "assumed": list(laid.assumed),
    }  # fmt: skip
    why = {"method": "not said", "temp_c": NO_AIR, "rh": NO_AIR, "read_us": NO_AIR}
    return {**keys, "missing": {k: why.get(k, laid.why_not) for k, v in keys.items() if v is None}}
