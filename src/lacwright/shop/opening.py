"""Opening the record: make it where there is none, bring an older one up to date, refuse a newer.

Nothing here imports a table before Django is ready, so that a command which needs no record does
not pay for it.
"""

from __future__ import annotations

import os
import uuid
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from typing import Any

from lacwright.figures import Refusal
from lacwright.shop import home as homes
from lacwright.shop.clock import zone_here
from lacwright.shop.home import Home

ZONE_HERE = zone_here()
"""Asked before Django is ready, which sets this process to its own zone."""
WAIT_S = 5.0
"""How long to wait for another program that brings the record up to date."""
MOST_TRIES = 5

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
    if not home.exists and not create and not home.half_restored:
        raise _none(home)
    ready()
    close_record()
    try:
        # Held before it is looked at: no restore can put another database in its place between.
        _held = homes.InUse(home, wait_s=WAIT_S)
        homes.refuse_half_restored(home)
        if not home.exists and not create:
            raise _none(home)
        homes.make_folders(home)
        _point_to(home)
        for _ in range(MOST_TRIES):
            if _up_to_date(home):
                _opened = home
                return home
            close_record()
            _bring_up_to_date(home)
            _held = homes.InUse(home, wait_s=WAIT_S)
            _point_to(home)
        raise RuntimeError("the record does not come up to date")
    except BaseException:
        close_record()
        raise


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


def _none(home: Home) -> Refusal:
    return Refusal("record", f"there is none in {home.folder}",
                   "write the first lot down with 'lacwright lot add', or name the folder "
                   "with --home")  # fmt: skip


def _point_to(home: Home) -> None:
    from django.db import connections

    connection = connections["default"]
    connection.close()
    connection.settings_dict["NAME"] = str(home.database)


def _up_to_date(home: Home) -> bool:
    """Return whether the tables are those of this program, with what every record begins with.

    Raises
    ------
    Refusal
        If they belong to a newer one, or are no tables of a record at all.
    """
    if not home.exists:
        return False
    from django.db import connections
    from django.db.migrations.loader import MigrationLoader

    connection = connections["default"]
    with plainly(home):
        loader = MigrationLoader(connection)
        applied = {name for app, name in loader.applied_migrations if app == "shop"}
        known = {name for app, name in loader.disk_migrations if app == "shop"}
        strange = set() if applied else set(connection.introspection.table_names())
    newer = applied - known
    if newer:
        raise Refusal("record", f"it was written by a newer lacwright ({', '.join(sorted(newer))})",
                      "install that version or a later one; nothing was changed")  # fmt: skip
    if strange - {"django_migrations"}:
        raise Refusal("record", f"{home.database} is a database, but no record",
                      "it was left as it is; name another folder with --home")  # fmt: skip
    return applied == known and bool(applied) and _furnished(home)


def damaged(home: Home, error: Exception) -> Refusal:
    """Return what to say of a database that cannot be read; it is left as it lies."""
    return Refusal(
        "record", f"{home.database} cannot be read ({error})",
        "it was left as it is; bring back a backup with 'lacwright record restore'",
    )  # fmt: skip


@contextmanager
def plainly(home: Home) -> Iterator[None]:
    """Turn faults of the database into refusals; faults of the program stay what they are."""
    from django.db import DatabaseError

    try:
        yield
    except DatabaseError as error:
        from lacwright.shop.writing import fault_of_the_disk

        if any(word in str(error) for word in ("malformed", "not a database")):
            raise damaged(home, error) from None
        raise fault_of_the_disk(error) from None


def _bring_up_to_date(home: Home) -> None:
    with homes.alone(home, "bringing it up to date", wait_s=WAIT_S):
        _point_to(home)
        if _up_to_date(home):  # another program has done it meanwhile
            return
        if home.exists and _begun():
            from lacwright.shop.backup import back_up

            back_up(home, why="before-update")
        with plainly(home):
            _migrate()
            furnish()
        close_record()


def _begun() -> bool:
    """Return whether there are tables of an older version."""
    from django.db import connections
    from django.db.migrations.recorder import MigrationRecorder

    applied = MigrationRecorder(connections["default"]).applied_migrations()
    return any(app == "shop" for app, _ in applied)


def _furnished(home: Home) -> bool:
    from lacwright.shop.models import Setting

    with plainly(home):
        return Setting.objects.filter(key="shop").exists()


def _migrate() -> None:
    from django.core.management import call_command

    call_command("migrate", verbosity=0, interactive=False)


def furnish() -> None:
    """Write down what every record begins with; quiet if it stands."""
    from django.db import transaction

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
            "zone": lambda: ZONE_HERE, "shop": lambda: uuid.uuid4().hex, "currency": lambda: "",
        }  # fmt: skip
        for key, value in first.items():
            if not Setting.objects.filter(key=key).exists():
                Setting.objects.create(key=key, value=value())
