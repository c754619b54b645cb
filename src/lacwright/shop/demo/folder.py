"""Where a demo lies, and what is never overwritten for it."""

from __future__ import annotations

import shutil
from pathlib import Path

from lacwright.figures import Refusal
from lacwright.shop import disk
from lacwright.shop import home as homes
from lacwright.shop.home import Home, find_home
from lacwright.shop.opening import close_record, open_record

MARK = "demo"
"""The setting that a demo carries; only what carries it is ever made anew."""


def demo_home(path: str | Path | None = None) -> Home:
    """Return the folder of a demo: as told, else one beside that of the real record.

    Raises
    ------
    Refusal
        If something that is no folder stands there.
    """
    if path is not None:
        return find_home(path)
    real = find_home().folder
    return find_home(real.with_name(f"{real.name}-demo"))


def look(home: Home, *, again: bool) -> None:
    """See whether a demo can be made in a folder; nothing is changed.

    Raises
    ------
    Refusal
        If a record with anything in it is there that is no demo, or a demo without `again`.
    """
    anything, marked = _look(home)
    if marked and not again:
        raise Refusal("--home", f"a demo is there already, in {home.folder}",
                      "look at it, or add --again to throw it away and make it anew")  # fmt: skip
    if anything and not marked:
        raise Refusal("--home", f"there is a record in {home.folder}, and it is no demo",
                      "name another folder; nothing was changed")  # fmt: skip


def make_room(home: Home, *, again: bool) -> None:
    """Throw away the demo that is in a folder, if there is one; backups beside it stay.

    Raises
    ------
    Refusal
        As `look`; if another program has it open.
    """
    look(home, again=again)
    if not _look(home)[1]:
        return
    with homes.alone(home, "making the demo anew"), disk.plainly("--home", "some of it is left"):
        shutil.rmtree(home.record)


def is_demo(home: Home) -> bool:
    """Return whether the record in a folder is a demo."""
    return _look(home)[1]


def _look(home: Home) -> tuple[bool, bool]:
    """Return whether there is anything in the record of a folder, and whether it is a demo."""
    if not home.exists:
        return False, False
    open_record(home, create=False)
    try:
        from lacwright.shop.models import Movement, Setting

        return Movement.objects.exists(), Setting.objects.filter(key=MARK).exists()
    finally:
        close_record()
