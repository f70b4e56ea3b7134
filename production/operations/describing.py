"""Keeping what describes the range: an article with its parts, a colour with its pigments, a route."""

from __future__ import annotations

from collections.abc import Iterable

from django.db import models, transaction

from production.models import Article, Colour, Route, RouteStep

# Far above any position in use, so that steps can change places without meeting.
OUT_OF_THE_WAY = 10_000


def keep_with_rows(whole: models.Model, rows: Iterable[models.Model], gone: Iterable[models.Model]) -> None:
    """Save a descriptive record together with its rows, or nothing of it.

    For records without history: no act, no request key; saving twice changes nothing more.
    Changes: the record, `rows`; removes `gone`.
    """
    with transaction.atomic():
        whole.save()
        for row in gone:
            row.delete()
        for row in rows:
            row.save()


def keep_route(route: Route, steps: Iterable[RouteStep], gone: Iterable[RouteStep]) -> None:
    """Save a route with its steps in the order given; they are numbered from 1.

    Changes: production_route, production_routestep.
    """
    in_order = list(steps)
    with transaction.atomic():
        route.save()
        for step in gone:
            step.delete()
        route.steps.update(position=models.F("position") + OUT_OF_THE_WAY)
        for position, step in enumerate(in_order, start=1):
            step.route = route
            step.position = position
            step.save()


def keep_colours(article: Article, colours: Iterable[Colour]) -> None:
    """Set the colours an article is made in. Changes: production_article_colours."""
    article.colours.set(list(colours))
