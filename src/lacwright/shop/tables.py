"""The tables that hold the truth: their order, their rows as plain JSON, and back, checked."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
import math
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from decimal import Decimal
from typing import Any

from django.db import models

from lacwright.figures import Refusal
from lacwright.shop.models import (
    Applicator,
    Customer,
    File,
    Jar,
    Job,
    Line,
    Lot,
    Movement,
    Piece,
    Place,
    Request,
    Setting,
)
from lacwright.shop.seals import canonical

TABLES: dict[str, type[models.Model]] = {
    "setting": Setting, "movement": Movement, "request": Request, "place": Place,
    "customer": Customer, "lot": Lot, "jar": Jar, "applicator": Applicator, "piece": Piece,
    "job": Job, "file": File, "line": Line,
}  # fmt: skip
"""By name, in an order in which every row refers to rows before it; the indexes are not here."""

CHUNK = 2_000
_INT64 = 2**63
_DECIMAL = re.compile(r"-?\d{1,10}(\.\d{1,4})?")

Read = Callable[[Any], Any]


def columns(table: type[models.Model]) -> list[str]:
    """Return the names of the columns of a table, the key first."""
    return [field.attname for field in table._meta.concrete_fields]


def rows(table: type[models.Model]) -> Iterator[list[Any]]:
    """Yield the rows of a table in the order of its key, as plain JSON."""
    found = table._default_manager.order_by("pk").values_list(*columns(table))
    for row in found.iterator(CHUNK):
        yield [_plain(value) for value in row]


def content_hash() -> str:
    """Return a hash over everything the record holds but its files, whose names are hashes."""
    whole = hashlib.sha256()
    for name, table in TABLES.items():
        whole.update(f"{canonical([name, columns(table)])}\n".encode())
        for row in rows(table):
            whole.update(f"{canonical(row)}\n".encode())
    return whole.hexdigest()


class RowReader:
    """Reads the rows of one table out of JSON, checks them, and remembers their keys.

    Parameters
    ----------
    name : str
        Of the table.
    given : sequence of str
        The columns that are given, in order; an older version may have had fewer.
    known : mapping of str to set
        The keys that have been read, by table; this one adds its own.
    where : str
        For the refusals.

    Raises
    ------
    Refusal
        For a column that is not known, or one that is missing and has no default.
    """

    def __init__(
        self, name: str, given: Sequence[str], known: dict[str, set[Any]], where: str
    ) -> None:
        self.table = TABLES[name]
        fields = {field.attname: field for field in self.table._meta.concrete_fields}
        odd = [column for column in given if column not in fields]
        if odd or len(set(given)) != len(given):
            raise Refusal(where, f"its columns are not those of {name} ({', '.join(odd)})",
                          "use an archive that this version wrote, or an earlier one")  # fmt: skip
        missing = [column for column, field in fields.items()
                   if column not in given and not (field.null or field.has_default())]  # fmt: skip
        if missing:
            raise Refusal(where, f"it lacks the columns {', '.join(missing)}",
                          "use another archive")  # fmt: skip
        self._key = fields[columns(self.table)[0]].attname
        self._keys = known.setdefault(name, set())
        self._reads = [(column, _reader(fields[column], known, self._keys)) for column in given]

    def read(self, row: Any) -> models.Model:
        """Return a row as an object that is not saved yet.

        Raises
        ------
        ValueError
            With what is wrong with it.
        """
        if not isinstance(row, list) or len(row) != len(self._reads):
            raise ValueError("it has not as many values as there are columns")
        values = {}
        for (column, read), value in zip(self._reads, row, strict=True):
            try:
                values[column] = read(value)
            except ValueError as error:
                raise ValueError(f"{column}: {error}") from None
        key = values[self._key]
        if key in self._keys:
            raise ValueError(f"{self._key} {key} is there twice")
        self._keys.add(key)
        return self.table(**values)


def _plain(value: Any) -> Any:
    if isinstance(value, dt.date):
        return value.isoformat()
    return str(value) if isinstance(value, Decimal) else value


def _reader(
    field: models.Field[Any, Any], known: Mapping[str, set[Any]], own: set[Any]
) -> Read:  # fmt: skip
    """Return what reads and checks a value of a column."""
    if isinstance(field, models.ForeignKey):
        target = field.related_model
        name = next(name for name, table in TABLES.items() if table is target)
        keys = own if target is field.model else known[name]
        read = _reference(name, keys)
    else:
        read = next(make(field) for kind, make in _READERS if isinstance(field, kind))

    def with_null(value: Any) -> Any:
        if value is None:
            if not field.null:
                raise ValueError("nothing is given")
            return None
        return read(value)

    return with_null


def _reference(name: str, keys: set[Any]) -> Read:
    def read(value: Any) -> Any:
        if isinstance(value, bool) or not isinstance(value, int | str) or value not in keys:
            raise ValueError(f"there is no {name} {value!r}")
        return value

    return read


def _text(field: models.Field[Any, Any]) -> Read:
    most = field.max_length

    def read(value: Any) -> str:
        if not isinstance(value, str):
            raise ValueError(f"{value!r} is no text")
        if most is not None and len(value) > most:
            raise ValueError(f"it has {len(value)} characters, {most} are the most")
        if "\0" in value:
            raise ValueError("it holds a character that no text has")
        return value

    return read


def _whole(value: Any) -> int:
    if not isinstance(value, int) or isinstance(value, bool) or not -_INT64 <= value < _INT64:
        raise ValueError(f"{value!r} is no whole number")
    return value


def _yes_no(value: Any) -> bool:
    if not isinstance(value, bool):
        raise ValueError(f"{value!r} is neither true nor false")
    return value


def _number(value: Any) -> float:
    if not isinstance(value, int | float) or isinstance(value, bool) or not math.isfinite(value):
        raise ValueError(f"{value!r} is no number")
    return float(value)


def _day(value: Any) -> dt.date:
    if not isinstance(value, str):
        raise ValueError(f"{value!r} is no day")
    return dt.date.fromisoformat(value)


def _decimal(value: Any) -> Decimal:
    if not isinstance(value, str) or _DECIMAL.fullmatch(value) is None:
        raise ValueError(f"{value!r} is no price")
    return Decimal(value)


def _json(value: Any) -> Any:
    return value


def body_fault(row: models.Model) -> str:
    """Return what is wrong with the body of a movement, "" if it can be worked with."""
    if not isinstance(row, Movement):
        return ""
    body = row.body
    if not isinstance(body, dict) or not isinstance(body.get("refs"), dict):
        return "its body has no refs"
    moves = body.get("moves")
    if not isinstance(moves, list) or not all(isinstance(m, dict) and "op" in m for m in moves):
        return "its body has no moves"
    if row.root_id is not None and row.root_id >= row.id:
        return "it stands in for a later one"
    return ""


def decode(line: bytes) -> Any:
    """Return a line of an archive as data; NaN and bytes that are no characters are refused.

    Raises
    ------
    ValueError
        If it is no JSON.
    """
    data = json.loads(line, parse_constant=_no_number)
    canonical(data).encode()
    return data


def _no_number(text: str) -> None:
    raise ValueError(f"{text} is no number")


_READERS: tuple[tuple[type[models.Field[Any, Any]], Callable[[Any], Read]], ...] = (
    (models.JSONField, lambda field: _json),
    (models.BooleanField, lambda field: _yes_no),
    (models.FloatField, lambda field: _number),
    (models.DecimalField, lambda field: _decimal),
    (models.DateField, lambda field: _day),
    (models.IntegerField, lambda field: _whole),  # and every wider or counting kind
    (models.AutoField, lambda field: _whole),
    (models.CharField, _text),
    (models.TextField, _text),
)
