"""The wet coat that now lies on a job or piece: how far it has dried, and what comes when.

`wet_coats` asks the record alone; `dried` runs the compiled model, so whoever calls it has it
compiled first (`drying.compile_now`).
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

import numpy as np

from lacwright.drying import MARGINAL, NO_STOP, Drying, dry, own_constants
from lacwright.drying.dry import HORIZON_S
from lacwright.drying.words import AFTER_HAZE as AFTER_HAZE
from lacwright.figures import Caution, Figure, Hand, Refusal, Stop
from lacwright.plan.cautions import Job as Told
from lacwright.plan.cautions import cautions_of_job
from lacwright.shop import clock
from lacwright.shop.models import Job, Piece
from lacwright.shop.queries.laid import Laid, last_laid
from lacwright.shop.queries.laid import as_json as laid_json
from lacwright.shop.queries.own_figures import drying_hand
from lacwright.shop.queries.readings import Reading
from lacwright.trade import table

YOUNG_US = round(HORIZON_S) * clock.SECOND
"""Older coats are none of the model's business any more."""
MOMENTS = {"touch_dry": "touch_dry_s", "print_free": "print_free_s", "recoat": "recoat_s",
           "sandable": "sandable_s"}  # fmt: skip
STATES = {"": "wet", "touch_dry": "touch-dry", "print_free": "print-free",
          "recoat": "ready for the next coat", "sandable": "sandable"}  # fmt: skip
NOT_TOLD = "not told"
BEYOND = f"beyond {HORIZON_S / 86400:g} days"


@dataclass(frozen=True)
class Moment:
    """When something comes, on the clock.

    Parameters
    ----------
    at_us, low_us, high_us : int or None
        The central case and the band; None where it is not told.
    why : str
        Why it is not told.
    open_ended : bool
        Whether the band ends where the model does, so that `high_us` is no end of it: it may last
        longer.
    """

    at_us: int | None
    low_us: int | None = None
    high_us: int | None = None
    why: str = ""
    open_ended: bool = False


@dataclass(frozen=True, eq=False)
class WetNow:
    """A coat, and how far it has dried.

    Parameters
    ----------
    laid : Laid
        What was laid.
    now_us : int
        When one looks.
    made : Drying or None
        What the model says of it; None where it is silent.
    why_not : str
        Why it is silent.
    """

    laid: Laid
    now_us: int
    made: Drying | None
    why_not: str = ""
    moments: Mapping[str, Moment] = field(default_factory=dict)

    @property
    def age_s(self) -> float:
        """Since it lay there [s]."""
        return max(0.0, (self.now_us - self.laid.at_us) / clock.SECOND)

    @cached_property
    def state(self) -> str:
        """How far it has come: a word of `STATES`, "not told" where the model is silent."""
        if self.made is None:
            return NOT_TOLD
        reached = ""
        for name, moment in self.moments.items():
            if moment.at_us is not None and moment.at_us <= self.now_us:
                reached = name
        return STATES[reached]

    @property
    def ready(self) -> bool:
        """Whether the next coat may be laid on it, as far as this film goes."""
        return self.state in (STATES["recoat"], STATES["sandable"])

    @property
    def coldest_passed(self) -> bool | None:
        """Whether its film has been through its lowest temperature."""
        if self.made is None or self.made.film_min_s.value is None:
            return None
        return self.age_s >= self.made.film_min_s.value

    @property
    def film_c(self) -> float | None:
        """Temperature of its film now [C], in the air that was read."""
        if self.made is None:
            return None
        return float(np.interp(self.age_s, self.made.course.times_s, self.made.course.film_c))

    @property
    def left_g_m2(self) -> float | None:
        """Solvent and water in it and in the coats below now [g/m2]."""
        if self.made is None:
            return None
        course = self.made.course
        whole = np.sum(list(course.left_g_m2.values()), axis=0)
        return float(np.interp(self.age_s, course.times_s, whole))

    @property
    def warning(self) -> str:
        """What to do where the haze index says that it whitens or may; empty where it does not."""
        if self.made is None or self.made.verdict == NO_STOP:
            return ""
        word = "It may whiten" if self.made.verdict == MARGINAL else "It whitens in that air"
        return f"{word}: {self.made.reason}. {AFTER_HAZE}"

    def as_json(self, zone: dt.tzinfo) -> dict[str, Any]:
        """Return it as plain data with the reason for every null."""
        keys = {**laid_json(self.laid)}
        missing = {k.removesuffix("_us"): why for k, why in keys.pop("missing").items()}
        keys = {k.removesuffix("_us"): clock.iso(v, zone) if k.endswith("_us") and v else v
                for k, v in keys.items()}  # fmt: skip
        made = self.made
        told: dict[str, Any] = {
            "job": self.laid.event.job and self.laid.event.job.key, "age_s": self.age_s,
            "state": self.state, "ready": self.ready, "film_c": self.film_c,
            "left_g_m2": self.left_g_m2, "coldest_passed": self.coldest_passed,
            "warning": self.warning,
        }  # fmt: skip
        why = {"job": "for no job"}
        for name in ("verdict", "reason", "calibrated"):
            told[name] = getattr(made, name, None)
        for name in ("film_min_c", "dew_margin_k", "haze_index"):
            figure = getattr(made, name, None)
            for key, value in ((name, "value"), (f"{name}_low", "low"), (f"{name}_high", "high")):
                told[key] = None if figure is None else getattr(figure, value)
                if figure is not None and told[key] is None:
                    why[key] = figure.missing or NOT_TOLD
        for name in MOMENTS:
            moment = self.moments.get(name, Moment(None, why=self.why_not))
            high_us = None if moment.open_ended else moment.high_us
            for key, us in ((name, moment.at_us), (f"{name}_low", moment.low_us),
                            (f"{name}_high", high_us)):  # fmt: skip
                told[key] = None if us is None else clock.iso(us, zone)
                if us is None:
                    why[key] = moment.why or (BEYOND if moment.open_ended else NOT_TOLD)
        missing |= {k: why.get(k, self.why_not or NOT_TOLD) for k, v in told.items() if v is None}
        return {**keys, **told, "missing": missing}


def wet_coats(
    work: Job | Piece, *, now_us: int, temp_c: float | None = None, rh: float | None = None
) -> tuple[Laid, ...]:  # fmt: skip
    """Return the last coats on a job or piece that are younger than a week, the newest first.

    Parameters
    ----------
    work : Job or Piece
        Of a job those that were laid for it.
    now_us : int
        When one looks.
    temp_c, rh : float, optional
        The air beside them, both of it, in place of the reading nearest in time.
    """
    piece = work.piece if isinstance(work, Job) else work
    found = last_laid(piece, at_us=now_us, within_us=YOUNG_US)
    if isinstance(work, Job):
        found = tuple(one for one in found if one.event.job_id == work.pk)
    if temp_c is None or rh is None:
        return found
    said = Reading(0, now_us, temp_c, rh, None, None, "", None)
    return tuple(replace(one, reading=said) for one in found)


def wet_now(laid: Sequence[Laid], *, now_us: int) -> tuple[WetNow, ...]:
    """Return how far coats have dried.

    The compiled model is loaded only if it has a say of one of them.

    Parameters
    ----------
    laid : sequence of Laid
        As `wet_coats` gives them.
    now_us : int
        When one looks.
    """
    if all(one.silent for one in laid):
        return tuple(WetNow(one, now_us, None, one.silent) for one in laid)
    hand = own_constants(drying_hand())
    return tuple(dried(one, now_us=now_us, hand=hand) for one in laid)


def dried(laid: Laid, *, now_us: int, hand: Hand | None = None) -> WetNow:
    """Return how far a coat has dried.

    Parameters
    ----------
    laid : Laid
    now_us : int
        When one looks.
    hand : Hand, optional
        Own figures of the drying coat.
    """
    air = laid.air
    if laid.silent or air is None or laid.coat is None:
        return WetNow(laid, now_us, None, laid.silent)
    try:
        made = dry(coat=laid.coat, air=air, under=laid.under, board=laid.board, hand=hand,
                   wet_ln_sd=laid.wet_ln_sd)  # fmt: skip
    except Refusal as refusal:
        return WetNow(laid, now_us, None, f"{refusal.where}: {refusal.what}")
    figures = made.figures()
    moments = {name: _moment(laid.at_us, figures[key]) for name, key in MOMENTS.items()}
    return WetNow(laid, now_us, made, moments=moments)


def cautions_of(coats: Iterable[WetNow]) -> tuple[tuple[Caution, ...], tuple[Stop, ...]]:
    """Return the usual cautions and the standing stops of what lies wet there."""
    seen = tuple(coats)
    alcohols = tuple(dict.fromkeys(a for one in seen for a in one.laid.alcohols))
    methods = {one.laid.event.movement.body["method"] for one in seen} - {None}
    sprays = any(table("methods")[m].text("kind") == "spray" for m in methods)
    return cautions_of_job(Told(alcohols=alcohols, sprays=sprays)) if alcohols else ((), ())


def _moment(laid_us: int, figure: Figure) -> Moment:
    if figure.value is None:
        return Moment(None, why=figure.missing or NOT_TOLD)
    if figure.value >= HORIZON_S:
        return Moment(None, why=BEYOND)
    at, low, high = (laid_us + round(s * clock.SECOND) for s in
                     (figure.value, figure.low or 0.0, figure.high or figure.value))  # fmt: skip
    return Moment(at, low, high, open_ended=(figure.high or 0.0) >= HORIZON_S)
