"""Supplies and recipes in the exchanged form."""

from typing import Any

from production.planning.form_fields import Fields, read_all, read_named
from production.planning.problem import Problem
from production.planning.supplies import Recipe, RecipeNeed, Supply, SupplyReceipt


def supplies_from_form(fields: Fields) -> tuple[Supply, ...]:
    """Read the supplies, by name."""
    return read_named(fields, "supplies", _supply) if fields.has("supplies") else ()


def recipes_from_form(fields: Fields) -> tuple[Recipe, ...]:
    """Read what mixes need beside powder."""
    return read_all(fields, "recipes", _recipe) if fields.has("recipes") else ()


def _supply(name: str, fields: Fields) -> Supply:
    receipts = read_all(fields, "receipts", _receipt) if fields.has("receipts") else ()
    return Supply(name, fields.number("opening"), receipts)


def _receipt(fields: Fields) -> SupplyReceipt:
    return SupplyReceipt(fields.whole("at"), fields.number("amount"))


def _recipe(fields: Fields) -> Recipe:
    needs = fields.part("needs")
    return Recipe(
        compound=fields.text("compound"),
        colour=fields.text("colour"),
        needs=tuple(RecipeNeed(supply, needs.number(supply)) for supply in needs.form),
    )


def supplies_to_form(problem: Problem) -> dict[str, Any]:
    """Write supplies and recipes; no field for what there is none of."""
    form: dict[str, Any] = {}
    if problem.supplies:
        form["supplies"] = {
            supply.name: {
                "opening": supply.opening,
                "receipts": [{"at": receipt.at, "amount": receipt.amount} for receipt in supply.receipts],
            }
            for supply in problem.supplies
        }
    if problem.recipes:
        form["recipes"] = [
            {
                "compound": recipe.compound,
                "colour": recipe.colour,
                "needs": {need.supply: need.per_powder_g for need in recipe.needs},
            }
            for recipe in problem.recipes
        ]
    return form
