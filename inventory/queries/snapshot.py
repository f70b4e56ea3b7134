"""One unchanging view of the tables while something long is read, without making anybody wait."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import connection, transaction


@contextmanager
def one_snapshot() -> Iterator[None]:
    """See the tables as they are now until the end, whatever is posted meanwhile; nobody is kept waiting.

    Inside a transaction that is open already its own view counts.
    """
    if connection.in_atomic_block:
        yield
    elif connection.vendor == "sqlite":
        # Not `atomic`: the studio's transactions begin by taking the pen, and a reader needs none.
        with connection.cursor() as cursor:
            cursor.execute("BEGIN DEFERRED")
            try:
                yield
            finally:
                cursor.execute("ROLLBACK")
    else:
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
            yield
