"""What is worth a notice at the bench and on the shelf right now."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from django.urls import reverse

from inventory.conditions import Condition
from production.queries.copies import CopyNow
from production.queries.moulds import is_near_end, moulds_list
from production.queries.out_of_mould import moulds_due
from production.queries.progress import PieceHere, pieces_here
from production.queries.wording import counted, day_clock, listed

# What is ready needs nobody: it is told for a day.
TOLD_FOR = timedelta(days=1)
DRY, COAT, CURED = "dry", "coat", "cured"
CAUSE_LETTERS = 80


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


def shelf_conditions(*, now: datetime) -> list[Condition]:
    """Conditions for what is dry, what is due a coat or fill, and what has cured. Six queries."""
    pieces = pieces_here(now=now)
    return [*_steps_due(pieces, now), *_dry_or_cured(pieces, now)]


def moulds_near_their_end(*, now: datetime) -> list[Condition]:
    """A condition for each copy here that has given most of the casts expected of it. Two queries."""
    return [
        Condition(
            cause=f"mould end {copy.copy_id}",
            kind="mould end",
            text=f"{row.mould.name}, copy {copy.number}, is near its end: {copy.casts_done} of"
            f" {counted(copy.casts_expected, 'cast')}. {_casts_left(copy)}",
            link=reverse("production:mould", args=[copy.mould_id]),
        )
        for row in moulds_list(now=now)
        for copy in row.copies
        if is_near_end(copy) and not (copy.is_lent or copy.is_retired)
    ]


def _casts_left(copy: CopyNow) -> str:
    left = copy.casts_expected - copy.casts_done
    if left <= 0:
        return "It has given what was expected of it."
    return f"{left} more {'is' if left == 1 else 'are'} expected of it."


def _steps_due(pieces: Sequence[PieceHere], now: datetime) -> list[Condition]:
    """Told by step, article, colour and mix, so that the cause stays the same while some of them are done."""
    groups: dict[str, list[PieceHere]] = {}
    for piece in pieces:
        if piece.next_step is not None and piece.due_at <= now:
            kind = DRY if _dries_before(piece) else COAT
            groups.setdefault(f"{kind} {piece.next_step.step_id} {_which(piece)}", []).append(piece)
    return [
        Condition(
            cause=cause[:CAUSE_LETTERS],
            kind=cause.partition(" ")[0],
            text=_step_words(group, now),
            link=reverse("production:shelf"),
        )
        for cause, group in groups.items()
    ]


def _step_words(group: Sequence[PieceHere], now: datetime) -> str:
    first = group[0]
    assert first.next_step is not None
    since = day_clock(max(piece.due_at for piece in group), now)
    name = first.next_step.name
    if _dries_before(first):
        return f"Dry since {since}: {_words(group)}. {name.capitalize()} next."
    return f"{name.capitalize()} due since {since}: {_words(group)}."


def _dry_or_cured(pieces: Sequence[PieceHere], now: datetime) -> list[Condition]:
    """What became ready by time alone, in the past day."""
    groups: dict[str, list[PieceHere]] = {}
    for piece in pieces:
        if piece.is_ready and piece.ready_at is not None and now - piece.ready_at < TOLD_FOR:
            last = piece.steps[-1] if piece.steps else None
            if last is None or not last.wants_hands:
                kind = DRY if last is None or last.wait_minutes is None else CURED
                groups.setdefault(f"{kind} {_which(piece)}", []).append(piece)
    return [
        Condition(
            cause=cause[:CAUSE_LETTERS],
            kind=cause.partition(" ")[0],
            text=f"{cause.partition(' ')[0].capitalize()} since"
            f" {day_clock(max(piece.ready_at for piece in group if piece.ready_at), now)}:"
            f" {_words(group)}. Ready to pack.",
            link=reverse("production:shelf"),
        )
        for cause, group in groups.items()
    ]


def _dries_before(piece: PieceHere) -> bool:
    """Whether what the piece waited for until its next step was to dry."""
    if piece.steps_done or piece.next_step is None:
        return False
    before = piece.steps[: piece.steps.index(piece.next_step) + 1]
    return any(step.wait_minutes is None for step in before)


def _which(piece: PieceHere) -> str:
    return f"{piece.article_id} {piece.colour_id} {'-'.join(map(str, piece.mix_numbers))}"


def _words(group: Sequence[PieceHere]) -> str:
    first = group[0]
    mixes = "mix" if len(first.mix_numbers) == 1 else "mixes"
    numbers = listed([str(number) for number in first.mix_numbers])
    return f"{len(group)} {first.article}, {first.colour}, {mixes} {numbers}"
