"""What a plan uses up, against sums by hand."""

from dataclasses import replace

import pytest

from production.planning.effort import Effort
from production.planning.problem import Step
from production.planning.solve import plan
from production.planning.supplies import Recipe, RecipeNeed, StepNeed, Supply
from production.planning.uses import uses_of
from tests.production.planning.builders import a_compound, a_line, a_problem, an_article


def test_mixes_steps_and_packing_use_what_they_need_when_they_start():
    article = an_article(
        steps=(Step("coat 1", None, 5, needs=(StepNeed("sealer", 4, 10),)),),
        pack_needs=(StepNeed("box", 1),),
    )
    problem = a_problem(
        a_line(quantity=2),
        compounds=(a_compound(powder="grey powder"),),
        articles=(article,),
        supplies=tuple(Supply(name, 1e6) for name in ("grey powder", "slate", "sealer", "box")),
        recipes=(Recipe("Quick", "Slate", (RecipeNeed("slate", 0.02),)),),
    )

    made = plan(problem, effort=Effort(rules=1))

    (mix,) = made.mixes
    coat, pack = made.steps
    # Two trays of 100 ml at 2 g/ml and 50 g residue, half of it powder.
    assert uses_of(problem, made) == {
        "grey powder": [(mix.start, 225.0)],
        "slate": [(mix.start, pytest.approx(4.5))],
        "sealer": [(coat.start, 18)],
        "box": [(pack.start, 2)],
    }


def test_powder_of_its_own_is_in_no_supply():
    problem = a_problem()

    assert uses_of(replace(problem), plan(problem, effort=Effort(rules=1))) == {}
