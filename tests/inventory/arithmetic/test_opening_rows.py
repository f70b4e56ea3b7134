"""Rows of a file of what is there, read or told what to mend."""

from __future__ import annotations

from datetime import date

import pytest

from inventory.arithmetic.csv_text import read_csv
from inventory.arithmetic.opening_rows import SHOWN, KnownMaterial, KnownTub, Surroundings, read_opening
from inventory.errors import FileNotRead

KG = 1_000_000
TODAY = date(2026, 10, 5)
AROUND = Surroundings(
    materials={"quick compound": KnownMaterial(7, "g"), "sealer": KnownMaterial(8, "ml")},
    put_away=frozenset({"old plaster"}),
    tubs={
        "B1": KnownTub("quick compound", 20 * KG, True, False),
        "B2": KnownTub("quick compound", 5 * KG, False, False),
        "B3": KnownTub("quick compound", 20 * KG, True, True),
    },
    kinds=frozenset({"powder", "pigment"}),
    currency="GBP",
    today=TODAY,
)
HEAD = "Material;Kind;Unit;Amount;Tub;Kind of tub;Empty weighs;Full holds;Lot;Came in on;Best before;Price\n"


def read(*rows: str, head: str = HEAD):
    return read_opening(read_csv(head + "\n".join(rows)), AROUND)


def test_a_whole_row_with_decimal_commas_and_units() -> None:
    """2,5 kg is 2,500,000 thousandths of a gram; 12,50 is 1250 pence."""
    (row,) = read("Quick compound;;;2,5 kg;Q9;working;0,86 kg;15 kg;QC-2608;1/9/2026;2027-09-01;12,50").rows

    assert (row.material_id, row.unit, row.amount, row.tub, row.role) == (7, "g", 2_500_000, "Q9", "working")
    assert (row.tare_mg, row.capacity, row.price_minor) == (860_000, 15 * KG, 1250)
    assert (row.supplier_lot, row.received_on, row.best_before) == (
        "QC-2608",
        date(2026, 9, 1),
        date(2027, 9, 1),
    )


def test_a_new_material_comes_with_its_kind_and_unit_and_needs_them_once() -> None:
    first, second = read("Rust oxide;pigment;g;500 g", "rust oxide;;;1 kg").rows

    assert (first.material_id, first.kind, first.unit) == (None, "pigment", "g")
    assert (second.material_id, second.unit, second.amount) == (None, "g", KG)
    assert (first.received_on, first.capacity, first.tub) == (TODAY, 500_000, "")


FAULTS = [
    (";;;1 kg", "Material", "No material is named."),
    ("Old plaster;;;1 kg", "Material", "Old plaster is not used any more."),
    ("Rust oxide;;g;1 kg", "Kind", "Say which kind it is: pigment, powder."),
    ("Rust oxide;pigment;;1 kg", "Unit", "Say what it is kept in"),
    ("Rust oxide;pigment;bucket;1 kg", "Unit", '"bucket" is no unit'),
    ("Quick compound;;;2 l", "Amount", "2 l is a volume, and a weight is wanted"),
    ("Quick compound;;;some", "Amount", "is not an amount"),
    ("Quick compound;;;-1 kg", "Amount", "below zero"),
    ("Quick compound;;;1.500 kg;;;1,500 kg", "Empty weighs", "1,500 kg"),
    ("Quick compound;;;", "Amount", "Nothing is in it"),
    ("Quick compound;;;1 kg;B2", "Tub", "B2 holds something already. Count it instead."),
    ("Quick compound;;;1 kg;b3", "Tub", "B3 is retired, and no code is used twice."),
    ("Sealer;;;1 l;B1", "Tub", "B1 is for another material."),
    ("Quick compound;;;25 kg;B1", "Amount", "More is in it than B1 holds when full."),
    ("Quick compound;;;25 kg;Q9;;;20 kg", "Full holds", "More is in it than it holds when full."),
    ("Quick compound;;;1 kg;;jug", "Kind of tub", '"jug" is neither bulk nor working.'),
    ("Quick compound;;;1 kg;;;;;;6/10/2026", "Came in on", "That day has not come yet."),
    ("Quick compound;;;1 kg;;;;;;;soon", "Best before", '"soon" is not a day.'),
    ("Quick compound;;;1 kg;;;;;;;;12 EUR", "Price", "is not in GBP"),
]


@pytest.mark.parametrize(("row", "column", "sentence"), FAULTS)
def test_a_bad_row_is_named_with_its_column_and_a_good_one_beside_it_is_read(row, column, sentence) -> None:
    found = read("Quick compound;;;1 kg", row)

    (fault,) = found.faults
    assert (fault.row, SHOWN[fault.column]) == (2, column)
    assert sentence in fault.sentence
    assert [good.row for good in found.rows] == [1]


def test_a_tub_twice_in_one_file_is_told_for_the_second_row() -> None:
    found = read("Quick compound;;;1 kg;Q9", "Quick compound;;;2 kg;q-9")

    assert [(row.row, row.tub) for row in found.rows] == [(1, "Q9")]
    assert [(fault.row, fault.column) for fault in found.faults] == [(2, "tub")]


def test_rows_that_say_the_same_are_two_tubs_and_named_alike_each_time() -> None:
    once, again = (read("Quick compound;;;1 kg", "Quick compound;;;1 kg") for _ in range(2))

    assert len({row.digest for row in once.rows}) == 2
    assert [row.digest for row in once.rows] == [row.digest for row in again.rows]


def test_a_formula_is_text_like_any_other() -> None:
    """A cell that a spreadsheet would run is kept as words; the apostrophe of our own files is taken off."""
    (row,) = read("=HYPERLINK(1);powder;g;1 kg;;;;;'=cmd|x").rows

    assert (row.material, row.supplier_lot) == ("=HYPERLINK(1)", "=cmd|x")


@pytest.mark.parametrize("head", ["Amount\n", "Material;Colour\n"])
def test_a_file_without_the_needed_columns_is_refused_by_name(head) -> None:
    with pytest.raises(FileNotRead, match="No column is headed"):
        read("1 kg", head=head)
