"""The database keeps the ledger append-only whatever the code does."""

from __future__ import annotations

from io import StringIO

import pytest
from django.core.management import call_command
from django.db import IntegrityError, connection, models, transaction

from inventory import triggers
from inventory.models import Act, Entry, Posting
from tests.factories.inventory import KG, MONDAY, a_filled_tub

TABLES = [Act, Entry, Posting]


@pytest.fixture
def a_row_in_each(db):
    a_filled_tub(1 * KG)
    Act.objects.create(
        request_key="6f1f7f0e-0000-4000-8000-000000000001",
        name="inventory.count",
        content_digest="0" * 64,
        said="Counted.",
        happened_at=MONDAY,
        recorded_at=MONDAY,
    )


@pytest.mark.parametrize("table", TABLES)
def test_a_change_is_refused(a_row_in_each, table):
    changes = {Act: {"said": "else"}, Entry: {"amount": 5}, Posting: {"reason": "else"}}

    with pytest.raises(IntegrityError, match="never changed or deleted"), transaction.atomic():
        table.objects.update(**changes[table])


@pytest.mark.parametrize("table", TABLES)
def test_a_deletion_is_refused(a_row_in_each, table):
    with (
        pytest.raises(IntegrityError, match="never changed or deleted"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(f"DELETE FROM {table._meta.db_table}")


def test_the_way_round_the_triggers_that_this_database_offers_is_shut(a_row_in_each):
    """On SQLite INSERT OR REPLACE deletes past the trigger unless triggers recurse; PostgreSQL empties
    a table without touching rows.
    """
    entry = Entry.objects.get()
    ways_round = {
        "sqlite": "INSERT OR REPLACE INTO inventory_entry"
        " (id, posting_id, lot_id, source_id, destination_id, amount) VALUES"
        f" ({entry.pk}, {entry.posting_id}, {entry.lot_id}, {entry.source_id}, {entry.destination_id}, 1)",
        "postgresql": "TRUNCATE inventory_entry CASCADE",
    }

    # PostgreSQL empties no table that still waits for its foreign keys to be checked.
    connection.check_constraints()
    with (
        pytest.raises(IntegrityError, match="never changed or deleted"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(ways_round[connection.vendor])


@pytest.mark.parametrize("is_recursive", ["ON", "OFF"])
@pytest.mark.parametrize("table", TABLES)
def test_no_row_is_put_in_the_place_of_another_by_any_tool(a_row_in_each, table, is_recursive):
    """Other tools open a SQLite file without `recursive_triggers`; PostgreSQL replaces by its own words."""
    name = table._meta.db_table
    columns = ", ".join(f'"{field.column}"' for field in table._meta.concrete_fields)
    replace = {
        "sqlite": f"INSERT OR REPLACE INTO {name} ({columns}) SELECT {columns} FROM {name}",
        "postgresql": f"INSERT INTO {name} ({columns}) SELECT {columns} FROM {name}"
        " ON CONFLICT (id) DO UPDATE SET id = EXCLUDED.id",
    }[connection.vendor]
    before = list(table.objects.order_by("pk").values())

    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute(f"PRAGMA recursive_triggers = {is_recursive}")
        with pytest.raises(IntegrityError, match="never changed or deleted"), transaction.atomic():
            cursor.execute(replace)
        if connection.vendor == "sqlite":
            cursor.execute("PRAGMA recursive_triggers = ON")

    assert list(table.objects.order_by("pk").values()) == before


def test_a_row_under_a_key_that_was_used_replaces_none_either(a_row_in_each):
    act = Act.objects.get(said="Counted.")
    again = Act(**{field.attname: getattr(act, field.attname) for field in Act._meta.concrete_fields})
    again.pk = act.pk + 1

    with pytest.raises(IntegrityError), transaction.atomic():
        again.save(force_insert=True)

    assert Act.objects.get(said="Counted.").pk == act.pk


@pytest.mark.django_db
def test_all_triggers_are_up_after_migrate():
    assert triggers.missing(connection) == []
    assert triggers.check_triggers(databases=["default"]) == []


@pytest.mark.django_db
def test_the_check_names_a_trigger_that_is_gone():
    triggers.remove(connection)

    (warning,) = triggers.check_triggers(databases=["default"])

    assert warning.id == "inventory.W001"
    assert "inventory_entry_no_delete" in warning.msg
    assert "inventory_posting_no_update" in warning.msg
    triggers.install(connection)


@pytest.mark.django_db(transaction=True)
def test_a_migration_that_remakes_the_table_loses_them_and_the_next_migrate_restores_them():
    """On SQLite a new constraint remakes the table; PostgreSQL alters it in place and keeps its triggers."""
    constraint = models.CheckConstraint(condition=models.Q(amount__lt=10**15), name="entry_amount_bounded")
    with connection.schema_editor() as editor:
        editor.add_constraint(Entry, constraint)
    try:
        lost = triggers.missing(connection)

        call_command("migrate", stdout=StringIO())

        if connection.vendor == "sqlite":
            assert lost == [f"inventory_entry_no_{act}" for act in ("delete", "insert", "update")]
        assert triggers.missing(connection) == []
    finally:
        with connection.schema_editor() as editor:
            editor.remove_constraint(Entry, constraint)
        triggers.install(connection)
