"""Copies of a mould: noted, lent out, brought back and retired."""

from __future__ import annotations

from datetime import date, timedelta
from uuid import uuid4

import pytest

from inventory.errors import StudioError
from production.errors import AlreadyDone, MouldNotFree, MouldPlanned, NotThere
from production.models import MouldCopy
from production.operations.owning import (
    add_copies,
    bring_back_copy,
    lend_copy,
    retire_copy,
    retire_mould,
    take_up_mould,
)
from production.queries.copies import copies_of
from production.queries.plan_range import CastingRange
from tests.factories.inventory import MONDAY, a_tap
from tests.factories.production import a_mould, pots, poured
from tests.services.at_once import at_once

pytestmark = pytest.mark.django_db

TODAY = date(2026, 10, 5)


def add(mould, key=None, **content):
    return add_copies(**a_tap(key), mould_id=mould.pk, **content)


def numbers(mould):
    return list(mould.copies.order_by("number").values_list("number", flat=True))


class TestAddCopies:
    def test_new_copies_get_the_next_numbers(self):
        mould = a_mould(copies=2, name="Ferry tray")

        done = add(mould, count=2, casts_before=12, casts_expected=80, price_minor=4500)

        assert numbers(mould) == [1, 2, 3, 4]
        copy = mould.copies.get(number=3)
        assert (copy.casts_before, copy.casts_expected, copy.price_minor) == (12, 80, 4500)
        assert done.said == "Ferry tray: copies 3 and 4 noted. Plan again to use them."

    @pytest.mark.parametrize(
        ("content", "field"),
        [({"count": 0}, "count"), ({"count": 201}, "count"), ({"casts_expected": 0}, "casts_expected")],
    )
    def test_what_cannot_be_meant_is_refused_beside_its_field(self, content, field):
        mould = a_mould(copies=1)

        with pytest.raises(StudioError) as refused:
            add(mould, **content)

        assert refused.value.facts["field"] == field
        assert numbers(mould) == [1]

    def test_the_same_tap_twice_notes_one_copy(self):
        mould, key = a_mould(copies=1), uuid4()

        assert add(mould, key).said == add(mould, key).said
        assert numbers(mould) == [1, 2]

    @pytest.mark.django_db(transaction=True)
    def test_two_screens_at_once_number_their_copies_apart(self):
        mould = a_mould(copies=1)

        at_once(lambda: add(mould), lambda: add(mould))

        assert numbers(mould) == [1, 2, 3]


@pytest.fixture
def copy():
    """The only copy of a mould."""
    return a_mould(copies=1, name="Ferry tray").copies.get()


def now_of(copy):
    (found,) = copies_of([copy.mould_id], now=MONDAY)[copy.mould_id]
    return found.words(MONDAY)


class TestLendCopy:
    def test_a_lent_copy_is_not_free_until_it_is_back(self, copy):
        lent = lend_copy(**a_tap(), copy_id=copy.pk, on=TODAY)
        assert now_of(copy) == "lent"

        back = bring_back_copy(**a_tap(), copy_id=copy.pk)

        assert now_of(copy) == "clean and dry"
        assert lent.said == "Ferry tray copy 1 is lent. The next plan does without it."
        assert back.said == "Ferry tray copy 1 is back. Plan again to use it."

    def test_lending_it_twice_and_bringing_back_what_is_here_are_refused(self, copy):
        with pytest.raises(AlreadyDone):
            bring_back_copy(**a_tap(), copy_id=copy.pk)
        lend_copy(**a_tap(), copy_id=copy.pk, on=TODAY)
        with pytest.raises(AlreadyDone):
            lend_copy(**a_tap(), copy_id=copy.pk, on=TODAY)

    def test_the_same_tap_twice_answers_the_first(self, copy):
        key = uuid4()
        first = lend_copy(**a_tap(key), copy_id=copy.pk, on=TODAY)

        assert lend_copy(**a_tap(key), copy_id=copy.pk, on=TODAY).said == first.said

    @pytest.mark.parametrize("operation", [lend_copy, retire_copy])
    def test_a_copy_with_a_cast_in_it_stays(self, operation):
        mix = poured(pots())
        cast = mix.casts.first()

        with pytest.raises(MouldNotFree) as refused:
            operation(**a_tap(), copy_id=cast.mould_copy_id, on=TODAY)

        assert f"is in mix {mix.number}. Open it first." in refused.value.message
        assert not MouldCopy.objects.exclude(lent_on=None, retired_on=None).exists()

    @pytest.mark.django_db(transaction=True)
    def test_two_screens_lend_it_once(self, copy):
        def lend():
            return lend_copy(**a_tap(), copy_id=copy.pk, on=TODAY)

        answers = at_once(lend, lend)

        assert sum(isinstance(answer, AlreadyDone) for answer in answers) == 1


class TestRetireCopy:
    def test_a_retired_copy_is_out_of_use_for_good(self, copy):
        done = retire_copy(**a_tap(), copy_id=copy.pk, on=TODAY)

        copy.refresh_from_db()
        assert copy.retired_on == TODAY
        assert now_of(copy) == "retired"
        assert done.said == "Ferry tray copy 1 is retired. Plan again without it."
        with pytest.raises(AlreadyDone):
            retire_copy(**a_tap(), copy_id=copy.pk, on=TODAY)
        with pytest.raises(AlreadyDone):
            lend_copy(**a_tap(), copy_id=copy.pk, on=TODAY)

    def test_the_same_tap_twice_answers_the_first(self, copy):
        key = uuid4()
        first = retire_copy(**a_tap(key), copy_id=copy.pk, on=TODAY)

        assert retire_copy(**a_tap(key), copy_id=copy.pk, on=TODAY).said == first.said

    @pytest.mark.parametrize("operation", [lend_copy, retire_copy])
    def test_a_copy_that_is_not_there_is_refused(self, operation):
        with pytest.raises(NotThere):
            operation(**a_tap(), copy_id=99, on=TODAY)


class TestRetireMould:
    def test_its_copies_count_no_more_until_it_is_taken_up_again(self):
        planned = pots(copies=2)
        mould = planned.casts.first().mould
        article = planned.casts.first().part.article_id

        done = retire_mould(**a_tap(), mould_id=mould.pk, on=TODAY, planned=1)

        assert done.said == f"{mould} is retired. Plan again without it."
        assert all(copy.is_retired for copy in copies_of([mould.pk], now=MONDAY)[mould.pk])
        casting = CastingRange([article], [planned.colour_id], now=MONDAY)
        assert casting.why_not(article, planned.colour_id).startswith(f"The mould {mould} is retired.")
        with pytest.raises(AlreadyDone):
            add(mould)
        with pytest.raises(AlreadyDone):
            lend_copy(**a_tap(), copy_id=mould.copies.first().pk, on=TODAY)

        take_up_mould(**a_tap(), mould_id=mould.pk)

        assert all(copy.is_free for copy in copies_of([mould.pk], now=MONDAY)[mould.pk])
        with pytest.raises(AlreadyDone):
            take_up_mould(**a_tap(), mould_id=mould.pk)

    def test_more_planned_than_the_page_said_is_refused(self):
        mould = pots().casts.first().mould

        with pytest.raises(MouldPlanned) as refused:
            retire_mould(**a_tap(), mould_id=mould.pk, on=TODAY, planned=0)

        assert refused.value.message == f"1 mix is planned in {mould} by now. Look at it again."
        mould.refresh_from_db()
        assert mould.retired_on is None

    def test_a_mould_with_a_cast_in_it_stays(self):
        mix = poured(pots())
        mould = mix.casts.first().mould_copy.mould

        with pytest.raises(MouldNotFree) as refused:
            retire_mould(**a_tap(now=MONDAY + timedelta(hours=1)), mould_id=mould.pk, on=TODAY, planned=9)

        assert f"is in mix {mix.number}. Open it first." in refused.value.message
