"""What a plan uses up beside the powder a compound has of its own: powder, pigment, sealer, wax, boxes.

An amount may be in any unit (g, pieces), as long as it is the same throughout one supply. Inside,
amounts are whole thousandths of it, rounded against us.
"""

from dataclasses import dataclass

from production.planning.faults import check_name, check_number, check_once, check_whole, refuse


@dataclass(frozen=True, slots=True)
class SupplyReceipt:
    """`amount` of a supply comes in at minute `at`."""

    at: int
    amount: float

    def __post_init__(self) -> None:
        check_whole("receipts.at", self.at)
        check_number(f"receipts.amount at {self.at}", self.amount)


@dataclass(frozen=True, slots=True)
class Supply:
    """Something that mixes, steps or packing use up; `opening` is in hand at the start."""

    name: str
    opening: float
    receipts: tuple[SupplyReceipt, ...] = ()

    def __post_init__(self) -> None:
        check_name("supplies.name", self.name)
        check_number(f"opening of supply {self.name}", self.opening)


@dataclass(frozen=True, slots=True)
class RecipeNeed:
    """So much of a supply for each gram of powder in a mix."""

    supply: str
    per_powder_g: float

    def __post_init__(self) -> None:
        check_name("recipes.needs", self.supply)
        check_number(f"per_powder_g of supply {self.supply} in a recipe", self.per_powder_g)


@dataclass(frozen=True, slots=True)
class Recipe:
    """What a mix of a compound in a colour needs beside powder, for all its powder (residue included)."""

    compound: str
    colour: str
    needs: tuple[RecipeNeed, ...]

    def __post_init__(self) -> None:
        check_name("recipes.compound", self.compound)
        check_name(f"recipes.colour of compound {self.compound}", self.colour)
        where = f"recipes.needs of {self.compound} in {self.colour}"
        check_once(where, [need.supply for need in self.needs])


@dataclass(frozen=True, slots=True)
class StepNeed:
    """So much of a supply for each piece, and `per_batch` once, drawn when the step starts."""

    supply: str
    each: float
    per_batch: float = 0

    def __post_init__(self) -> None:
        check_name("needs", self.supply)
        check_number(f"each of supply {self.supply} in needs", self.each)
        check_number(f"per_batch of supply {self.supply} in needs", self.per_batch)
        if self.each == 0 and self.per_batch == 0:
            refuse(f"each of supply {self.supply} in needs", self.each, "above 0 where per_batch is 0")
