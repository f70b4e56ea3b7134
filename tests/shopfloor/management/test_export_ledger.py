"""`manage.py export_ledger`, and checking its file without the database."""

from __future__ import annotations

import csv
import json
import os
import subprocess
import sys
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from inventory.models import Entry, Lot, Posting
from inventory.operations.decanting import decant
from inventory.operations.spilling import note_spill
from inventory.operations.undoing import UNDO
from tests.factories.inventory import KG, a_material, a_supplier, a_tap, a_tub, fill

pytestmark = pytest.mark.django_db


@pytest.fixture
def used(db):
    powder = a_material(name="=Quick compound")
    bulk, working = a_tub(powder, code="B4"), a_tub(powder, code="Q2", role="working")
    fill(bulk, 10 * KG, supplier=a_supplier(name="Mudlark"), supplier_lot="ML-7", price_minor=1999)
    fill(bulk, 5 * KG)
    decant(source_id=bulk.pk, target_id=working.pk, amount=4 * KG, lumps=100_000, **a_tap())
    spilled = note_spill(container_id=working.pk, amount=KG, **a_tap())
    UNDO["inventory.note_spill"](act_id=spilled.act_id, **a_tap())


@pytest.mark.parametrize("ending", ["csv", "jsonl"])
def test_the_whole_ledger_is_written_and_agrees_with_itself(used, tmp_path, ending):
    file, said = tmp_path / f"ledger.{ending}", StringIO()

    call_command("export_ledger", str(file), stdout=said)
    call_command("verify_ledger", "--from", str(file), stdout=said)

    assert f"Check them with verify_ledger --from {file}." in said.getvalue()
    assert (
        f"ledger.{ending} agrees: 4 holdings are the sums of {Entry.objects.count()} entries in"
        f" {Posting.objects.count()} postings, and 2 lots are accounted for." in said.getvalue()
    )


def test_what_is_written_is_what_happened(used, tmp_path):
    file = tmp_path / "ledger.jsonl"
    call_command("export_ledger", str(file), stdout=StringIO())

    rows = [json.loads(line) for line in file.read_text(encoding="utf-8").splitlines()]

    lot = Lot.objects.order_by("pk").first()
    assert next(row for row in rows if row["row"] == "lot") == {
        "row": "lot",
        "lot": lot.code,
        "material": "=Quick compound",
        "unit": "g",
        "amount": 10 * KG,
        "supplier": "Mudlark",
        "supplier_lot": "ML-7",
        "received_on": "2026-09-01",
        "best_before": None,
        "price_minor": 1999,
    }
    decanted = next(row for row in rows if row.get("kind") == "decant")
    assert (decanted["act"], decanted["happened_at"]) == ("inventory.decant", "2026-10-05T08:00:00Z")
    moved = [row for row in rows if row["row"] == "entry" and row["posting"] == decanted["posting"]]
    assert sum(row["amount"] for row in moved) == 4 * KG
    assert {(row["source"], row["destination"]) for row in moved} == {("B4", "Q2")}
    (undone,) = [row for row in rows if row.get("reverses")]
    assert next(row for row in rows if row.get("posting") == undone["reverses"])["kind"] == "spill"


def test_as_csv_nothing_in_it_is_a_formula(used, tmp_path):
    file = tmp_path / "ledger.csv"
    call_command("export_ledger", str(file), stdout=StringIO())

    with file.open(encoding="utf-8", newline="") as lines:
        cells = {cell for row in csv.reader(lines) for cell in row}

    assert "'=Quick compound" in cells
    assert not any(cell.startswith(("=", "+", "-", "@")) for cell in cells)


def test_a_file_is_checked_where_no_database_can_be_reached(used, tmp_path):
    file = tmp_path / "ledger.jsonl"
    call_command("export_ledger", str(file), stdout=StringIO())

    whole = check_elsewhere(file, tmp_path)
    lines = file.read_bytes().splitlines(keepends=True)
    file.write_bytes(b"".join(line.replace(b'"B4","lot"', b'"Q2","lot"') for line in lines))
    spoiled = check_elsewhere(file, tmp_path)

    assert (whole.returncode, whole.stdout[:19]) == (0, "ledger.jsonl agrees"), whole.stderr
    assert spoiled.returncode == 1
    assert "wrong. The first: B4 holds 0 of lot" in spoiled.stderr


def check_elsewhere(file: Path, folder: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "manage.py", "verify_ledger", "--from", str(file)],
        env={
            **os.environ,
            "SHOPFLOOR_ENVIRONMENT": "own",
            "STUDIO_DIR": str(folder),
            "DATABASE_URL": "postgres://nobody@127.0.0.1:1/nothing",
        },
        capture_output=True,
        text=True,
        timeout=60,
    )


def test_a_file_that_cannot_be_is_refused_in_a_sentence(used, tmp_path):
    there = tmp_path / "there.csv"
    there.write_text("mine")
    for command, sentence in [
        (("export_ledger", str(there)), "is there already. Name another file."),
        (("export_ledger", str(tmp_path / "ledger.xlsx")), "ends in .csv or .jsonl"),
        (("export_ledger", str(tmp_path / "no" / "ledger.csv")), "cannot be written: No such file"),
        (("verify_ledger", "--from", str(tmp_path / "none.csv")), "cannot be read: No such file"),
        (("verify_ledger", "--from", str(tmp_path / "ledger.xlsx")), "ends in .csv or .jsonl"),
    ]:
        with pytest.raises(CommandError, match=sentence):
            call_command(*command, stdout=StringIO())
    assert there.read_text() == "mine"
