"""Changing the description of a thing: old and new are written down, the row follows.

A description can be taken back like anything else: the row then shows the last one that counts.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Any

from django.db import models

from lacwright.figures import Refusal
from lacwright.shop.models import Described, Event, Line, Lot, Movement, Setting
from lacwright.shop.replay import REFS
from lacwright.shop.services.amend import RECOMPOSE, SETTLE, Body, merged
from lacwright.shop.writing import Writer

KIND = "describe"
SETTING = "setting"
_LEDGER = {"parts", "density_g_ml", "kind"}
"""What the ledger reads of a lot."""


def describe(
    w: Writer, word: str, thing: Described, changes: Mapping[str, Any]
) -> Movement:  # fmt: skip
    """Change fields of a thing and write down what they were.

    Parameters
    ----------
    w : Writer
        Of the request.
    word : str
        "lot", "jar", "applicator", "piece", "job" or "customer".
    thing : Described
        Its row.
    changes : mapping
        New values by name of the field, as Python values; a customer by its row.

    Raises
    ------
    Refusal
        If nothing changes.
    """
    was = {name: _plain(getattr(thing, name)) for name in changes}
    now = {name: _plain(value) for name, value in changes.items()}
    same = [name for name in now if now[name] == was[name]]
    for name in same:
        del was[name], now[name]
    if not now:
        raise Refusal(word, f"nothing changes about '{thing.key}'", "say what is otherwise")
    for name in now:
        setattr(thing, name, changes[name])
    thing.save()
    return w.movement(KIND, refs={word: thing.key}, rederive=rest_on(thing, now),
                      facts={"table": word, "name": thing.key, "was": was, "now": now},
                      )  # fmt: skip


def set_setting(w: Writer, key: str, value: Any) -> Movement:
    """Change a setting of the shop (None takes it away) and write down what it was."""
    row = Setting.objects.filter(key=key).first()
    was = None if row is None else row.value
    if was == value:
        raise Refusal(key, "nothing changes", "say what is otherwise")
    _save_setting(key, value)
    return w.movement(KIND, facts={"table": SETTING, "name": key, "was": {"value": was},
                                   "now": {"value": value}})  # fmt: skip


def settle(root: Movement, body: Body | None) -> tuple[int, ...]:
    """Bring the row that a description is about in line with the descriptions that will count."""
    table, name = root.body["table"], root.body["name"]
    mine = Event.objects.filter(kind=KIND)
    thing = None
    if table != SETTING:
        thing = REFS[table].objects.get(key=name)
        mine = mine.filter(**{table: thing})
    said: dict[str, list[tuple[bool, Mapping[str, Any]]]] = {}
    for event in mine.select_related("root").order_by("root_id"):
        told = event.root.body
        if (told["table"], told["name"]) == (table, name):
            counts = body is not None if event.root_id == root.id else not event.void
            for key in told["now"]:
                said.setdefault(key, []).append((counts, told))
    fields = {}
    for key in root.body["now"]:
        counting = [told["now"][key] for counts, told in said[key] if counts]
        fields[key] = counting[-1] if counting else said[key][0][1]["was"][key]
    if thing is None:
        _save_setting(name, fields["value"])
        return ()
    for key, value in fields.items():
        setattr(thing, key, _python(thing, key, value))
    thing.save()
    return rest_on(thing, fields)


def rest_on(thing: Described, fields: Iterable[str]) -> tuple[int, ...]:
    """Return the roots of the observations whose lines rest on fields of a thing."""
    if not (isinstance(thing, Lot) and _LEDGER.intersection(fields)):
        return ()
    return tuple(Line.objects.filter(lot=thing).values_list("about_id", flat=True).distinct())


def _save_setting(key: str, value: Any) -> None:
    if value is None:
        Setting.objects.filter(key=key).delete()
    else:
        Setting.objects.update_or_create(key=key, defaults={"value": value})


def _plain(value: Any) -> Any:
    """Return a value as JSON."""
    if isinstance(value, Described):
        return value.key
    if isinstance(value, Decimal):
        return str(value.normalize())
    if isinstance(value, dt.date):
        return value.isoformat()
    return value


def _python(thing: Described, name: str, value: Any) -> Any:
    """Return a value out of JSON for a field of a row."""
    kept = type(thing)._meta.get_field(name)
    if value is None:
        return None
    if isinstance(kept, models.ForeignKey):
        return kept.related_model._default_manager.get(key=value)
    if isinstance(kept, models.DecimalField):
        return Decimal(value)
    if isinstance(kept, models.DateField):
        return dt.date.fromisoformat(value)
    return value


RECOMPOSE[KIND] = lambda body, changes: Body(body["refs"], (), merged(body, changes, ()))
SETTLE[KIND] = settle
