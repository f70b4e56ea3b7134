"""Moulds: what was measured, where the copies are today, how worn they are, what times were seen."""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from production.errors import NotThere
from production.models import Mould, MouldCopy, WaterFill
from production.queries.moulds import MouldPage, SeenTime, mould_page, moulds_list, planned_mixes_with
from tests.factories.inventory import MONDAY
from tests.factories.production import a_mould, a_planned_mix, judged, minutes, out_of_mould, pots, poured

pytestmark = pytest.mark.django_db

LONDON = ZoneInfo("Europe/London")


def page_of(mould: Mould, now: datetime = MONDAY) -> MouldPage:
    return mould_page(mould.pk, now=now, local=lambda at: at.astimezone(LONDON))


def fill(mould: Mould, *grams: float) -> None:
    for mass in grams:
        WaterFill.objects.create(mould=mould, water_mg=round(mass * 1000), water_c=20.0, filled_at=MONDAY)


def test_the_volume_is_water_times_z() -> None:
    """Z at 20 degrees Celsius and 1013 hPa is 1.0029 mL/g (Z table of ISO 8655-6, also ISO/TR 20461)."""
    mould = a_mould()
    fill(mould, 100.0)

    page = page_of(mould)

    assert page.volume is not None
    assert page.volume.mean_ml == pytest.approx(100.29, abs=0.01)
    assert page.fills[0].volume_ml == pytest.approx(100.29, abs=0.01)
    assert page.volume.remark.startswith("One fill only.")


def test_an_odd_fill_is_questioned_and_one_left_out_no_longer_counts() -> None:
    mould = a_mould()
    fill(mould, 100.0, 100.2, 99.9, 108.0)

    odd = [row for row in page_of(mould).fills if row.off_percent is not None]
    assert [row.water_g for row in odd] == [108.0]
    WaterFill.objects.filter(water_mg=108_000).update(left_out_at=MONDAY)

    page = page_of(mould)
    assert page.volume is not None and page.volume.count == 3
    assert all(row.off_percent is None for row in page.fills)


def test_a_copy_in_use_shows_its_hours_and_when_it_is_free() -> None:
    mix = poured(pots())
    mould = mix.casts.first().mould_copy.mould

    copy = page_of(mould, MONDAY + minutes(10)).copies[0]

    (use,) = copy.uses
    assert (use.poured_at, use.out_at) == (MONDAY + minutes(5), MONDAY + minutes(65))
    assert use.dry_at == MONDAY + minutes(65 + 120)
    assert copy.state == f"in mix {mix.number}"
    # 11:05 UTC is 12:05 in London in summer.
    assert copy.free_words == "Free Mon 5, 12:05. 1 pour today."


def test_a_planned_mix_of_today_takes_the_copies_that_come_free_first() -> None:
    planned = pots(copies=3)
    mould = planned.casts.first().mould

    used = [len(copy.uses) for copy in page_of(mould).copies]

    assert sorted(used) == [0, 1, 1]
    assert page_of(mould).planned == "Mix 1 Mon 5."
    assert planned_mixes_with(mould.pk) == 1


def test_last_casts_are_counted_with_their_reasons() -> None:
    mix = out_of_mould(pots())
    first, second, *_ = mix.casts.order_by("position")
    judged(first, "good")
    judged(second, "second", reason="torn detail")

    page = page_of(first.mould_copy.mould, MONDAY + minutes(90))

    words = {copy.copy.copy_id: copy.last_words for copy in page.copies}
    assert words[first.mould_copy_id] == "Last 1 cast: 1 good."
    assert words[second.mould_copy_id] == "Last 1 cast: 1 second (torn detail)."


def test_a_worn_copy_says_when_it_reaches_its_end_at_the_present_rate() -> None:
    mix = poured(pots(copies=2))
    copy = mix.casts.first().mould_copy
    MouldCopy.objects.filter(pk=copy.pk).update(casts_before=57, casts_expected=60)

    page = page_of(copy.mould, MONDAY + minutes(10))

    worn = next(one for one in page.copies if one.copy.copy_id == copy.pk)
    # One cast in eight weeks, two left: sixteen weeks from 5 October.
    assert worn.wear_words == "At 0.12 casts a week it reaches 60 about January 2027."


def test_times_are_seen_from_tap_to_tap() -> None:
    mix = out_of_mould(pots())
    casts = list(mix.casts.order_by("position"))
    for place, cast in enumerate(casts):
        cast.poured_at = MONDAY + minutes(4) + timedelta(seconds=100 * place)
        cast.save()

    times = {time.step: time for time in page_of(casts[0].mould_copy.mould, MONDAY + minutes(90)).times}

    assert (times["Fill"].seen_seconds, times["Fill"].times) == (100.0, 1)
    assert times["Fill"].seen_words == "1 min 40"
    # Out after 70 minutes: 66 and 64 min 20 s in the mould.
    assert times["In the mould"].seen_words == "1 h 05"
    assert times["Clean and dry"].times == 0


def test_the_list_says_what_has_to_be_known() -> None:
    a_mould(name="Unmeasured", volume_ul=None)
    a_mould(name="Gone", copies=0)
    worn = a_mould(name="Worn", copies=1)
    MouldCopy.objects.filter(mould=worn).update(casts_before=50, casts_expected=60)

    notes = {row.mould.name: row.note for row in moulds_list(now=MONDAY)}

    assert notes == {
        "Unmeasured": "not measured yet",
        "Gone": "no copy here",
        "Worn": "copy 1 near its end",
    }


def test_a_mould_that_is_not_there_is_refused() -> None:
    with pytest.raises(NotThere):
        mould_page(99, now=MONDAY, local=lambda at: at)


def test_the_number_of_queries_does_not_grow_with_copies_and_fills() -> None:
    def queries(mould: Mould) -> int:
        with CaptureQueriesContext(connection) as seen:
            page_of(mould)
        return len(seen)

    few, many = a_mould(copies=1), a_mould(copies=40)
    fill(few, 100.0)
    fill(many, *[100.0 + number / 100 for number in range(30)])

    assert queries(few) == queries(many)
    with CaptureQueriesContext(connection) as seen:
        moulds_list(now=MONDAY)
    assert len(seen) == 2


def test_a_copy_that_was_opened_is_wet_and_then_clean_and_dry() -> None:
    mix = out_of_mould(pots(copies=1, pieces=1))
    mould = mix.casts.order_by("position").first().mould_copy.mould

    def state(after: float) -> str:
        (copy,) = page_of(mould, MONDAY + minutes(after)).copies
        return copy.state

    # Out 70 minutes after 08:00 UTC, two hours to clean and dry: 11:10, which is 12:10 in London.
    assert state(71) == "wet until 12:10"
    assert state(191) == "clean and dry"


@pytest.mark.parametrize(
    ("casts_before", "said"),
    [
        (44, ""),
        (45, "15 more casts are expected of it."),
        (60, "It has given what was expected of it."),
    ],
)
def test_a_copy_is_near_its_end_from_three_quarters_on(casts_before: int, said: str) -> None:
    mould = a_mould(copies=1)
    mould.copies.update(casts_before=casts_before)

    assert page_of(mould).copies[0].wear_words == said


def test_every_mix_of_the_plan_in_it_is_named_and_counted() -> None:
    planned = pots()
    a_planned_mix(planned.casts.first().part.article, planned.colour, starts_at=MONDAY + minutes(1440))
    mould = planned.casts.first().mould

    assert page_of(mould).planned == "Mixes 1 Mon 5 and 2 Tue 6."
    assert planned_mixes_with(mould.pk) == 2
    assert planned_mixes_with(a_mould().pk) == 0


def test_the_list_counts_the_copies_that_are_here_and_free() -> None:
    planned = pots(copies=3, pieces=1)
    poured(planned)
    mould = planned.casts.get(position=1).mould
    mould.copies.filter(number=3).update(lent_on=MONDAY.date())

    (row,) = [row for row in moulds_list(now=MONDAY + minutes(30)) if row.mould.pk == mould.pk]

    assert (row.here, row.free, row.note) == (2, 1, "")


def test_a_mould_of_no_article_yet_opens_as_its_compound_says():
    assert SeenTime("In the mould", 0, None, 0).used_words == "as its compound says"
    assert SeenTime("In the mould", 40, None, 0).used_words == "40 min"
    assert SeenTime("Open", 0, None, 0).used_words == "0 min"
