"""The least a test of the bench needs: every function makes one thing, or does one act on it."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from datetime import date, datetime, timedelta
from typing import Any

from inventory.operations.acts import Done
from production.models import (
    Article,
    ArticlePart,
    Cast,
    Colour,
    ColourPigment,
    Compound,
    Mix,
    Mould,
    MouldCopy,
    Piece,
    Plan,
    PlannedCast,
    PlannedLine,
    PlannedMix,
    Route,
    RouteStep,
)
from production.operations.judging import judge_cast
from production.operations.opening import open_moulds
from production.operations.pouring import pour_cast, start_mix
from tests.factories.inventory import KG, MONDAY, a_filled_tub, a_material, a_tap

_numbers = itertools.count(1)


def minutes(count: float) -> timedelta:
    """So many minutes."""
    return timedelta(minutes=count)


def a_compound(*, powder_held: int = 15 * KG, **fields: Any) -> Compound:
    """A quick compound whose powder stands in one working tub; 0.30 water, 15 min working time, 60 min in."""
    powder = fields.pop("powder", None)
    if powder is None:
        powder = a_material(name=f"Quick powder {next(_numbers)}")
        if powder_held:
            a_filled_tub(powder_held, powder, role="working")
    given = {
        "name": f"quick compound {next(_numbers)}",
        "powder": powder,
        "water_ratio": 0.30,
        "working_time_minutes": 15,
        "open_after_minutes": 60,
        "dry_hours": 24,
        **fields,
    }
    return Compound.objects.create(**given)


def a_colour(
    *compounds: Compound, name: str = "", load: float = 0.02, held: int = KG, **fields: Any
) -> Colour:
    """A colour with one pigment, worked out in the compounds given; its pigment stands in one bottle."""
    colour = Colour.objects.create(name=name or f"Brick {next(_numbers)}", hex="#94473A", **fields)
    if compounds:
        pigment = a_material(name=f"Red oxide {next(_numbers)}", kind="pigment")
        if held:
            a_filled_tub(held, pigment, role="working")
        for compound in compounds:
            ColourPigment.objects.create(colour=colour, compound=compound, pigment=pigment, load=load)
    return colour


def a_mould(*, copies: int = 2, **fields: Any) -> Mould:
    """A measured mould with so many copies: 300 mL, one minute to fill, two hours to clean and dry."""
    given = {
        "name": f"Saltings pot {next(_numbers)}",
        "silhouette": "pot",
        "volume_ul": 300_000,
        "fill_minutes": 1,
        "clean_and_dry_minutes": 120,
        **fields,
    }
    mould = Mould.objects.create(**given)
    for number in range(1, copies + 1):
        MouldCopy.objects.create(mould=mould, number=number)
    return mould


def a_route(*steps: dict[str, Any]) -> Route:
    """A route of these steps; each is a coat of two minutes a piece unless it says otherwise."""
    route = Route.objects.create(name=f"route {next(_numbers)}")
    for position, step in enumerate(steps, start=1):
        given = {"kind": "coat", "name": f"coat {position}", "minutes_each": 2, **step}
        RouteStep.objects.create(route=route, position=position, **given)
    return route


def an_article(
    compound: Compound,
    colour: Colour,
    *moulds: Mould,
    part_names: Sequence[str] = ("pot", "saucer", "lid"),
    **fields: Any,
) -> Article:
    """An article with one part for each mould, which only dries unless a route is given."""
    route = fields.pop("route", None) or a_route()
    given = {"name": f"Saltings pot {next(_numbers)}", "silhouette": "pot", "route": route, **fields}
    article = Article.objects.create(**given)
    article.colours.add(colour)
    for name, mould in zip(part_names, moulds, strict=False):
        ArticlePart.objects.create(article=article, name=name, mould=mould, compound=compound)
    return article


def a_plan(at: datetime = MONDAY) -> Plan:
    """An empty plan."""
    return Plan.objects.create(
        adopted_at=at,
        starts_on=at.date(),
        planned_from=at,
        points=0,
        mixes_count=1,
        early_piece_days=0,
    )


def a_planned_mix(
    article: Article,
    colour: Colour,
    *,
    pieces: int = 1,
    plan: Plan | None = None,
    starts_at: datetime = MONDAY,
    wanted_by: str = "line:12",
    label: str = "1045",
) -> PlannedMix:
    """A planned mix with the parts of so many pieces, for one order line."""
    plan = plan or Plan.objects.order_by("-id").first() or a_plan()
    line, _ = PlannedLine.objects.get_or_create(
        plan=plan,
        wanted_by=wanted_by,
        defaults={
            "label": label,
            "article": article,
            "colour": colour,
            "quantity": pieces,
            "ship_by": date(2026, 10, 16),
        },
    )
    parts = list(article.parts.order_by("id"))
    planned = PlannedMix.objects.create(
        plan=plan,
        position=plan.mixes.count() + 1,
        starts_at=starts_at,
        poured_by=starts_at + minutes(15),
        opens_at=starts_at + minutes(75),
        compound=parts[0].compound,
        colour=colour,
    )
    for position, part in enumerate(parts, start=1):
        PlannedCast.objects.create(
            planned_mix=planned, line=line, part=part, mould=part.mould, position=position, quantity=pieces
        )
    return planned


def pots(
    *, pieces: int = 2, copies: int = 2, is_matched: bool = False, route: Route | None = None
) -> PlannedMix:
    """A planned mix of pots and saucers in Brick for order 1045, with powder, pigment and moulds at hand."""
    compound = a_compound()
    colour = a_colour(compound)
    pot = a_mould(copies=copies)
    saucer = a_mould(copies=copies, name=f"Saltings saucer {next(_numbers)}", volume_ul=100_000)
    article = an_article(compound, colour, pot, saucer, is_matched=is_matched, route=route)
    return a_planned_mix(article, colour, pieces=pieces)


def started(planned: PlannedMix, at: datetime = MONDAY, **content: Any) -> Mix:
    """The mix of a planned mix, powder in."""
    done = start_mix(**a_tap(now=at), planned_mix_id=planned.pk, **content)
    return Mix.objects.get(pk=done.facts["mix_id"])


def poured(planned: PlannedMix, at: datetime = MONDAY, **content: Any) -> Mix:
    """The same with every mould filled, five minutes after the powder."""
    mix = started(planned, at, **content)
    for cast in mix.casts.order_by("position"):
        pour_cast(**a_tap(now=at + minutes(5)), cast_id=cast.pk)
    return Mix.objects.get(pk=mix.pk)


def out_of_mould(planned: PlannedMix, at: datetime = MONDAY, **content: Any) -> Mix:
    """The same with the moulds opened, 70 minutes after the powder."""
    mix = poured(planned, at, **content)
    open_moulds(**a_tap(now=at + minutes(70)), mix_id=mix.pk)
    return mix


def judged(cast: Cast, outcome: str = "good", at: datetime | None = None, **content: Any) -> Done:
    """How one cast came out, 75 minutes after the powder, with nobody to keep the pieces."""
    at = at or MONDAY + minutes(75)
    return judge_cast(**a_tap(now=at), cast_id=cast.pk, outcome=outcome, offer_pieces=no_offer, **content)


def pieces_of(planned: PlannedMix, at: datetime = MONDAY) -> list[Piece]:
    """The pieces of a planned mix, all good, 75 minutes after the powder."""
    mix = out_of_mould(planned, at)
    for cast in mix.casts.order_by("position"):
        judged(cast, at=at + minutes(75))
    return list(Piece.objects.filter(casts__mix=mix).distinct().order_by("pk"))


def no_offer(*, now: datetime, sorts: object = None) -> None:
    """Nobody waits for pieces."""
