"""Taking a studio along to another database, and comparing every row afterwards."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import zip_longest
from typing import Any

import environ
from django.core.management import call_command
from django.core.management.color import no_style
from django.db import DEFAULT_DB_ALIAS, DatabaseError, connections, transaction
from django.db.models import Model

from shopfloor.backups.errors import NotMoved
from shopfloor.backups.tables import tables_to_move
from shopfloor.bootstrap import PROJECT

HERE, THERE = DEFAULT_DB_ALIAS, "there"
ROWS_AT_ONCE = 1000

Say = Callable[[str], None]


@dataclass(frozen=True)
class Moved:
    """What came over: tables, rows compared one by one, ledger entries that agree there."""

    tables: int
    rows: int
    entries: int


def move_studio(address: str, *, say: Say) -> Moved:
    """Copy every row of the studio into the empty database at `address` (a DATABASE_URL), and compare.

    All rows come over in one transaction. The studio here is only read; nobody may have it open.
    Raises: NotMoved.
    """
    _connect(address)
    tables = tables_to_move()
    try:
        say("Making the tables.")
        call_command("migrate", database=THERE, interactive=False, verbosity=0)
        with transaction.atomic(using=THERE):
            for model in tables:
                _copy(model)
            _number_on(tables)
        say("Comparing every row.")
        rows = sum(_compared(model) for model in tables)
    except DatabaseError as fault:
        raise NotMoved(f"The new database says: {str(fault).strip().splitlines()[0]}") from fault
    finally:
        connections[THERE].close()
    return Moved(len(tables), rows, _reckoned(address))


def _connect(address: str) -> None:
    try:
        database = environ.Env().db_url_config(address)
        connections.databases[THERE] = {**connections.databases[HERE], "OPTIONS": {}, **database}
        names = connections[THERE].introspection.table_names()
    except (DatabaseError, KeyError, ValueError, environ.ImproperlyConfigured) as fault:
        raise NotMoved(f"That database cannot be reached: {str(fault).strip().splitlines()[0]}") from fault
    if names:
        raise NotMoved(f"That database has {len(names)} tables already. Name an empty one.")


def _copy(model: type[Model]) -> None:
    """All rows of one table. Those that the migrations made there give way."""
    model._base_manager.using(THERE).all().delete()
    for some in _in_pieces(model._base_manager.using(HERE).order_by("pk").iterator(ROWS_AT_ONCE)):
        model._base_manager.using(THERE).bulk_create(some)


def _in_pieces(rows: Iterator[Model]) -> Iterator[list[Model]]:
    some: list[Model] = []
    for row in rows:
        some.append(row)
        if len(some) == ROWS_AT_ONCE:
            yield some
            some = []
    if some:
        yield some


def _number_on(tables: list[type[Model]]) -> None:
    """New rows are numbered after those that came over."""
    with connections[THERE].cursor() as cursor:
        for statement in connections[THERE].ops.sequence_reset_sql(no_style(), tables):
            cursor.execute(statement)


def _compared(model: type[Model]) -> int:
    """How many rows of a table are the same here and there: all of them, or it is refused."""
    names = [field.attname for field in model._meta.concrete_fields]
    here, there = (
        model._base_manager.using(alias).order_by("pk").values_list(*names).iterator(ROWS_AT_ONCE)
        for alias in (HERE, THERE)
    )
    count = 0
    for one, other in zip_longest(here, there):
        if one != other:
            raise NotMoved(
                f"A row of {model._meta.label} is not the same there: {_key(one)} and {_key(other)}."
            )
        count += 1
    return count


def _key(row: tuple[Any, ...] | None) -> str:
    return "none" if row is None else str(row[0])


def _reckoned(address: str) -> int:
    """Ledger entries that agree there, reckoned by a process that knows only the new database."""
    done = subprocess.run(
        [sys.executable, "-m", "shopfloor.backups.trial"],
        cwd=PROJECT,
        env={**os.environ, "DATABASE_URL": address},
        check=False,
        capture_output=True,
        text=True,
    )
    if done.returncode:
        raise NotMoved(f"The new database cannot be opened: {done.stderr.strip().splitlines()[-1]}")
    found = json.loads(done.stdout.splitlines()[-1])
    if found["faults"]:
        raise NotMoved(f"The ledger does not agree there: {found['faults'][0]}.")
    return int(found["entries"])
