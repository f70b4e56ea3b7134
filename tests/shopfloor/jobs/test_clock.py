from __future__ import annotations

from datetime import UTC, datetime, timedelta
from uuid import uuid4

from shopfloor.jobs.clock import held_seconds, hold, let_go
from shopfloor.jobs.models import Clock
from tests.services.at_once import at_once


def test_one_clock_rings_until_it_lets_go(db):
    first, second = uuid4(), uuid4()

    assert [hold(first), hold(second), hold(first)] == [True, False, True]
    let_go(second)
    assert not hold(second)
    let_go(first)
    assert hold(second)


def test_a_clock_that_died_is_followed_by_the_next_when_its_time_is_over(db):
    hold(uuid4())
    Clock.objects.update(until=datetime.now(UTC) - timedelta(seconds=1))

    assert hold(uuid4())


def test_a_time_left_from_a_clock_that_was_set_back_holds_nobody_up(db):
    hold(uuid4())
    Clock.objects.update(until=datetime.now(UTC) + timedelta(seconds=2 * held_seconds() + 60))

    assert hold(uuid4())


def test_of_several_clocks_at_once_one_gets_the_row(transactional_db):
    assert sum(at_once(*[lambda: hold(uuid4())] * 5)) == 1
