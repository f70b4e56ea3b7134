"""Taking an act back, whichever app it belongs to."""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module

from django.urls import reverse

from inventory.errors import NothingToUndo
from inventory.operations.acts import Done, act_to_undo

Undoing = Callable[..., Done]


def undoings() -> dict[str, Undoing]:
    """What can be taken back, by name of the act."""
    together: dict[str, Undoing] = {}
    for app in ("inventory", "production", "orders"):
        together |= import_module(f"{app}.operations.undoing").UNDO
    return together


def undoing_of(act_id: int) -> Undoing:
    """The operation that takes this act back.

    Raises: NothingToUndo when there is none, or the act was undone before.
    """
    found = undoings()
    return found[act_to_undo(act_id, *found).name]


def undo_address(act_id: int | None) -> str:
    """Where the Undo of an act posts to, or "" when it cannot be taken back. Two queries at most."""
    if act_id is None:
        return ""
    try:
        undoing_of(act_id)
    except NothingToUndo:
        return ""
    return reverse("undo", args=[act_id])
