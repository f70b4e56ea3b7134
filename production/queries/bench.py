"""What hands should do now: a mix that sets, moulds to open, the next mix, the shelf, in order of claim."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Prefetch
from django.utils.timezone import localtime

from inventory.errors import StudioError
from production.arithmetic.hands import in_turn
from production.models import Cast, Mix, Mould, PlannedMix
from production.queries.asked import asked_by_plan
from production.queries.mix_weights import Block, MixToWeigh, mix_to_weigh
from production.queries.out_of_mould import MouldsDue, ToJudge, casts_to_judge, moulds_due
from production.queries.plan_age import why_old
from production.queries.progress import mix_numbers_ahead, newest_plan, pieces_here, planned_mixes_ahead
from production.queries.setting import MixInHand, mixes_setting
from production.queries.shelf import ShelfRow, rows_with_hands_to_come
from production.queries.timetable import OPEN, STEP, Dated, timetable

DUE_SOON = timedelta(hours=1)
QUEUE_MOST = 12


@dataclass(frozen=True)
class NextMix:
    """The next mix of the plan. `made_up` is None when it is no longer to be made."""

    planned_id: int
    number: int
    colour: str
    colour_hex: str
    compound: str
    starts_at: datetime
    poured_by: datetime
    made_up: MixToWeigh | None

    @property
    def blocks(self) -> tuple[Block, ...]:
        """What is in the way of it at the time it is planned for."""
        blocks = self.made_up.blocks if self.made_up else ()
        return tuple(block for block in blocks if not block.is_over_by(self.starts_at))

    @property
    def waits_for_moulds(self) -> bool:
        """Whether its moulds are still damp now, and dry by then."""
        return self.made_up is not None and len(self.blocks) < len(self.made_up.blocks)


@dataclass(frozen=True)
class Queued:
    """One row of the queue. `starts_at`: when hands get to it, once it is due. `is_soon`: within the hour."""

    dated: Dated
    starts_at: datetime
    is_past: bool
    is_soon: bool

    @property
    def waits_for_hands(self) -> bool:
        """Whether hands get to it only after it fell due."""
        return self.starts_at >= self.dated.at + timedelta(minutes=1)


@dataclass(frozen=True)
class Queue:
    """What falls due in order of time, without what is in hand; `free_at`: the next minute hands are free."""

    rows: tuple[Queued, ...]
    free_at: datetime
    free_until: datetime | None
    pairs: int


@dataclass(frozen=True)
class ShortMix:
    """A mix that went stiff before all its moulds were filled, and can be topped up."""

    mix_id: int
    number: int
    colour: str
    left_out: int


@dataclass(frozen=True)
class TodayMix:
    """One step of today's staircase; times of mixes not started are the plan's."""

    number: int
    colour: str
    colour_hex: str
    started_at: datetime
    poured_at: datetime
    out_at: datetime
    is_mixed: bool


@dataclass(frozen=True)
class BenchNow:
    """Everything the Bench shows. `claim` says what is in hand: see `_claim`. `old_plan`: why it is old."""

    claim: str
    setting: tuple[MixInHand, ...]
    past: tuple[MouldsDue, ...]
    due: tuple[MouldsDue, ...]
    to_judge: tuple[ToJudge, ...]
    next_mix: NextMix | None
    queue: Queue
    short: ShortMix | None
    shelf: tuple[ShelfRow, ...]
    today: tuple[TodayMix, ...]
    has_moulds: bool
    old_plan: str

    @property
    def in_hand(self) -> MixInHand | None:
        """The mix with the least time left."""
        return self.setting[0] if self.setting else None


def bench_now(*, now: datetime, pairs: int = 1) -> BenchNow:
    """The Bench at this moment, with so many pairs of hands in.

    How many queries depends on the pigments of the next mix, on nothing else.
    """
    setting = mixes_setting()
    due = moulds_due()
    past = tuple(one for one in due if one.due_at <= now and not one.is_about)
    soon = tuple(one for one in due if now < one.due_at <= now + DUE_SOON and not one.is_about)
    ahead = planned_mixes_ahead()
    numbers = mix_numbers_ahead(ahead)
    next_mix = _next_mix(ahead, numbers, now)
    rows = rows_with_hands_to_come(pieces_here(now=now), now=now)
    shelf = tuple(row for row in rows if row.due_at <= now)
    to_judge = casts_to_judge()
    has_moulds = Mould.objects.exists()
    plan = newest_plan()
    starts = ((numbers[planned.pk], planned.starts_at) for planned in ahead)
    claim = _claim(setting, past, to_judge, next_mix, soon, shelf, has_moulds=has_moulds, now=now)
    return BenchNow(
        claim=claim,
        setting=setting,
        past=past,
        due=soon,
        to_judge=to_judge,
        next_mix=next_mix,
        queue=_queue(
            timetable(due, ahead, numbers, rows),
            _in_hand_key(claim, past, soon, next_mix, shelf),
            setting,
            now=now,
            pairs=max(1, pairs),
        ),
        short=_short_mix(now),
        shelf=shelf,
        today=_today(ahead, numbers, now),
        has_moulds=has_moulds,
        old_plan=why_old(plan, starts, now=now) if plan else "",
    )


def _claim(
    setting: Sequence[MixInHand],
    past: Sequence[MouldsDue],
    to_judge: Sequence[ToJudge],
    next_mix: NextMix | None,
    soon: Sequence[MouldsDue],
    shelf: Sequence[ShelfRow],
    *,
    has_moulds: bool,
    now: datetime,
) -> str:
    """What is in hand: the first of these that there is."""
    if setting:
        return "setting"
    if past:
        return "past"
    if to_judge:
        return "judge"
    if next_mix is not None and next_mix.made_up is not None and _is_today_or_before(next_mix.starts_at, now):
        return "weigh"
    if soon:
        return "due"
    if shelf:
        return "shelf"
    return "nothing" if has_moulds else "no moulds"


def _in_hand_key(
    claim: str,
    past: Sequence[MouldsDue],
    soon: Sequence[MouldsDue],
    next_mix: NextMix | None,
    shelf: Sequence[ShelfRow],
) -> str:
    """The key that what is in hand has in the timetable; "" where it has none."""
    if claim in ("past", "due"):
        return f"{OPEN}-{(past or soon)[0].mix_id}"
    if claim == "weigh" and next_mix:
        return f"planned-{next_mix.planned_id}"
    if claim == "shelf" and shelf[0].step:
        return f"{STEP}-{shelf[0].step.step_id}-{min(shelf[0].piece_ids)}"
    return ""


def _queue(
    dated: Sequence[Dated], in_hand: str, setting: Sequence[MixInHand], *, now: datetime, pairs: int
) -> Queue:
    """What is due today in turn, and after it what comes on other days while there is room."""
    today = [one for one in dated if _is_today_or_before(one.at, now)]
    later = [one for one in dated if not _is_today_or_before(one.at, now)]
    turns = in_turn(
        [(one.at, one.minutes) for one in today],
        now=now,
        pairs=pairs,
        busy_until=[mix.stiff_at for mix in setting],
    )
    begun = [(today[turn.place], turn.starts_at) for turn in turns.turns]
    begun += [(one, one.at) for one in later[: max(0, QUEUE_MOST - len(begun))]]
    rows = tuple(
        Queued(one, starts_at, is_past=one.at <= now, is_soon=one.at <= now + DUE_SOON)
        for one, starts_at in begun
        if one.key != in_hand
    )
    return Queue(rows, turns.free_at, turns.free_until, pairs)


def _next_mix(ahead: Sequence[PlannedMix], numbers: dict[int, int], now: datetime) -> NextMix | None:
    if not ahead:
        return None
    planned = ahead[0]
    try:
        made_up = mix_to_weigh(asked_by_plan(planned.pk), now=now)
    except StudioError:
        # Started on another screen since the list was read: the next opening of the page shows the one after.
        made_up = None
    return NextMix(
        planned_id=planned.pk,
        number=numbers[planned.pk],
        colour=planned.colour.name,
        colour_hex=planned.colour.hex,
        compound=planned.compound.name,
        starts_at=planned.starts_at,
        poured_by=planned.poured_by,
        made_up=made_up,
    )


def _short_mix(now: datetime) -> ShortMix | None:
    """The last mix stopped in the past day, unless its moulds were opened. One query."""
    mix = (
        Mix.objects.filter(is_stopped=True, undone_at=None, poured_at__gte=now - timedelta(days=1))
        .select_related("colour")
        .prefetch_related("casts")
        .order_by("-number")
        .first()
    )
    if (
        mix is None
        or Mix.objects.filter(number__gt=mix.number, colour=mix.colour_id, undone_at=None).exists()
    ):
        return None
    left_out = sum(1 for cast in mix.casts.all() if cast.left_out_at)
    return ShortMix(mix.pk, mix.number, mix.colour.name, left_out) if left_out else None


def _today(ahead: Sequence[PlannedMix], numbers: dict[int, int], now: datetime) -> tuple[TodayMix, ...]:
    """Today's mixes, those started first. Two queries."""
    midnight = localtime(now).replace(hour=0, minute=0, second=0, microsecond=0)
    rows = (
        Mix.objects.filter(undone_at=None, started_at__gte=midnight)
        .select_related("compound", "colour")
        .prefetch_related(Prefetch("casts", Cast.objects.select_related("mould_copy__mould")))
        .order_by("started_at")
    )
    mixes = [_today_mixed(mix) for mix in rows]
    mixes += [
        TodayMix(
            number=numbers[planned.pk],
            colour=planned.colour.name,
            colour_hex=planned.colour.hex,
            started_at=planned.starts_at,
            poured_at=planned.poured_by,
            out_at=planned.opens_at,
            is_mixed=False,
        )
        for planned in ahead
        if _is_today(planned.starts_at, now)
    ]
    return tuple(mixes)


def _today_mixed(mix: Mix) -> TodayMix:
    casts = [cast for cast in mix.casts.all() if cast.left_out_at is None]
    stiff_at = mix.started_at + timedelta(minutes=mix.compound.working_time_minutes)
    poured_at = mix.poured_at or stiff_at
    minutes = [cast.mould_copy.mould.in_mould_minutes or mix.compound.open_after_minutes for cast in casts]
    out_at = max((cast.out_at for cast in casts if cast.out_at), default=None)
    return TodayMix(
        number=mix.number,
        colour=mix.colour.name,
        colour_hex=mix.colour.hex,
        started_at=mix.started_at,
        poured_at=poured_at,
        out_at=out_at or poured_at + timedelta(minutes=max(minutes, default=0)),
        is_mixed=True,
    )


def _is_today(at: datetime, now: datetime) -> bool:
    return localtime(at).date() == localtime(now).date()


def _is_today_or_before(at: datetime, now: datetime) -> bool:
    return localtime(at).date() <= localtime(now).date()
