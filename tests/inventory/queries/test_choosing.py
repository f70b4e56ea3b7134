"""Which tub comes first."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from inventory.queries.choosing import OtherTub, tub_to_weigh_from, tubs_by_turn, tubs_in_use_order
from tests.factories.inventory import KG, MONDAY, a_filled_tub, a_material, a_tub, fill

pytestmark = pytest.mark.django_db


def test_the_working_tub_comes_before_a_bulk_tub_and_the_others_are_named(django_assert_num_queries):
    powder = a_material()
    bulk = a_filled_tub(10 * KG, powder, code="B4", opened_at=MONDAY)
    working = a_filled_tub(5 * KG, powder, code="Q2", role="working")

    with django_assert_num_queries(2):
        choice = tub_to_weigh_from(powder.pk, now=MONDAY)

    assert (choice.container_id, choice.code, choice.held) == (working.pk, "Q2", 5 * KG)
    assert choice.others == (OtherTub(bulk.pk, "B4", 10 * KG),)


def test_opened_before_unopened_then_the_earliest_best_before():
    powder = a_material()
    for code, opened_at, best_before in [
        ("B1", None, date(2026, 11, 1)),
        ("B2", None, date(2026, 12, 1)),
        ("B3", MONDAY, None),
    ]:
        fill(a_tub(powder, code=code, opened_at=opened_at), KG, best_before=best_before)

    assert [tub.code for tub in tubs_in_use_order(powder.pk)] == ["B3", "B1", "B2"]


def test_empty_and_retired_tubs_are_not_chosen():
    powder = a_material()
    a_tub(powder, role="working")
    fill(a_tub(powder, code="B4"), KG)
    a_tub(powder, retired_on=MONDAY.date())

    assert tub_to_weigh_from(powder.pk, now=MONDAY).code == "B4"
    assert tub_to_weigh_from(a_material().pk, now=MONDAY) is None


def test_a_tub_past_its_opened_life_or_lumpy_wants_the_sieve():
    powder = a_material(opened_life_days=30)
    a_filled_tub(KG, powder, opened_at=MONDAY)
    last_good = MONDAY + timedelta(days=30)

    assert tub_to_weigh_from(powder.pk, now=last_good).sieve is False
    assert tub_to_weigh_from(powder.pk, now=last_good + timedelta(minutes=1)).sieve is True

    lumpy = a_material()
    a_filled_tub(KG, lumpy, is_lumpy=True)
    assert tub_to_weigh_from(lumpy.pk, now=MONDAY).sieve is True


def test_another_tub_may_be_asked_for_and_the_one_passed_over_is_named():
    powder = a_material()
    a_filled_tub(5 * KG, powder, code="Q2", role="working")
    bulk = a_filled_tub(10 * KG, powder, code="B4")

    choice = tub_to_weigh_from(powder.pk, now=MONDAY, codes=["P1", "B4"])

    assert (choice.container_id, choice.instead_of) == (bulk.pk, "Q2")
    assert [other.code for other in choice.others] == ["Q2"]
    assert tub_to_weigh_from(powder.pk, now=MONDAY, codes=["Q2"]).instead_of == ""


def test_the_tubs_of_several_materials_come_each_in_their_turn_without_the_empty_ones():
    powder, sealer = a_material(), a_material()
    a_filled_tub(5 * KG, powder, code="Q2", role="working")
    a_filled_tub(10 * KG, powder, code="B4")
    a_tub(powder, code="B7")
    a_filled_tub(KG, sealer, code="S1")

    by_turn = tubs_by_turn({powder.pk, sealer.pk})

    assert {key: [tub.code for tub in tubs] for key, tubs in by_turn.items()} == {
        powder.pk: ["Q2", "B4"],
        sealer.pk: ["S1"],
    }


def test_a_lot_past_its_date_is_told_from_the_day_after_it():
    powder = a_material()
    fill(a_tub(powder), KG, best_before=date(2026, 10, 5))

    assert tub_to_weigh_from(powder.pk, now=MONDAY).past_since is None
    later = tub_to_weigh_from(powder.pk, now=MONDAY + timedelta(days=1))
    assert later.past_since == date(2026, 10, 5)
