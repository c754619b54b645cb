"""Asking in plain SQL what every answer needs: composing it anew takes longer than the query."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterator, Sequence
from functools import cache
from typing import Any, TypeVar

from django.db import connection, connections
from django.db.models import Model

T = TypeVar("T")
M = TypeVar("M", bound=Model)
AT_ONCE = 4000
"""Things in one query, of three numbers at the most: every database takes so many."""


def rows(sql: str, *lists: Collection[Any], also: Sequence[Any] = ()) -> Iterator[Any]:
    """Yield what a query finds.

    Parameters
    ----------
    sql : str
        With {} for the marks of every list; portable.
    *lists : collection
        Values in the order of the marks; nothing is found where one of them is empty.
    also : sequence
        Values of the marks behind them.
    """
    if not all(lists):
        return
    marks = [", ".join(["%s"] * len(values)) for values in lists]
    with connection.cursor() as cursor:
        cursor.execute(sql.format(*marks), [*(v for values in lists for v in values), *also])
        yield from cursor.fetchall()


def table_of(sql: str, values: Sequence[tuple[int, ...]]) -> Iterator[Any]:
    """Yield what a query finds that begins with a table of whole numbers: VALUES {}."""
    row = f"({', '.join(['%s'] * len(values[0]))})"
    with connection.cursor() as cursor:
        cursor.execute(sql.format(", ".join([row] * len(values))),
                       [number for row in values for number in row])  # fmt: skip
        yield from cursor.fetchall()


def things(
    table: type[M], rest: str, *lists: Collection[Any], also: Sequence[Any] = ()
) -> list[M]:  # fmt: skip
    """Return what a query finds as objects of a table.

    Parameters
    ----------
    table : type
        Model of the table, which the query calls t.
    rest : str
        What follows FROM and the table: "JOIN ... WHERE t.key IN ({})".
    *lists, also
        As for `rows`.
    """
    sql, names, readers = _columns(table)
    out, here = [], connections[connection.alias]  # looked up once, not for every row
    for row in rows(f"{sql} {rest}", *lists, also=also):
        values = list(row)
        for n, column, read in readers:
            values[n] = read(values[n], column, here)
        out.append(table.from_db(here.alias, names, values))
    return out


@cache
def _columns(table: type[Model]) -> tuple[str, list[str], list[tuple[int, Any, Any]]]:
    """Return the head of a query for all of a table, its fields, and what reads their values."""
    names, readers = [], []
    for n, field in enumerate(table._meta.concrete_fields):
        names.append(field.attname)
        column = field.get_col("t")
        own = column.get_db_converters(connection)
        readers += [(n, column, read)
                    for read in (*connection.ops.get_db_converters(column), *own)]  # fmt: skip
    columns = ", ".join(f"t.{field.column}" for field in table._meta.concrete_fields)
    return f"SELECT {columns} FROM {table._meta.db_table} t", names, readers


def body_of(text: Any) -> Any:
    """Return what an observation says, of a body as a plain query brings it."""
    return json.loads(text) if isinstance(text, str | bytes) else text


def chunks(values: Sequence[T], size: int = AT_ONCE) -> Iterator[Sequence[T]]:
    """Yield a sequence in parts that a query can take."""
    for start in range(0, len(values), size):
        yield values[start : start + size]
