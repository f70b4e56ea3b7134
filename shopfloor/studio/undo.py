"""Taking an act back, whichever app it belongs to."""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module

from django.urls import reverse

from inventory.errors import NothingToUndo
from inventory.operations.acts import Done, act_to_undo
from inventory.queries.acts import act_name

Undoing = Callable[..., Done]


def undoings() -> dict[str, Undoing]:
    """What can be taken back, by name of the act."""
    together: dict[str, Undoing] = {}
    for app in ("inventory.operations.undoing", "production.operations.undoing", "orders.operations.undoing"):
        together |= import_module(app).UNDO
    return together | import_module("shopfloor.journeys.moving").UNDO


def undoing_of(act_id: int) -> Undoing:
    """The operation that takes this act back; it answers a second tap itself.

    Raises: NothingToUndo when there is none.
    """
    undoing = undoings().get(act_name(act_id))
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
