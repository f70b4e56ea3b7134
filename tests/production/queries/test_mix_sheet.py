"""The days left of the week for the paper beside the scale."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from production.models import PlannedMix
from production.queries.mix_sheet import MixSheet, mix_sheet, sentences_once
from tests.factories.production import a_planned_mix, pots, started
from tests.production.queries.test_problem import MONDAY_8

pytestmark = pytest.mark.django_db

LONDON = ZoneInfo("Europe/London")


def the_sheet(now: datetime = MONDAY_8) -> MixSheet:
    return mix_sheet(now=now, local=lambda at: at.astimezone(LONDON))


def two_mixes() -> tuple[PlannedMix, PlannedMix]:
    first = pots()
    line = first.casts.first().line
    later = MONDAY_8 + timedelta(days=1, hours=1)
    return first, a_planned_mix(line.article, line.colour, pieces=1, starts_at=later)


def test_mixes_stand_day_by_day_with_their_grams_in_the_order_of_filling() -> None:
    first, _ = two_mixes()

    sheet = the_sheet()

    assert [day.day for day in sheet.days] == [date(2026, 10, 5), date(2026, 10, 6)]
    (mix,) = sheet.days[0].mixes
    assert [(fill.mould, fill.count) for fill in mix.fills] == [
        (cast.mould.name, 2) for cast in first.casts.order_by("position")
    ]
    # Two pots of 300 mL and two saucers of 100 mL: the fills are as heavy as their volumes.
    assert mix.fills[0].fill_mg == pytest.approx(3 * mix.fills[1].fill_mg, abs=1500)
    assert sheet.days[0].powder_mg == mix.powder_mg
    assert sheet.span == "Mon 5 to Tue 6 October"


def test_a_started_mix_is_not_on_it() -> None:
    first, _ = two_mixes()
    started(first)

    assert [day.day for day in the_sheet().days] == [date(2026, 10, 6)]


def test_next_week_shows_when_nothing_is_left_of_this_one() -> None:
    two_mixes()
    PlannedMix.objects.update(starts_at=MONDAY_8 + timedelta(days=8))

    assert [day.day for day in the_sheet().days] == [date(2026, 10, 13)]


def test_what_should_have_been_mixed_before_stands_first() -> None:
    two_mixes()

    assert the_sheet(MONDAY_8 + timedelta(days=1)).days[0].day == date(2026, 10, 5)


def test_without_a_plan_it_is_empty() -> None:
    assert the_sheet().days == ()


def test_what_several_cautions_say_alike_is_said_once_and_last():
    heats, dust = (
        "It heats. Local rules and the data sheet come first.",
        "Mask on. Local rules and the data sheet come first.",
    )

    assert sentences_once([heats, dust, heats]) == (
        "Mask on.",
        "It heats.",
        "Local rules and the data sheet come first.",
    )
