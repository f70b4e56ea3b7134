"""What is worth a notice at the bench and on the shelf right now."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.urls import reverse

from inventory.conditions import Condition
from production.queries.out_of_mould import moulds_due
from production.queries.progress import PieceHere, ready_pieces
from production.queries.wording import counted, day_clock

CURED_TOLD_FOR = timedelta(days=1)


def moulds_to_open(*, now: datetime) -> list[Condition]:
    """A condition for each mix whose moulds may be opened. One query."""
    return [
        Condition(
            cause=f"open mould {due.mix_id}",
            kind="open mould",
            text=f"Mix {due.number}: {due.moulds} due out {day_clock(due.due_at, now)}.",
            link=reverse("production:open", args=[due.mix_id]),
        )
        for due in moulds_due()
        if due.due_at <= now and not due.is_about
    ]


def cures_complete(*, now: datetime) -> list[Condition]:
    """A condition for each mix and article whose last wait, a cure, ended in the past day. Six queries."""
    groups: dict[tuple[object, ...], list[PieceHere]] = {}
    for piece in ready_pieces(now=now):
        had_to_cure = bool(piece.steps) and not piece.steps[-1].wants_hands
        if had_to_cure and piece.ready_at is not None and now - piece.ready_at < CURED_TOLD_FOR:
            groups.setdefault((piece.article, piece.colour, piece.mix_numbers), []).append(piece)
    return [
        Condition(
            cause=f"cured {min(piece.id for piece in group)}",
            kind="cured",
            text=f"{counted(len(group), 'piece')} cured: {group[0].article}, {group[0].colour}."
            " Ready to pack.",
            link=reverse("production:shelf"),
        )
        for group in groups.values()
    ]
