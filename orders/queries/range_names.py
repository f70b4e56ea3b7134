"""The range as order files and forms need it."""

from __future__ import annotations

from orders.arithmetic.reading.names import RangeNames
from production.queries.offered import ArticleOffered, articles_offered


def range_names(offered: list[ArticleOffered] | None = None) -> RangeNames:
    """Names of what can be ordered. Two queries, none if what is offered is given."""
    offered = articles_offered() if offered is None else offered
    return RangeNames(
        articles={article.id: article.name for article in offered},
        colours={colour.id: colour.name for article in offered for colour in article.colours},
        made_in={article.id: frozenset(colour.id for colour in article.colours) for article in offered},
    )
