"""The range: articles with their parts, colours, route, time to ready, and what cannot be made."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TypeVar

from django.db.models import Count, Model, QuerySet

from production.errors import NotThere
from production.models import (
    Article,
    ArticlePart,
    Cast,
    Colour,
    Compound,
    Outcome,
    Piece,
    PlannedCast,
    Route,
    RouteStep,
    StepKind,
)
from production.queries.copies import CopyNow
from production.queries.plan_range import CastingRange
from production.queries.plan_steps import steps_of_routes
from production.queries.standard_cost import CostBook, PricedArticle
from production.queries.takes import Takes, takes_of
from production.queries.waiting import DRY, StepFacts
from production.queries.wording import span_words

Row = TypeVar("Row", bound=Model)


@dataclass(frozen=True)
class StripStepTime:
    """One step of a route, in minutes from the jug, with nobody waited for."""

    kind: str
    name: str
    start: int
    end: int


@dataclass(frozen=True)
class RouteTimes:
    """A route from the jug to ready, in minutes, as it would go if hands were always there."""

    poured: int
    out: int
    dry: int
    ready: int
    steps: tuple[StripStepTime, ...]


@dataclass(frozen=True)
class ArticleRow:
    """One article of the list. `ready` pieces on the shelf, good ones."""

    article: Article
    parts: tuple[ArticlePart, ...]
    colours: tuple[Colour, ...]
    times: RouteTimes | None
    ready: int
    cannot: tuple[str, ...]

    @property
    def ready_words(self) -> str:
        """From the jug to ready: "3 d 4 h"."""
        return span_words(self.times.ready) if self.times else ""


@dataclass(frozen=True)
class PartRow:
    """One part with the copies of its mould that are here."""

    part: ArticlePart
    copies: tuple[CopyNow, ...]


@dataclass(frozen=True)
class StepRow:
    """One step with its wait in words, and the material it takes (`unit` its base unit)."""

    step: StepFacts
    wait_words: str
    material: str
    unit: str


@dataclass(frozen=True)
class ArticlePage:
    """Everything on the page of one article. Minutes of hands for one piece, on a board of its own."""

    row: ArticleRow
    parts: tuple[PartRow, ...]
    steps: tuple[StepRow, ...]
    hands_minutes: int
    takes: tuple[Takes, ...]


def range_list(*, now: datetime) -> tuple[ArticleRow, ...]:
    """Every article in use, by name. 12 queries and two for each powder."""
    rows, _, _ = _rows(_in_use(), now)
    return rows


def priced_range(
    *, now: datetime, rate_minor: int, board_pieces: int
) -> tuple[tuple[ArticleRow, ...], dict[int, PricedArticle]]:
    """Every article in use with what it should cost, by article id. 24 queries and two for each powder."""
    articles = _in_use()
    rows, casting, _ = _rows(articles, now)
    book = CostBook(articles, casting, rate_minor=rate_minor, board_pieces=board_pieces)
    return rows, {article.pk: book.priced(article) for article in articles}


def article_page(article_id: int, *, now: datetime) -> ArticlePage:
    """One article. 13 queries and two for each powder.

    Raises: NotThere.
    """
    articles = list(
        Article.objects.filter(pk=article_id)
        .select_related("packaging", "route", "photo")
        .prefetch_related("colours")
    )
    if not articles:
        raise NotThere("There is no such article. Open the Range again.", article_id=article_id)
    (row,), casting, routes = _rows(articles, now)
    steps = routes[articles[0].route_id]
    rows = list(
        RouteStep.objects.filter(route=articles[0].route_id).select_related("material", "fragrance", "wick")
    )
    material = {row.pk: (row.material.name, row.material.unit) if row.material else ("", "g") for row in rows}
    hands = sum(part.mould.fill_minutes + part.mould.open_minutes for part in row.parts)
    hands += sum(
        part.compound.weigh_and_mix_minutes + part.compound.clean_up_minutes for part in row.parts[:1]
    )
    hands += sum(step.minutes_for(1) for step in steps) + articles[0].pack_minutes
    return ArticlePage(
        row=row,
        parts=tuple(PartRow(part, tuple(casting.copies_that_count(part.mould_id))) for part in row.parts),
        steps=tuple(
            StepRow(
                step,
                "until dry" if step.wait_minutes is None else span_words(step.wait_minutes),
                material[step.step_id][0],
                material[step.step_id][1],
            )
            for step in steps
        ),
        hands_minutes=hands,
        takes=takes_of(row.article, row.parts, row.colours, casting, rows),
    )


def casts_in_moulds(part: ArticlePart) -> int:
    """How many casts of a part are in moulds now: its mould and compound stay while they are. One query."""
    return Cast.objects.filter(part=part, out_at__isnull=True, left_out_at__isnull=True).count()


def has_history(part: ArticlePart) -> bool:
    """Whether a part was ever cast or planned: then it stays. Two queries."""
    return Cast.objects.filter(part=part).exists() or PlannedCast.objects.filter(part=part).exists()


def article(article_id: int) -> Article:
    """One article. One query. Raises: NotThere."""
    return _one(Article.objects.filter(pk=article_id), "article")


def colour(colour_id: int) -> Colour:
    """One colour. One query. Raises: NotThere."""
    return _one(Colour.objects.filter(pk=colour_id), "colour")


def compound(compound_id: int) -> Compound:
    """One compound. One query. Raises: NotThere."""
    return _one(Compound.objects.filter(pk=compound_id), "compound")


def route(route_id: int) -> Route:
    """One route. One query. Raises: NotThere."""
    return _one(Route.objects.filter(pk=route_id), "route")


def step_kind(kind_id: int) -> StepKind:
    """One kind of step of the studio's own. One query. Raises: NotThere."""
    return _one(StepKind.objects.filter(pk=kind_id), "kind of step")


def route_times(parts: Sequence[ArticlePart], steps: Sequence[StepFacts]) -> RouteTimes | None:
    """How long a piece takes from the jug to ready if nothing waits for hands; None without parts."""
    if not parts:
        return None
    poured = max(part.compound.weigh_and_mix_minutes for part in parts)
    out = max(
        poured
        + part.mould.fill_minutes
        + (part.mould.in_mould_minutes or part.compound.open_after_minutes)
        + part.mould.open_minutes
        for part in parts
    )
    dry = out + max(part.compound.dry_hours * 60 for part in parts)
    at, found = out, []
    for step in steps:
        due = max(at, dry) if step.wait_minutes is None else at + step.wait_minutes
        if step.wants_hands:
            found.append(StripStepTime(step.kind, step.name, due, due + step.minutes_for(1)))
            at = due + step.minutes_for(1)
        else:
            found.append(StripStepTime(DRY if step.kind == DRY else "cure", step.name, at, due))
            at = due
    return RouteTimes(poured, out, dry, at if steps else max(at, dry), tuple(found))


def _in_use() -> list[Article]:
    rows = Article.objects.filter(retired_on__isnull=True).select_related("route", "packaging")
    return list(rows.prefetch_related("colours").order_by("name"))


def _rows(
    articles: Sequence[Article], now: datetime
) -> tuple[tuple[ArticleRow, ...], CastingRange, dict[int, tuple[StepFacts, ...]]]:
    colours = {one.pk for found in articles for one in found.colours.all()}
    casting = CastingRange([found.pk for found in articles], colours, now=now)
    routes = steps_of_routes({found.route_id for found in articles})
    ready = dict(
        Piece.objects.filter(
            ready_at__lte=now, shipped_at__isnull=True, undone_at__isnull=True, outcome=Outcome.GOOD
        )
        .values_list("article")
        .annotate(count=Count("id"))
        .order_by("article")
    )
    rows = []
    for found in articles:
        parts = tuple(casting.parts[found.pk])
        whys = [casting.why_not(found.pk, one.pk) for one in found.colours.all()]
        rows.append(
            ArticleRow(
                article=found,
                parts=parts,
                colours=tuple(found.colours.all()),
                times=route_times(parts, routes[found.route_id]),
                ready=ready.get(found.pk, 0),
                cannot=tuple(dict.fromkeys(why for why in whys if why)),
            )
        )
    return tuple(rows), casting, routes


def _one(rows: QuerySet[Row], what: str) -> Row:
    found = rows.first()
    if found is None:
        raise NotThere(f"There is no such {what}. Open the Range again.")
    return found
