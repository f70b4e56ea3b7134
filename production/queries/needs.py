"""What the plan will take out of the stores, day by day."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from zoneinfo import ZoneInfo

from production.arithmetic.mix import CastFacts, ColourFacts, MixWeights, PigmentFacts, mix_weights
from production.arithmetic.mix_walls import MixRefused
from production.models import ColourPigment, Piece, PlannedCast, PlannedLine, PlannedMix
from production.queries.mix_weights import compound_facts
from production.queries.plan_steps import steps_of_routes
from production.queries.progress import planned_mixes_ahead, plans_that_count
from production.queries.waiting import StepFacts

Draws = dict[int, list[tuple[date, int]]]


def planned_draws(zone: ZoneInfo) -> Draws:
    """What the newest plan takes, by material id: days with amounts (thousandths), in order of time.

    Powder and pigments of the mixes that are not mixed yet, by mix arithmetic with overfill and residue; and
    what the steps of the planned lines take of sealer, wax and the like. Seven queries, however many mixes.
    """
    found: dict[int, dict[date, int]] = defaultdict(lambda: defaultdict(int))
    for weighed in weights_of_planned(planned_mixes_ahead()):
        if weighed.weights is None:
            continue
        day = weighed.planned.starts_at.astimezone(zone).date()
        found[weighed.planned.compound.powder_id][day] += weighed.weights.powder_mg
        for material_id, amount in weighed.pigment_amounts:
            found[material_id][day] += amount
    for day, material_id, amount in _draws_of_steps(zone):
        found[material_id][day] += amount
    return {material_id: sorted(days.items()) for material_id, days in found.items()}


@dataclass(frozen=True)
class Weighed:
    """What a planned mix takes: its casts in the order of filling, its weights, and pigments by material.

    `weights` is None when the mix arithmetic refuses the mix by now.
    """

    planned: PlannedMix
    casts: tuple[PlannedCast, ...]
    weights: MixWeights | None
    pigment_amounts: tuple[tuple[int, int], ...]


def weights_of_planned(mixes: Sequence[PlannedMix]) -> list[Weighed]:
    """Every planned mix with what it takes. Two queries.

    Sieving is not foreseen: which tub a mix will be weighed from is known when it is.
    """
    casts: dict[int, list[PlannedCast]] = defaultdict(list)
    rows = PlannedCast.objects.filter(planned_mix__in=[mix.pk for mix in mixes])
    for row in rows.select_related("part__article", "mould", "line").order_by("position", "id"):
        casts[row.planned_mix_id].append(row)
    pigments: dict[tuple[int, int], list[ColourPigment]] = defaultdict(list)
    for pigment in ColourPigment.objects.select_related("pigment"):
        pigments[pigment.compound_id, pigment.colour_id].append(pigment)
    return [_weigh(mix, casts[mix.pk], pigments[mix.compound_id, mix.colour_id]) for mix in mixes]


def _weigh(mix: PlannedMix, casts: Sequence[PlannedCast], pigments: Sequence[ColourPigment]) -> Weighed:
    facts = [
        CastFacts(row.mould.name, row.mould.volume_ul or 0, row.quantity, row.mould.fill_minutes)
        for row in casts
    ]
    loads = tuple(
        PigmentFacts(row.pigment.name, row.load * 100, row.pigment.density_g_per_ml) for row in pigments
    )
    # A jug that became smaller since must not hide what the mix takes from the stores.
    compound = replace(compound_facts(mix.compound), jug_capacity_mg=None)
    try:
        weights = mix_weights(facts, compound, ColourFacts(mix.colour.name, loads or None))
    except MixRefused:
        return Weighed(mix, tuple(casts), None, ())
    amounts = [(row.pigment_id, made.weight_mg) for row, made in zip(pigments, weights.pigments, strict=True)]
    return Weighed(mix, tuple(casts), weights, tuple(amounts))


def _draws_of_steps(zone: ZoneInfo) -> list[tuple[date, int, int]]:
    """Day, material and amount of every planned step that takes some and was not done since. Four queries."""
    newest = plans_that_count().values("id")[:1]
    lines = list(PlannedLine.objects.filter(plan__in=newest).select_related("article", "plan"))
    routes = steps_of_routes({line.article.route_id for line in lines})
    done = _done_since(lines, routes)
    found = []
    for line in lines:
        by_name = {step.name: step for step in routes[line.article.route_id]}
        for name, starts_at, _ in line.steps:
            step = by_name.get(name)
            if step is None or not step.takes:
                continue
            already = min(line.quantity, done[line.wanted_by, name])
            done[line.wanted_by, name] -= already
            if line.quantity > already:
                day = datetime.fromisoformat(starts_at).astimezone(zone).date()
                found += [(day, pk, amount * (line.quantity - already)) for pk, amount in step.takes]
    return found


def _done_since(
    lines: Sequence[PlannedLine], routes: Mapping[int, Sequence[StepFacts]]
) -> Counter[tuple[str, str]]:
    """How many pieces of each demand went through which step after the plan was made. One query."""
    if not lines:
        return Counter()
    pieces = Piece.objects.filter(
        wanted_by__in={line.wanted_by for line in lines},
        last_step_at__gt=lines[0].plan.planned_from,
        steps_done__gt=0,
        undone_at__isnull=True,
    ).values_list("wanted_by", "article__route", "steps_done")
    return Counter(
        (wanted_by, routes[route][steps_done - 1].name)
        for wanted_by, route, steps_done in pieces
        if route in routes and steps_done <= len(routes[route])
    )
