"""Taking back what was noted of moulds."""

from __future__ import annotations

from datetime import date
from uuid import uuid4

import pytest
from PIL import Image

from inventory.arithmetic.photos import clean_photo
from inventory.errors import NothingToUndo
from production.errors import LaterActsDepend
from production.models import WaterFill
from production.operations.measuring import add_water_fill, leave_fill_out
from production.operations.owning import (
    add_copies,
    bring_back_copy,
    keep_mould_photo,
    lend_copy,
    retire_copy,
    retire_mould,
    take_up_mould,
    wash_copy,
)
from production.operations.undoing import UNDO
from tests.factories.inventory import MONDAY, G, a_tap
from tests.factories.production import a_mould, minutes, pots, poured, started
from tests.inventory.arithmetic.test_photos import sent

pytestmark = pytest.mark.django_db

TODAY = date(2026, 10, 5)
LATER = MONDAY + minutes(60)


def undo(done, name, key=None):
    return UNDO[f"production.{name}"](**a_tap(key, now=LATER), act_id=done.act_id)


def fill(mould, grams):
    return add_water_fill(**a_tap(), mould_id=mould.pk, water_mg=grams * G, water_c=20.0)


def as_kept(row):
    row.refresh_from_db()
    return row


class TestWaterFill:
    def test_the_fill_counts_no_more_and_stays_in_the_list(self):
        mould = a_mould(volume_ul=None)
        fill(mould, 500)
        volume_ul = as_kept(mould).volume_ul
        done = fill(mould, 600)

        undo(done, "add_water_fill")

        assert as_kept(mould).volume_ul == volume_ul
        assert WaterFill.objects.get(pk=done.facts["fill_id"]).left_out_at == LATER

    @pytest.mark.parametrize("volume_ul", [None, 300_000])
    def test_without_another_fill_the_volume_is_what_it_was(self, volume_ul):
        mould = a_mould(volume_ul=volume_ul)
        done = fill(mould, 500)

        undo(done, "add_water_fill")

        assert as_kept(mould).volume_ul == volume_ul

    def test_once_left_out_there_is_nothing_to_undo(self):
        mould = a_mould(volume_ul=None)
        fill(mould, 500)
        done = fill(mould, 600)
        leave_fill_out(**a_tap(), fill_id=done.facts["fill_id"])

        with pytest.raises(LaterActsDepend):
            undo(done, "add_water_fill")

    def test_a_second_undo_is_refused_and_the_same_tap_answered_again(self):
        done, key = fill(a_mould(volume_ul=None), 500), uuid4()
        first = undo(done, "add_water_fill", key)

        assert undo(done, "add_water_fill", key).said == first.said
        with pytest.raises(NothingToUndo):
            undo(done, "add_water_fill")


class TestLeaveFillOut:
    @pytest.mark.parametrize("left_out", [True, False])
    def test_it_counts_as_it_did_before(self, left_out):
        mould = a_mould(volume_ul=None)
        fill(mould, 500)
        odd = fill(mould, 600).facts["fill_id"]
        if not left_out:
            leave_fill_out(**a_tap(), fill_id=odd)
        volume_ul = as_kept(mould).volume_ul
        done = leave_fill_out(**a_tap(), fill_id=odd, left_out=left_out)
        assert as_kept(mould).volume_ul != volume_ul

        undo(done, "leave_fill_out")

        assert as_kept(mould).volume_ul == volume_ul

    def test_what_was_changed_since_stands(self):
        mould = a_mould(volume_ul=None)
        fill(mould, 500)
        odd = fill(mould, 600).facts["fill_id"]
        done = leave_fill_out(**a_tap(), fill_id=odd)
        leave_fill_out(**a_tap(), fill_id=odd, left_out=False)
        volume_ul = as_kept(mould).volume_ul

        with pytest.raises(LaterActsDepend):
            undo(done, "leave_fill_out")

        assert as_kept(mould).volume_ul == volume_ul


class TestCopies:
    def test_new_copies_are_struck_out(self):
        mould = a_mould(copies=1, name="Ferry tray")
        done = add_copies(**a_tap(), mould_id=mould.pk, count=2)

        undone = undo(done, "add_copies")

        assert list(mould.copies.values_list("number", flat=True)) == [1]
        assert undone.said == "Ferry tray: copies 2 and 3 struck out."

    def test_new_copies_that_were_poured_in_stay(self):
        planned = pots(copies=0)
        mould = planned.casts.get(position=1).mould
        done = add_copies(**a_tap(), mould_id=mould.pk, count=2)
        add_copies(**a_tap(), mould_id=planned.casts.get(position=2).mould_id, count=2)
        started(planned)

        with pytest.raises(LaterActsDepend) as refused:
            undo(done, "add_copies")

        assert refused.value.facts["numbers"] == [1, 2]
        assert mould.copies.count() == 2

    def test_lending_bringing_back_and_retiring_are_taken_back(self):
        copy = a_mould(copies=1).copies.get()
        lent = lend_copy(**a_tap(), copy_id=copy.pk, on=TODAY)
        back = bring_back_copy(**a_tap(), copy_id=copy.pk)

        undo(back, "bring_back_copy")
        assert as_kept(copy).lent_on == TODAY
        undo(lent, "lend_copy")
        assert as_kept(copy).lent_on is None
        undo(retire_copy(**a_tap(), copy_id=copy.pk, on=TODAY), "retire_copy")
        assert as_kept(copy).retired_on is None

    def test_giving_up_a_whole_mould_and_taking_it_up_are_taken_back(self):
        mould = a_mould(copies=1)
        given_up = retire_mould(**a_tap(), mould_id=mould.pk, on=TODAY, planned=0)
        undo(given_up, "retire_mould")
        assert as_kept(mould).retired_on is None

        retire_mould(**a_tap(), mould_id=mould.pk, on=TODAY, planned=0)
        undo(take_up_mould(**a_tap(), mould_id=mould.pk), "take_up_mould")
        assert as_kept(mould).retired_on == TODAY

    def test_washing_and_a_photo_are_taken_back(self):
        copy = a_mould(copies=1).copies.get()
        first = wash_copy(**a_tap(), copy_id=copy.pk)
        second = wash_copy(**a_tap(now=MONDAY + minutes(5)), copy_id=copy.pk)
        photo = keep_mould_photo(
            **a_tap(), mould_id=copy.mould_id, photo=clean_photo(sent(Image.new("RGB", (64, 64))))
        )
        assert as_kept(copy.mould).photo_id is not None

        with pytest.raises(LaterActsDepend, match="washed again since"):
            undo(first, "wash_copy")
        undo(second, "wash_copy")
        assert as_kept(copy).washed_at == MONDAY
        undo(first, "wash_copy")
        assert as_kept(copy).washed_at is None
        undo(photo, "keep_mould_photo")
        assert as_kept(copy.mould).photo_id is None

    def test_a_copy_that_is_back_cannot_be_not_lent(self):
        copy = a_mould(copies=1).copies.get()
        lent = lend_copy(**a_tap(), copy_id=copy.pk, on=TODAY)
        bring_back_copy(**a_tap(), copy_id=copy.pk)

        with pytest.raises(LaterActsDepend):
            undo(lent, "lend_copy")

    def test_a_copy_that_was_used_since_it_came_back_stays(self):
        planned = pots(copies=2)
        copy = planned.casts.get(position=1).mould.copies.get(number=1)
        lend_copy(**a_tap(), copy_id=copy.pk, on=TODAY)
        back = bring_back_copy(**a_tap(), copy_id=copy.pk)
        poured(planned)

        with pytest.raises(LaterActsDepend):
            undo(back, "bring_back_copy")

        assert as_kept(copy).lent_on is None
