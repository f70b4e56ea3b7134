"""A route as the planner wants it: waits folded into the steps with hands that they come before."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from production.models import RouteStep
from production.planning.problem import Step
from production.planning.supplies import StepNeed
from production.queries.waiting import StepFacts


def steps_of_routes(route_ids: Iterable[int]) -> dict[int, tuple[StepFacts, ...]]:
    """The steps of each route in their order. One query."""
    found: dict[int, tuple[StepFacts, ...]] = dict.fromkeys(route_ids, ())
    rows = RouteStep.objects.filter(route__in=list(found)).select_related("own_kind")
    for step in rows.order_by("route", "position"):
        found[step.route_id] = (*found[step.route_id], step_facts(step))
    return found


def step_facts(step: RouteStep) -> StepFacts:
    """One step as the bench counts it; needs its own kind."""
    own = step.own_kind
    return StepFacts(
        step_id=step.pk,
        kind=step.kind,
        name=step.name,
        wait_minutes=step.wait_minutes,
        minutes_each=step.minutes_each,
        minutes_per_board=step.minutes_per_board,
        material_id=step.material_id,
        amount_each=step.amount_each,
        kind_word=own.name if own else "",
        done_word=own.done_word if own else "",
        cautions=own.cautions if own else "",
        also=step.also,
    )


THOUSANDTHS = 1000


@dataclass(frozen=True)
class PlannedRoute:
    """Steps with hands, the wait from the last of them to packing, and what packing itself has to take."""

    steps: tuple[Step, ...]
    pack_wait_minutes: int
    pack_needs: tuple[StepNeed, ...] = ()


def planned_steps(
    steps: Sequence[StepFacts],
    *,
    dry_minutes: int,
    is_dry: bool = False,
    materials: Mapping[int, str] | None = None,
) -> PlannedRoute:
    """The steps with hands of a route, and the minutes to wait after the last of them until packing.

    A cure wants no hands and passes at night too, so it is part of the wait that comes after it.
    `dry_minutes` is what the parts need to dry, counted from the opening; a step that waits until dry after
    another one did waits for nothing more. `is_dry` says that they are dry already.
    Without any step with hands the wait is what comes on top of the drying. What a step takes is named by
    `materials`; what one without hands takes is taken with the next one.
    """
    found: list[Step] = []
    carried, taken = 0, Counter[str]()
    for step in steps:
        for material_id, amount in step.takes:
            named = (materials or {}).get(material_id)
            if named:
                taken[named] += amount
        wait = step.wait_minutes
        if wait is None and is_dry:
            wait = 0
        is_dry = is_dry or wait is None
        if step.wants_hands:
            whole = wait if not carried else carried + (dry_minutes if wait is None else wait)
            name = _name(step.name, found)
            found.append(Step(name, whole, step.minutes_each, step.minutes_per_board, needs_of(taken)))
            carried, taken = 0, Counter[str]()
        else:
            carried += dry_minutes if wait is None else wait
    return PlannedRoute(tuple(found), carried if found else max(0, carried - dry_minutes), needs_of(taken))


def steps_left(
    steps: Sequence[StepFacts], *, still_minutes: int, materials: Mapping[int, str] | None = None
) -> PlannedRoute:
    """The same for pieces out of the mould: `still_minutes` of the wait before the first step are left."""
    route = planned_steps(steps, dry_minutes=0, is_dry=True, materials=materials)
    if not route.steps:
        return replace(route, pack_wait_minutes=still_minutes)
    first = replace(route.steps[0], wait_minutes=still_minutes)
    return replace(route, steps=(first, *route.steps[1:]))


def needs_of(taken: Mapping[str, int]) -> tuple[StepNeed, ...]:
    """Amounts per piece (thousandths) by material, as needs of a step in the material's unit."""
    return tuple(StepNeed(name, amount / THOUSANDTHS) for name, amount in taken.items() if amount)


def _name(name: str, before: Sequence[Step]) -> str:
    """A name that no other step of the route has, nor the packing itself."""
    taken = {step.name for step in before} | {"pack"}
    wanted, number = name.strip() or "step", 2
    name = wanted
    while name in taken:
        name, number = f"{wanted} ({number})", number + 1
    return name
