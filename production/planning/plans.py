"""Runs of the simulator put into the problem's names, and plans back into the simulator's numbers."""

from production.planning.prepare import Prepared
from production.planning.simulate import Run
from production.planning.solution import (
    Plan,
    PlannedCast,
    PlannedLine,
    PlannedMix,
    PlannedOpening,
    PlannedStep,
    days_late,
    missed_pins_of,
)
from production.planning.state import GivenMix, MixRun


def plan_of(run: Run) -> Plan:
    """The plan a simulation made, without reasons (`reasons.explain` adds them)."""
    prepared = run.prepared
    mixes = sorted(
        (_mix_of(prepared, mix) for mix in run.mixes), key=lambda mix: (mix.start, mix.compound, mix.colour)
    )
    openings = tuple(
        PlannedOpening(filled.id, start, filled.opening_minutes)
        for filled, start in zip(prepared.filled, run.filled_opened, strict=True)
        if start is not None
    )
    lines = []
    for line, packed_at in zip(prepared.problem.lines, run.packed_at, strict=True):
        late = None if packed_at is None else days_late(packed_at, line.ship_by)
        lines.append(PlannedLine(line.id, packed_at, late))
    return Plan(
        mixes=tuple(mixes),
        openings=openings,
        steps=_steps_of(run),
        lines=tuple(lines),
        score=run.score,
        rule=run.rule,
        missed_pins=missed_pins_of(prepared.problem, mixes),
        urgency=tuple(
            (line.id, offset)
            for line, offset in zip(prepared.problem.lines, run.offsets, strict=bool(run.offsets))
            if offset
        ),
    )


def _mix_of(prepared: Prepared, mix: MixRun) -> PlannedMix:
    problem = prepared.problem
    jug = prepared.jugs[mix.jug]
    compound = problem.compounds[jug.compound]
    casts = []
    for unit_number, pieces in mix.takes:
        unit = prepared.units[unit_number]
        line = problem.lines[unit.line].id
        for part in prepared.streams[unit.stream].parts:
            casts.append(PlannedCast(line, part.name, pieces, part.mould))
    assert mix.opened is not None
    return PlannedMix(
        start=mix.start,
        compound=compound.name,
        colour=jug.colour,
        casts=tuple(casts),
        opened=mix.opened,
        weigh_and_mix_minutes=compound.weigh_and_mix_minutes,
        fill_minutes=mix.fill_minutes,
        clean_up_minutes=compound.clean_up_minutes,
        opening_minutes=mix.opening_minutes,
    )


def _steps_of(run: Run) -> tuple[PlannedStep, ...]:
    prepared = run.prepared
    steps = []
    for number, starts in enumerate(run.task_starts):
        line = prepared.problem.lines[number]
        names = [step.name for step in prepared.article(number).steps] + ["pack"]
        for name, start, (_, minutes) in zip(names, starts, prepared.tasks[number], strict=False):
            steps.append(PlannedStep(line.id, name, start, minutes))
    return tuple(sorted(steps, key=lambda step: (step.start, step.line)))


def given_mixes_of(prepared: Prepared, plan: Plan) -> list[GivenMix]:
    """A plan's mixes for the simulator, each not before its start; pieces no longer wanted fall away."""
    unit_of: dict[tuple[str, str], int] = {}
    counted: dict[tuple[str, str], bool] = {}
    for number, unit in enumerate(prepared.units):
        for place, part in enumerate(prepared.streams[unit.stream].parts):
            key = (prepared.problem.lines[unit.line].id, part.name)
            unit_of[key], counted[key] = number, place == 0
    given = []
    for mix in plan.mixes:
        jug = prepared.jug_number.get((mix.compound, mix.colour))
        takes = tuple(
            (unit_of[cast.line, cast.part], cast.quantity)
            for cast in mix.casts
            # The first part of a matched set stands for the set.
            if counted.get((cast.line, cast.part), False)
        )
        if jug is not None and takes:
            given.append(GivenMix(mix.start, jug, takes))
    return given
