"""What articles are made of: compounds, colours and routes, and which of them a new studio still lacks."""

from __future__ import annotations

from dataclasses import dataclass

from inventory.queries.materials import any_material
from production.models import Article, Colour, ColourPigment, Compound, Mould, Route, StepKind
from production.queries.plan_steps import steps_of_routes
from production.queries.waiting import StepFacts


@dataclass(frozen=True)
class Ingredients:
    """What articles are made of and go through: compounds, colours with their pigments, routes.

    Each colour comes with a line for each compound, for 100 g of its powder: "quick compound: Red oxide 2 g,
    Black oxide 0.2 g". `retired` are the articles that are not made any more.
    """

    compounds: tuple[Compound, ...]
    colours: tuple[tuple[Colour, tuple[str, ...]], ...]
    routes: tuple[tuple[Route, tuple[StepFacts, ...]], ...]
    step_kinds: tuple[StepKind, ...]
    retired: tuple[Article, ...]


def ingredients() -> Ingredients:
    """Compounds, colours, routes and kinds of step. Seven queries."""
    pigments: dict[int, dict[str, list[str]]] = {}
    for row in ColourPigment.objects.select_related("pigment", "compound").order_by(
        "compound__name", "-load"
    ):
        by_compound = pigments.setdefault(row.colour_id, {})
        by_compound.setdefault(row.compound.name, []).append(f"{row.pigment.name} {row.load * 100:.3g} g")
    routes = list(Route.objects.order_by("name"))
    steps = steps_of_routes([one.pk for one in routes])
    return Ingredients(
        compounds=tuple(Compound.objects.select_related("powder").order_by("name")),
        colours=tuple(
            (one, tuple(f"{name}: {', '.join(of)}" for name, of in pigments.get(one.pk, {}).items()))
            for one in Colour.objects.order_by("name")
        ),
        routes=tuple((one, steps[one.pk]) for one in routes),
        step_kinds=tuple(StepKind.objects.order_by("name")),
        retired=tuple(Article.objects.filter(retired_on__isnull=False).order_by("name")),
    )


@dataclass(frozen=True)
class Beginning:
    """What an article needs before it can be added, in the order in which to enter it."""

    materials: bool
    compounds: bool
    colours: bool
    moulds: bool
    routes: bool


def beginning() -> Beginning:
    """Which of the things that an article needs are there. Five queries."""
    return Beginning(
        materials=any_material(),
        compounds=Compound.objects.exists(),
        colours=Colour.objects.exists(),
        moulds=Mould.objects.filter(retired_on__isnull=True).exists(),
        routes=Route.objects.exists(),
    )
