"""Coats, fills and feet: the steps of a route that want hands, on a group of pieces at once."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from datetime import datetime

from inventory.arithmetic.drawing import share_out
from inventory.operations.acts import Done, Tap, act
from inventory.operations.ledger import draw_material
from production.errors import AlreadyDone, StepNotDue
from production.models import Piece, StepDone, StepDraw
from production.operations.forming import settle_ready
from production.operations.locking import lock_pieces
from production.queries.drying_out import drying_now
from production.queries.progress import steps_of, wait_of
from production.queries.waiting import StepFacts, Wait
from production.queries.wording import clock, counted, day_clock, said_clock

INTO_PIECE = "piece"


@act("production.finish_step")
def finish_step(
    tap: Tap,
    *,
    piece_ids: Sequence[int],
    step_id: int,
    early: bool = False,
    tub: str = "",
    alike: Sequence[int] = (),
) -> Done:
    """Note that one step was done on these pieces: the next wait begins at `happened_at`.

    What the step takes of its materials is drawn once for all of them and shared out over them in whole
    thousandths, which is how a piece is traced to its sealer or wax. `early` says that doing it before its
    time is meant; `alike` are the same step of other routes, done in the same go; `tub` is the code of the
    one it came from, where that is not left to the order of the tubs.

    Changes: production_piece, production_stepdone, production_stepdraw; the ledger by a draw of each.
    Again: the first answer; nothing is drawn twice.
    Raises: AlreadyDone; StepNotDue with `due_at`, unless `early` for a wait that is not over; PieceHasLeft;
    NotEnoughInContainer; StudioError when `tub` holds none of it.
    """
    pieces = lock_pieces(piece_ids)
    drying = drying_now(pieces, now=tap.now)
    step_ids = {step_id, *alike}
    steps = [_check_next(tap, piece, drying[piece.pk].dry_at, step_ids, early=early) for piece in pieces]
    before = {}
    records = []
    for piece, step in zip(pieces, steps, strict=True):
        before[str(piece.pk)] = [piece.steps_done, piece.last_step_at.isoformat()]
        wait = wait_of(piece, drying[piece.pk].dry_at)
        records.append(_record(tap, piece, step, wait, len(pieces)))
        piece.steps_done = wait.index + 1
        piece.last_step_at = tap.happened_at
        piece.save(update_fields=["steps_done", "last_step_at"])
    draws, instead_of = _draw_and_keep(tap, steps, records, tub)
    settle_ready([piece.pk for piece in pieces], now=tap.now)
    said = f"{steps[0].name.capitalize()} at {clock(tap.happened_at)} on {counted(len(pieces), 'piece')}."
    if instead_of:
        said += f" From {tub} instead of {instead_of}."
    facts = {
        "piece_ids": [piece.pk for piece in pieces],
        "step_id": step_id,
        "before": before,
        "draws": draws,
    }
    return Done(f"{said} {_then(pieces[0].pk, tap.now)}", facts)


def _check_next(
    tap: Tap, piece: Piece, dry_at: datetime, step_ids: Collection[int], *, early: bool
) -> StepFacts:
    """The step of these that is the next one of the piece, if its wait is over."""
    wait = wait_of(piece, dry_at)
    if wait.step is None or wait.step.step_id not in step_ids:
        done = steps_of(piece)[: piece.steps_done]
        if any(step.step_id in step_ids for step in done):
            raise AlreadyDone(
                f"Already done {day_clock(piece.last_step_at, tap.now)} on {piece.mark}.",
                at=piece.last_step_at,
            )
        raise StepNotDue(f"Another step comes first for {piece.mark}. Open the Shelf again.", mark=piece.mark)
    if tap.happened_at < wait.due_at and not early:
        what = "dry" if wait.step.wait_minutes is None else "due"
        raise StepNotDue(
            f"{piece.mark} is {what} {said_clock(wait.due_at, tap.now)}. {wait.step.name.capitalize()} now?",
            due_at=wait.due_at,
        )
    if tap.happened_at < piece.last_step_at:
        raise StepNotDue(
            f"The step before was {day_clock(piece.last_step_at, tap.now)}. Type a time after that.",
            due_at=piece.last_step_at,
        )
    return wait.step


def _record(tap: Tap, piece: Piece, step: StepFacts, wait: Wait, pieces: int) -> StepDone:
    return StepDone(
        piece=piece,
        step_id=step.step_id,
        position=wait.index + 1,
        kind=step.kind_word or step.kind,
        name=step.name,
        waited_from=piece.last_step_at,
        due_at=wait.due_at,
        done_at=tap.happened_at,
        pieces=pieces,
        minutes_each=step.minutes_each,
        minutes_per_board=step.minutes_per_board,
    )


def _keep(records: Sequence[StepDone], draws: Sequence[Mapping[str, int]]) -> None:
    """Write what was done, and share what was drawn for all pieces over them."""
    kept = StepDone.objects.bulk_create(records)
    StepDraw.objects.bulk_create(
        StepDraw(done=done, **{**draw, "amount": amount})
        for draw in draws
        for done, amount in zip(kept, share_out(draw["amount"], [1] * len(kept)), strict=True)
        if amount
    )


def _draw_and_keep(
    tap: Tap, steps: Sequence[StepFacts], records: Sequence[StepDone], tub: str
) -> tuple[list[dict[str, int]], str]:
    """Draw for the pieces of each step, and write what was done and drawn.

    Answers what was drawn of each lot, and the tub whose turn it was where another was named.
    """
    all_draws: list[dict[str, int]] = []
    turn = ""
    for step_id in dict.fromkeys(step.step_id for step in steps):
        mine = [place for place, step in enumerate(steps) if step.step_id == step_id]
        draws, instead_of = _draw(tap, steps[mine[0]], len(mine), tub)
        _keep([records[place] for place in mine], draws)
        all_draws += draws
        turn = turn or instead_of
    return all_draws, turn


def _draw(tap: Tap, step: StepFacts, pieces: int, tub: str) -> tuple[list[dict[str, int]], str]:
    """What was drawn of each lot, and the tub whose turn it was where another was named."""
    drawn = [
        draw
        for place, (material_id, amount_each) in enumerate(step.takes)
        for draw in draw_material(
            tap,
            material_id,
            amount_each * pieces,
            INTO_PIECE,
            reason=f"{step.name} on {counted(pieces, 'piece')}",
            # A tub is named for the sealer or the wax; fragrance and wicks come in their turn.
            from_tub=tub if place == 0 else "",
        )
    ]
    draws = [
        {
            "posting_id": draw.posting_id,
            "container_id": draw.container_id,
            "lot_id": draw.lot_id,
            "material_id": draw.material_id,
            "amount": draw.amount,
        }
        for draw in drawn
    ]
    return draws, drawn[0].instead_of if drawn else ""


def _then(piece_id: int, now: datetime) -> str:
    """What comes after the step: "Coat 2 from Wed 7, 09:40.", "Cured Wed 7, 09:40.", "Ready."."""
    (piece,) = lock_pieces([piece_id])
    wait = wait_of(piece, drying_now([piece], now=now)[piece.pk].dry_at)
    if wait.step is not None:
        return f"{wait.step.name.capitalize()} from {said_clock(wait.due_at, now)}."
    if wait.due_at <= now:
        return "Ready."
    return f"Cured {said_clock(wait.due_at, now)}."
