"""Moulds measured with water, and times taken over from what was seen."""

from __future__ import annotations

from uuid import uuid4

import pytest

from inventory.errors import RequestKeyReused, StudioError
from production.arithmetic.water_volume import FillNotUsable
from production.errors import AlreadyDone, NotThere
from production.models import WaterFill
from production.operations.measuring import add_water_fill, leave_fill_out
from tests.factories.inventory import MONDAY, G, a_tap
from tests.factories.production import a_mould, minutes
from tests.services.at_once import at_once

pytestmark = pytest.mark.django_db

# 500.0 g of water read at 20 C and 1013 hPa are 501.43 mL: the gravimetric formula of ISO 4787:2010 and
# ISO 8655-6, worked out in check-values 1.V with a tolerance of 0.02 mL.
ML_OF_500_G = 501.43


def fill(mould, grams, celsius=20.0, key=None, at=MONDAY):
    return add_water_fill(**a_tap(key, now=at), mould_id=mould.pk, water_mg=round(grams * G), water_c=celsius)


def leave_out(done, left_out=True, key=None, at=MONDAY):
    return leave_fill_out(**a_tap(key, now=at), fill_id=done.facts["fill_id"], left_out=left_out)


def volume_ml(mould):
    mould.refresh_from_db()
    return None if mould.volume_ul is None else mould.volume_ul / 1000


@pytest.fixture
def mould():
    """A mould that was never measured."""
    return a_mould(volume_ul=None, name="Ferry tray")


class TestAddWaterFill:
    def test_one_fill_gives_the_volume_and_says_that_the_spread_is_not_known(self, mould):
        done = fill(mould, 500)

        assert volume_ml(mould) == pytest.approx(ML_OF_500_G, abs=0.02)
        assert done.said.startswith("Ferry tray: 500 g of water kept. 501.4 mL by 1 fill.")
        assert "One fill only" in done.said

    def test_the_volume_is_the_mean_of_all_fills_and_says_its_uncertainty(self, mould):
        fill(mould, 499)
        fill(mould, 501)
        done = fill(mould, 500)

        assert volume_ml(mould) == pytest.approx(ML_OF_500_G, abs=0.02)
        assert "±" in done.said
        assert "by 3 fills" in done.said

    @pytest.mark.parametrize("celsius", [4.9, 35.1])
    def test_water_outside_5_to_35_degrees_is_refused_and_nothing_is_kept(self, mould, celsius):
        with pytest.raises(FillNotUsable) as refused:
            fill(mould, 500, celsius)

        assert refused.value.facts["field"] == "water_c"
        assert volume_ml(mould) is None
        assert not WaterFill.objects.exists()

    def test_no_water_is_refused_beside_its_field(self, mould):
        with pytest.raises(FillNotUsable) as refused:
            fill(mould, 0)

        assert refused.value.facts["field"] == "water"

    def test_a_mould_that_is_not_there_is_refused(self):
        with pytest.raises(NotThere):
            add_water_fill(**a_tap(), mould_id=99, water_mg=500 * G, water_c=20.0)

    def test_the_same_tap_twice_keeps_one_fill(self, mould):
        key = uuid4()
        first = fill(mould, 500, key=key)
        again = fill(mould, 500, key=key)

        assert (again.said, again.again) == (first.said, True)
        assert WaterFill.objects.count() == 1
        with pytest.raises(RequestKeyReused):
            fill(mould, 510, key=key)

    @pytest.mark.django_db(transaction=True)
    def test_two_fills_at_once_both_count_in_the_mean(self, mould):
        at_once(lambda: fill(mould, 490), lambda: fill(mould, 510))

        assert WaterFill.objects.count() == 2
        assert volume_ml(mould) == pytest.approx(ML_OF_500_G, abs=0.02)

    def test_an_odd_fill_is_kept_and_questioned(self, mould):
        fill(mould, 500)
        fill(mould, 501)
        done = fill(mould, 560)

        assert WaterFill.objects.count() == 3
        assert "from the others" in done.said


class TestLeaveFillOut:
    def test_a_fill_left_out_counts_no_more_and_stays_in_the_list(self, mould):
        fill(mould, 500)
        odd = fill(mould, 560)

        done = leave_out(odd, at=MONDAY + minutes(5))

        assert volume_ml(mould) == pytest.approx(ML_OF_500_G, abs=0.02)
        assert done.said.startswith("560 g left out. 501.4 mL by 1 fill.")
        assert WaterFill.objects.get(pk=odd.facts["fill_id"]).left_out_at == MONDAY + minutes(5)

    def test_taken_in_again_it_counts_as_before(self, mould):
        fill(mould, 490)
        second = fill(mould, 510)
        leave_out(second)

        done = leave_out(second, left_out=False)

        assert volume_ml(mould) == pytest.approx(ML_OF_500_G, abs=0.02)
        assert "counts again" in done.said

    def test_the_only_fill_stays(self, mould):
        only = fill(mould, 500)

        with pytest.raises(StudioError) as refused:
            leave_out(only)

        assert refused.value.message == "It is the only fill of Ferry tray. Add another one first."
        assert WaterFill.objects.get().left_out_at is None
        assert volume_ml(mould) == pytest.approx(ML_OF_500_G, abs=0.02)

    def test_leaving_out_twice_is_refused_and_the_same_tap_is_answered_again(self, mould):
        fill(mould, 500)
        odd = fill(mould, 560)
        key = uuid4()
        first = leave_out(odd, key=key)

        assert leave_out(odd, key=key).said == first.said
        with pytest.raises(AlreadyDone):
            leave_out(odd)

    @pytest.mark.django_db(transaction=True)
    def test_two_screens_leave_out_two_of_three_fills_and_the_third_stays(self, mould):
        fill(mould, 500)
        odd, odder = fill(mould, 560), fill(mould, 570)

        at_once(lambda: leave_out(odd), lambda: leave_out(odder))

        assert volume_ml(mould) == pytest.approx(ML_OF_500_G, abs=0.02)

    def test_a_fill_that_is_not_there_is_refused(self):
        with pytest.raises(NotThere):
            leave_fill_out(**a_tap(), fill_id=99)
