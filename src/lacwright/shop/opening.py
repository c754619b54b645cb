"""Opening the record: make it where there is none, bring an older one up to date, refuse a newer.

Nothing here imports a table before Django is ready, so that a command which needs no record does
not pay for it.
"""

from __future__ import annotations

import os
import uuid
from collections.abc import Callable
from contextlib import suppress
from typing import Any

from lacwright.figures import Refusal
from lacwright.shop import home as homes
from lacwright.shop.home import Home

_held: homes.InUse | None = None
_opened: Home | None = None


def ready() -> None:
    """Make Django ready; quiet if it is."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "lacwright.shop.settings")
    import django
    from django.apps import apps

    if not apps.ready:
        django.setup()


def open_record(home: Home, *, create: bool = True) -> Home:
    """Open the record of a shop; the tables of this process are then those of this shop.

    Parameters
    ----------
    home : Home
        Its folder.
    create : bool
        Whether to make a record where there is none.

    Raises
    ------
    Refusal
        If there is none, it is newer than this program, damaged, or held by a restore.
    """
    global _held, _opened
    if not home.exists and not create:
        raise Refusal("record", f"there is none in {home.folder}",
                      "write the first lot down with 'lacwright lot add', or name the folder "
                      "with --home")  # fmt: skip
    ready()
    close_record()
    homes.make_folders(home)
    _point_to(home)
    try:
        if not _up_to_date(home):
            _bring_up_to_date(home)
        _held = homes.InUse(home)
        _opened = home
    except BaseException:
        close_record()
        raise
    return home


def close_record() -> None:
    """Let the record go."""
    global _held, _opened
    from django.db import connections

    with suppress(Exception):
        connections["default"].close()
    if _held is not None:
        _held.let_go()
    _held = _opened = None


def opened() -> Home:
    """Return the shop that is open.

    Raises
    ------
    RuntimeError
        If none is: a fault of the program.
    """
    if _opened is None:
        raise RuntimeError("no record is open")
    return _opened


def _point_to(home: Home) -> None:
    from django.db import connections

    connection = connections["default"]
    connection.close()
    connection.settings_dict["NAME"] = str(home.database)


def _up_to_date(home: Home) -> bool:
    """Return whether the tables are those of this program.

    Raises
    ------
    Refusal
        If they belong to a newer one, or are no tables at all.
    """
    if not home.exists:
        return False
    from django.db import DatabaseError, connections
    from django.db.migrations.loader import MigrationLoader

    def look() -> tuple[set[str], set[str]]:
        loader = MigrationLoader(connections["default"])
        applied = {name for app, name in loader.applied_migrations if app == "shop"}
        return applied, {name for app, name in loader.disk_migrations if app == "shop"}

    try:
        applied, known = look()
    except DatabaseError as error:
        raise damaged(home, error) from None
    newer = applied - known
    if newer:
        raise Refusal("record", f"it was written by a newer lacwright ({', '.join(sorted(newer))})",
                      "install that version or a later one; nothing was changed")  # fmt: skip
    return applied == known and bool(applied)


def damaged(home: Home, error: Exception) -> Refusal:
    """Return what to say of a database that cannot be read; it is left as it lies."""
    return Refusal(
        "record", f"{home.database} cannot be read ({error})",
        "it was left as it is; bring back a backup with 'lacwright record restore'",
    )  # fmt: skip


def _bring_up_to_date(home: Home) -> None:
    with homes.alone(home, "bringing it up to date"):
        if _up_to_date(home):  # another program has done it meanwhile
            return
        if home.exists and home.database.stat().st_size:
            from lacwright.shop.backup import back_up

            back_up(home, why="before-update")
        _migrate()
        furnish()


def _migrate() -> None:
    from django.core.management import call_command

    call_command("migrate", verbosity=0, interactive=False)


def furnish() -> None:
    """Write down what every record begins with; quiet if it stands."""
    from django.db import transaction

    from lacwright.shop.clock import zone_here
    from lacwright.shop.facts import OTHER
    from lacwright.shop.ledger import AIR, NOT_SAID, SUPPLIER, UNACCOUNTED, WASTE
    from lacwright.shop.models import Lot, Place, Setting

    with transaction.atomic():
        for key in (SUPPLIER, AIR, WASTE, UNACCOUNTED):
            Place.objects.get_or_create(key=key, defaults={"kind": key})
        place, _ = Place.objects.get_or_create(key=f"store:{NOT_SAID}", defaults={"kind": "store"})
        Lot.objects.get_or_create(
            key=NOT_SAID, defaults={"kind": OTHER, "unit": "g", "place": place, "said": False}
        )
        first: dict[str, Callable[[], Any]] = {
            "zone": zone_here, "shop": lambda: uuid.uuid4().hex, "currency": lambda: "",
        }  # fmt: skip
        for key, value in first.items():
            if not Setting.objects.filter(key=key).exists():
                Setting.objects.create(key=key, value=value())
