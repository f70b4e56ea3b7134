"""What the studio likes to have on the shelf."""

from __future__ import annotations

from inventory.operations.acts import Done, Tap, act
from orders.errors import OrderRefused
from orders.models import ShelfWish
from orders.operations.keeping import check_lines
from orders.queries.range_names import range_names
from orders.queries.wording import counted

LEVEL_MOST = 200


@act("orders.set_wish")
def set_wish(tap: Tap, *, article_id: int, colour_id: int, level: int) -> Done:
    """Say how many of an article in a colour should stand on the shelf; none takes the wish away.

    Changes: orders_shelfwish.
    Raises: OrderRefused when it is not made in that colour, or the level is out of bounds.
    """
    if not 0 <= level <= LEVEL_MOST:
        raise OrderRefused(f"{level} pieces are not from 0 to {LEVEL_MOST}.", field="level")
    names = range_names()
    if level:
        check_lines(((article_id, colour_id, level),), names)
    before = keep_wish(article_id, colour_id, level)
    what = f"{names.articles.get(article_id, 'Article')} in {names.colours.get(colour_id, 'its colour')}"
    said = f"{what}: {counted(level, 'piece')} wished for on the shelf." if level else f"{what}: no wish."
    facts = {"article_id": article_id, "colour_id": colour_id, "level_before": before}
    return Done(said, facts)


def keep_wish(article_id: int, colour_id: int, level: int) -> int:
    """Write a wish, 0 taking it away; answers the level before. Part of the act that calls it."""
    here = ShelfWish.objects.select_for_update().filter(article=article_id, colour=colour_id).first()
    before = here.level if here else 0
    if level:
        ShelfWish.objects.update_or_create(
            article_id=article_id, colour_id=colour_id, defaults={"level": level}
        )
    elif here:
        here.delete()
    return before
