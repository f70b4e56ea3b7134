"""Taking an act back, whichever app it belongs to."""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module

from django.urls import reverse

from inventory.errors import NothingToUndo
from inventory.operations.acts import Done, act_to_undo
from inventory.queries.acts import act_name
from shopfloor.studio.errors import OwnersAct

Undoing = Callable[..., Done]
# Acts of pages that are the owner's: nobody else takes them back either.
OWNERS_ACTS = frozenset(
    {
        *("inventory.keep_opening", "inventory.price_lot", "inventory.retire_tub"),
        *("production.add_copies", "production.lend_copy", "production.bring_back_copy"),
        *("production.retire_copy", "production.keep_mould_photo"),
        *("production.retire_mould", "production.take_up_mould"),
        *("production.retire_article", "production.take_up_article", "production.keep_article_photo"),
        *("production.add_tint", "production.note_recipe_swatch", "production.set_wax_fill"),
        "production.take_time_over",
    }
)


def undoings() -> dict[str, Undoing]:
    """What can be taken back, by name of the act."""
    together: dict[str, Undoing] = {}
    for app in ("inventory.operations.undoing", "production.operations.undoing", "orders.operations.undoing"):
        together |= import_module(app).UNDO
    return together | import_module("shopfloor.journeys.moving").UNDO


def undoing_of(act_id: int, *, by_owner: bool) -> Undoing:
    """The operation that takes this act back; it answers a second tap itself.

    Raises: NothingToUndo when there is none; OwnersAct when it is not this person's to take back.
    """
    name = act_name(act_id)
    if name in OWNERS_ACTS and not by_owner:
        raise OwnersAct("The owner did that. Ask them to take it back.", act_id=act_id)
    undoing = undoings().get(name)
    if undoing is None:
        raise NothingToUndo("There is nothing to undo here.", act_id=act_id)
    return undoing


def undo_address(act_id: int | None) -> str:
    """Where the Undo of an act posts to, or "" when it cannot be taken back. Two queries at most."""
    if act_id is None:
        return ""
    try:
        act_to_undo(act_id, *undoings())
    except NothingToUndo:
        return ""
    return reverse("undo", args=[act_id])
