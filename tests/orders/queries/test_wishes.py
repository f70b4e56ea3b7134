"""Shelf wishes and how far they are met."""

from __future__ import annotations

import pytest

from orders.operations.wishes import set_wish
from orders.queries.wishes import shelf_wishes
from tests.factories.inventory import a_tap
from tests.factories.orders import a_piece, an_order

pytestmark = pytest.mark.django_db


def test_only_pieces_nobody_else_has_count_as_free(made):
    an_order((made.tray, made.rust, 1))
    for _ in range(3):
        a_piece(made.tray, made.rust)
    set_wish(**a_tap(), article_id=made.tray.pk, colour_id=made.rust.pk, level=6)

    (wish,) = shelf_wishes()

    assert (wish.article, wish.colour, wish.level, wish.free) == ("Ferry tray", "Rust", 6, 2)
