"""What stands beside a test: what was seen so far, and the limits it is judged by."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from lacwright.bench.pages.jars import drop_words
from lacwright.bench.pages.measures import When, when
from lacwright.shop.models import Jar, Lot
from lacwright.shop.queries.proving import Tested, proof
from lacwright.shop.services.proving import limits_now
from lacwright.shop.verdict import Times, minutes


@dataclass(frozen=True)
class SoFar:
    """A test that is running."""

    drop: str
    control: str
    hours: str
    looked: When
    look: When | None


def so_far(thing: Jar | Lot, test: str, zone: dt.tzinfo) -> SoFar | None:
    """Return what was seen of a running test of a jar or lot, None if there is none."""
    found = next((t for t in proof(thing).running if t.test == test), None)
    return None if found is None else _so_far(found, zone)


def _so_far(test: Tested, zone: dt.tzinfo) -> SoFar:
    drop, control = test.body.get("jar"), test.body.get("control")
    hours = test.body["result"].get("hours")
    return SoFar(
        drop_words(Times(**drop)) if drop else "", drop_words(Times(**control)) if control else "",
        f"{hours:g} h" if hours is not None else "", when(test.at_us, zone),
        None if test.look_us is None else when(test.look_us, zone),
    )  # fmt: skip


def drying_limits() -> dict[str, str]:
    """Return the latest times of the stages, and the room they hold in, in words."""
    now = limits_now()
    told = {stage: f"limit {minutes(now[f'{stage}_min'])}"
            for stage in ("tack_free", "nail", "powder")}  # fmt: skip
    return {
        **told, "room": f"{now['room_low_c']:g} to {now['room_high_c']:g} °C, below "
                        f"{now['room_rh']:.0%} humidity",
    }  # fmt: skip


def other_limits() -> dict[str, str]:
    """Return when flakes are looked at, and how long a drop of water stands, in words."""
    now = limits_now()
    return {"dissolve": f"{now['dissolve_h']:g} h", "again": f"{now['dissolve_again_h']:g} h",
            "spot": f"{now['spot_hours']:g} h",
            "film": f"{now['spot_film_days']:g} days"}  # fmt: skip
