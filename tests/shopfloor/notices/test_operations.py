from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from django.db import IntegrityError

from inventory.conditions import Condition
from shopfloor.notices.models import Notice
from shopfloor.notices.operations import settle, watch_notices
from shopfloor.studio.port import LiveStudio
from tests.services.at_once import at_once

NOW = datetime(2026, 10, 5, 9, 0, tzinfo=UTC)
LATER = NOW + timedelta(hours=1)
LOW = Condition("low material 3", "low", "Quick compound: order by Fri 9 Oct.", "/stores/")
MOULD = Condition("open mould 12", "open mould", "Mix 312: 2 moulds due out 10:51.", "/bench/")


def test_each_cause_opens_one_notice(db):
    answer = settle([LOW, MOULD], now=NOW)

    assert answer == {"opened": 2, "closed": 0}
    assert {(notice.cause, notice.text, notice.opened_at) for notice in Notice.objects.all()} == {
        (LOW.cause, LOW.text, NOW),
        (MOULD.cause, MOULD.text, NOW),
    }


def test_a_cause_that_lasts_opens_no_second_notice(db):
    settle([LOW], now=NOW)

    assert settle([LOW], now=LATER) == {"opened": 0, "closed": 0}
    assert Notice.objects.get().opened_at == NOW


def test_a_notice_closes_when_its_cause_is_gone_and_stays_in_the_history(db):
    settle([LOW, MOULD], now=NOW)

    assert settle([MOULD], now=LATER) == {"opened": 0, "closed": 1}
    assert Notice.objects.get(cause=LOW.cause).closed_at == LATER
    assert Notice.objects.get(cause=MOULD.cause).closed_at is None


def test_a_cause_that_comes_back_opens_a_new_notice(db):
    settle([LOW], now=NOW)
    settle([], now=LATER)

    settle([LOW], now=LATER + timedelta(hours=1))

    assert [notice.closed_at for notice in Notice.objects.order_by("id")] == [LATER, None]


def test_words_follow_the_figures_while_the_cause_lasts(db):
    settle([LOW], now=NOW)
    sooner = Condition(LOW.cause, "low", "Quick compound: order today.", "/stores/")

    settle([sooner], now=LATER)

    notice = Notice.objects.get()
    assert (notice.text, notice.opened_at) == ("Quick compound: order today.", NOW)


def test_two_at_once_open_one_notice(transactional_db):
    at_once(*[lambda: settle([LOW], now=NOW)] * 4)

    assert Notice.objects.filter(closed_at__isnull=True).count() == 1


def test_the_database_itself_refuses_a_second_open_notice_of_a_cause(db):
    settle([LOW], now=NOW)

    with pytest.raises(IntegrityError):
        Notice.objects.create(kind="low", cause=LOW.cause, text="again", opened_at=NOW)


def test_settling_asks_the_database_as_often_for_one_cause_as_for_two_hundred(
    db, django_assert_max_num_queries
):
    many = [Condition(f"low material {number}", "low", "Low.", "") for number in range(200)]
    settle(many, now=NOW)
    renewed = [Condition(one.cause, "low", "Lower.", "") for one in many[:100]]
    new = [Condition(f"open mould {number}", "open mould", "Due.", "") for number in range(100)]

    # The transaction's own two statements are counted too.
    with django_assert_max_num_queries(8):
        settle(renewed + new, now=LATER)


def test_an_empty_studio_has_nothing_to_note(studio_open):
    assert watch_notices(LiveStudio(), now=NOW) == {"opened": 0, "closed": 0}


def test_a_look_that_began_before_another_opened_a_notice_does_not_close_it(db):
    settle([LOW], now=NOW)

    assert settle([], now=LATER, stood=set()) == {"opened": 0, "closed": 0}
    assert Notice.objects.filter(closed_at__isnull=True).count() == 1
