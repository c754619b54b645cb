"""The record as a whole: how much there is, its settings, its backups."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass

from lacwright.shop import clock
from lacwright.shop.backup import backups, is_sound
from lacwright.shop.home import Home
from lacwright.shop.models import (
    Customer,
    Event,
    File,
    Jar,
    Job,
    Line,
    Lot,
    Movement,
    Piece,
    Setting,
)
from lacwright.shop.queries.preferences import currency


@dataclass(frozen=True)
class WholeRecord:
    """What there is.

    Parameters
    ----------
    size : int
        Bytes of database and files.
    counts : dict of str to int
        What it holds; pieces with panels, observations that count, movements with corrections.
    zone, currency, shop, version : str
        Its settings, its own number, the last migration.
    backups : int
        How many lie in its own folder.
    last_backup_us : int or None
        When the last of them was made.
    aside : list of str
        Older records that a restore has put aside.
    """

    size: int
    counts: dict[str, int]
    zone: str
    currency: str
    shop: str
    version: str
    backups: int
    last_backup_us: int | None
    aside: list[str]


def whole_record(home: Home) -> WholeRecord:
    """Return what the record that is open holds."""
    from django.db import connection
    from django.db.migrations.recorder import MigrationRecorder

    settings = dict(Setting.objects.values_list("key", "value"))
    applied = MigrationRecorder(connection).applied_migrations()
    there = [path for path in backups(home) if is_sound(path)]
    standing = {
        name: table.objects.filter(opened__event__void=False).count()
        for name, table in (("lots", Lot), ("jars", Jar), ("pieces", Piece),
                            ("jobs", Job), ("customers", Customer))
    }  # fmt: skip
    return WholeRecord(
        size=sum(path.stat().st_size for path in home.record.rglob("*") if path.is_file()),
        counts={**standing, "movements": Movement.objects.count(),
                "observations": Event.objects.filter(void=False).count(),
                "lines": Line.objects.count(), "files": File.objects.count()},
        zone=str(settings.get("zone", "UTC")), currency=currency(),
        shop=str(settings.get("shop", "")),
        version=max((name for app, name in applied if app == "shop"), default=""),
        backups=len(there), last_backup_us=_made(there[-1].name) if there else None,
        aside=[str(path) for path in home.set_aside],
    )  # fmt: skip


def _made(name: str) -> int | None:
    match = re.search(r"\d{8}T\d{6}", name)
    if match is None:
        return None
    return clock.to_us(dt.datetime.strptime(match[0], "%Y%m%dT%H%M%S").replace(tzinfo=dt.UTC))
