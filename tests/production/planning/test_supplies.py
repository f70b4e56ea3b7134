import pytest

from production.planning.faults import ProblemFault
from production.planning.supplies import Recipe, RecipeNeed, StepNeed, Supply, SupplyReceipt


@pytest.mark.parametrize(
    ("make", "field"),
    [
        (lambda: SupplyReceipt(1.5, 10), "receipts.at"),
        (lambda: SupplyReceipt(60, -10), "receipts.amount at 60"),
        (lambda: Supply(" ", 10), "supplies.name"),
        (lambda: Supply("wax", float("nan")), "opening of supply wax"),
        (lambda: RecipeNeed("ochre", -0.1), "per_powder_g of supply ochre in a recipe"),
        (lambda: Recipe("Quick", "", ()), "recipes.colour of compound Quick"),
        (
            lambda: Recipe("Quick", "Fog", (RecipeNeed("ochre", 0.1), RecipeNeed("ochre", 0.2))),
            "recipes.needs of Quick in Fog",
        ),
        (lambda: StepNeed("", 1), "needs"),
        (lambda: StepNeed("wax", "much"), "each of supply wax in needs"),
        (lambda: StepNeed("wax", 1, -1), "per_batch of supply wax in needs"),
        (lambda: StepNeed("wax", 0), "each of supply wax in needs"),
    ],
)
def test_a_supply_that_cannot_be_meant_is_refused_by_the_name_of_its_field(make, field):
    with pytest.raises(ProblemFault) as caught:
        make()
    assert caught.value.field == field
