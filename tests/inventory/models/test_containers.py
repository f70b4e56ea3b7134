"""What is true of one tub, and what the database refuses of it."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction
from django.db.models import ProtectedError

from inventory.models import Container, Material
from tests.factories.inventory import KG, MONDAY, a_filled_tub, a_material, a_tub

pytestmark = pytest.mark.django_db


def test_the_opened_life_ends_its_days_after_the_opening():
    keeps = a_tub(a_material(), opened_at=MONDAY)
    shut = a_tub(a_material(opened_life_days=30))
    opened = a_tub(a_material(opened_life_days=30), opened_at=MONDAY)

    assert (keeps.sieve_after, shut.sieve_after) == (None, None)
    assert opened.sieve_after == MONDAY + timedelta(days=30)
    assert not opened.must_sieve(MONDAY + timedelta(days=30))
    assert opened.must_sieve(MONDAY + timedelta(days=30, seconds=1))


@pytest.mark.parametrize("changed", [{"tare_mg": -1}, {"capacity": 0}])
def test_the_database_refuses_a_tub_that_cannot_be(changed):
    tub = a_tub()

    with pytest.raises(IntegrityError), transaction.atomic():
        Container.objects.filter(pk=tub.pk).update(**changed)


def test_two_tubs_cannot_bear_one_code():
    a_tub(code="B4")

    with pytest.raises(IntegrityError), transaction.atomic():
        a_tub(code="B4")


def test_a_material_with_tubs_cannot_be_deleted():
    tub = a_filled_tub(KG)

    with pytest.raises(ProtectedError):
        Material.objects.filter(pk=tub.material_id).delete()


@pytest.mark.parametrize(
    ("unit", "role", "words"),
    [
        ("g", "bulk", "bulk tub"),
        ("ml", "working", "working tub"),
        ("piece", "bulk", "box"),
        ("piece", "working", "working box"),
    ],
)
def test_what_is_counted_stands_in_a_box(unit, role, words):
    assert a_tub(a_material(unit=unit), role=role).role_words == words
