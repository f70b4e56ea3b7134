from __future__ import annotations

from datetime import UTC, datetime

import pytest

from shopfloor.notices.models import Notice
from shopfloor.notices.queries import ALL, CLOSED_SHOWN, closed_notices, noted_on, open_notices

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
        ("studio", {"backup", "mail"}),
        ("", set()),
    ],
)
def test_a_notice_stands_on_the_page_where_it_is_answered(one_of_each, area, kinds):
    assert {notice.kind for notice in noted_on(area).here} == kinds


def test_a_page_asks_once_and_knows_how_many_there_are_elsewhere(one_of_each, django_assert_num_queries):
    with django_assert_num_queries(1):
        noted = noted_on("trace")

    assert (noted.here, noted.count, noted.all_words) == ((), len(Notice.Kind), f"{len(Notice.Kind)} notices")
    assert len(noted_on(ALL).here) == len(Notice.Kind)


def test_the_mark_changes_with_what_a_page_shows_and_with_nothing_else(one_of_each):
    before = noted_on("stores").mark

    Notice.objects.filter(kind="dry").update(text="dry since yesterday")
    assert noted_on("stores").mark == before
    Notice.objects.filter(kind="low").update(text="order today")
    assert noted_on("stores").mark != before


def test_notices_that_closed_are_not_among_the_open(one_of_each):
    assert {notice.cause for notice in open_notices()} == set(Notice.Kind.values)
    assert [notice.cause for notice in closed_notices()] == ["gone"]


def test_only_the_last_closed_notices_are_shown(db):
    Notice.objects.bulk_create(
        Notice(kind="low", cause=str(number), text="low", opened_at=NOW, closed_at=NOW)
        for number in range(200)
    )

    assert len(closed_notices()) == CLOSED_SHOWN
