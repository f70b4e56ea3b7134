"""From the bulk tub into the working tub."""

from __future__ import annotations

from datetime import timedelta
from uuid import uuid4

import pytest

from inventory.arithmetic.tare import DecantAboveCapacity, GrossBelowTare, ReadingsTheWrongWayRound
from inventory.errors import (
    ContainerRetired,
    NotEnoughInContainer,
    OverCapacity,
    RequestKeyReused,
    StudioError,
    WrongMaterial,
)
from inventory.models import Container, Entry, Posting
from inventory.operations.decanting import decant
from inventory.operations.undoing import UNDO
from tests.factories.inventory import (
    KG,
    MONDAY,
    a_filled_tub,
    a_material,
    a_tap,
    a_tub,
    acts_done,
    fill,
    held,
    ledger_size,
)
from tests.services.at_once import at_once

pytestmark = pytest.mark.django_db


@pytest.fixture
def tubs(db):
    return make_tubs()


def make_tubs() -> tuple[Container, Container]:
    """Bulk tub B4 with 13.72 kg of two lots, working tub Q2 with 5.31 kg."""
    powder = a_material(name="Quick compound")
    bulk = a_tub(powder, code="B4", tare_mg=1_180_000)
    fill(bulk, 10 * KG)
    fill(bulk, 3_720_000)
    working = a_filled_tub(
        5_310_000, powder, code="Q2", role="working", tare_mg=860_000, capacity=15 * KG, opened_at=MONDAY
    )
    return bulk, working


def readings(bulk, working, **changed):
    """The scale readings of the design: 14.90 kg before, 5.53 after, 0.06 of lumps."""
    return {
        "source_id": bulk.pk,
        "target_id": working.pk,
        "before_mg": 14_900_000,
        "after_mg": 5_530_000,
        "lumps": 60_000,
        **changed,
    }


def test_by_scale_readings_moves_what_left_less_the_lumps(tubs):
    bulk, working = tubs

    done = decant(**readings(bulk, working), **a_tap())

    assert done.said == "9.31 kg into Q2, 0.06 kg lumps to waste. B4 holds 4.35 kg."
    assert (held(bulk), held(working)) == (4_350_000, 14_620_000)
    wasted = Entry.objects.filter(destination__kind="waste")
    assert sum(entry.amount for entry in wasted) == 60_000
    assert set(Posting.objects.filter(kind="sieve loss").values_list("reason", flat=True)) == {"lumps"}


def test_by_weight_moves_that_weight_into_the_working_tub(tubs):
    bulk, working = tubs

    decant(source_id=bulk.pk, target_id=working.pk, amount=2 * KG, lumps=40_000, **a_tap())

    assert (held(bulk), held(working)) == (13_720_000 - 2_040_000, 7_310_000)


def test_takes_of_both_lots_in_proportion(tubs):
    bulk, working = tubs

    decant(source_id=bulk.pk, target_id=working.pk, amount=1_372_000, **a_tap())

    moved = Entry.objects.filter(posting__kind="decant").order_by("lot").values_list("amount", flat=True)
    # A tenth of 10 kg and a tenth of 3.72 kg.
    assert list(moved) == [1_000_000, 372_000]


def test_counts_an_opening_and_starts_the_opened_life(tubs):
    bulk, working = tubs
    later = MONDAY + timedelta(days=3)

    decant(source_id=bulk.pk, target_id=working.pk, amount=KG, **a_tap(now=later))
    decant(source_id=bulk.pk, target_id=working.pk, amount=KG, **a_tap(now=later + timedelta(days=1)))

    bulk.refresh_from_db()
    working.refresh_from_db()
    assert (bulk.opened_at, bulk.openings_count) == (later, 2)
    # The working tub was opened before and not empty: its earlier day stands.
    assert working.opened_at == MONDAY


def test_an_empty_working_tub_is_as_old_as_what_comes_into_it(tubs):
    bulk, _ = tubs
    Container.objects.filter(pk=bulk.pk).update(opened_at=MONDAY)
    empty = a_tub(bulk.material, role="working", is_lumpy=True)

    later = MONDAY + timedelta(days=20)
    decant(source_id=bulk.pk, target_id=empty.pk, amount=KG, **a_tap(now=later))

    empty.refresh_from_db()
    assert (empty.opened_at, empty.is_lumpy) == (MONDAY, False)


REFUSALS = [
    ({"before_mg": 800_000}, GrossBelowTare, "less than the empty tub (1.18 kg)", "before"),
    ({"after_mg": 800_000}, GrossBelowTare, "Is the lid or the tub off the scale?", "after"),
    (
        {"before_mg": 19_400_000},
        StudioError,
        "B4 should hold 13.72 kg, and the scale says 18.22 kg",
        "before",
    ),
    ({"before_mg": 5_530_000}, StudioError, "count B4 first", "before"),
    ({"after_mg": 14_990_000}, ReadingsTheWrongWayRound, "the wrong way round", "after"),
    ({"after_mg": None}, StudioError, "Weigh B4 after too", "after"),
    ({"before_mg": None}, StudioError, "Weigh B4 before too", "before"),
    ({"before_mg": None, "after_mg": None}, StudioError, "Nothing was typed", "before"),
    ({"amount": KG}, StudioError, "not both", "amount"),
    ({"lumps": 10 * KG}, StudioError, "nothing is left to go in", "lumps"),
    ({"after_mg": 14_900_000, "lumps": 0}, StudioError, "nothing is left to go in", "lumps"),
    ({"target_after_mg": 14_620_000}, StudioError, "near 15.48 kg", "target_after"),
    ({"after_mg": 2_000_000}, DecantAboveCapacity, "Decant 9.69 kg at most", "after"),
    (
        {"before_mg": None, "after_mg": None, "amount": 14 * KG},
        NotEnoughInContainer,
        "B4 holds 13.72",
        "amount",
    ),
    ({"before_mg": None, "after_mg": None, "amount": 10 * KG}, DecantAboveCapacity, "at most", "amount"),
]


@pytest.mark.parametrize(("changed", "refusal", "sentence", "field"), REFUSALS)
def test_refuses_beside_the_field_and_changes_nothing(tubs, changed, refusal, sentence, field):
    bulk, working = tubs
    before = ledger_size()

    with pytest.raises(refusal) as caught:
        decant(**readings(bulk, working, **changed), **a_tap())

    assert sentence in caught.value.message
    assert caught.value.facts["field"] == field
    assert (ledger_size(), held(bulk), held(working)) == (before, 13_720_000, 5_310_000)
    assert not acts_done().exists()
    bulk.refresh_from_db()
    assert bulk.openings_count == 0


def test_says_the_reading_of_the_working_tub_without_its_tare_in_the_studios_numbers(tubs):
    bulk, working = tubs

    with pytest.raises(StudioError) as caught:
        decant(**readings(bulk, working, target_after_mg=14_620_000), **a_tap())

    assert caught.value.message == (
        "Q2 empty weighs 0.86 kg, so this is 13.76 kg of Quick compound, not 14.62 kg."
        " Weigh Q2 with its tub (near 15.48 kg) or leave it blank."
    )


def test_refuses_the_same_tub_another_material_a_bulk_target_and_a_retired_tub(tubs):
    bulk, working = tubs
    other = a_tub(a_material(name="Slow plaster"), role="working")
    retired = a_tub(bulk.material, role="working", retired_on=MONDAY.date())
    second_bulk = a_tub(bulk.material)

    for target, refusal, sentence in [
        (bulk, StudioError, "into itself"),
        (other, WrongMaterial, "is for Slow plaster, and B4 holds Quick compound"),
        (second_bulk, StudioError, "is a bulk tub"),
        (retired, ContainerRetired, "retired since"),
    ]:
        with pytest.raises(refusal, match=sentence):
            decant(source_id=bulk.pk, target_id=target.pk, amount=KG, **a_tap())
    assert held(bulk) == 13_720_000


def test_what_is_measured_in_millilitres_is_decanted_by_amount_only():
    sealer = a_material(name="Sealer", kind="sealer", unit="ml")
    can = a_filled_tub(5 * KG, sealer)
    bottle = a_tub(sealer, role="working", capacity=KG)

    with pytest.raises(StudioError, match="not kept by weight"):
        decant(source_id=can.pk, target_id=bottle.pk, before_mg=6 * KG, after_mg=5 * KG, **a_tap())
    with pytest.raises(OverCapacity, match="Decant 1.00 L at most"):
        decant(source_id=can.pk, target_id=bottle.pk, amount=2 * KG, **a_tap())
    decant(source_id=can.pk, target_id=bottle.pk, amount=900_000, **a_tap())

    assert (held(can), held(bottle)) == (4_100_000, 900_000)


def test_again_with_the_same_key_answers_the_first_sentence_and_moves_nothing(tubs):
    bulk, working = tubs
    key = uuid4()

    first = decant(**readings(bulk, working), **a_tap(key))
    again = decant(**readings(bulk, working), **a_tap(key))

    assert (again.said, again.again, again.act_id) == (first.said, True, first.act_id)
    assert held(working) == 14_620_000


def test_the_same_key_with_other_content_is_refused(tubs):
    bulk, working = tubs
    key = uuid4()
    decant(**readings(bulk, working), **a_tap(key))

    with pytest.raises(RequestKeyReused, match="answered before with other entries"):
        decant(**readings(bulk, working, lumps=0), **a_tap(key))


def test_undone_all_is_as_before(tubs):
    bulk, working = tubs
    done = decant(**readings(bulk, working), **a_tap())

    undone = UNDO["inventory.decant"](act_id=done.act_id, offer_pieces=None, **a_tap())

    assert undone.said.startswith("Undone: 9.31 kg into Q2")
    assert (held(bulk), held(working)) == (13_720_000, 5_310_000)
    bulk.refresh_from_db()
    assert (bulk.opened_at, bulk.openings_count) == (None, 0)


@pytest.mark.django_db(transaction=True)
def test_two_at_once_both_count_and_none_is_lost():
    bulk, working = make_tubs()

    answers = at_once(
        *[lambda: decant(source_id=bulk.pk, target_id=working.pk, amount=KG, **a_tap()) for _ in range(4)]
    )

    assert [answer.facts["into"] for answer in answers] == [KG] * 4
    assert (held(bulk), held(working)) == (9_720_000, 9_310_000)
    bulk.refresh_from_db()
    assert bulk.openings_count == 4


@pytest.mark.django_db(transaction=True)
def test_two_at_once_cannot_together_fill_the_tub_over_its_brim():
    bulk, working = make_tubs()

    answers = at_once(
        *[lambda: decant(source_id=bulk.pk, target_id=working.pk, amount=5 * KG, **a_tap()) for _ in range(2)]
    )

    assert sorted(type(answer).__name__ for answer in answers) == ["DecantAboveCapacity", "Done"]
    assert held(working) == 10_310_000


@pytest.mark.django_db(transaction=True)
def test_the_same_tap_twice_at_once_counts_once():
    bulk, working = make_tubs()
    key = uuid4()

    answers = at_once(
        *[lambda: decant(source_id=bulk.pk, target_id=working.pk, amount=KG, **a_tap(key)) for _ in range(2)]
    )

    assert {answer.said for answer in answers} == {"1.00 kg into Q2. B4 holds 12.72 kg."}
    assert held(working) == 6_310_000
