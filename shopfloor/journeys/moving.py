"""Moving a planned mix by hand: tried before anything is changed, then adopted as a plan of its own."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from uuid import uuid5

from inventory.operations.acts import Done, Tap, act
from inventory.ports import Offer
from orders.demand import open_demand
from production.errors import MixStays
from production.operations.adopting import adopt_plan
from production.operations.locking import lock_mixing
from production.operations.pinning import pin_mix, undo_of_move
from production.planning.calendar import instant_of
from production.planning.calm import kept_of
from production.planning.moving import CannotMove, Moved
from production.planning.plans import plan_of
from production.planning.problem import Pin
from production.planning.reasons import explain
from production.queries.plans import mixes_ahead
from production.queries.problem import build_problem
from production.queries.tried_moves import TriedMove, tried_move
from production.queries.tried_words import at_words, refusal_words
from shopfloor.journeys.looking import replace_look
from shopfloor.studio.port import LiveStudio


def tried(planned_mix_id: int, to: datetime, *, now: datetime) -> TriedMove:
    """A mix of the newest plan tried at a time, with everything that is wanted now.

    The problem's queries, those of the demand and eight; nothing is changed.
    Raises: NotThere.
    """
    studio = LiveStudio()
    demand = open_demand(studio.local(now).date())
    task = build_problem(demand, now=now, hours=studio.hours, facts=studio.facts)
    return tried_move(task, planned_mix_id=planned_mix_id, to=to)


@act("shopfloor.move_mix")
def move_mix(tap: Tap, *, planned_mix_id: int, to: datetime) -> Done:
    """Put a planned mix to a time, where later plans leave it; the plan with it there is adopted at once.

    Changes: a pin, and a new plan with its mixes and lines; what the old one had stays where it was as far as
    it can. Again: the first answer.
    Raises: NotThere; MixStays with the first time that works.
    """
    lock_mixing()
    move = tried(planned_mix_id, to, now=tap.now)
    if isinstance(move.tried, CannotMove):
        first = move.first_free
        raise MixStays(refusal_words(move, move.tried), first_free=first.isoformat() if first else None)
    starts_at = instant_of(move.tried.start, move.task.start)
    pin_id = pin_mix(
        tap,
        compound_id=move.mix.compound_id,
        colour_id=move.mix.colour_id,
        starts_at=starts_at,
        instead_of=move.mix.pin_id,
    )
    facts = _adopt(tap, move, move.tried, pin_id)
    said = f"Mix {move.mix.number} moved to {at_words(starts_at)}."
    number = next((one.number for one in mixes_ahead() if one.planned.pin_id == pin_id), move.mix.number)
    if number != move.mix.number:
        said += f" It is mix {number} now."
    return Done(said, {"plan_id": facts["plan_id"], "pin_id": pin_id, "instead_of": move.mix.pin_id})


@act("shopfloor.undo_move_mix", undoes="act_id")
def undo_move_mix(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """Go back to the plan before the mix was moved.

    Raises: NothingToUndo; NotThere when a newer plan was made; LaterActsDepend when a mix of it was started.
    """
    return undo_of_move(tap, act_name="shopfloor.move_mix", act_id=act_id)


UNDO: dict[str, Callable[..., Done]] = {"shopfloor.move_mix": undo_move_mix}


def _adopt(tap: Tap, move: TriedMove, moved: Moved, pin_id: int) -> dict[str, int]:
    run = moved.run
    kept = kept_of(move.keep, run)
    solution = replace(explain(plan_of(run), run), kept_mixes=kept)
    mix = next(
        one for one, number in zip(move.keep.mixes, move.numbers, strict=True) if number == move.mix.number
    )
    pin = Pin(mix.compound, mix.colour, moved.start, moved.start)
    task = replace(move.task, problem=run.prepared.problem, pin_ids=(*move.task.pin_ids, (pin, pin_id)))
    facts = adopt_plan(
        task=task,
        solution=solution,
        because=f"Mix {move.mix.number} was moved by hand.",
        request_key=uuid5(tap.request_key, "adopt"),
        by=tap.by,
        now=tap.now,
    ).facts
    replace_look(
        plan_id=facts["plan_id"], late=facts["late"], request_key=tap.request_key, by=tap.by, now=tap.now
    )
    return facts
