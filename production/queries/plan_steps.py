"""A route as the planner wants it: waits folded into the steps with hands that they come before."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from production.models import RouteStep
from production.planning.problem import Step
from production.queries.waiting import StepFacts


def steps_of_routes(route_ids: Iterable[int]) -> dict[int, tuple[StepFacts, ...]]:
    """The steps of each route in their order. One query."""
    found: dict[int, tuple[StepFacts, ...]] = dict.fromkeys(route_ids, ())
    for step in RouteStep.objects.filter(route__in=list(found)).order_by("route", "position"):
        facts = StepFacts(
            step_id=step.pk,
            kind=step.kind,
            name=step.name,
            wait_minutes=step.wait_minutes,
            minutes_each=step.minutes_each,
            minutes_per_board=step.minutes_per_board,
            material_id=step.material_id,
            amount_each=step.amount_each,
        )
        found[step.route_id] = (*found[step.route_id], facts)
    return found


def planned_steps(
    steps: Sequence[StepFacts], *, dry_minutes: int, is_dry: bool = False
) -> tuple[tuple[Step, ...], int]:
    """The steps with hands of a route, and the minutes to wait after the last of them until packing.

    A cure wants no hands and passes at night too, so it is part of the wait that comes after it.
    `dry_minutes` is what the parts need to dry, counted from the opening; a step that waits until dry after
    another one did waits for nothing more. `is_dry` says that they are dry already.
    Without any step with hands the wait is what comes on top of the drying.
    """
    found: list[Step] = []
    carried = 0
    for step in steps:
        wait = step.wait_minutes
        if wait is None and is_dry:
            wait = 0
        is_dry = is_dry or wait is None
        if step.wants_hands:
            whole = wait if not carried else carried + (dry_minutes if wait is None else wait)
            found.append(Step(_name(step.name, found), whole, step.minutes_each, step.minutes_per_board))
            carried = 0
        else:
            carried += dry_minutes if wait is None else wait
    return tuple(found), carried if found else max(0, carried - dry_minutes)


def steps_left(steps: Sequence[StepFacts], *, still_minutes: int) -> tuple[tuple[Step, ...], int]:
    """The same for pieces out of the mould: `still_minutes` of the wait before the first step are left."""
    found, pack_wait = planned_steps(steps, dry_minutes=0, is_dry=True)
    if not found:
        return (), still_minutes
    return (replace(found[0], wait_minutes=still_minutes), *found[1:]), pack_wait


def _name(name: str, before: Sequence[Step]) -> str:
    """A name that no other step of the route has, nor the packing itself."""
    taken = {step.name for step in before} | {"pack"}
    wanted, number = name.strip() or "step", 2
    name = wanted
    while name in taken:
        name, number = f"{wanted} ({number})", number + 1
    return name
