"""Use and loss by month and reason."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest
from django.db import connection

from inventory.operations.counting import count_container
from inventory.operations.decanting import decant
from inventory.operations.ledger import draw_from
from inventory.operations.spilling import note_spill
from inventory.operations.undoing import UNDO
from inventory.queries.lists import ledger_rows
from inventory.queries.months import _entries, months_up_to, used_by_month
from tests.factories.inventory import KG, a_material, a_tap, a_tub, fill, in_an_act

pytestmark = pytest.mark.django_db
OCTOBER = datetime(2026, 10, 20, 9, 0, tzinfo=UTC)
SEPTEMBER = datetime(2026, 9, 20, 9, 0, tzinfo=UTC)


@pytest.fixture
def tubs(db):
    """A bulk tub of 20 kg for 40.00 and a working tub."""
    powder = a_material(name="Quick compound")
    bulk, working = a_tub(powder, code="B4"), a_tub(powder, code="Q2", role="working")
    fill(bulk, 20 * KG, price_minor=40_00)
    return bulk, working


def found(last: date = date(2026, 10, 20), count: int = 2) -> dict[tuple[int, str], tuple[int, int]]:
    return {
        (row.month.month, row.reason): (row.amount, row.cost_minor) for row in used_by_month(last, count).rows
    }


def test_each_reason_has_its_amount_and_its_cost_in_its_month(tubs, django_assert_num_queries):
    bulk, working = tubs
    then = a_tap(now=SEPTEMBER)
    decant(source_id=bulk.pk, target_id=working.pk, amount=5 * KG, lumps=100_000, **then)
    for number, to in enumerate(("mix", "piece", "parcel")):
        with in_an_act(happened_at=OCTOBER, now=OCTOBER) as tap:
            draw_from(tap, working.pk, (number + 1) * KG // 2, to)
    for reason, amount in (("spill", 300_000), ("too old", 200_000), ("lumps", 50_000)):
        note_spill(container_id=working.pk, amount=amount, reason=reason, **a_tap(now=OCTOBER))
    count_container(container_id=working.pk, gross_mg=KG + 1_400_000, reason="scale", **a_tap(now=OCTOBER))

    with django_assert_num_queries(4):
        months = used_by_month(OCTOBER.date(), 2)

    assert found() == {
        (9, "lumps"): (100_000, 20),
        (10, "mixes"): (500_000, 1_00),
        (10, "pieces"): (1_000_000, 2_00),
        (10, "parcels"): (1_500_000, 3_00),
        (10, "spill"): (300_000, 60),
        (10, "too old"): (200_000, 40),
        (10, "lumps"): (50_000, 10),
        (10, "count differences"): (50_000, 10),
    }
    assert months.by_month()[date(2026, 9, 1)].total() == 20
    ((row, amounts, cost),) = months.by_material()
    assert (row.material, amounts["lumps"], cost) == ("Quick compound", 150_000, 7_40)


def test_what_was_undone_is_taken_off_for_the_reason_it_had_in_the_month_it_was_undone(tubs):
    bulk, _ = tubs
    spilled = note_spill(container_id=bulk.pk, amount=KG, reason="lumps", **a_tap(now=SEPTEMBER))
    UNDO["inventory.note_spill"](act_id=spilled.act_id, **a_tap(now=OCTOBER))

    assert found() == {(9, "lumps"): (KG, 2_00), (10, "lumps"): (-KG, -2_00)}
    assert found(count=1) == {(10, "lumps"): (-KG, -2_00)}


def test_a_count_that_found_more_is_below_zero(tubs):
    count_container(container_id=tubs[0].pk, gross_mg=22 * KG, reason="not known", **a_tap(now=OCTOBER))

    assert found() == {(10, "count differences"): (-KG, -2_00)}


def test_months_begin_at_the_studios_midnight_whatever_the_clocks_do(tubs, settings):
    """Source: zone rules of Europe/London: the clocks go back on 25 October 2026 at 01:00 UTC, so October
    begins at 23:00 UTC and November at 00:00 UTC.
    """
    settings.TIME_ZONE = "Europe/London"
    for hour, month in (
        (datetime(2026, 9, 30, 22, 59, tzinfo=UTC), 9),
        (datetime(2026, 9, 30, 23, 0, tzinfo=UTC), 10),
        (datetime(2026, 10, 31, 23, 59, tzinfo=UTC), 10),
        (datetime(2026, 11, 1, 0, 0, tzinfo=UTC), 11),
    ):
        before = found(date(2026, 11, 30), 3).get((month, "spill"), (0, 0))[0]
        note_spill(container_id=tubs[0].pk, amount=1000, **a_tap(now=hour))
        assert found(date(2026, 11, 30), 3)[month, "spill"][0] == before + 1000, hour


def test_months_go_back_over_the_turn_of_the_year():
    assert months_up_to(date(2026, 2, 28), 4) == (
        date(2025, 11, 1),
        date(2025, 12, 1),
        date(2026, 1, 1),
        date(2026, 2, 1),
    )


@pytest.mark.parametrize("name", ["months", "ledger"])
def test_only_the_postings_of_the_time_asked_for_are_read(tubs, name):
    """Whatever statistics the database has: the plan has an index on the days or on the numbers in them."""
    rows = {
        "months": _entries(months_up_to(OCTOBER.date(), 12), {1: "mix"}).order_by(),
        "ledger": ledger_rows(since=SEPTEMBER.date(), until=OCTOBER.date()).order_by(),
    }[name]
    if connection.vendor == "postgresql":
        # A table of ten rows is read whole unless that is forbidden.
        with connection.cursor() as cursor:
            cursor.execute("SET LOCAL enable_seqscan = off")

    plan = rows.explain()

    assert {"months": "inventory_entry_posting_id", "ledger": "posting_happened"}[name] in plan
    assert "inventory_entry_posting_id" in plan
