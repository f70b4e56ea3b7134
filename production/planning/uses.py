"""What a plan uses up of each supply, and when: the other side of what is in hand."""

from collections import defaultdict

from production.planning.problem import Problem
from production.planning.solution import Plan, PlannedMix

Uses = dict[str, list[tuple[int, float]]]


def uses_of(problem: Problem, plan: Plan) -> Uses:
    """Minutes with amounts by supply, in order of time, in the supply's unit.

    A mix draws its powder (residue included) and pigments when it starts, a step and the packing what they
    need when they start. Powder that a compound has of its own is in no supply and left out.
    """
    found: Uses = defaultdict(list)
    recipes = {(recipe.compound, recipe.colour): recipe.needs for recipe in problem.recipes}
    for mix in plan.mixes:
        compound = problem.compound_by_name[mix.compound]
        powder_g = (_slurry_g(problem, mix) + compound.residue_g) * compound.powder_share
        if compound.powder is not None:
            found[compound.powder].append((mix.start, powder_g))
        for need in recipes.get((mix.compound, mix.colour), ()):
            found[need.supply].append((mix.start, powder_g * need.per_powder_g))
    for step in plan.steps:
        line = problem.line_by_id[step.line]
        article = problem.article_by_name[line.article]
        needs = next((one.needs for one in article.steps if one.name == step.step), article.pack_needs)
        for taken in needs:
            found[taken.supply].append((step.start, taken.each * line.quantity + taken.per_batch))
    return {supply: sorted(draws) for supply, draws in found.items()}


def _slurry_g(problem: Problem, mix: PlannedMix) -> float:
    g_per_ml = problem.compound_by_name[mix.compound].slurry_g_per_ml
    grams = 0.0
    for cast in mix.casts:
        article = problem.article_by_name[problem.line_by_id[cast.line].article]
        ml = next(part.ml for part in article.parts if part.name == cast.part)
        grams += ml * g_per_ml * cast.quantity
    return grams
