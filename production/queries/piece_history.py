"""What happened to one piece, from the pour to the door: every cast, opening, weighing and step."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Prefetch

from inventory.queries.wording import in_words
from production.models import Piece, StepDone, StepDraw
from production.queries.progress import with_all_that_tells
from production.queries.wording import counted, listed


@dataclass(frozen=True)
class Happened:
    """One thing that happened: when, what it is called, and what there is to say of it."""

    at: datetime
    what: str
    said: str = ""


def piece_history(piece_id: int) -> tuple[Happened, ...]:
    """All that happened to a piece, the first thing first; steps without a material too. Seven queries.

    What only passes, a cure, is in it no more than the drying: it begins with what stands before it.
    """
    draws = Prefetch("draws", StepDraw.objects.select_related("material", "container").order_by("id"))
    done = StepDone.objects.filter(undone_at__isnull=True).order_by("position").prefetch_related(draws)
    rows = Piece.objects.filter(pk=piece_id, undone_at__isnull=True)
    piece = with_all_that_tells(rows).prefetch_related(Prefetch("done_steps", done)).first()
    if piece is None:
        return ()
    found = [
        Happened(
            cast.poured_at,
            f"{cast.part.name} poured",
            f"mix {cast.mix.number}, {cast.part.mould}",
        )
        for cast in piece.casts.all()
        if cast.poured_at
    ]
    found.append(Happened(piece.out_at, "out of the mould"))
    found += [
        Happened(one.weighed_at, "weighed", in_words(one.mass_mg, "g")) for one in piece.weighings.all()
    ]
    if piece.dry_called_at:
        found.append(Happened(piece.dry_called_at, "called dry"))
    found += [Happened(step.done_at, step.name, _step_words(step)) for step in piece.done_steps.all()]
    if piece.shipped_at:
        found.append(Happened(piece.shipped_at, "shipped"))
    return tuple(sorted(found, key=lambda one: one.at))


def _step_words(step: StepDone) -> str:
    took = [
        f"{in_words(draw.amount, draw.material.unit)} {draw.material.name} from {draw.container.code}"
        for draw in step.draws.all()
    ]
    said = [listed(took)] if took else []
    if step.pieces > 1:
        said.append(f"{counted(step.pieces, 'piece')} in one go")
    if step.done_at < step.due_at:
        said.append("before its time")
    return ", ".join(said)
