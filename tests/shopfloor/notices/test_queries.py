from __future__ import annotations

from datetime import UTC, datetime

import pytest

from shopfloor.notices.models import Notice
from shopfloor.notices.queries import CLOSED_SHOWN, closed_notices, notices_of, open_notices

NOW = datetime(2026, 10, 5, 9, 0, tzinfo=UTC)


@pytest.fixture
def one_of_each(db) -> None:
    for kind in Notice.Kind.values:
        Notice.objects.create(kind=kind, cause=kind, text=kind, opened_at=NOW)
    Notice.objects.create(kind="low", cause="gone", text="gone", opened_at=NOW, closed_at=NOW)


@pytest.mark.parametrize(
    ("area", "kinds"),
    [
        ("bench", {"at risk", "open mould", "cured"}),
        ("week", {"at risk", "low", "delivery"}),
        ("shelf", {"cured"}),
        ("stores", {"low", "opened life", "delivery"}),
        ("orders", {"at risk"}),
        ("moulds", {"mould end"}),
        ("studio", {"backup"}),
        ("", set()),
    ],
)
def test_a_notice_stands_on_the_page_where_it_is_answered(one_of_each, area, kinds):
    assert {notice.kind for notice in notices_of(area)} == kinds


def test_pages_without_notices_ask_nothing(one_of_each, django_assert_num_queries):
    with django_assert_num_queries(0):
        assert notices_of("trace") == []


def test_notices_that_closed_are_not_among_the_open(one_of_each):
    assert {notice.cause for notice in open_notices()} == set(Notice.Kind.values)
    assert [notice.cause for notice in closed_notices()] == ["gone"]


def test_only_the_last_closed_notices_are_shown(db):
    Notice.objects.bulk_create(
        Notice(kind="low", cause=str(number), text="low", opened_at=NOW, closed_at=NOW)
        for number in range(200)
    )

    assert len(closed_notices()) == CLOSED_SHOWN
