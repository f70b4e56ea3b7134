"""What a piece of an article should cost: today's prices, the route's hands, the mixes and losses of late."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from fractions import Fraction

from django.db.models import Avg, Count, F, Q, Sum

from inventory.queries.prices import MaterialPrice, material_prices
from production.arithmetic.costing import (
    CARRIED,
    NOTHING,
    CostLine,
    WholeLine,
    carried_by_good,
    hands_cost,
    mould_wear,
    together,
    whole_lines,
)
from production.arithmetic.pricing import margin_of, price_for_margin
from production.models import (
    Article,
    ArticlePart,
    Cast,
    ColourPigment,
    MouldCopy,
    Outcome,
    Piece,
    StepDone,
)
from production.queries.plan_range import CastingRange
from production.queries.plan_steps import steps_of_routes

SEEN_FOR = timedelta(days=365)
"""How far back mixes, boards and losses are looked at."""
MIX_HANDS, MOULD_HANDS, PACK_HANDS = "Weighing, mixing, cleaning up", "Filling and opening", "Packing"
MINUTES = "min"


@dataclass(frozen=True)
class Losses:
    """How the casts and pieces of an article came out in the past year; `parts` casts make a piece."""

    scrap_casts: int = 0
    failed: int = 0
    good: int = 0
    parts: int = 1


@dataclass(frozen=True)
class StandardCost:
    """What one piece in one colour should cost, in minor units; the lines add up to the total.

    `unknown` names what has no price and is therefore missing from it. `usual_mix_pieces` is the size of the
    mix that is reckoned with.
    """

    colour_id: int
    colour: str
    colour_hex: str
    lines: tuple[WholeLine, ...]
    unknown: tuple[str, ...]
    usual_mix_pieces: int

    @property
    def total_minor(self) -> int:
        """All lines together."""
        return sum(line.minor for line in self.lines)

    @property
    def hands_minutes(self) -> Fraction:
        """Minutes of hands."""
        return sum((line.amount for line in self.lines if line.unit == MINUTES), NOTHING)


@dataclass(frozen=True)
class PricedArticle:
    """An article's price against what it costs in its dearest colour, in minor units.

    `costs` by colour; `wanted_minor` the price that leaves the margin wanted, None where none is wanted.
    """

    article: Article
    costs: tuple[StandardCost, ...]
    losses: Losses

    @property
    def dearest(self) -> StandardCost | None:
        """The cost in the dearest colour, None where it cannot be made."""
        return max(self.costs, key=lambda cost: cost.total_minor, default=None)

    @property
    def cheapest(self) -> StandardCost | None:
        """The cost in the cheapest colour."""
        return min(self.costs, key=lambda cost: cost.total_minor, default=None)

    @property
    def unknown(self) -> tuple[str, ...]:
        """What has no price, in any colour."""
        return tuple(dict.fromkeys(name for cost in self.costs for name in cost.unknown))

    @property
    def margin(self) -> float | None:
        """The part of the price that is left, None without price or cost."""
        if self.article.price_minor is None or self.dearest is None:
            return None
        return margin_of(self.article.price_minor, self.dearest.total_minor)

    @property
    def left_minor(self) -> int | None:
        """What is left of the price."""
        if self.article.price_minor is None or self.dearest is None:
            return None
        return self.article.price_minor - self.dearest.total_minor

    @property
    def wanted_minor(self) -> int | None:
        """The price that leaves the margin wanted."""
        if self.article.margin_wanted is None or self.dearest is None:
            return None
        return price_for_margin(self.dearest.total_minor, self.article.margin_wanted)

    @property
    def is_short(self) -> bool:
        """Whether the price leaves less than is wanted."""
        wanted, price = self.wanted_minor, self.article.price_minor
        return wanted is not None and price is not None and price < wanted


class CostBook:
    """Everything that the cost of these articles is reckoned from, read in a fixed number of queries.

    Twelve queries beside those of `CastingRange`, whatever the number of articles.
    """

    def __init__(
        self, articles: Sequence[Article], casting: CastingRange, *, rate_minor: int, board_pieces: int
    ) -> None:
        """`articles` with their colours and packaging; `rate_minor` an hour of hands costs."""
        self.casting = casting
        self.rate_minor = rate_minor
        self.board_pieces = board_pieces
        ids = [article.pk for article in articles]
        since = casting.now - SEEN_FOR
        self.steps = steps_of_routes({article.route_id for article in articles})
        self.wear = _wear({part.mould_id for parts in casting.parts.values() for part in parts})
        self.usual_mix_mg = _usual_mix_mg(since)
        self.boards = _boards(ids, since)
        self.losses = _losses(ids, casting, since)
        self.pigment_ids = _pigment_ids(casting)
        self.prices = material_prices(self._material_ids(articles))

    def priced(self, article: Article) -> PricedArticle:
        """The article with what it should cost in each colour it can be made in. No query."""
        colours = [
            colour for colour in article.colours.all() if not self.casting.why_not(article.pk, colour.pk)
        ]
        costs = tuple(self._cost(article, colour.pk) for colour in colours)
        return PricedArticle(article, costs, self.losses[article.pk])

    def packing(self, article: Article) -> list[CostLine]:
        """What packing a piece takes."""
        lines = []
        if article.packaging_id and article.packaging_each:
            lines.append(self._material(article.packaging_id, Fraction(article.packaging_each)))
        if article.pack_minutes:
            lines.append(self._hands(PACK_HANDS, Fraction(article.pack_minutes)))
        return lines

    def _cost(self, article: Article, colour_id: int) -> StandardCost:
        parts = self.casting.parts[article.pk]
        cast_lines, pieces = self._casting_lines(parts, colour_id)
        step_lines = self._step_lines(article, pieces)
        losses = self.losses[article.pk]
        cast_minor = sum((line.exact_minor for line in cast_lines), NOTHING)
        carried = carried_by_good(
            cast_minor,
            cast_minor + sum((line.exact_minor for line in step_lines), NOTHING),
            scrap_casts=Fraction(losses.scrap_casts, losses.parts),
            failed=losses.failed,
            good=losses.good,
        )
        lines = [*cast_lines, *step_lines, *self.packing(article)]
        if carried:
            lines.append(CostLine(CARRIED, carried))
        lines = together(lines)
        colour = self.casting.colours[colour_id]
        used = {line.name for line in lines}
        unknown = [price.name for price in self.prices.values() if price.name in used and not price.is_known]
        unknown += [f"the mould {part.mould}" for part in parts if not self.wear.get(part.mould_id)]
        return StandardCost(colour_id, colour.name, colour.hex, whole_lines(lines), tuple(unknown), pieces)

    def _casting_lines(self, parts: Sequence[ArticlePart], colour_id: int) -> tuple[list[CostLine], int]:
        """Powder, pigment, hands and wear until a piece is out of its moulds; how many a usual mix makes."""
        lines: list[CostLine] = []
        pieces = []
        for part in parts:
            compound = part.compound
            slurry = self.casting.slurry(part.compound_id, [part.own_colour_id or colour_id])
            cast_g = (part.mould.volume_ul or 0) / 1000 * slurry.slurry_g_per_ml
            filled_g = cast_g / (1 + compound.overfill)
            mix_g = self._usual_mix_g(part, filled_g, slurry.residue_g)
            share = _exact(filled_g / mix_g)
            powder_mg = (
                (_exact(cast_g) + _exact(slurry.residue_g) * share) * _exact(slurry.powder_share) * 1000
            )
            lines.append(self._material(compound.powder_id, powder_mg))
            for pigment_id, load in self.pigment_ids.get(
                (part.compound_id, part.own_colour_id or colour_id), ()
            ):
                lines.append(self._material(pigment_id, powder_mg * _exact(load)))
            mixing = compound.weigh_and_mix_minutes + compound.clean_up_minutes
            lines.append(self._hands(MIX_HANDS, mixing * share))
            lines.append(
                self._hands(MOULD_HANDS, Fraction(part.mould.fill_minutes + part.mould.open_minutes))
            )
            lines.append(CostLine(wear_name(part.mould.name), self.wear.get(part.mould_id, NOTHING)))
            pieces.append(max(1, int(mix_g // filled_g)) if filled_g else 1)
        return [line for line in together(lines) if line.exact_minor or line.unit], min(pieces, default=1)

    def _usual_mix_g(self, part: ArticlePart, filled_g: float, residue_g: float) -> float:
        """What the casts of a usual mix weigh; before the first mix, as many as moulds and jug take."""
        seen = self.usual_mix_mg.get(part.compound_id)
        if seen:
            return max(filled_g, seen / 1000)
        copies = max(1, len(self.casting.copies_that_count(part.mould_id)))
        room_g = part.compound.jug_most_mg / 1000 - residue_g
        return max(filled_g, filled_g * min(copies, int(room_g // filled_g))) if filled_g else 1.0

    def _step_lines(self, article: Article, usual_pieces: int) -> list[CostLine]:
        lines = []
        for step in self.steps[article.route_id]:
            on_board = self.boards.get(article.pk) or min(usual_pieces, self.board_pieces)
            minutes = step.minutes_each + Fraction(step.minutes_per_board) / _exact(on_board)
            lines += [self._material(pk, Fraction(amount)) for pk, amount in step.takes]
            if minutes:
                lines.append(self._hands(step_hands(step.name), minutes))
        return lines

    def _material(self, material_id: int, amount: Fraction) -> CostLine:
        price: MaterialPrice = self.prices[material_id]
        return CostLine(price.name, price.cost_of(amount), amount, price.unit)

    def _hands(self, name: str, minutes: Fraction) -> CostLine:
        return CostLine(name, hands_cost(minutes, self.rate_minor), minutes, MINUTES)

    def _material_ids(self, articles: Sequence[Article]) -> set[int]:
        ids = {part.compound.powder_id for parts in self.casting.parts.values() for part in parts}
        ids |= {pigment_id for loads in self.pigment_ids.values() for pigment_id, _ in loads}
        ids |= {pk for steps in self.steps.values() for step in steps for pk, _ in step.takes}
        return ids | {article.packaging_id for article in articles if article.packaging_id}


def wear_name(mould: str) -> str:
    """What the wear of a mould is called."""
    return f"Wear of the mould {mould}"


def step_hands(step: str) -> str:
    """What the hands of a step are called, so that they are not mixed up with its material."""
    return f"{step[:1].upper()}{step[1:]}, hands"


def _exact(number: float) -> Fraction:
    """A measured figure as a fraction, to the millionth."""
    return Fraction(round(number * 1_000_000), 1_000_000)


def _wear(mould_ids: Iterable[int]) -> dict[int, Fraction]:
    """What one cast wears off, on the average of the copies in use. One query."""
    found: dict[int, list[Fraction]] = defaultdict(list)
    copies = MouldCopy.objects.filter(mould__in=list(mould_ids), retired_on__isnull=True)
    for mould_id, price_minor, casts in copies.values_list("mould", "price_minor", "casts_expected"):
        found[mould_id].append(mould_wear(price_minor, casts))
    return {mould_id: sum(wears, NOTHING) / len(wears) for mould_id, wears in found.items()}


def _usual_mix_mg(since: datetime) -> dict[int, float]:
    """What the casts of a mix weighed on the average, by compound. One query."""
    casts = Cast.objects.filter(
        mix__started_at__gte=since, mix__undone_at__isnull=True, mix__poured_at__isnull=False
    )
    rows = casts.filter(poured_at__isnull=False).values_list("mix__compound").order_by()
    sums = rows.annotate(filled=Sum("fill_mg"), mixes=Count("mix", distinct=True))
    return {compound: filled / mixes for compound, filled, mixes in sums}


def _boards(article_ids: Sequence[int], since: datetime) -> dict[int, float]:
    """How many pieces of each article had a step in one go, on the average. One query."""
    rows = StepDone.objects.filter(
        piece__article__in=article_ids, done_at__gte=since, undone_at__isnull=True
    ).values_list("piece__article")
    return dict(rows.annotate(on_board=Avg("pieces")).order_by())


def _losses(article_ids: Sequence[int], casting: CastingRange, since: datetime) -> dict[int, Losses]:
    """How casts and pieces came out. Two queries."""
    scrap = dict(
        Cast.objects.filter(
            part__article__in=article_ids, outcome=Outcome.SCRAP, piece__isnull=True, out_at__gte=since
        )
        .values_list("part__article")
        .annotate(count=Count("id"))
        .order_by()
    )
    pieces = Piece.objects.filter(article__in=article_ids, undone_at__isnull=True, out_at__gte=since)
    good = Count("id", filter=Q(outcome=Outcome.GOOD))
    rows = pieces.values("article").annotate(good=good, made=Count("id")).order_by()
    came_out = {row["article"]: (row["good"], row["made"] - row["good"]) for row in rows}
    return {
        pk: Losses(
            scrap_casts=scrap.get(pk, 0),
            failed=came_out.get(pk, (0, 0))[1],
            good=came_out.get(pk, (0, 0))[0],
            parts=max(1, len(casting.parts[pk])),
        )
        for pk in article_ids
    }


def _pigment_ids(casting: CastingRange) -> dict[tuple[int, int], list[tuple[int, float]]]:
    """Pigments and their loads by compound and colour. One query."""
    found: dict[tuple[int, int], list[tuple[int, float]]] = defaultdict(list)
    rows = ColourPigment.objects.filter(
        compound__in=list(casting.compounds), colour__in=list(casting.colours)
    )
    for row in rows.order_by(F("load").desc()):
        found[row.compound_id, row.colour_id].append((row.pigment_id, row.load))
    return found
