"""The door from rows to the planner: orders, moulds, powder and hours become a planning problem."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime

from inventory.ports import StudioFacts, StudioHours
from inventory.queries.lead_times import lead_times
from production.planning.demand import Demand
from production.planning.problem import CastCount, Compound, MouldKind, OutOfMould, Poured, Problem
from production.queries.pins import with_pins
from production.queries.plan_clock import PlanClock, plan_clock
from production.queries.plan_lines import PlanLines
from production.queries.plan_range import ROUNDING_G, Slurry
from production.queries.plan_supplies import plan_supplies
from production.queries.planning_task import MouldFacts, PlanningTask

MG_PER_G = 1000


def build_problem(
    demands: Iterable[Demand], *, now: datetime, hours: StudioHours, facts: StudioFacts
) -> PlanningTask:
    """What is to be poured and finished, from `now` on, with what the studio owns.

    Minutes count from Monday 00:00 of this week. For each demand: pieces kept for it that are not ready are
    boards with the steps they still need; casts in the making are boards in moulds or drying; what still
    lacks is to be poured, in boards of `facts.drying_board_pieces`. What cannot be poured at all is left
    out and comes back in `cannot_be_made`. Copies that are lent or retired do not count, damp ones come free
    when they are dry. Powder, pigment, what steps take and packaging are what all tubs hold and what
    deliveries bring; what is in neither comes back in `not_ordered`. Mixes put to a time by hand are pins.

    21 queries and two for each powder, however many demands.
    """
    wanted = [demand for demand in demands if demand.quantity > 0]
    clock = plan_clock(now, hours, [demand.ship_by for demand in wanted])
    leads = lead_times()
    lines = PlanLines(wanted, clock, facts, {pk: lead.name for pk, lead in leads.items()})
    moulds = _moulds(lines, clock)
    slurries = {pk: lines.range.slurry(pk, lines.poured_in[pk]) for pk in lines.range.compounds}
    uses = plan_supplies(lines, clock, slurries, leads)
    problem = Problem(
        minutes=clock.minutes,
        windows=clock.windows(),
        late_step_days=facts.late_step_days,
        compounds=_compounds(lines, slurries),
        moulds=tuple(kind for kind, _ in moulds),
        articles=tuple(lines.articles.values()),
        lines=tuple(lines.lines),
        poured=_poured(lines, clock),
        out_of_mould=tuple(
            OutOfMould(line_id, part, count, minute) for (line_id, part, minute), count in lines.out.items()
        ),
        supplies=uses.supplies,
        recipes=uses.recipes,
    )
    task = PlanningTask(
        problem=problem,
        start=clock.start,
        planned_from=now,
        lines=lines.task_lines,
        part_ids=lines.part_ids,
        mould_facts={kind.name: facts for kind, facts in moulds},
        compound_ids={compound.name: pk for pk, compound in lines.range.compounds.items()},
        colour_ids={colour.name: pk for pk, colour in lines.range.colours.items()},
        cannot_be_made=tuple(lines.cannot),
        not_ordered=uses.not_ordered,
        hours=hours,
    )
    return with_pins(task)


def _poured(lines: PlanLines, clock: PlanClock) -> tuple[Poured, ...]:
    mixes = {cast.mix_id: cast.mix for cast in lines.casts}
    return tuple(
        Poured(
            id=f"mix {mixes[mix_id].number}",
            compound=mixes[mix_id].compound.name,
            colour=mixes[mix_id].colour.name,
            # A mix that is being poured at this minute counts as filled now.
            filled_at=clock.minute(mixes[mix_id].poured_at or clock.now),
            casts=tuple(CastCount(line_id, part, n) for (line_id, part), n in counts.items()),
        )
        for mix_id, counts in lines.in_moulds.items()
    )


def _moulds(lines: PlanLines, clock: PlanClock) -> list[tuple[MouldKind, MouldFacts]]:
    found = []
    moulds = {part.mould_id: part.mould for parts in lines.range.parts.values() for part in parts}
    in_use = {cast.mould_copy_id for cast in lines.casts if cast.out_at is None}
    for mould_id, mould in moulds.items():
        here = lines.range.copies_that_count(mould_id)
        # A copy that was lent or retired with a cast in it still has to be opened.
        gone = {c.copy_id for c in lines.range.copies.get(mould_id, ())} - {c.copy_id for c in here}
        wet = [copy.wet_until for copy in here if copy.wet_until and copy.copy_id not in in_use]
        kind = MouldKind(
            name=mould.name,
            copies=len(here) + len(gone & in_use),
            fill_minutes=mould.fill_minutes,
            open_minutes=mould.open_minutes,
            rest_minutes=mould.clean_and_dry_minutes,
            free_at=tuple(sorted(clock.minute(until) for until in wet)),
            open_after_minutes=mould.in_mould_minutes,
        )
        own = next(p.compound for ps in lines.range.parts.values() for p in ps if p.mould_id == mould_id)
        in_mould = mould.in_mould_minutes or own.open_after_minutes
        found.append((kind, MouldFacts(mould_id, len(here), in_mould, mould.clean_and_dry_minutes)))
    return found


def _compounds(lines: PlanLines, slurries: Mapping[int, Slurry]) -> tuple[Compound, ...]:
    return tuple(
        Compound(
            name=compound.name,
            # Stirring is part of the working time, so the fills have the rest.
            working_minutes=max(1, compound.working_time_minutes - compound.stir_minutes),
            open_after_minutes=compound.open_after_minutes,
            dry_minutes=compound.dry_hours * 60,
            slurry_g_per_ml=slurries[pk].slurry_g_per_ml,
            powder_share=slurries[pk].powder_share,
            weigh_and_mix_minutes=compound.weigh_and_mix_minutes,
            clean_up_minutes=compound.clean_up_minutes,
            residue_g=slurries[pk].residue_g,
            jug_g=max(1.0, compound.jug_most_mg / MG_PER_G - ROUNDING_G),
            powder_g=0,
            powder=compound.powder.name,
        )
        for pk, compound in lines.range.compounds.items()
    )
