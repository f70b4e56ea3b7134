"""What should stand on the shelf."""

from __future__ import annotations

import pytest

from orders.errors import OrderRefused
from orders.models import ShelfWish
from orders.operations.wishes import set_wish
from tests.factories.inventory import a_tap

pytestmark = pytest.mark.django_db


def wish(made, level, colour=None):
    return set_wish(**a_tap(), article_id=made.tray.pk, colour_id=(colour or made.rust).pk, level=level)


def test_a_wish_is_kept_changed_and_taken_away(made):
    assert wish(made, 4).said == "Ferry tray in Rust: 4 pieces wished for on the shelf."
    wish(made, 6)
    assert ShelfWish.objects.get().level == 6

    assert wish(made, 0).said == "Ferry tray in Rust: no wish."
    assert not ShelfWish.objects.exists()


@pytest.mark.parametrize("level", [-1, 201])
def test_a_level_out_of_bounds_is_refused(made, level):
    with pytest.raises(OrderRefused, match="not from 0 to 200"):
        wish(made, level)


def test_what_is_not_made_in_that_colour_is_refused(made):
    with pytest.raises(OrderRefused, match="is not made in Rust"):
        set_wish(**a_tap(), article_id=made.cup.pk, colour_id=made.rust.pk, level=2)
