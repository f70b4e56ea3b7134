"""The cost pages: an article's cost and price, and a piece beside what it should have cost. For the owner."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from production.arithmetic.costing import WholeLine, whole_lines
from production.arithmetic.pricing import Difference, differences
from production.errors import NotThere
from production.models import Article, Piece
from production.queries.actual_cost import ActualCost, actual_costs, latest_pieces, piece_of_mark
from production.queries.plan_range import CastingRange
from production.queries.standard_cost import CostBook, PricedArticle, StandardCost


@dataclass(frozen=True)
class CostOfPiece:
    """What one piece cost with its packing, beside what one in its colour should cost today.

    `standard` None where the article cannot be made in the colour any more. `because` largest first; they add
    up to the difference.
    """

    actual: ActualCost
    packing: tuple[WholeLine, ...]
    standard: StandardCost | None
    because: tuple[Difference, ...]

    @property
    def lines(self) -> tuple[WholeLine, ...]:
        """All it cost, packing last."""
        return (*self.actual.lines, *self.packing)

    @property
    def total_minor(self) -> int:
        """All it cost."""
        return sum(line.minor for line in self.lines)

    @property
    def difference_minor(self) -> int:
        """What it cost more than it should, below zero for less."""
        return self.total_minor - self.standard.total_minor if self.standard else 0


@dataclass(frozen=True)
class ArticleCostPage:
    """An article's cost in every colour, and what the pieces made last really cost."""

    priced: PricedArticle
    made: tuple[CostOfPiece, ...]

    def in_colour(self, colour_id: int | None) -> StandardCost | None:
        """The cost in one colour, in the dearest where it is not among them."""
        found = [cost for cost in self.priced.costs if cost.colour_id == colour_id]
        return found[0] if found else self.priced.dearest


@dataclass(frozen=True)
class PieceCostPage:
    """One piece and its cost."""

    piece: Piece
    cost: CostOfPiece
    priced: PricedArticle


def article_cost(article_id: int, *, now: datetime, rate_minor: int, board_pieces: int) -> ArticleCostPage:
    """An article's cost. About forty queries, whatever the history.

    Raises: NotThere.
    """
    articles = Article.objects.filter(pk=article_id).select_related("packaging", "route")
    article = articles.prefetch_related("colours").first()
    if article is None:
        raise NotThere("There is no such article. Open the Range again.", article_id=article_id)
    book = _book(article, now, rate_minor, board_pieces)
    priced = book.priced(article)
    actual = actual_costs(latest := latest_pieces(article_id), rate_minor=rate_minor)
    return ArticleCostPage(priced, tuple(_beside(actual[pk], priced, book) for pk in latest))


def piece_cost(mark: str, *, now: datetime, rate_minor: int, board_pieces: int) -> PieceCostPage:
    """What one piece cost, shipped or not. About forty queries.

    Raises: NotThere.
    """
    piece = piece_of_mark(mark)
    if piece is None:
        raise NotThere(f"There is no piece {mark[:12]}. Look at the mark again.", mark=mark)
    book = _book(piece.article, now, rate_minor, board_pieces)
    priced = book.priced(piece.article)
    actual = actual_costs([piece.pk], rate_minor=rate_minor)[piece.pk]
    return PieceCostPage(piece, _beside(actual, priced, book), priced)


def range_costs(*, now: datetime, rate_minor: int, board_pieces: int) -> tuple[PricedArticle, ...]:
    """Every article that is made, with its cost in each colour, by name. About thirty queries."""
    rows = Article.objects.filter(retired_on__isnull=True).select_related("packaging", "route")
    articles = list(rows.prefetch_related("colours").order_by("name"))
    colours = {colour.pk for article in articles for colour in article.colours.all()}
    casting = CastingRange([article.pk for article in articles], colours, now=now)
    book = CostBook(articles, casting, rate_minor=rate_minor, board_pieces=board_pieces)
    return tuple(book.priced(article) for article in articles)


def _book(article: Article, now: datetime, rate_minor: int, board_pieces: int) -> CostBook:
    colours = [colour.pk for colour in article.colours.all()]
    casting = CastingRange([article.pk], colours, now=now)
    return CostBook([article], casting, rate_minor=rate_minor, board_pieces=board_pieces)


def _beside(actual: ActualCost, priced: PricedArticle, book: CostBook) -> CostOfPiece:
    standard = next((cost for cost in priced.costs if cost.colour_id == actual.colour_id), None)
    packing = whole_lines(book.packing(priced.article))
    because = differences(standard.lines, (*actual.lines, *packing)) if standard else []
    return CostOfPiece(actual, packing, standard, tuple(because))
