"""The wax fills of the routes, and what the rows on the Shelf take."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from inventory.queries.wording import in_words
from production.errors import NotThere
from production.models import RouteStep
from production.queries.waiting import StepFacts


@dataclass(frozen=True)
class Taken:
    """What a step takes of one material for so many pieces, in words: "186 g Container wax"."""

    each: str
    together: str


def fills() -> list[RouteStep]:
    """Every fill of every route, with what it takes. One query."""
    rows = RouteStep.objects.filter(kind=RouteStep.Kind.FILL)
    return list(
        rows.select_related("route", "material", "fragrance", "wick").order_by("route__name", "position")
    )


def fill(step_id: int) -> RouteStep:
    """One fill. One query.

    Raises: NotThere.
    """
    found = next((step for step in fills() if step.pk == step_id), None)
    if found is None:
        raise NotThere("There is no such fill. Open the page again.", step_id=step_id)
    return found


def names_of_taken(steps: Iterable[StepFacts]) -> dict[int, dict[int, tuple[str, str]]]:
    """Name and unit of what each of these steps takes, by step and material. One query, none for none."""
    ids = {step.step_id for step in steps if step.takes}
    found: dict[int, dict[int, tuple[str, str]]] = {}
    if ids:
        rows = RouteStep.objects.filter(pk__in=ids).select_related("material", "fragrance", "wick")
        for row in rows:
            kept = (one for one in (row.material, row.fragrance, row.wick) if one)
            found[row.pk] = {one.pk: (one.name, one.unit) for one in kept}
    return found


def taken_by(
    step: StepFacts, pieces: int, names: Mapping[int, Mapping[int, tuple[str, str]]]
) -> tuple[Taken, ...]:
    """What a step takes for so many pieces, in words. No query."""
    known = names.get(step.step_id, {})
    return tuple(
        Taken(
            f"{in_words(amount, known[pk][1])} {known[pk][0]}",
            f"{in_words(amount * pieces, known[pk][1])} {known[pk][0]}",
        )
        for pk, amount in step.takes
        if pk in known
    )
