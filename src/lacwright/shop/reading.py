"""Reading: several questions that must see one state of the record."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator

from django.db import connection, transaction


@contextlib.contextmanager
def snapshot() -> Iterator[None]:
    """See one state of the record throughout, without keeping others from reading.

    Inside a transaction that is open already it changes nothing.
    """
    if connection.in_atomic_block:
        yield
        return
    if connection.vendor != "sqlite":
        with transaction.atomic():
            with connection.cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY")
            yield
        return
    connection.ensure_connection()
    mode = connection.transaction_mode  # type: ignore[attr-defined]
    # Every write begins IMMEDIATE; a read that did would wait for writers and hold them up.
    connection.transaction_mode = "DEFERRED"  # type: ignore[attr-defined]
    try:
        with transaction.atomic():
            connection.transaction_mode = mode  # type: ignore[attr-defined]
            yield
    finally:
        connection.transaction_mode = mode  # type: ignore[attr-defined]
