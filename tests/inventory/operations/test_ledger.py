"""The inner functions of the ledger."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction
from django.db.models import F

from inventory.errors import ContainerRetired, NotEnoughInContainer, NothingToUndo, StudioError, WrongMaterial
from inventory.models import Holding, Place
from inventory.operations.ledger import Move, draw_from, draw_material, outside, post, reverse
from inventory.operations.tubs import note_refilled_from_empty
from tests.factories.inventory import (
    KG,
    MONDAY,
    a_filled_tub,
    a_lot,
    a_material,
    a_tap_of,
    a_tub,
    fill,
    held,
    ledger_size,
)

pytestmark = pytest.mark.django_db


def test_an_outside_place_is_made_once():
    first, second = outside("waste"), outside("waste")

    assert first == second
    assert Place.objects.filter(kind="waste").count() == 1


def test_the_database_refuses_a_second_outside_place_of_a_kind():
    outside("waste")

    with pytest.raises(IntegrityError), transaction.atomic():
        Place.objects.create(kind="waste")


def test_a_posting_moves_a_lot_between_two_tubs():
    powder = a_material()
    bulk, working = a_tub(powder), a_tub(powder)
    lot = fill(bulk, 20 * KG)

    posting = post(a_tap_of(), "decant", [Move(lot.pk, bulk.place_id, working.place_id, 5 * KG)])

    assert (held(bulk), held(working)) == (15 * KG, 5 * KG)
    assert [entry.amount for entry in posting.entries.all()] == [5 * KG]


def test_a_posting_that_would_leave_less_than_nothing_is_refused_and_changes_nothing():
    tub = a_filled_tub(2 * KG, code="B4")
    lot = tub.place.holdings.get().lot
    before = ledger_size()

    with pytest.raises(NotEnoughInContainer) as refusal, transaction.atomic():
        post(a_tap_of(), "draw", [Move(lot.pk, tub.place_id, outside("mix").pk, 3 * KG)])

    assert "B4 holds 2.00 kg" in refusal.value.message
    assert refusal.value.facts["held"] == 2 * KG
    assert (held(tub), ledger_size()) == (2 * KG, before)


def test_the_database_refuses_a_negative_holding_round_the_operations():
    tub = a_filled_tub(2 * KG)

    with pytest.raises(IntegrityError), transaction.atomic():
        Holding.objects.filter(place=tub.place).update(amount=F("amount") - 3 * KG)


def test_a_lot_cannot_get_into_a_tub_of_another_material():
    tub, lot = a_tub(a_material(name="Slow plaster")), a_lot(a_material(name="Slate oxide"), 1 * KG)

    with pytest.raises(WrongMaterial) as refusal, transaction.atomic():
        post(a_tap_of(), "receipt", [Move(lot.pk, outside("supplier").pk, tub.place_id, 1 * KG)])

    assert "is for Slow plaster, and this is Slate oxide" in refusal.value.message
    assert held(tub) == 0


def test_nothing_gets_into_a_retired_tub():
    tub = a_tub(retired_on=MONDAY.date())
    lot = a_lot(tub.material, 1 * KG)

    with pytest.raises(ContainerRetired), transaction.atomic():
        post(a_tap_of(), "receipt", [Move(lot.pk, outside("supplier").pk, tub.place_id, 1 * KG)])


def test_an_amount_of_nothing_is_a_fault_of_the_program():
    tub = a_filled_tub(1 * KG)
    lot = tub.place.holdings.get().lot

    with pytest.raises(ValueError, match="above zero"):
        post(a_tap_of(), "draw", [Move(lot.pk, tub.place_id, outside("mix").pk, 0)])


class TestDrawFrom:
    def test_takes_from_each_lot_in_proportion_to_the_last_thousandth(self):
        tub = a_tub()
        first, second = fill(tub, 2 * KG), fill(tub, 1 * KG)

        drawn = draw_from(a_tap_of(), tub.pk, 1_000_000, "mix")

        # Two thirds and one third of 1,000,000 mg, whole milligrams that add up.
        assert {part.lot_id: part.amount for part in drawn} == {first.pk: 666_667, second.pk: 333_333}
        assert held(tub) == 2 * KG
        assert len({part.posting_id for part in drawn}) == 1

    def test_opens_the_tub_the_first_time_only(self):
        tub = a_filled_tub(2 * KG)

        draw_from(a_tap_of(), tub.pk, 1000, "mix")
        nine = MONDAY.replace(hour=9)
        draw_from(a_tap_of(happened_at=nine, now=nine), tub.pk, 1000, "mix")

        tub.refresh_from_db()
        assert tub.opened_at == MONDAY

    def test_of_more_than_is_there_says_what_is_there_and_where_more_is(self):
        powder = a_material(name="Quick compound")
        tub = a_filled_tub(5_310_000, powder, code="Q2")
        a_filled_tub(13_720_000, powder, code="B4")
        before = ledger_size()

        with pytest.raises(NotEnoughInContainer) as refusal, transaction.atomic():
            draw_from(a_tap_of(), tub.pk, 9 * KG, "mix")

        assert refusal.value.message == (
            "Q2 holds 5.31 kg, and 9.00 kg is asked for. More is in B4 (13.72 kg)."
        )
        assert refusal.value.facts["more"] == {"B4": 13_720_000}
        assert ledger_size() == before

    def test_of_more_than_there_is_anywhere_says_so(self):
        tub = a_filled_tub(1 * KG, a_material(name="Quick compound"))

        with pytest.raises(NotEnoughInContainer, match="No other tub has Quick compound"):
            draw_from(a_tap_of(), tub.pk, 2 * KG, "mix")

    def test_of_nothing_posts_nothing(self):
        tub = a_filled_tub(1 * KG)
        before = ledger_size()

        assert draw_from(a_tap_of(), tub.pk, 0, "mix") == ()
        assert ledger_size() == before

    def test_refuses_a_retired_and_an_unknown_tub(self):
        retired = a_tub(retired_on=MONDAY.date())

        with pytest.raises(ContainerRetired, match="retired since 5 Oct 2026"):
            draw_from(a_tap_of(), retired.pk, 1, "mix")
        with pytest.raises(StudioError, match="no such tub"):
            draw_from(a_tap_of(), 987_654, 1, "mix")


class TestDrawMaterial:
    def test_takes_from_the_working_tub_first_and_goes_on_in_the_next(self):
        powder = a_material()
        bulk = a_filled_tub(10 * KG, powder, opened_at=MONDAY)
        working = a_filled_tub(1 * KG, powder, role="working")

        drawn = draw_material(a_tap_of(), powder.pk, 3 * KG, "mix")

        assert [(part.container_id, part.amount) for part in drawn] == [
            (working.pk, 1 * KG),
            (bulk.pk, 2 * KG),
        ]

    def test_of_more_than_all_tubs_hold_is_refused_with_their_sum(self):
        powder = a_material(name="Quick compound")
        tubs = a_filled_tub(1 * KG, powder), a_filled_tub(2 * KG, powder)

        with pytest.raises(NotEnoughInContainer) as refusal, transaction.atomic():
            draw_material(a_tap_of(), powder.pk, 4 * KG, "mix")

        assert "All tubs together hold 3.00 kg of Quick compound" in refusal.value.message
        assert [held(tub) for tub in tubs] == [1 * KG, 2 * KG]


class TestReverse:
    def test_puts_back_what_was_drawn(self):
        tub = a_filled_tub(2 * KG)
        (drawn,) = draw_from(a_tap_of(), tub.pk, 500_000, "mix")

        back = reverse(a_tap_of(), drawn.posting_id, reason="undone")

        assert held(tub) == 2 * KG
        assert (back.kind, back.reverses_id, back.reason) == ("correction", drawn.posting_id, "undone")

    def test_a_second_time_is_refused(self):
        tub = a_filled_tub(2 * KG)
        (drawn,) = draw_from(a_tap_of(), tub.pk, 500_000, "mix")
        back = reverse(a_tap_of(), drawn.posting_id, reason="undone")

        for posting_id in (drawn.posting_id, back.pk, 987_654):
            with pytest.raises(NothingToUndo), transaction.atomic():
                reverse(a_tap_of(), posting_id, reason="undone")
        assert held(tub) == 2 * KG

    def test_of_powder_used_since_is_refused(self):
        tub = a_tub(code="Q2")
        lot = fill(tub, 2 * KG)
        receipt = lot.entries.get().posting
        draw_from(a_tap_of(), tub.pk, 500_000, "mix")

        with pytest.raises(NotEnoughInContainer) as refusal, transaction.atomic():
            reverse(a_tap_of(), receipt.pk, reason="undone")

        assert "Q2 holds 1.50 kg" in refusal.value.message
        assert "Part of it was used since" in refusal.value.message


def test_a_draw_from_a_bulk_tub_is_an_opening_and_taken_back_it_never_was():
    tub = a_filled_tub(20 * KG, code="B4")
    (first,) = draw_from(a_tap_of(happened_at=MONDAY), tub.pk, KG, "mix")
    tuesday = MONDAY + timedelta(days=1)
    (second,) = draw_from(a_tap_of(happened_at=tuesday), tub.pk, KG, "mix")
    tub.refresh_from_db()
    assert (tub.opened_at, tub.openings_count) == (MONDAY, 2)

    reverse(a_tap_of(happened_at=tuesday), second.posting_id, reason="undone")
    tub.refresh_from_db()
    assert (tub.opened_at, tub.openings_count) == (MONDAY, 1)

    reverse(a_tap_of(happened_at=tuesday), first.posting_id, reason="undone")
    tub.refresh_from_db()
    assert (tub.opened_at, tub.openings_count) == (None, 0)


def test_a_draw_taken_back_after_the_tub_was_refilled_leaves_its_new_count():
    tub = a_filled_tub(KG, code="B4")
    (old,) = draw_from(a_tap_of(happened_at=MONDAY), tub.pk, KG, "mix")
    note_refilled_from_empty(tub)
    fill(tub, 2 * KG)
    draw_from(a_tap_of(happened_at=MONDAY + timedelta(days=1)), tub.pk, KG, "mix")

    reverse(a_tap_of(happened_at=MONDAY + timedelta(days=2)), old.posting_id, reason="undone")

    tub.refresh_from_db()
    assert (tub.opened_at, tub.openings_count) == (MONDAY + timedelta(days=1), 1)


def test_a_working_tub_at_hand_all_day_begins_its_opened_life_and_counts_nothing():
    tub = a_filled_tub(2 * KG, code="Q2", role="working", opened_at=None)

    draw_from(a_tap_of(happened_at=MONDAY), tub.pk, KG, "mix")

    tub.refresh_from_db()
    assert (tub.opened_at, tub.openings_count) == (MONDAY, 0)
