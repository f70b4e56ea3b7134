"""Everything the studio knows as open files, so that leaving is easy: CSV and JSON lines in one zip."""

from __future__ import annotations

import json
import os
import zipfile
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.auth.models import User
from django.core.serializers.json import DjangoJSONEncoder
from django.db.models import Field, Model

from inventory.arithmetic.csv_writing import csv_lines
from inventory.queries.snapshot import one_snapshot
from shopfloor.backups.errors import CopyNotMade
from shopfloor.backups.making import SENT_IN
from shopfloor.backups.tables import tables_to_read

ROWS_AT_ONCE = 2000
# What lets somebody in stays here.
KEPT_BACK = ("digest",)
PERSON_FIELDS = ("id", "username", "first_name", "last_name", "email", "is_active", "date_joined")


def export_everything(target: Path, *, now: datetime) -> tuple[int, int]:
    """Write every table as `NAME.csv` and `NAME.jsonl` into a new zip; answers tables and rows.

    `tables.json` says what each column is; `media/` holds what was sent in. All tables are read in one view.
    Passwords and the secrets of links and tokens are left out. CSV cells cannot act as formulas.
    Raises: CopyNotMade.
    """
    tables = {model._meta.label: _fields(model) for model in tables_to_read()}
    rows = 0
    try:
        handle = os.open(target, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "wb") as file, zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
            with one_snapshot():
                for model in tables_to_read():
                    rows += _write_table(archive, model, tables[model._meta.label])
                people = [field for field in User._meta.concrete_fields if field.attname in PERSON_FIELDS]
                rows += _write_table(archive, User, people)
            archive.writestr("tables.json", json.dumps(_described(tables, now), indent=1))
            for path in sorted((settings.SHARED_DIR / SENT_IN).rglob("*")):
                if path.is_file():
                    archive.write(path, str(path.relative_to(settings.SHARED_DIR)))
    except FileExistsError:
        raise CopyNotMade(f"{target} is there already. Name another file.") from None
    except OSError as fault:
        target.unlink(missing_ok=True)
        raise CopyNotMade(f"{target} cannot be written: {fault.strerror or fault}.") from fault
    except BaseException:
        target.unlink(missing_ok=True)
        raise
    return len(tables) + 1, rows


def _fields(model: type[Model]) -> list[Field[Any, Any]]:
    return [
        field for field in model._meta.concrete_fields if not any(word in field.name for word in KEPT_BACK)
    ]


def _described(tables: dict[str, list[Field[Any, Any]]], now: datetime) -> dict[str, Any]:
    return {
        "written_at": now.isoformat(),
        "amounts": "whole thousandths of the base unit (mg, uL, 1/1000 piece); money in whole minor units",
        "times": "UTC",
        "tables": {
            label: {
                field.attname: {
                    "kind": field.get_internal_type(),
                    "means": str(field.help_text or field.verbose_name),
                    **({"of": field.related_model._meta.label} if field.is_relation else {}),
                }
                for field in fields
            }
            for label, fields in tables.items()
        },
    }


def _write_table(archive: zipfile.ZipFile, model: type[Model], fields: list[Field[Any, Any]]) -> int:
    names = [field.attname for field in fields]
    count = 0
    with archive.open(f"{model._meta.label}.csv", "w") as out:
        for line in csv_lines([names]):
            out.write(line.encode())
        for line in csv_lines(_flat(row) for row in _rows(model, names)):
            out.write(line.encode())
            count += 1
    with archive.open(f"{model._meta.label}.jsonl", "w") as out:
        for row in _rows(model, names):
            written = json.dumps(
                dict(zip(names, row, strict=True)), cls=DjangoJSONEncoder, ensure_ascii=False
            )
            out.write(written.encode() + b"\n")
    return count


def _rows(model: type[Model], names: list[str]) -> Iterator[tuple[Any, ...]]:
    return model._base_manager.order_by("pk").values_list(*names).iterator(ROWS_AT_ONCE)


def _as_json(value: object) -> str:
    return json.dumps(value, cls=DjangoJSONEncoder, ensure_ascii=False)


def _flat(row: tuple[Any, ...]) -> list[Any]:
    """A row as CSV has it: times in ISO 8601, nested values as JSON."""
    return [
        _as_json(value)
        if isinstance(value, dict | list)
        else value.isoformat()
        if hasattr(value, "isoformat")
        else value
        for value in row
    ]
