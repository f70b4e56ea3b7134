"""What is there when the stores begin, taken in from a file."""

from __future__ import annotations

from datetime import date
from uuid import uuid4

import pytest

from inventory.errors import NothingToKeep, RoundChanged, StudioError
from inventory.models import Container, Lot, Material, OpeningRow
from inventory.operations.opening import keep_opening
from inventory.operations.undoing import UNDO
from inventory.queries.opening import preview_of_text
from inventory.queries.verify import verify_ledger
from tests.factories.inventory import KG, a_filled_tub, a_material, a_tap, held, ledger_size
from tests.services.at_once import at_once

pytestmark = pytest.mark.django_db

TODAY = date(2026, 10, 5)
AROUND = {"currency": "GBP", "today": TODAY}
FILE = (
    "Material,Kind,Unit,Amount,Tub,Kind of tub,Empty weighs,Full holds,Price\n"
    "Quick compound,powder,g,13.72 kg,B4,bulk,1.18 kg,25 kg,40.00\n"
    "Quick compound,,,5.31 kg,Q2,working,860 g,15 kg,\n"
    "Post box,packaging,piece,7,,,,,3.50\n"
)


def preview(text=FILE):
    return preview_of_text("tubs.csv", text, **AROUND)


def keep(rows=(1, 2, 3), text=FILE, key=None, shown=None):
    shown = preview(text).shown if shown is None else shown
    content = {"name": "tubs.csv", "text": text, "rows": list(rows), "shown": shown}
    return keep_opening(**content, **AROUND, **a_tap(key))


def test_each_row_becomes_a_tub_with_a_lot_and_new_materials_come_with_it():
    done = keep()

    assert done.said == "tubs.csv: 3 rows taken in, 2 new materials."
    assert (held(Container.objects.get(code="B4")), held(Container.objects.get(code="Q2"))) == (
        13_720_000,
        5_310_000,
    )
    assert Material.objects.get(name="Post box").unit == "piece"
    assert Lot.objects.get(material__name="Post box").price_minor == 350
    assert verify_ledger().faults == ()


def test_chosen_rows_only_and_the_rest_another_time():
    keep(rows=(2,))

    assert [row.row for row in preview().new] == [1, 3]
    assert [row.row for row in preview().here] == [2]
    assert list(Container.objects.values_list("code", flat=True)) == ["Q2"]


def test_the_same_file_twice_adds_nothing():
    keep()
    before = ledger_size(), Container.objects.count()

    again = preview()
    assert (again.new, len(again.here), again.faults) == ((), 3, ())
    with pytest.raises(NothingToKeep, match="Nothing was added"):
        keep()

    assert (ledger_size(), Container.objects.count()) == before


def test_the_same_tap_again_answers_the_first_time():
    key, shown = uuid4(), preview().shown

    first, again = keep(key=key, shown=shown), keep(key=key, shown=shown)

    assert (again.said, again.again) == (first.said, True)
    assert Lot.objects.count() == 3


def test_what_changed_since_the_page_was_shown_is_looked_at_again():
    shown = preview().shown
    a_filled_tub(KG, a_material(name="Quick compound"), code="B4")

    with pytest.raises(RoundChanged, match="Look again"):
        keep(shown=shown)

    assert not OpeningRow.objects.exists()


def test_a_row_that_is_refused_takes_the_others_with_it_and_is_named():
    text = FILE + "Post box,,,9,TUBTOOLONG1,,,,\n"

    with pytest.raises(StudioError, match="Row 4: "):
        keep(rows=(1, 4), text=text)

    assert (Lot.objects.count(), Material.objects.count()) == (0, 0)


def test_undone_the_tubs_are_empty_and_the_file_may_be_read_again():
    done = keep()

    UNDO["inventory.keep_opening"](act_id=done.act_id, **a_tap())

    tub = Container.objects.get(code="B4")
    assert (held(tub), OpeningRow.objects.count()) == (0, 0)
    keep()
    assert held(tub) == 13_720_000
    assert Container.objects.filter(code="B4").count() == 1
    assert verify_ledger().faults == ()


@pytest.mark.django_db(transaction=True)
def test_two_who_keep_one_file_at_once_keep_it_once():
    shown = preview().shown

    answers = at_once(*[lambda: keep(shown=shown)] * 2)

    assert sum(not isinstance(answer, Exception) for answer in answers) == 1
    assert Lot.objects.count() == 3
