"""What runs behind the newest plan: mixes, openings and coats that are late, deliveries that did not come."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from datetime import datetime, timedelta

from django.db.models import Exists, OuterRef
from django.utils.timezone import localtime

from inventory.queries.deliveries import late_deliveries
from inventory.queries.wording import week_day
from production.models import Cast, Mix, Piece, Plan, PlannedLine
from production.queries.plan_steps import planned_steps, steps_of_routes
from production.queries.progress import still_in_moulds
from production.queries.waiting import StepFacts
from production.queries.wording import counted, span_words, whole_minutes

OVERDUE = timedelta(minutes=30)


def overrun(plan: Plan, ahead: Iterable[tuple[int, datetime]], *, now: datetime) -> str:
    """The first thing that runs half an hour or more behind a plan, as a sentence; "" when nothing does.

    `ahead` are number and planned start of its mixes that were not started, in order of time. Five queries
    at most.
    """
    overdue = [number for number, starts_at in ahead if starts_at + OVERDUE < now]
    if overdue:
        return f"{counted(len(overdue), 'mix')} should have been started by now, mix {overdue[0]} first."
    return _late_mix(plan, now) or _late_step(plan, now) or _late_delivery(plan, now)


def _late_mix(plan: Plan, now: datetime) -> str:
    """A mix of the plan that began late, took longer, or should be out of its moulds. One query."""
    in_moulds = Cast.objects.filter(still_in_moulds(), mix=OuterRef("pk"))
    made = Mix.objects.filter(planned__plan=plan, undone_at__isnull=True).select_related("planned")
    for mix in made.annotate(is_in_moulds=Exists(in_moulds)).order_by("number"):
        planned = mix.planned
        assert planned is not None
        late = mix.started_at - planned.starts_at
        if late > OVERDUE:
            return f"Mix {mix.number} was started {span_words(whole_minutes(late))} later than planned."
        late = (mix.poured_at or now) - planned.poured_by
        if late > OVERDUE and not mix.is_stopped:
            return f"Mix {mix.number} was to be poured {span_words(whole_minutes(late))} sooner."
        if mix.is_in_moulds and planned.opens_at + OVERDUE < now:
            return f"Mix {mix.number} should be out of its moulds by now."
    return ""


def _late_step(plan: Plan, now: datetime) -> str:
    """A coat or other step of the plan whose time is over and that not all its pieces had. Three queries."""
    asked: Counter[tuple[str, int, str]] = Counter()
    for line in PlannedLine.objects.filter(plan=plan).select_related("article"):
        for name, starts_at, _ in line.steps:
            if name != "pack" and datetime.fromisoformat(starts_at) + OVERDUE < now:
                asked[line.wanted_by, line.article.route_id, name] += line.quantity
    if not asked:
        return ""
    places = {route: _places(steps) for route, steps in steps_of_routes({key[1] for key in asked}).items()}
    pieces = list(
        Piece.objects.filter(
            wanted_by__in={wanted_by for wanted_by, _, _ in asked}, undone_at__isnull=True, steps_done__gt=0
        ).values_list("wanted_by", "steps_done")
    )
    for (wanted_by, route, name), quantity in asked.items():
        place = places[route].get(name)
        if place is None:
            continue
        missing = quantity - sum(one == wanted_by and done >= place for one, done in pieces)
        if missing > 0:
            still = "wants" if missing == 1 else "want"
            return f"{counted(missing, 'piece')} still {still} {name}, planned before now."
    return ""


def _places(steps: tuple[StepFacts, ...]) -> dict[str, int]:
    """How many steps a piece has behind it after each step with hands, by the name the plan gives it."""
    with_hands = [place for place, step in enumerate(steps, start=1) if step.wants_hands]
    names = [step.name for step in planned_steps(steps, dry_minutes=0).steps]
    return dict(zip(names, with_hands, strict=True))


def _late_delivery(plan: Plan, now: datetime) -> str:
    """A delivery that the plan reckoned with on a day that is over. One query."""
    today, planned_on = localtime(now).date(), localtime(plan.planned_from).date()
    for delivery in late_deliveries(today):
        if max(delivery.expected_on, planned_on) < today:
            day = week_day(delivery.expected_on, today)
            return f"{delivery.material} was expected {day} and is not in."
    return ""
