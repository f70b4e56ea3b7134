"""What a plan uses up: powder, pigment, sealer, wax and packaging, in hand, coming, and not yet ordered."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from inventory.queries.deliveries import expected
from inventory.queries.holdings import held_by_material
from inventory.queries.lead_times import LeadTime
from production.planning.supplies import Recipe, RecipeNeed, Supply, SupplyReceipt
from production.queries.plan_clock import PlanClock
from production.queries.plan_lines import PlanLines
from production.queries.plan_range import Slurry
from production.queries.planning_task import NotOrdered

THOUSANDTHS = 1000


@dataclass(frozen=True)
class PlanSupplies:
    """Supplies and recipes of a problem; supplies are named by their materials. `not_ordered` by name."""

    supplies: tuple[Supply, ...]
    recipes: tuple[Recipe, ...]
    not_ordered: Mapping[str, NotOrdered]


def plan_supplies(
    lines: PlanLines, clock: PlanClock, slurries: Mapping[int, Slurry], leads: Mapping[int, LeadTime]
) -> PlanSupplies:
    """Everything that the lines of a plan use up, in the units of the materials.

    In hand is what all tubs hold, less the packaging of pieces that are ready and wait for nothing else.
    Deliveries are in by the closing of their day, overdue ones by today's. Where both are less than the most
    the lines can take, the rest is taken to be ordered today (`NotOrdered`). Two queries.
    """
    recipes = _recipes(lines)
    most = _most_needed(lines, slurries, recipes)
    held = held_by_material()
    today = clock.now.astimezone(clock.hours.zone).date()
    coming: dict[int, list[SupplyReceipt]] = defaultdict(list)
    for delivery in expected(leads):
        at = max(clock.now_minute, clock.closing_of(max(delivery.on, today)))
        coming[delivery.material_id].append(SupplyReceipt(at, delivery.amount / THOUSANDTHS))
    supplies, not_ordered = [], {}
    for material_id, lead in leads.items():
        if lead.name not in most:
            continue
        here = max(0, held.get(material_id, 0) - lines.spoken_for[material_id]) / THOUSANDTHS
        receipts = coming[material_id]
        ordered = sum(receipt.amount for receipt in receipts)
        lacking = most[lead.name] - here - ordered
        if lacking > 0:
            in_by = lead.in_by(today, clock.hours.is_working_day)
            receipts.append(SupplyReceipt(max(clock.now_minute, clock.closing_of(in_by)), lacking))
            not_ordered[lead.name] = NotOrdered(lead, here, ordered, in_by)
        supplies.append(Supply(lead.name, here, tuple(sorted(receipts, key=lambda one: one.at))))
    return PlanSupplies(tuple(supplies), recipes, not_ordered)


def _recipes(lines: PlanLines) -> tuple[Recipe, ...]:
    """The pigments of each colour in each compound, per gram of powder."""
    found = []
    for (compound_id, colour_id), pigments in lines.range.pigments.items():
        compound = lines.range.compounds[compound_id]
        needs = tuple(
            RecipeNeed(pigment.name, pigment.loading_percent / 100)
            for pigment in pigments
            # A powder that also colours is drawn as powder.
            if pigment.loading_percent > 0 and pigment.name != compound.powder.name
        )
        found.append(Recipe(compound.name, lines.range.colours[colour_id].name, needs))
    return tuple(found)


def _most_needed(
    lines: PlanLines, slurries: Mapping[int, Slurry], recipes: tuple[Recipe, ...]
) -> dict[str, float]:
    """The most that the lines can take of each supply: as if every cast were a mix of its own."""
    compounds = {
        compound.name: (compound.powder.name, slurries[pk]) for pk, compound in lines.range.compounds.items()
    }
    needs = {(recipe.compound, recipe.colour): recipe.needs for recipe in recipes}
    # A compound names its powder even where nothing is poured.
    most: dict[str, float] = defaultdict(float, {powder: 0.0 for powder, _ in compounds.values()})
    for recipe in recipes:
        for need in recipe.needs:
            most[need.supply] += 0
    for line in lines.lines:
        article = lines.articles[line.article]
        for part in article.parts:
            powder, slurry = compounds[part.compound]
            grams = (part.ml * slurry.slurry_g_per_ml + slurry.residue_g) * slurry.powder_share
            most[powder] += grams * line.quantity
            for need in needs.get((part.compound, part.colour or line.colour), ()):
                most[need.supply] += grams * line.quantity * need.per_powder_g
        for taken in (*(need for step in article.steps for need in step.needs), *article.pack_needs):
            most[taken.supply] += taken.each * line.quantity + taken.per_batch
    return most
