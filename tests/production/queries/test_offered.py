"""What can be ordered."""

from __future__ import annotations

import pytest

from production.queries.offered import articles_offered
from tests.factories.inventory import MONDAY
from tests.factories.orders import PIECE, a_range

pytestmark = pytest.mark.django_db


def test_articles_come_by_name_with_their_colours_and_packaging():
    made = a_range()

    cup, tray = articles_offered()

    assert (cup.name, cup.is_candle, [colour.name for colour in cup.colours]) == (
        made.cup.name,
        True,
        ["Slate"],
    )
    assert [colour.id for colour in tray.colours] == [made.rust.pk, made.slate.pk]
    assert (tray.packaging_id, tray.packaging_each) == (made.box.pk, PIECE)


def test_a_retired_article_is_not_offered():
    made = a_range()
    made.tray.retired_on = MONDAY.date()
    made.tray.save()

    assert [article.id for article in articles_offered()] == [made.cup.pk]


def test_two_queries_are_enough(django_assert_num_queries):
    a_range()

    with django_assert_num_queries(2):
        articles_offered()
