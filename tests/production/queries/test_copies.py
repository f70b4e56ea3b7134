"""Which copies are free, and what keeps the others."""

from __future__ import annotations

import pytest

from production.errors import MouldNotFree
from production.models import MouldCopy
from production.operations.owning import wash_copy
from production.queries.copies import copies_of
from tests.factories.inventory import MONDAY, a_tap
from tests.factories.production import a_mould, minutes, out_of_mould, pots, started

pytestmark = pytest.mark.django_db


def words(mould, now):
    return {copy.number: copy.words(now) for copy in copies_of([mould.pk], now=now)[mould.pk]}


def test_a_new_copy_is_clean_and_dry():
    mould = a_mould(copies=1)

    (copy,) = copies_of([mould.pk], now=MONDAY)[mould.pk]

    assert copy.is_free is True
    assert copy.words(MONDAY) == "clean and dry"


def test_a_copy_is_in_its_mix_then_wet_then_dry_again():
    planned = pots(pieces=1, copies=1)
    mould = planned.casts.first().mould
    mix = out_of_mould(planned)

    assert words(mould, MONDAY + minutes(70)) == {1: "wet until 12:10"}
    assert words(mould, MONDAY + minutes(189)) == {1: "wet until 12:10"}
    assert words(mould, MONDAY + minutes(190)) == {1: "clean and dry"}
    assert mix.casts.count() == 2


def test_a_copy_names_the_mix_it_is_in():
    planned = pots(pieces=1, copies=1)
    mix = started(planned)

    assert words(planned.casts.first().mould, MONDAY) == {1: f"in mix {mix.number}"}


def test_lent_and_retired_copies_are_not_free():
    mould = a_mould(copies=2)
    MouldCopy.objects.filter(number=1).update(lent_on=MONDAY.date())
    MouldCopy.objects.filter(number=2).update(retired_on=MONDAY.date())

    assert words(mould, MONDAY) == {1: "lent", 2: "retired"}
    assert not any(copy.is_free for copy in copies_of([mould.pk], now=MONDAY)[mould.pk])


def test_the_least_worn_copy_comes_first_and_casts_from_before_count():
    mould = a_mould(copies=3)
    MouldCopy.objects.filter(number=1).update(casts_before=9)
    MouldCopy.objects.filter(number=2).update(casts_before=4)

    found = copies_of([mould.pk], now=MONDAY)[mould.pk]

    assert [(copy.number, copy.casts_done) for copy in found] == [(3, 0), (2, 4), (1, 9)]


def test_one_query_however_many_moulds(django_assert_num_queries):
    moulds = [a_mould(copies=3) for _ in range(4)]

    with django_assert_num_queries(1):
        assert len(copies_of([mould.pk for mould in moulds], now=MONDAY)) == 4


def test_a_washed_copy_is_wet_until_its_time_to_dry_is_over_and_is_not_poured_in():
    planned = pots(pieces=1, copies=1)
    mould = planned.casts.first().mould
    wash_copy(**a_tap(now=MONDAY), copy_id=mould.copies.get().pk)

    assert words(mould, MONDAY + minutes(119)) == {1: "wet until 11:00"}
    with pytest.raises(MouldNotFree, match="1 short. Copy 1 is wet until 11:00"):
        started(planned, MONDAY + minutes(119))
    assert words(mould, MONDAY + minutes(120)) == {1: "clean and dry"}
    assert started(planned, MONDAY + minutes(120)).casts.count() == 2
