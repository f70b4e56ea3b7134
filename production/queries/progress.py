"""What is in the making: casts on their way to a piece, and the pieces that are here."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Prefetch, Q, QuerySet
from django.db.models.functions import Coalesce

from production.models import ArticlePart, Cast, Mix, Outcome, Piece, Plan, PlannedMix, RouteStep, Weighing
from production.queries.drying_out import DryingNow, drying_now
from production.queries.plan_steps import step_facts
from production.queries.waiting import StepFacts, Wait, next_wait, state_word


@dataclass(frozen=True)
class InTheMaking:
    """Casts of one demand that are no piece yet: the full sets they can become, and casts by part id."""

    wanted_by: str
    article_id: int
    colour_id: int
    pieces: int
    parts: dict[int, int]


@dataclass(frozen=True)
class PieceHere:
    """A piece that is here, not scrap. `state` is the word on the screens; `due_at` of its next step.

    `ready_at` is known once no hands are needed any more, and may lie ahead. `colour_risk`: its parts come
    from more than one mix, so their colour may differ.
    """

    id: int
    mark: str
    article_id: int
    article: str
    silhouette: str
    is_candle: bool
    colour_id: int
    colour: str
    colour_hex: str
    outcome: str
    reason: str
    state: str
    next_step: StepFacts | None
    steps: tuple[StepFacts, ...]
    steps_done: int
    due_at: datetime
    ready_at: datetime | None
    wanted_by: str
    poured_at: datetime
    out_at: datetime
    last_step_at: datetime
    drying: DryingNow
    mix_numbers: tuple[int, ...]
    colour_risk: bool
    route: str = ""

    @property
    def is_ready(self) -> bool:
        """Whether nothing is left to wait for or to do."""
        return self.state == "ready"


def casts_by_demand() -> dict[str, InTheMaking]:
    """What every demand has in moulds, or out of them and waiting for its other part. Two queries.

    Seconds and scrap do not count, nor casts of undone mixes; demands without such casts are left out.
    A piece of a matched article needs all its parts from one mix, or from it and the mix that topped it up.
    """
    rows = (
        Cast.objects.filter(
            piece__isnull=True,
            left_out_at__isnull=True,
            mix__undone_at__isnull=True,
            outcome__in=("", Outcome.GOOD),
        )
        .exclude(wanted_by="")
        .annotate(first=Coalesce("mix__tops_up", "mix"))
        .values_list(
            "wanted_by", "part__article", "piece_colour", "part", "first", "part__article__is_matched"
        )
    )
    casts: dict[tuple[str, int, int], list[tuple[int, int]]] = defaultdict(list)
    for wanted_by, article, colour, part, mix, is_matched in rows:
        casts[wanted_by, article, colour].append((part, mix if is_matched else 0))
    parts_of = _part_ids({article for _, article, _ in casts})
    return {
        wanted_by: InTheMaking(
            wanted_by=wanted_by,
            article_id=article,
            colour_id=colour,
            pieces=_full_sets(found, parts_of[article]),
            parts=dict(Counter(part for part, _ in found)),
        )
        for (wanted_by, article, colour), found in sorted(casts.items())
    }


def pieces_here(
    *,
    now: datetime,
    piece_ids: Iterable[int] | None = None,
    article_id: int | None = None,
    colour_id: int | None = None,
) -> list[PieceHere]:
    """The pieces that have not left and are not scrap, oldest first. Six queries, however many."""
    rows = Piece.objects.filter(shipped_at__isnull=True, undone_at__isnull=True).exclude(
        outcome=Outcome.SCRAP
    )
    if piece_ids is not None:
        rows = rows.filter(pk__in=list(piece_ids))
    if article_id is not None:
        rows = rows.filter(article=article_id)
    if colour_id is not None:
        rows = rows.filter(colour=colour_id)
    pieces = list(with_all_that_tells(rows))
    drying = drying_now(pieces, now=now)
    return [_piece_here(piece, drying[piece.pk], now) for piece in pieces]


def ready_pieces(*, now: datetime) -> list[PieceHere]:
    """The pieces that can be packed now, seconds among them. Six queries."""
    return [piece for piece in pieces_here(now=now) if piece.is_ready]


def with_all_that_tells(pieces: QuerySet[Piece]) -> QuerySet[Piece]:
    """The pieces with route, casts and weighings, as the functions of this module need them."""
    return pieces.select_related("article", "colour").prefetch_related(
        Prefetch("article__route__steps", RouteStep.objects.select_related("own_kind").order_by("position")),
        Prefetch("casts", Cast.objects.select_related("mix", "part__compound", "part__mould").order_by("id")),
        Prefetch("weighings", Weighing.objects.filter(undone_at__isnull=True).order_by("weighed_at", "id")),
    )


def steps_of(piece: Piece) -> tuple[StepFacts, ...]:
    """The route of a piece as the bench counts it; from what `with_all_that_tells` fetched."""
    return tuple(step_facts(step) for step in piece.article.route.steps.all())


def wait_of(piece: Piece, dry_at: datetime) -> Wait:
    """What the piece waits for, given when it is dry."""
    return next_wait(
        steps_of(piece), steps_done=piece.steps_done, last_step_at=piece.last_step_at, dry_at=dry_at
    )


def newest_plan() -> Plan | None:
    """The plan that Week and Bench read. One query."""
    return plans_that_count().first()


def plans_that_count() -> QuerySet[Plan]:
    """The plans that were not taken back, newest first."""
    return Plan.objects.filter(undone_at__isnull=True).order_by("-id")


def planned_mixes_ahead() -> list[PlannedMix]:
    """The mixes of the newest plan that were not started, in order of time. One query."""
    newest = plans_that_count().values("id")[:1]
    return list(
        PlannedMix.objects.filter(plan__in=newest, mix__isnull=True)
        .select_related("compound", "colour", "pin")
        .order_by("starts_at", "position")
    )


def mix_numbers_ahead(ahead: Sequence[PlannedMix] | None = None) -> dict[int, int]:
    """The numbers the planned mixes will have if they are mixed in the order planned, by planned mix id.

    Two queries, one if the mixes ahead are given.
    """
    last = Mix.objects.order_by("-number").values_list("number", flat=True).first() or 0
    in_order = planned_mixes_ahead() if ahead is None else ahead
    return {planned.pk: last + place for place, planned in enumerate(in_order, start=1)}


def due_out_at(cast: Cast) -> datetime:
    """When a poured cast may leave its mould; needs its part's mould and compound."""
    minutes = cast.mould_copy.mould.in_mould_minutes
    if minutes is None:
        minutes = cast.mix.compound.open_after_minutes
    assert cast.poured_at is not None
    return cast.poured_at + timedelta(minutes=minutes)


def still_in_moulds() -> Q:
    """Casts that are poured and not out."""
    return Q(poured_at__isnull=False, out_at__isnull=True, left_out_at__isnull=True)


def _piece_here(piece: Piece, drying: DryingNow, now: datetime) -> PieceHere:
    steps = steps_of(piece)
    wait = wait_of(piece, drying.dry_at)
    casts = list(piece.casts.all())
    mixes = sorted({cast.mix.number for cast in casts})
    return PieceHere(
        id=piece.pk,
        mark=piece.mark,
        article_id=piece.article_id,
        article=piece.article.name,
        silhouette=piece.article.silhouette,
        is_candle=piece.article.is_candle,
        colour_id=piece.colour_id,
        colour=piece.colour.name,
        colour_hex=piece.colour.hex,
        outcome=piece.outcome,
        reason=piece.reason,
        state=state_word(steps, wait, steps_done=piece.steps_done, dry_at=drying.dry_at, now=now),
        next_step=wait.step,
        steps=steps,
        steps_done=piece.steps_done,
        due_at=wait.due_at,
        ready_at=wait.due_at if wait.step is None else None,
        wanted_by=piece.wanted_by,
        poured_at=min((cast.poured_at for cast in casts if cast.poured_at), default=piece.out_at),
        out_at=piece.out_at,
        last_step_at=piece.last_step_at,
        drying=drying,
        mix_numbers=tuple(mixes),
        colour_risk=_parts_may_differ(casts),
        route=piece.article.route.name,
    )


def _parts_may_differ(casts: Sequence[Cast]) -> bool:
    """Whether parts meant to be of one colour come from more than one mix."""
    mixes: dict[int, set[int]] = defaultdict(set)
    for cast in casts:
        mixes[cast.mix.colour_id].add(cast.mix_id)
    return any(len(found) > 1 for found in mixes.values())


def _part_ids(article_ids: set[int]) -> dict[int, list[int]]:
    found: dict[int, list[int]] = defaultdict(list)
    for part_id, article_id in ArticlePart.objects.filter(article__in=article_ids).values_list(
        "id", "article"
    ):
        found[article_id].append(part_id)
    return found


def _full_sets(casts: Sequence[tuple[int, int]], part_ids: Sequence[int]) -> int:
    """How many pieces the casts make: (part, mix they must share) each, one of every part for a piece."""
    count = Counter(casts)
    mixes = {mix for _, mix in casts}
    return sum(min((count[part, mix] for part in part_ids), default=0) for mix in mixes)
