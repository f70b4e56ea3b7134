"""Moulds: what was measured, where the copies are today, how worn they are, and what times were seen."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from statistics import fmean

from django.db.models import Count, Q

from production.arithmetic.water_volume import MouldVolume, volume_from_fills, z_factor
from production.errors import NotThere
from production.models import ArticlePart, Cast, Mould, MouldCopy, WaterFill
from production.queries.copies import CopyNow, copies_of
from production.queries.plans import MixAhead, mixes_ahead
from production.queries.progress import due_out_at
from production.queries.wording import counted, listed, span_words

NEAR_END_PART = 0.75
LAST_CASTS = 12
SEEN_MOST = 300
RATE_WEEKS = 8
IN_THE_MOULD = "In the mould"
Local = Callable[[datetime], datetime]


@dataclass(frozen=True)
class MouldRow:
    """One mould of the list. `free` copies of those `here`."""

    mould: Mould
    copies: tuple[CopyNow, ...]
    here: int
    free: int
    note: str


@dataclass(frozen=True)
class FillRow:
    """One water fill with its volume; `off_percent` from the others when it is questioned."""

    fill: WaterFill
    water_g: float
    volume_ml: float
    off_percent: float | None


@dataclass(frozen=True)
class Use:
    """One pour in a copy, or a wash, which begins and ends at once. `is_planned` when it is only planned."""

    poured_at: datetime
    out_at: datetime
    dry_at: datetime
    colour_hex: str
    is_planned: bool

    @property
    def is_wash(self) -> bool:
        """Whether nothing was poured."""
        return self.poured_at == self.out_at


@dataclass(frozen=True)
class CopyPage:
    """One copy with its day, its wear and how its last casts came out."""

    copy: CopyNow
    state: str
    uses: tuple[Use, ...]
    free_words: str
    last_words: str
    wear_words: str


@dataclass(frozen=True)
class SeenTime:
    """One time of a mould: used minutes, and what was seen: mean seconds of how many."""

    step: str
    used_minutes: int
    seen_seconds: float | None
    times: int

    @property
    def used_words(self) -> str:
        """The time that plans and mixes reckon with."""
        if self.step == IN_THE_MOULD and not self.used_minutes:
            return "as its compound says"
        return span_words(self.used_minutes)

    @property
    def seen_words(self) -> str:
        """The mean of what was seen, seconds below ten minutes: "2 min 50"."""
        if self.seen_seconds is None:
            return ""
        minutes, seconds = divmod(round(self.seen_seconds), 60)
        return f"{minutes} min {seconds:02}" if minutes < 10 else span_words(minutes)


@dataclass(frozen=True)
class MouldPage:
    """Everything on the page of one mould. `volume` None without kept fills."""

    mould: Mould
    volume: MouldVolume | None
    fills: tuple[FillRow, ...]
    copies: tuple[CopyPage, ...]
    retired: tuple[CopyNow, ...]
    times: tuple[SeenTime, ...]
    planned: str
    parts: tuple[str, ...]


def moulds_list(*, now: datetime) -> tuple[MouldRow, ...]:
    """Every mould in use with its copies, by name. Two queries."""
    moulds = list(Mould.objects.filter(retired_on__isnull=True).order_by("name"))
    copies = copies_of([mould.pk for mould in moulds], now=now)
    return tuple(_row(mould, copies.get(mould.pk, ()), now) for mould in moulds)


def retired_moulds() -> tuple[Mould, ...]:
    """The moulds that were given up, by name. One query."""
    return tuple(Mould.objects.filter(retired_on__isnull=False).order_by("name"))


def mould(mould_id: int) -> Mould:
    """One mould, with how many fills it has kept. One query.

    Raises: NotThere.
    """
    found = (
        Mould.objects.select_related("photo")
        .annotate(fills=Count("water_fills", filter=Q(water_fills__left_out_at__isnull=True)))
        .filter(pk=mould_id)
        .first()
    )
    if found is None:
        raise NotThere("There is no such mould. Open Moulds again.", mould_id=mould_id)
    return found


def mould_page(mould_id: int, *, now: datetime, local: Local) -> MouldPage:
    """One mould with its copies, fills, times and planned mixes. Nine queries.

    Raises: NotThere.
    """
    found = mould(mould_id)
    copies = copies_of([mould_id], now=now).get(mould_id, ())
    casts = _recent_casts(mould_id)
    ahead = mixes_ahead()
    uses = _uses(found, copies, casts, ahead, now, local)
    last = defaultdict(list)
    for cast in casts:
        last[cast.mould_copy_id].append(cast)
    in_use = sorted((copy for copy in copies if not copy.is_retired), key=lambda copy: copy.number)
    parts = ArticlePart.objects.filter(mould=mould_id).select_related("article", "compound").order_by("id")
    used_in = list(parts)
    return MouldPage(
        mould=found,
        volume=_volume(found),
        fills=_fills(found),
        copies=tuple(_copy_page(copy, uses[copy.copy_id], last[copy.copy_id], now, local) for copy in in_use),
        retired=tuple(copy for copy in copies if copy.is_retired),
        times=_times(found, casts, used_in),
        planned=_planned_words(mould_id, ahead, local),
        parts=tuple(f"{part.article}: {part.name}" for part in used_in),
    )


def planned_mixes_with(mould_id: int) -> int:
    """How many mixes of the plan are poured into a mould. Four queries."""
    return sum(any(cast.mould_id == mould_id for cast in one.casts) for one in mixes_ahead())


def copy_now(copy_id: int, *, now: datetime) -> tuple[Mould, CopyNow]:
    """One copy and its mould. Two queries.

    Raises: NotThere.
    """
    found = Mould.objects.filter(copies=copy_id).first()
    for copy in copies_of([found.pk], now=now).get(found.pk, ()) if found else ():
        if found and copy.copy_id == copy_id:
            return found, copy
    raise NotThere("There is no such copy. Open Moulds again.", copy_id=copy_id)


def copy_row(copy_id: int) -> MouldCopy:
    """One copy with its mould. One query.

    Raises: NotThere.
    """
    found = MouldCopy.objects.select_related("mould").filter(pk=copy_id).first()
    if found is None:
        raise NotThere("There is no such copy. Open Moulds again.", copy_id=copy_id)
    return found


def copies_here(mould_id: int, *, now: datetime) -> tuple[CopyNow, ...]:
    """The copies of one mould. One query."""
    return copies_of([mould_id], now=now).get(mould_id, ())


def mould_of_fill(fill_id: int) -> int | None:
    """Id of the mould a fill belongs to. One query."""
    return WaterFill.objects.filter(pk=fill_id).values_list("mould", flat=True).first()


# Rows --------------------------------------------------------------------------------------------------


def _row(found: Mould, copies: Sequence[CopyNow], now: datetime) -> MouldRow:
    here = [copy for copy in copies if not (copy.is_lent or copy.is_retired)]
    notes = []
    if found.volume_ul is None:
        notes.append("not measured yet")
    if not here:
        notes.append("no copy here")
    worn = [copy.number for copy in here if is_near_end(copy)]
    if worn:
        notes.append(f"copy {listed([str(number) for number in sorted(worn)])} near its end")
    wet = [copy for copy in here if copy.wet_until]
    if wet and not any(copy.is_free for copy in here):
        notes.append(f"wet until {min(wet, key=lambda copy: copy.wet_until or now).words(now)[10:]}")
    return MouldRow(
        mould=found,
        copies=tuple(sorted(copies, key=lambda copy: copy.number)),
        here=len(here),
        free=sum(copy.is_free for copy in here),
        note=", ".join(notes),
    )


def is_near_end(copy: CopyNow) -> bool:
    """Whether a copy has given three quarters of the casts expected of it."""
    return copy.casts_done >= NEAR_END_PART * copy.casts_expected


def _volume(found: Mould) -> MouldVolume | None:
    kept = [fill for fill in found.water_fills.all() if fill.left_out_at is None]
    return volume_from_fills([(fill.water_mg / 1000, fill.water_c) for fill in kept]) if kept else None


def _fills(found: Mould) -> tuple[FillRow, ...]:
    fills = list(found.water_fills.order_by("filled_at", "id"))
    kept = [fill for fill in fills if fill.left_out_at is None]
    odd = {}
    if kept:
        volume = volume_from_fills([(fill.water_mg / 1000, fill.water_c) for fill in kept])
        odd = {kept[one.place].pk: 100 * one.off_part for one in volume.odd_fills}
    return tuple(
        FillRow(fill, fill.water_mg / 1000, fill.water_mg / 1000 * z_factor(fill.water_c), odd.get(fill.pk))
        for fill in fills
    )


# Copies ------------------------------------------------------------------------------------------------


def _recent_casts(mould_id: int) -> list[Cast]:
    """The last casts in a mould, newest first, with mix and copy. One query."""
    return list(
        Cast.objects.filter(mould_copy__mould=mould_id, left_out_at__isnull=True, mix__undone_at__isnull=True)
        .select_related("mix__compound", "mix__colour", "mould_copy__mould")
        .order_by("-mix__started_at", "-position")[:SEEN_MOST]
    )


def _uses(
    found: Mould,
    copies: Sequence[CopyNow],
    casts: Iterable[Cast],
    ahead: Iterable[MixAhead],
    now: datetime,
    local: Local,
) -> dict[int, list[Use]]:
    """What is or was in each copy today, and what is planned, given to the copies that come free first."""
    today = local(now).date()
    rest = timedelta(minutes=found.clean_and_dry_minutes)
    uses: dict[int, list[Use]] = {copy.copy_id: [] for copy in copies}
    for cast in casts:
        if cast.poured_at is None:
            continue
        out_at = cast.out_at or max(due_out_at(cast), now)
        if today in (local(cast.poured_at).date(), local(out_at).date(), local(out_at + rest).date()):
            use = Use(cast.poured_at, out_at, out_at + rest, cast.mix.colour.hex, False)
            uses.setdefault(cast.mould_copy_id, []).append(use)
    for copy in copies:
        if copy.washed_at and today in (local(copy.washed_at).date(), local(copy.washed_at + rest).date()):
            wash = Use(copy.washed_at, copy.washed_at, copy.washed_at + rest, "", False)
            uses[copy.copy_id].append(wash)
    usable = [copy.copy_id for copy in copies if not (copy.is_lent or copy.is_retired)]
    for one in ahead:
        planned = one.planned
        if local(planned.starts_at).date() != today:
            continue
        count = sum(cast.quantity for cast in one.casts if cast.mould_id == found.pk)
        by_free = sorted(usable, key=lambda pk: max([use.dry_at for use in uses[pk]] or [planned.starts_at]))
        for pk in by_free[:count]:
            out_at = planned.opens_at
            uses[pk].append(Use(planned.poured_by, out_at, out_at + rest, planned.colour.hex, True))
    return {pk: sorted(found_uses, key=lambda use: use.poured_at) for pk, found_uses in uses.items()}


def _copy_page(
    copy: CopyNow, uses: Sequence[Use], casts: Sequence[Cast], now: datetime, local: Local
) -> CopyPage:
    return CopyPage(
        copy=copy,
        state=copy.words(now),
        uses=tuple(uses),
        free_words=_free_words(copy, uses, local),
        last_words=_last_words(casts[:LAST_CASTS]),
        wear_words=_wear_words(copy, casts, local(now).date(), local),
    )


def _free_words(copy: CopyNow, uses: Sequence[Use], local: Local) -> str:
    if copy.is_lent:
        return "Lent."
    if not uses:
        return "Free all day."
    last = local(max(use.dry_at for use in uses))
    poured = [use for use in uses if not use.is_wash]
    if not poured:
        return f"Free {last:%a} {last.day}, {last:%H:%M}."
    pours = sum(1 for use in poured if local(use.poured_at).date() == local(poured[-1].poured_at).date())
    return f"Free {last:%a} {last.day}, {last:%H:%M}. {counted(pours, 'pour')} today."


def _last_words(casts: Sequence[Cast]) -> str:
    judged = [cast for cast in casts if cast.outcome]
    if not judged:
        return ""
    counts = Counter(cast.outcome for cast in judged)
    words = []
    for outcome in ("good", "second", "scrap"):
        if counts[outcome]:
            reasons = {cast.reason for cast in judged if cast.outcome == outcome and cast.reason}
            why = f" ({listed(sorted(reasons))})" if reasons else ""
            words.append(f"{counts[outcome]} {outcome}{why}")
    return f"Last {counted(len(judged), 'cast')}: {', '.join(words)}."


def _wear_words(copy: CopyNow, casts: Sequence[Cast], today: date, local: Local) -> str:
    """When it is near its end, about when it reaches it at the rate of the last weeks."""
    if not is_near_end(copy):
        return ""
    left = copy.casts_expected - copy.casts_done
    if left <= 0:
        return "It has given what was expected of it."
    since = today - timedelta(weeks=RATE_WEEKS)
    lately = sum(1 for cast in casts if cast.poured_at and local(cast.poured_at).date() > since)
    if not lately:
        return f"{left} more casts are expected of it."
    ends = today + timedelta(days=round(left / lately * RATE_WEEKS * 7))
    return f"At {lately / RATE_WEEKS:.2g} casts a week it reaches {copy.casts_expected} about {ends:%B %Y}."


def _planned_words(mould_id: int, ahead: Iterable[MixAhead], local: Local) -> str:
    words = []
    for one in ahead:
        if any(cast.mould_id == mould_id for cast in one.casts):
            at = local(one.planned.starts_at)
            words.append(f"{one.number} {at:%a} {at.day}")
    if not words:
        return "Nothing is planned in it."
    return f"{'Mix' if len(words) == 1 else 'Mixes'} {listed(words)}."


# Times -------------------------------------------------------------------------------------------------


def _times(found: Mould, casts: Sequence[Cast], parts: Sequence[ArticlePart]) -> tuple[SeenTime, ...]:
    """Used and seen: filling from one mould's tap to the next of a mix, and from the pour to the opening."""
    by_mix: dict[int, list[Cast]] = defaultdict(list)
    for cast in casts:
        if cast.poured_at:
            by_mix[cast.mix_id].append(cast)
    fills, inside = [], []
    for group in by_mix.values():
        ordered = sorted(group, key=lambda cast: cast.position)
        for before, after in zip(ordered, ordered[1:], strict=False):
            seconds = (after.poured_at - before.poured_at).total_seconds()  # type: ignore[operator]
            if after.position == before.position + 1 and seconds > 0:
                fills.append(seconds)
        inside += [
            (cast.out_at - cast.poured_at).total_seconds()
            for cast in group
            if cast.out_at and cast.poured_at and cast.out_at > cast.poured_at
        ]
    compound_minutes = max([part.compound.open_after_minutes for part in parts] or [0])
    return (
        SeenTime("Fill", found.fill_minutes, fmean(fills) if fills else None, len(fills)),
        SeenTime(
            IN_THE_MOULD,
            found.in_mould_minutes or compound_minutes,
            fmean(inside) if inside else None,
            len(inside),
        ),
        SeenTime("Open", found.open_minutes, None, 0),
        SeenTime("Clean and dry", found.clean_and_dry_minutes, None, 0),
    )
