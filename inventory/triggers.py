"""The triggers that make the ledger and the record of acts append-only, on SQLite and on PostgreSQL.

They are put up after every migrate, not by a migration: a migration that remakes a SQLite table drops the
table's triggers without a word (measured), and the next migrate must bring them back. A system check says
when one is missing.
"""

from __future__ import annotations

from typing import Any

from django.apps import AppConfig
from django.core.checks import CheckMessage, Warning
from django.db import connections
from django.db.backends.base.base import BaseDatabaseWrapper

# The tables, and what of a row is unique: a row put in the place of another would bear the same.
TABLES = {
    "inventory_act": ("id", "request_key", "undoes_id"),
    "inventory_posting": ("id", "reverses_id"),
    "inventory_entry": ("id",),
}
SENTENCE = "What was recorded is never changed or deleted: undo it, or correct it by a new posting."
_FUNCTION = "inventory_refuse_change"


def install(connection: BaseDatabaseWrapper) -> None:
    """Put the triggers up on every ledger table that is there; harmless when they are up already."""
    tables = _tables_there(connection)
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql" and tables:
            cursor.execute(
                f"CREATE OR REPLACE FUNCTION {_FUNCTION}() RETURNS trigger LANGUAGE plpgsql AS "
                f"$$ BEGIN RAISE EXCEPTION '{SENTENCE}' USING ERRCODE = 'integrity_constraint_violation'; "
                "END $$"
            )
        for table in tables:
            for act in _acts(connection):
                cursor.execute(_drop(connection, table, act))
                cursor.execute(_create(connection, table, act))


def remove(connection: BaseDatabaseWrapper) -> None:
    """Take the triggers down: only for tests that must empty the tables between them."""
    with connection.cursor() as cursor:
        for table in _tables_there(connection):
            for act in _acts(connection):
                cursor.execute(_drop(connection, table, act))


def missing(connection: BaseDatabaseWrapper) -> list[str]:
    """The names of the triggers that should be up and are not. Tables not made yet are not counted."""
    wanted = {_name(table, act) for table in _tables_there(connection) for act in _acts(connection)}
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("SELECT tgname FROM pg_trigger WHERE NOT tgisinternal AND tgenabled <> 'D'")
        else:
            cursor.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
        there = {name for (name,) in cursor.fetchall()}
    return sorted(wanted - there)


def install_after_migrate(sender: AppConfig, using: str, **_: Any) -> None:
    """Put the triggers up at the end of every migrate."""
    install(connections[using])


def check_triggers(databases: list[str] | None = None, **_: Any) -> list[CheckMessage]:
    """Say which triggers are missing.

    A warning and not an error, because migrate runs the checks first and is what brings them back.
    """
    return [
        Warning(
            f"The ledger can be changed behind the app's back: {', '.join(gone)} missing in {alias}.",
            hint="Run manage.py migrate: it puts the triggers up again.",
            id="inventory.W001",
        )
        for alias in databases or []
        if (gone := missing(connections[alias]))
    ]


def _tables_there(connection: BaseDatabaseWrapper) -> list[str]:
    there = set(connection.introspection.table_names())
    return [table for table in TABLES if table in there]


def _acts(connection: BaseDatabaseWrapper) -> tuple[str, ...]:
    """What is forbidden. INSERT only where it would replace a row: SQLite's INSERT OR REPLACE deletes without
    asking the trigger on DELETE, unless the connection has `recursive_triggers` on, and other tools have not.
    """
    return ("UPDATE", "DELETE", "TRUNCATE" if connection.vendor == "postgresql" else "INSERT")


def _name(table: str, act: str) -> str:
    return f"{table}_no_{act.lower()}"


def _drop(connection: BaseDatabaseWrapper, table: str, act: str) -> str:
    on_table = f" ON {table}" if connection.vendor == "postgresql" else ""
    return f"DROP TRIGGER IF EXISTS {_name(table, act)}{on_table}"


def _create(connection: BaseDatabaseWrapper, table: str, act: str) -> str:
    head = f"CREATE TRIGGER {_name(table, act)} BEFORE {act} ON {table}"
    if connection.vendor == "postgresql":
        each = "STATEMENT" if act == "TRUNCATE" else "ROW"
        return f"{head} FOR EACH {each} EXECUTE FUNCTION {_FUNCTION}()"
    if act == "INSERT":
        same = " OR ".join(f"{column} = NEW.{column}" for column in TABLES[table])
        head += f" WHEN EXISTS (SELECT 1 FROM {table} WHERE {same})"
    return f"{head} BEGIN SELECT RAISE(ABORT, '{SENTENCE}'); END"
