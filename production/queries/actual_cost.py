"""What pieces really cost: the lots their mixes drew, the copies they wore, what their steps took."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from django.db.models import Prefetch

from inventory.queries.prices import lot_prices
from production.arithmetic.costing import (
    CostLine,
    MixCost,
    PieceCost,
    PieceFacts,
    WholeLine,
    cost_of_mix,
    hands_cost,
    lines_by_name,
    mould_wear,
    together,
)
from production.models import Cast, Mix, MixDraw, Outcome, Piece, StepDone, StepDraw
from production.queries.standard_cost import MINUTES, MIX_HANDS, MOULD_HANDS, step_hands, wear_name


@dataclass(frozen=True)
class ActualCost:
    """What one piece cost until now, in minor units, without packing.

    `carried_by` how many good pieces of its mixes carry it, where it is a second or scrap itself; `is_open`
    while casts of its mixes are not judged yet and may still fail. `mixes` their numbers.
    """

    piece_id: int
    mark: str
    colour_id: int
    outcome: str
    mixes: tuple[int, ...]
    lines: tuple[WholeLine, ...]
    carried_by: int
    is_open: bool

    @property
    def total_minor(self) -> int:
        """All lines together."""
        return sum(line.minor for line in self.lines)


def mix_costs(mixes: Sequence[Mix], *, rate_minor: int) -> dict[int, MixCost]:
    """The cost of each mix shared among its pieces, by mix id; casts that are no piece yet stand alone.

    The pieces of a mix cost what the mix drew, wore and took of hands, to the last minor unit. Mixes of which
    nothing was poured are left out. Seven queries, however many.
    """
    casts = _casts_of(mixes)
    draws = _draws_of(mixes)
    pieces = {cast.piece.pk for of_mix in casts.values() for cast in of_mix if cast.piece}
    done = _steps_of(pieces)
    prices = lot_prices(
        {draw.lot_id for of_mix in draws.values() for draw in of_mix}
        | {draw.lot_id for steps in done.values() for step in steps for draw in step.draws.all()}
    )
    own = {pk: _step_lines(done[pk], prices, rate_minor) for pk in pieces}
    whole_mg = _filled_mg(pieces)
    found = {}
    for mix in mixes:
        if casts[mix.pk]:
            facts = _piece_facts(casts[mix.pk], own, whole_mg, rate_minor)
            found[mix.pk] = cost_of_mix(_mix_lines(mix, draws[mix.pk], prices, rate_minor), facts)
    return found


def actual_costs(piece_ids: Iterable[int], *, rate_minor: int) -> dict[int, ActualCost]:
    """What these pieces cost, by piece id. Ten queries, however many."""
    pieces = Piece.objects.filter(pk__in=set(piece_ids), undone_at__isnull=True).prefetch_related(
        Prefetch("casts", Cast.objects.select_related("mix__compound"))
    )
    mixes = {cast.mix_id: cast.mix for piece in pieces for cast in piece.casts.all()}
    costs = mix_costs(list(mixes.values()), rate_minor=rate_minor)
    not_judged = set(
        Cast.objects.filter(mix__in=list(mixes), poured_at__isnull=False, outcome="").values_list(
            "mix", flat=True
        )
    )
    found = {}
    for piece in pieces:
        in_mixes = {cast.mix_id: cast.mix.number for cast in piece.casts.all() if cast.mix_id in costs}
        sides = [_of_piece(costs[mix_id], f"piece {piece.pk}") for mix_id in in_mixes]
        found[piece.pk] = ActualCost(
            piece_id=piece.pk,
            mark=piece.mark,
            colour_id=piece.colour_id,
            outcome=piece.outcome,
            mixes=tuple(sorted(in_mixes.values())),
            lines=tuple(lines_by_name(line for side in sides for line in side.lines).values()),
            carried_by=sum(len(costs[mix_id].pieces) for mix_id in in_mixes),
            is_open=bool(not_judged & set(in_mixes)),
        )
    return found


def latest_pieces(article_id: int, most: int = 5) -> list[int]:
    """The pieces of an article made last, newest first. One query."""
    rows = Piece.objects.filter(article=article_id, undone_at__isnull=True, outcome=Outcome.GOOD)
    return list(rows.order_by("-out_at", "-pk").values_list("pk", flat=True)[:most])


def piece_of_mark(mark: str) -> Piece | None:
    """The piece with this mark, shipped or not, with its article and colour. One query."""
    rows = Piece.objects.filter(mark__iexact=mark, undone_at__isnull=True)
    return rows.select_related("article__packaging", "article__route", "colour").first()


def _of_piece(cost: MixCost, key: str) -> PieceCost:
    return next(one for one in (*cost.pieces, *cost.failed) if one.key == key)


def _mix_lines(
    mix: Mix, draws: Sequence[MixDraw], prices: Mapping[int, Fraction], rate_minor: int
) -> list[CostLine]:
    minutes = Fraction(mix.compound.weigh_and_mix_minutes + mix.compound.clean_up_minutes)
    hands = CostLine(MIX_HANDS, hands_cost(minutes, rate_minor), minutes, MINUTES)
    return together([*(_drawn(draw, prices) for draw in draws), hands])


def _drawn(draw: MixDraw | StepDraw, prices: Mapping[int, Fraction]) -> CostLine:
    cost = prices[draw.lot_id] * draw.amount
    return CostLine(draw.material.name, cost, Fraction(draw.amount), draw.material.unit)


def _piece_facts(
    casts: Sequence[Cast],
    own: Mapping[int, Sequence[CostLine]],
    whole_mg: Mapping[int, int],
    rate_minor: int,
) -> list[PieceFacts]:
    """One entry for the casts of a piece from this mix, and one for each cast that is no piece."""
    by_key: dict[str, list[Cast]] = defaultdict(list)
    for cast in casts:
        by_key[f"piece {cast.piece_id}" if cast.piece_id else f"cast {cast.pk}"].append(cast)
    found = []
    for key, together_cast in by_key.items():
        filled_mg = sum(cast.fill_mg for cast in together_cast)
        lines = [line for cast in together_cast for line in _cast_lines(cast, rate_minor)]
        piece = together_cast[0].piece
        if piece:
            # A piece whose parts come from two mixes shares its coats between them by volume.
            share = Fraction(filled_mg, whole_mg[piece.pk])
            lines += [line.part(share) for line in own[piece.pk]]
        outcome = piece.outcome if piece else together_cast[0].outcome or Outcome.GOOD
        found.append(PieceFacts(key, filled_mg, outcome, tuple(together(lines))))  # type: ignore[arg-type]
    return found


def _cast_lines(cast: Cast, rate_minor: int) -> list[CostLine]:
    mould, copy = cast.mould_copy.mould, cast.mould_copy
    minutes = Fraction(mould.fill_minutes + mould.open_minutes)
    hands = CostLine(MOULD_HANDS, hands_cost(minutes, rate_minor), minutes, MINUTES)
    wear = mould_wear(copy.price_minor, copy.casts_expected)
    return [hands, CostLine(wear_name(mould.name), wear)] if wear else [hands]


def _step_lines(steps: Sequence[StepDone], prices: Mapping[int, Fraction], rate_minor: int) -> list[CostLine]:
    lines = []
    for step in steps:
        lines += [_drawn(draw, prices) for draw in step.draws.all()]
        minutes = step.minutes_each + Fraction(step.minutes_per_board, step.pieces)
        if minutes:
            lines.append(CostLine(step_hands(step.name), hands_cost(minutes, rate_minor), minutes, MINUTES))
    return lines


def _casts_of(mixes: Sequence[Mix]) -> dict[int, list[Cast]]:
    """The poured casts of each mix. One query."""
    found: dict[int, list[Cast]] = {mix.pk: [] for mix in mixes}
    rows = Cast.objects.filter(mix__in=list(found), poured_at__isnull=False, left_out_at__isnull=True)
    for cast in rows.select_related("mould_copy__mould", "piece").order_by("mix", "position"):
        found[cast.mix_id].append(cast)
    return found


def _draws_of(mixes: Sequence[Mix]) -> dict[int, list[MixDraw]]:
    """What each mix drew. One query."""
    found: dict[int, list[MixDraw]] = {mix.pk: [] for mix in mixes}
    for draw in MixDraw.objects.filter(mix__in=list(found)).select_related("material").order_by("id"):
        found[draw.mix_id].append(draw)
    return found


def _steps_of(piece_ids: Iterable[int]) -> dict[int, list[StepDone]]:
    """What was done to each piece, with its draws. Two queries."""
    found: dict[int, list[StepDone]] = {pk: [] for pk in piece_ids}
    rows = StepDone.objects.filter(piece__in=list(found), undone_at__isnull=True)
    for done in rows.prefetch_related(Prefetch("draws", StepDraw.objects.select_related("material"))):
        found[done.piece_id].append(done)
    return found


def _filled_mg(piece_ids: Iterable[int]) -> dict[int, int]:
    """What all casts of each piece took, in whichever mix. One query."""
    found: dict[int, int] = defaultdict(int)
    for piece_id, fill_mg in Cast.objects.filter(piece__in=list(piece_ids)).values_list("piece", "fill_mg"):
        found[piece_id] += fill_mg
    return found
