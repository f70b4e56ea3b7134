"""Counting a tub by scale."""

from __future__ import annotations

from uuid import uuid4

import pytest

from inventory.arithmetic.tare import GrossBelowTare, NetAboveCapacity
from inventory.errors import ContainerRetired, NotEnoughInContainer, StudioError
from inventory.models import Entry, Posting
from inventory.operations.counting import count_container
from inventory.operations.ledger import draw_from
from inventory.operations.undoing import UNDO
from tests.factories.inventory import (
    KG,
    MONDAY,
    a_filled_tub,
    a_material,
    a_tap,
    a_tap_of,
    a_tub,
    fill,
    held,
    ledger_size,
)
from tests.services.at_once import at_once

pytestmark = pytest.mark.django_db


@pytest.fixture
def q2(db):
    return make_q2()


def make_q2():
    """Working tub Q2: 5.31 kg, empty 0.86 kg, holds 15 kg."""
    return a_filled_tub(
        5_310_000, a_material(name="Quick compound"), code="Q2", tare_mg=860_000, capacity=15 * KG
    )


def test_less_than_there_should_be_is_posted_with_its_reason(q2):
    done = count_container(container_id=q2.pk, gross_mg=6_100_000, reason="not known", **a_tap())

    assert done.said == "Q2 holds 5.24 kg, 0.07 kg less than it should (not known)."
    assert held(q2) == 5_240_000
    posting = Posting.objects.get(kind="count")
    assert (posting.reason, posting.entries.get().destination.kind) == ("not known", "difference")


@pytest.mark.parametrize(
    ("reason", "place"), [("spill", "spill"), ("lumps", "waste"), ("scale", "difference")]
)
def test_what_is_missing_goes_where_the_reason_says(q2, reason, place):
    count_container(container_id=q2.pk, gross_mg=6_100_000, reason=reason, **a_tap())

    assert Entry.objects.get(posting__kind="count").destination.kind == place


def test_more_than_there_should_be_is_shared_over_the_lots_in_the_tub(q2):
    fill(q2, 5_310_000)

    count_container(container_id=q2.pk, gross_mg=860_000 + 10_720_000, reason="scale", **a_tap())

    gains = Entry.objects.filter(posting__kind="count").values_list("amount", flat=True)
    assert (list(gains), held(q2)) == ([50_000, 50_000], 10_720_000)


def test_more_in_an_empty_tub_belongs_to_the_lot_that_was_in_it_last(q2):
    draw_from(a_tap_of(), q2.pk, 5_310_000, "mix")

    count_container(container_id=q2.pk, gross_mg=900_000, reason="scale", **a_tap())

    assert held(q2) == 40_000


def test_a_count_that_agrees_posts_nothing_and_wants_no_reason(q2):
    before = ledger_size()

    done = count_container(container_id=q2.pk, gross_mg=6_170_000, **a_tap())

    assert done.said == "Q2 holds 5.31 kg, as it should."
    assert ledger_size() == before


def test_pieces_are_counted_without_a_scale():
    boxes = a_filled_tub(7_000, a_material(kind="packaging", unit="piece"), code="X1", capacity=50_000)

    done = count_container(container_id=boxes.pk, counted=5_000, reason="not known", **a_tap())

    assert done.said == "X1 holds 5 pcs, 2 pcs less than it should (not known)."
    with pytest.raises(NetAboveCapacity, match="holds 50 pcs, and 51 pcs is more"):
        count_container(container_id=boxes.pk, counted=51_000, reason="scale", **a_tap())
    with pytest.raises(StudioError, match="Type how much is in X1"):
        count_container(container_id=boxes.pk, reason="scale", **a_tap())


REFUSALS = [
    ({"gross_mg": 800_000}, GrossBelowTare, "is less than the empty tub", "reading"),
    ({"gross_mg": 17 * KG}, NetAboveCapacity, "Q2 holds 15.00 kg", "reading"),
    ({"gross_mg": None}, StudioError, "tub and all", "reading"),
    (
        {"gross_mg": 6_100_000, "reason": ""},
        StudioError,
        "Q2 should hold 5.31 kg, the scale says 5.24 kg. 0.07 kg less. Choose why.",
        "reason",
    ),
    ({"gross_mg": 6_100_000, "reason": "a cat"}, StudioError, "Choose why", "reason"),
    ({"gross_mg": 7 * KG, "reason": "spill"}, StudioError, "a spill or lumps make it less", "reason"),
]


@pytest.mark.parametrize(("typed", "refusal", "sentence", "field"), REFUSALS)
def test_refuses_beside_the_field_and_changes_nothing(q2, typed, refusal, sentence, field):
    before = ledger_size()

    with pytest.raises(refusal) as caught:
        count_container(container_id=q2.pk, **{"reason": "scale", **typed}, **a_tap())

    assert sentence in caught.value.message
    assert caught.value.facts["field"] == field
    assert (ledger_size(), held(q2)) == (before, 5_310_000)


def test_says_a_reading_below_the_empty_tub_in_the_studios_numbers(q2):
    with pytest.raises(GrossBelowTare) as caught:
        count_container(container_id=q2.pk, gross_mg=800_000, **a_tap())

    assert caught.value.message == (
        "0.80 kg is less than the empty tub (0.86 kg). Is the lid or the tub off the scale?"
    )


def test_refuses_a_tub_that_never_held_anything_and_a_retired_one():
    empty = a_tub()
    retired = a_tub(retired_on=MONDAY.date())

    with pytest.raises(StudioError, match="never held anything"):
        count_container(container_id=empty.pk, gross_mg=2 * KG, reason="scale", **a_tap())
    with pytest.raises(ContainerRetired):
        count_container(container_id=retired.pk, gross_mg=2 * KG, reason="scale", **a_tap())


def test_again_with_the_same_key_counts_once(q2):
    key = uuid4()
    first = count_container(container_id=q2.pk, gross_mg=6_100_000, reason="scale", **a_tap(key))
    again = count_container(container_id=q2.pk, gross_mg=6_100_000, reason="scale", **a_tap(key))

    assert (again.said, again.again) == (first.said, True)
    assert Posting.objects.filter(kind="count").count() == 1


def test_undone_the_tub_holds_what_it_held(q2):
    done = count_container(container_id=q2.pk, gross_mg=6_100_000, reason="scale", **a_tap())

    UNDO["inventory.count_container"](act_id=done.act_id, **a_tap())

    assert held(q2) == 5_310_000


@pytest.mark.django_db(transaction=True)
def test_two_counts_at_once_end_at_what_one_of_them_says():
    tub = make_q2()

    at_once(
        lambda: count_container(container_id=tub.pk, gross_mg=6_100_000, reason="scale", **a_tap()),
        lambda: count_container(container_id=tub.pk, gross_mg=6_000_000, reason="scale", **a_tap()),
    )

    assert held(tub) in (5_240_000, 5_140_000)
    assert Posting.objects.filter(kind="count").count() == 2


@pytest.mark.django_db(transaction=True)
def test_draws_at_once_never_take_more_than_is_there():
    from django.db import transaction

    tub = a_filled_tub(1 * KG)

    def draw():
        with transaction.atomic():
            return draw_from(a_tap_of(), tub.pk, 300_000, "mix")

    answers = at_once(*[draw] * 5)

    refused = [answer for answer in answers if isinstance(answer, NotEnoughInContainer)]
    assert len(refused) == 2
    assert held(tub) == 100_000
