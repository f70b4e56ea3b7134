"""Making a plan the one that Week and Bench read."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from math import ceil
from typing import Any

from inventory.operations.acts import Done, Tap, act
from production.models import Plan, PlannedCast, PlannedLine, PlannedMix
from production.planning.calendar import instant_of
from production.planning.solution import DAY, Held, PlannedStep
from production.planning.solution import Plan as Solution
from production.planning.solution import PlannedLine as SolvedLine
from production.queries.not_ordered import lacking_in
from production.queries.planning_task import CannotBeMade, PlanningTask, TaskLine
from production.queries.wording import counted

ROUNDING = 1e-6


@act("production.adopt_plan")
def adopt_plan(tap: Tap, *, task: PlanningTask, solution: Solution, because: str = "") -> Done:
    """Keep a solved plan as the newest one. Plans are records: none is edited later, the old ones stay.

    What cannot be made is kept as lines that are not placed, with the sentence that says why. Casts that only
    have to be opened belong to nobody and are not kept. What it takes that nobody ordered is kept with it,
    and `because`, the sentence that says why it was made.

    Changes: production_plan, production_plannedmix, production_plannedline, production_plannedcast.
    Again: the first answer, no second plan.
    """
    plan = Plan.objects.create(
        adopted_at=tap.now,
        by_id=tap.by,
        starts_on=task.start.date(),
        planned_from=task.planned_from,
        points=round(solution.score.points),
        mixes_count=len(solution.mixes),
        early_piece_days=solution.score.early_piece_days,
        tries=solution.tries,
        ended=solution.ended,
        bound_points=_whole_points(solution),
        bound_mixes=solution.bounds.mixes if solution.bounds else None,
        missing=solution.missing,
        kept_mixes=solution.kept_mixes[0],
        mixes_before=solution.kept_mixes[1],
        because=because[:200],
        not_ordered=lacking_in(task, solution),
        **_rule_fields(solution),
    )
    lines = _keep_lines(plan, task, solution)
    _keep_mixes(plan, task, solution, lines)
    late = [line for line in lines.values() if line.days_late]
    said = f"Planned: {counted(len(solution.mixes), 'mix')}, {_late_words(late)}"
    return Done(said, {"plan_id": plan.pk, "mixes": len(solution.mixes), "late": len(late)})


def _rule_fields(solution: Solution) -> dict[str, float]:
    """The list rule that made it: with the urgency of its lines and its mixes it makes the plan again."""
    if solution.rule is None:
        return {}
    return {
        "pour_ahead_minutes": solution.rule.pour_ahead_minutes,
        "look_ahead_minutes": solution.rule.look_ahead_minutes,
        "least_fill": solution.rule.least_fill,
    }


def _whole_points(solution: Solution) -> int | None:
    """The proven least points, as a whole number: weights, pieces and days are whole, so points are too."""
    if solution.bounds is None:
        return None
    return ceil(solution.bounds.points - ROUNDING)


def _late_words(late: Iterable[PlannedLine]) -> str:
    labels = {line.label for line in late}
    return f"{counted(len(labels), 'order')} late." if labels else "nothing late."


def _keep_lines(plan: Plan, task: PlanningTask, solution: Solution) -> dict[str, PlannedLine]:
    steps: dict[str, list[PlannedStep]] = {}
    for step in solution.steps:
        steps.setdefault(step.line, []).append(step)
    urgency = dict(solution.urgency)
    quantities = {line.id: line for line in task.problem.lines}
    rows = {}
    for solved in solution.lines:
        of = task.lines.get(solved.line)
        if of is None:
            continue
        rows[solved.line] = PlannedLine(
            plan=plan,
            wanted_by=of.wanted_by,
            board=of.board,
            label=of.label,
            article_id=of.article_id,
            colour_id=of.colour_id,
            quantity=of.quantity,
            ship_by=of.ship_by,
            packed_at=_instant(solved.packed_at, task),
            days_late=_days_late(solved, of, task, quantities[solved.line].ship_by),
            urgency_minutes=urgency.get(solved.line, 0),
            held_by=_held_by(solved.held) if of.weight else "",
            held_facts={
                "weight": of.weight,
                "kind": of.kind,
                **(_held_facts(solved, task) if of.weight else {}),
            },
            steps=[
                [step.step, instant_of(step.start, task.start).isoformat(), step.minutes]
                for step in steps.get(solved.line, [])
            ],
        )
    left_out = [_left_out(plan, cannot, task) for cannot in task.cannot_be_made]
    PlannedLine.objects.bulk_create([*rows.values(), *left_out])
    return rows


def _left_out(plan: Plan, cannot: CannotBeMade, task: PlanningTask) -> PlannedLine:
    """A line for what cannot be poured: not placed, and not late by any figure."""
    boards = [line.board for line in task.lines.values() if line.wanted_by == cannot.wanted_by]
    return PlannedLine(
        plan=plan,
        wanted_by=cannot.wanted_by,
        board=max(boards, default=0) + 1,
        label=cannot.label,
        article_id=cannot.article_id,
        colour_id=cannot.colour_id,
        quantity=cannot.quantity,
        ship_by=cannot.ship_by,
        held_facts={"weight": cannot.weight, "kind": cannot.kind, "cannot_be_made": cannot.sentence},
    )


def _keep_mixes(plan: Plan, task: PlanningTask, solution: Solution, lines: dict[str, PlannedLine]) -> None:
    article_of = {line.id: line.article for line in task.problem.lines}
    pins = {(pin.compound, pin.colour, pin.start): pin_id for pin, pin_id in task.pin_ids}
    mixes = [
        PlannedMix(
            plan=plan,
            position=position,
            starts_at=instant_of(mix.start, task.start),
            poured_by=instant_of(mix.filled_at, task.start),
            opens_at=instant_of(mix.opened, task.start),
            compound_id=task.compound_ids[mix.compound],
            colour_id=task.colour_ids[mix.colour],
            pin_id=pins.get((mix.compound, mix.colour, mix.start)),
        )
        for position, mix in enumerate(solution.mixes, start=1)
    ]
    PlannedMix.objects.bulk_create(mixes)
    PlannedCast.objects.bulk_create(
        PlannedCast(
            planned_mix=row,
            line=lines[cast.line],
            part_id=task.part_ids[article_of[cast.line]][cast.part],
            mould_id=task.mould_facts[cast.mould].mould_id,
            position=position,
            quantity=cast.quantity,
        )
        for row, mix in zip(mixes, solution.mixes, strict=True)
        for position, cast in enumerate(mix.casts, start=1)
    )


def _days_late(solved: SolvedLine, of: TaskLine, task: PlanningTask, ship_by: int) -> int:
    """Days late, rounded up; what is not placed is late up to the calendar's end. A wish never is."""
    if not of.weight:
        return 0
    if solved.days_late is not None:
        return solved.days_late
    return max(1, -((ship_by - task.problem.minutes) // DAY))


def _held_by(held: Held | None) -> str:
    """What held the line, in the words of `PlannedLine.HeldBy`: a piece too big for the jug or the working
    time never gets into the problem, and one that no opening hours can hold is held by them."""
    if held is None:
        return ""
    known = set(PlannedLine.HeldBy.values)
    return held.limit if held.limit in known else PlannedLine.HeldBy.CLOSED.value


def _held_facts(solved: SolvedLine, task: PlanningTask) -> dict[str, Any]:
    """The figures behind the reason as they were when it was planned; instants as ISO texts.

    Where the studio alone is too slow for a line, the mould that is poured most often for it is named.
    """
    held = solved.held
    if held is None:
        return {}
    name, turns = (held.mould, None) if held.mould else _most_turns(solved.line, task)
    mould = task.mould_facts.get(name or "")
    first_pour, earliest = held.latest_first_pour, held.earliest_packed
    return {
        "mould": name,
        "turns": turns,
        "mould_id": mould.mould_id if mould else None,
        "copies": mould.copies if mould else None,
        "in_mould_minutes": mould.in_mould_minutes if mould else None,
        "clean_and_dry_minutes": mould.clean_and_dry_minutes if mould else None,
        "compound": held.compound,
        "waited_minutes": dict(held.waited_minutes),
        "latest_first_pour": None if first_pour is None else instant_of(first_pour, task.start).isoformat(),
        "earliest_packed": None if earliest is None else instant_of(earliest, task.start).isoformat(),
    }


def _most_turns(line_id: str, task: PlanningTask) -> tuple[str | None, int | None]:
    """The mould of a line whose copies have to be poured most often one after the other, if any twice."""
    line = task.problem.line_by_id[line_id]
    turns: dict[str, int] = {}
    for part in task.problem.article_by_name[line.article].parts:
        copies = task.mould_facts[part.mould].copies
        turns[part.mould] = -(-line.quantity // copies) if copies else 0
    name = max(turns, key=lambda mould: turns[mould], default=None)
    if name is None or turns[name] < 2:
        return None, None
    return name, turns[name]


def _instant(minute: int | None, task: PlanningTask) -> datetime | None:
    return None if minute is None else instant_of(minute, task.start)
