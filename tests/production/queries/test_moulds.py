"""What the pages of moulds read: fills with their volume, copies with their day, times that were seen."""

from __future__ import annotations

import pytest
from django.utils.timezone import localtime

from production.errors import NotThere
from production.models import WaterFill
from production.operations.judging import judge_cast
from production.operations.measuring import add_water_fill, leave_fill_out
from production.queries.moulds import mould_page, moulds_list, planned_mixes_with
from tests.factories.inventory import MONDAY, G, a_tap
from tests.factories.production import a_mould, a_planned_mix, minutes, out_of_mould, pots, poured

pytestmark = pytest.mark.django_db


def page(mould, now=MONDAY):
    return mould_page(mould.pk, now=now, local=localtime)


def fill(mould, grams):
    return add_water_fill(**a_tap(), mould_id=mould.pk, water_mg=grams * G, water_c=20.0)


def pot_of(planned):
    return planned.casts.get(position=1).mould


def test_fills_are_shown_with_their_volume_and_the_odd_one_is_questioned():
    mould = a_mould(volume_ul=None)
    for grams in (500, 501, 499, 560):
        fill(mould, grams)

    fills = page(mould).fills

    # check-values 1.V: 500.0 g at 20 C and 1013 hPa are 501.43 mL (ISO 8655-6), within 0.02 mL
    assert fills[0].volume_ml == pytest.approx(501.43, abs=0.02)
    assert [row.off_percent is not None for row in fills] == [False, False, False, True]
    assert fills[3].off_percent == pytest.approx(12.0, abs=0.01)  # 560 of 500, the mean of the others


def test_a_fill_left_out_is_in_the_list_and_not_in_the_mean():
    mould = a_mould(volume_ul=None)
    fill(mould, 500)
    leave_fill_out(**a_tap(), fill_id=fill(mould, 560).facts["fill_id"])

    found = page(mould)

    assert found.volume.count == 1
    assert len(found.fills) == WaterFill.objects.count() == 2


def test_a_copy_is_in_the_mould_then_wet_then_free():
    mould = pot_of(planned := pots(copies=1, pieces=1))
    out_of_mould(planned)

    def states(at):
        (copy,) = page(mould, MONDAY + minutes(at)).copies
        return copy.state.split(" ")[0], copy.free_words

    # out at 70 min after 08:00, two hours to clean and dry; the clock on the wall is London's, 09:00
    assert states(71) == ("wet", "Free Mon 5, 12:10. 1 pour today.")
    assert states(191) == ("clean", "Free Mon 5, 12:10. 1 pour today.")


def test_a_planned_pour_of_today_stands_in_the_copy_that_comes_free_first():
    planned = pots(copies=2, pieces=1)
    (first, second) = page(pot_of(planned), MONDAY - minutes(30)).copies

    assert [use.is_planned for use in first.uses] == [True]
    assert second.uses == ()
    assert second.free_words == "Free all day."


def test_the_last_casts_say_how_they_came_out_and_why():
    planned = pots(copies=1, pieces=1)
    cast = out_of_mould(planned).casts.order_by("position").first()
    content = {"verdict": "scrap", "reason": "torn detail"}
    judge_cast(**a_tap(now=MONDAY + minutes(80)), cast_id=cast.pk, offer_pieces=lambda now: None, **content)

    (copy,) = page(pot_of(planned), MONDAY + minutes(90)).copies

    assert copy.last_words == "Last 1 cast: 1 scrap (torn detail)."


@pytest.mark.parametrize(
    ("casts_before", "said"),
    [
        (44, ""),
        (45, "15 more casts are expected of it."),
        (60, "It has given what was expected of it."),
    ],
)
def test_a_copy_is_near_its_end_from_three_quarters_on(casts_before, said):
    mould = a_mould(copies=1)
    mould.copies.update(casts_before=casts_before)

    assert page(mould).copies[0].wear_words == said


def test_the_end_is_reckoned_from_the_casts_of_the_last_weeks():
    planned = pots(copies=1, pieces=1)
    pot_of(planned).copies.update(casts_before=57)
    out_of_mould(planned)

    (copy,) = page(pot_of(planned), MONDAY + minutes(90)).copies

    # one cast in eight weeks, two are left: sixteen weeks from 5 October
    assert copy.copy.casts_done == 58
    assert copy.wear_words == "At 0.12 casts a week it reaches 60 about January 2027."


def test_times_are_seen_from_tap_to_tap_and_from_pour_to_opening():
    planned = pots(copies=2, pieces=2)
    mix = poured(planned)
    for cast in mix.casts.order_by("position"):
        type(cast).objects.filter(pk=cast.pk).update(poured_at=MONDAY + minutes(5 + 1.5 * cast.position))

    times = {time.step: time for time in page(pot_of(planned), MONDAY + minutes(20)).times}

    assert times["Fill"].seen_words == "1 min 30"
    assert times["Fill"].used_words == "1 min"
    assert times["In the mould"].times == 0
    assert times["In the mould"].seen_minutes is None


def test_the_plan_names_its_mixes_and_counts_them():
    planned = pots()
    a_planned_mix(planned.casts.first().part.article, planned.colour, starts_at=MONDAY + minutes(1440))

    assert page(pot_of(planned)).planned == "Mixes 1 Mon 5 and 2 Tue 6."
    assert planned_mixes_with(pot_of(planned).pk) == 2
    assert planned_mixes_with(a_mould().pk) == 0


def test_the_list_counts_the_copies_that_are_here_and_free():
    planned = pots(copies=3, pieces=1)
    poured(planned)
    pot_of(planned).copies.filter(number=3).update(lent_on=MONDAY.date())

    rows = {row.mould.pk: row for row in moulds_list(now=MONDAY + minutes(30))}

    row = rows[pot_of(planned).pk]
    assert (row.here, row.free, row.note) == (2, 1, "")


def test_a_mould_that_is_not_there_is_refused():
    with pytest.raises(NotThere):
        mould_page(99, now=MONDAY, local=localtime)
