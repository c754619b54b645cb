"""An invented shop of two years, to try everything on: `make_demo`.

Nobody and nothing in it is real. It is written with the same services as any entry, in the order
in which its people would have written it down, so that it can be audited, corrected and recalled
like any record. The same seed and the same end give the same shop.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from lacwright.shop.demo.folder import MARK, demo_home, is_demo, look, make_room
from lacwright.shop.disk import Progress, quiet
from lacwright.shop.home import Home

__all__ = ["MARK", "Demo", "demo_home", "is_demo", "look", "make_demo", "planned"]


@dataclass(frozen=True)
class Demo:
    """What was made.

    Parameters
    ----------
    home : Home
        Where it lies.
    seed, now_us : int
        What it was made from: the end of its story.
    counts : mapping of str to int
        Lots, jars, jobs, pieces, panels, coats, tests, movements.
    bad_jar : str
        The jar that failed its test and is to be recalled.
    jobs_with_plan : tuple of str
        Jobs that were started with a plan.
    """

    home: Home
    seed: int
    now_us: int
    counts: Mapping[str, int]
    bad_jar: str
    jobs_with_plan: tuple[str, ...]


def planned() -> dict[str, int]:
    """Return how much of what is planned for a demo, without making it."""
    from lacwright.shop.demo.tables import rows

    return {"lots": len(rows("lots.csv")), "jobs": len(rows("jobs.csv")),
            "panels": len(rows("panels.csv")),
            "customers": len(rows("customers.csv"))}  # fmt: skip


def make_demo(
    home: Home, *, now_us: int, seed: int = 0, again: bool = False, progress: Progress = quiet
) -> Demo:
    """Make the invented shop in a folder; the record is then open.

    Parameters
    ----------
    home : Home
        Its folder.
    now_us : int
        The end of its two years.
    seed : int
        Makes a run repeatable.
    again : bool
        Whether a demo that is there already is made anew. No other record is ever touched.
    progress : callable
        Told how far it is.

    Raises
    ------
    Refusal
        If a record with anything in it is there.
    """
    from lacwright.shop.opening import open_record

    make_room(home, again=again)
    open_record(home)
    from lacwright.shop.demo.telling import tell

    return tell(home, now_us=now_us, seed=seed, progress=progress)
