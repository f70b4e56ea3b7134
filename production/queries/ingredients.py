"""What articles are made of: compounds, colours and routes, and which of them a new studio still lacks."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Count, Q

from inventory.queries.holdings import held_by_material
from inventory.queries.materials import any_material
from production.models import Article, Colour, ColourPigment, Compound, Mix, Mould, Route, StepKind
from production.queries.plan_steps import steps_of_routes
from production.queries.progress import newest_plan
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
            for one in Colour.objects.select_related("tint_of").order_by("name")
        ),
        routes=tuple((one, steps[one.pk]) for one in routes),
        step_kinds=tuple(StepKind.objects.order_by("name")),
        retired=tuple(Article.objects.filter(retired_on__isnull=False).order_by("name")),
    )


@dataclass(frozen=True)
class Beginning:
    """How far a new studio has come, in the order in which to go on.

    `stocked` whether anything is in a tub; `mould_lacking` a mould that nothing can be cast in yet, and why.
    """

    materials: bool
    stocked: bool
    compounds: bool
    colours: bool
    moulds: bool
    mould_lacking: tuple[Mould, str] | None
    routes: bool
    articles: bool
    planned: bool


def beginning() -> Beginning | None:
    """What of all that a first mix needs is there; None once one was mixed. Eleven queries at most."""
    if Mix.objects.filter(undone_at__isnull=True).exists():
        return None
    moulds = list(
        Mould.objects.filter(retired_on__isnull=True).annotate(
            here=Count("copies", filter=Q(copies__retired_on__isnull=True, copies__lent_on__isnull=True))
        )
    )
    castable = [mould for mould in moulds if mould.volume_ul and mould.here]
    lacking = None
    if moulds and not castable:
        lacking = moulds[0], "has no copy yet" if not moulds[0].here else "was never measured"
    return Beginning(
        materials=any_material(),
        stocked=any(held_by_material().values()),
        compounds=Compound.objects.exists(),
        colours=Colour.objects.exists(),
        moulds=bool(castable),
        mould_lacking=lacking,
        routes=Route.objects.exists(),
        articles=Article.objects.filter(retired_on__isnull=True, parts__isnull=False).exists(),
        planned=bool(newest_plan()),
    )
