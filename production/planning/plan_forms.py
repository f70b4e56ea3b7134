"""The exchanged form of a plan, "casting-plan 1", read and written."""

from collections.abc import Mapping
from math import ceil
from typing import Any

from production.planning.faults import refuse
from production.planning.form_fields import Fields, read_all
from production.planning.measures import NOISE, line_tasks, thousandths_up, whole_minutes
from production.planning.problem import CastCount, Poured, Problem
from production.planning.solution import (
    Plan,
    PlannedCast,
    PlannedLine,
    PlannedMix,
    PlannedOpening,
    PlannedStep,
    days_late,
    missed_pins_of,
    score_of,
)

PLAN_FORM = "casting-plan 1"


def plan_to_form(plan: Plan) -> dict[str, Any]:
    """Write a plan. A line that is not placed has no step "pack" in it and is named in `unplaced`."""
    unplaced = [line.line for line in plan.unplaced]
    return {
        "form": PLAN_FORM,
        "mixes": [
            {
                "start": mix.start,
                "compound": mix.compound,
                "colour": mix.colour,
                "casts": [
                    {"line": cast.line, "part": cast.part, "quantity": cast.quantity} for cast in mix.casts
                ],
                "opened": mix.opened,
            }
            for mix in plan.mixes
        ],
        "opened": {opening.poured: opening.start for opening in plan.openings},
        "steps": [{"line": step.line, "step": step.step, "start": step.start} for step in plan.steps],
        **({"unplaced": unplaced} if unplaced else {}),
    }


def plan_from_form(form: Mapping[str, Any], problem: Problem) -> Plan:
    """Read a plan of a problem; durations and score are worked out, rules are not checked.

    Raises
    ------
    ProblemFault
        When a field is missing or names something the problem does not have.
    """
    fields = Fields("", form)
    if fields.any("form") != PLAN_FORM:
        refuse("form", fields.any("form"), f'"{PLAN_FORM}"')
    mixes = read_all(fields, "mixes", lambda mix: _mix(mix, problem))
    opened = fields.part("opened")
    poured_by_id = {poured.id: poured for poured in problem.poured}
    for poured_id in opened.form:
        if poured_id not in poured_by_id:
            refuse("opened", poured_id, "one of the mixes in their moulds")
    openings = tuple(
        PlannedOpening(poured_id, opened.whole(poured_id), _opening_minutes(problem, poured_by_id[poured_id]))
        for poured_id in opened.form
    )
    steps = read_all(fields, "steps", lambda step: _step(step, problem))
    packed: dict[str, int | None] = {step.line: step.end for step in steps if step.step == "pack"}
    lines = []
    for line in problem.lines:
        packed_at = packed.get(line.id)
        late = None if packed_at is None else days_late(packed_at, line.ship_by)
        lines.append(PlannedLine(line.id, packed_at, late))
    return Plan(
        mixes=mixes,
        openings=openings,
        steps=steps,
        lines=tuple(lines),
        score=score_of(problem, mixes, packed),
        missed_pins=missed_pins_of(problem, mixes),
    )


def _mould_of(problem: Problem, path: str, line_id: str, part_name: str) -> str:
    line = problem.line_by_id.get(line_id)
    if line is None:
        refuse(f"{path}.line", line_id, "one of the orders")
    parts = problem.article_by_name[line.article].parts
    mould = next((part.mould for part in parts if part.name == part_name), None)
    if mould is None:
        refuse(f"{path}.part", part_name, f"a part of {line.article}")
    return mould


def _mix(fields: Fields, problem: Problem) -> PlannedMix:
    compound = problem.compound_by_name.get(fields.text("compound"))
    if compound is None:
        refuse(fields.of("compound"), fields.text("compound"), "one of the compounds")
    casts = read_all(fields, "casts", lambda cast: _cast(cast, problem))
    moulds = problem.mould_by_name
    fill = sum(thousandths_up(moulds[cast.mould].fill_minutes) * cast.quantity for cast in casts)
    opening = sum(thousandths_up(moulds[cast.mould].open_minutes) * cast.quantity for cast in casts)
    return PlannedMix(
        start=fields.whole("start"),
        compound=compound.name,
        colour=fields.text("colour"),
        casts=casts,
        opened=fields.whole("opened"),
        weigh_and_mix_minutes=compound.weigh_and_mix_minutes,
        fill_minutes=whole_minutes(fill),
        clean_up_minutes=compound.clean_up_minutes,
        opening_minutes=whole_minutes(opening),
    )


def _cast(fields: Fields, problem: Problem) -> PlannedCast:
    count = CastCount(fields.text("line"), fields.text("part"), fields.whole("quantity"))
    mould = _mould_of(problem, fields.path, count.line, count.part)
    return PlannedCast(count.line, count.part, count.quantity, mould)


def _opening_minutes(problem: Problem, poured: Poured) -> int:
    minutes = 0.0
    for cast in poured.casts:
        mould = _mould_of(problem, f"poured {poured.id}", cast.line, cast.part)
        minutes += problem.mould_by_name[mould].open_minutes * cast.quantity
    return ceil(minutes - NOISE)


def _step(fields: Fields, problem: Problem) -> PlannedStep:
    line = problem.line_by_id.get(fields.text("line"))
    if line is None:
        refuse(fields.of("line"), fields.text("line"), "one of the orders")
    names = [step.name for step in problem.article_by_name[line.article].steps] + ["pack"]
    name = fields.text("step")
    if name not in names:
        refuse(fields.of("step"), name, f"one of {', '.join(names)}")
    minutes = line_tasks(problem, line)[names.index(name)][1]
    return PlannedStep(line.id, name, fields.whole("start"), minutes)
