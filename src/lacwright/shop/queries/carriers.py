"""Pads and brushes as they lie there: what is in them, when they were last washed out."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from django.db.models import Max

from lacwright.shop import clock
from lacwright.shop.models import Applicator, Event, Flow
from lacwright.shop.queries.contents import Contents, contents_of
from lacwright.shop.queries.preferences import zone as shop_zone


@dataclass(frozen=True, eq=False)
class ApplicatorLine:
    """A pad or brush."""

    applicator: Applicator
    contents: Contents
    washed_us: int | None
    used_us: int | None
    zone: dt.tzinfo

    @property
    def clean(self) -> bool:
        """Whether nothing went into it since it was washed out (or ever)."""
        if self.used_us is None:
            return True
        return self.washed_us is not None and self.washed_us >= self.used_us

    def as_json(self) -> dict[str, Any]:
        """Return it as plain data with the reason for every null."""
        row = self.applicator
        when = {"washed": self.washed_us, "used": self.used_us}
        keys: dict[str, Any] = {
            "name": row.key, "kind": row.kind, "clean": self.clean, "note": row.note,
            "dry_g": self.contents.total_g,
            "lots": {h.lot.key: h.g for h in self.contents.held},
            **{name: None if us is None else clock.iso(us, self.zone)
               for name, us in when.items()},
        }  # fmt: skip
        why = {"washed": "it was not washed out yet", "used": "nothing went into it yet"}
        return {**keys, "missing": {k: why[k] for k, v in keys.items() if v is None}}


def applicators() -> tuple[ApplicatorLine, ...]:
    """Return all pads and brushes by name."""
    rows = Applicator.objects.filter(opened__event__void=False).select_related("place")
    return _lines(list(rows.order_by("key")))


def applicator_line(row: Applicator) -> ApplicatorLine:
    """Return one pad or brush."""
    return _lines([row])[0]


def _lines(rows: list[Applicator]) -> tuple[ApplicatorLine, ...]:
    places = [row.place for row in rows]
    inside, zone = contents_of(places), shop_zone()
    washed = dict(
        Event.objects.filter(kind="wash", void=False, applicator__in=[r.id for r in rows])
        .values_list("applicator").annotate(last=Max("at_us"))
    )  # fmt: skip
    used = dict(
        Flow.objects.filter(to__in=[p.id for p in places]).values_list("to")
        .annotate(last=Max("at_us"))
    )  # fmt: skip
    return tuple(
        ApplicatorLine(row, inside[row.place_id], washed.get(row.id), used.get(row.place_id), zone)
        for row in rows
    )
