"""What timed coats and whitenings in the record tell of the constants of the drying coat.

What each tells by itself was worked out when it was written down and stands beside it, so the
compiled model is not needed to read it.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from django.db.models import Q

from lacwright.drying import AIR, STEP, TOLERANCE, Bound, observed, prior, tolerance_of
from lacwright.drying.hand import ROWS
from lacwright.figures import Figure, Learned
from lacwright.shop import clock
from lacwright.shop.models import Event
from lacwright.shop.queries.movement_words import panel_words
from lacwright.shop.queries.own_seen import Told
from lacwright.shop.queries.preferences import zone as shop_zone

NAMES = tuple(ROWS)
"""drying.air, drying.diffusion, drying.water_tolerance."""
TIMED, WHITENED = "timed-coat", "whitened"
LATEST = 200
"""So many observations are read, the last ones."""
STALE = "the coat it tells of was corrected since: correct this one as well, it is reckoned anew"
_WORDS = re.compile(r"\b(haze|hazy|blush|blushed|blushing|whitening|whitened)\b", re.IGNORECASE)
GONE = "the coat it tells of was taken back"
TWICE = "a later one tells of the same coat"


@dataclass(frozen=True)
class DryingTold(Told):
    """What one observation tells of a constant.

    Parameters
    ----------
    source : str
        Which coat and day, as "calibrated on" has it.
    whitened : bool or None
        Of a bound of the water tolerance its side: below, if it whitened.
    """

    source: str = ""
    whitened: bool | None = None


def drying_told() -> list[DryingTold]:
    """Return what the last observations tell, in the order of time, in three queries at most."""
    found = list(
        Event.objects.filter(void=False, kind__in=("test", "fault"), piece__isnull=False)
        .filter(Q(kind="test", movement__body__test__in=[TIMED, WHITENED])
                | Q(kind="fault", movement__body__whitening__isnull=False))
        .select_related("movement", "piece").order_by("-at_us", "-root")[:LATEST]
    )  # fmt: skip
    if not found:
        return []
    there, coats = shop_zone(), _coats(found)
    seen: set[tuple[str, int]] = set()
    out: list[DryingTold] = []
    for event in found:
        coat = _told_of(event.movement.body).get("coat")
        for told in _of(event, coats, there):
            if told.value is not None and coat is not None:
                if (told.name, coat) in seen:
                    told = replace(told, value=None, why=TWICE)
                seen.add((told.name, coat))
            out.append(told)
    return out[::-1]


def is_whitening(what: str) -> bool:
    """Return whether the name of a fault is that of a whitened coat: haze, blush, whitening."""
    return bool(_WORDS.search(what))


def learned_of(name: str, seen: Sequence[DryingTold]) -> Learned | None:
    """Return a constant with what was seen of it, None where nothing was.

    Parameters
    ----------
    name : str
        One of `NAMES`.
    seen : sequence of DryingTold
        Those that count, in the order of time.
    """
    if not seen:
        return None
    if name == TOLERANCE:
        return tolerance_of([Bound(bool(t.whitened), float(t.value or 0.0), t.source)
                             for t in seen]).learned  # fmt: skip
    own: dict[str, Learned] = {}
    for told in seen:
        assert told.value is not None
        own[name] = observed(own, name, told.value, told.source)
    return own[name]


def usual(name: str) -> Figure:
    """Return a constant as the table has it."""
    return prior(name).figure()


def _coats(found: Sequence[Event]) -> dict[int, tuple[int, bool]]:
    """Return the coats that are told of: the version that counts, and whether it was taken back."""
    roots = {coat for event in found if (coat := _told_of(event.movement.body).get("coat"))}
    if not roots:
        return {}
    rows = Event.objects.filter(root__in=roots).values_list("root_id", "movement_id", "void")
    return {root: (movement, void) for root, movement, void in rows}


def _told_of(body: Mapping[str, Any]) -> Mapping[str, Any]:
    """Return the part of a test or fault that says which coat it was and what it tells."""
    if "test" in body:
        return {**body["result"], **(body["learned"] or {}), "why": body["why_not"]}
    found: Mapping[str, Any] = body["whitening"]
    return found


def _of(
    event: Event, coats: Mapping[int, tuple[int, bool]], there: dt.tzinfo
) -> list[DryingTold]:  # fmt: skip
    body = event.movement.body
    told, piece = _told_of(body), event.piece
    assert piece is not None
    key = panel_words(piece.key) if piece.kind == "panel" else piece.key
    source = f"{key}, {clock.day_of(event.at_us, there).isoformat()}"
    why = told.get("why") or ""
    if coat := told.get("coat"):
        version, void = coats.get(coat, (0, True))
        why = GONE if void else STALE if version != told.get("coat_version") else why
    timed = body.get("test") == TIMED
    whitened = None if timed else bool(told.get("whitened", True))
    values = ({AIR: told.get("air"), STEP: told.get("diffusion")} if timed
              else {TOLERANCE: told.get("tolerance")})  # fmt: skip
    out = []
    for name, value in values.items():
        if value is not None and not why:
            out.append(DryingTold(name, event.root_id, event.at_us, float(value), "", source,
                                  whitened))  # fmt: skip
        elif value is not None or (why and name != STEP):
            out.append(DryingTold(name, event.root_id, event.at_us, None, why, source, whitened))
    return out
