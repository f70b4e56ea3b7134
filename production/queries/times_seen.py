"""The times that were seen at bench and shelf, beside those that plans reckon with."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from math import ceil

from django.db.models import Q

from production.arithmetic.times_seen import Spread, spread_of
from production.models import Cast, Compound, Mould, Piece, RouteStep, StepDone
from production.queries.drying_out import drying_now, group_key
from production.queries.progress import due_out_at, with_all_that_tells
from production.queries.wording import listed, span_words

Local = Callable[[datetime], datetime]
Subject = tuple[str, int]

FILLING, OPENING, MOULD_OPENING, DRYING, WAIT = "filling", "opening", "mould opening", "drying", "wait"
KINDS = (FILLING, OPENING, MOULD_OPENING, DRYING, WAIT)
WEEKS_BACK = 26
ROWS_MOST = 3000
MINUTES_PER_HOUR = 60
# What one of them is called when they are counted.
NOUNS = {FILLING: "fill", OPENING: "mix", MOULD_OPENING: "mix", DRYING: "mix", WAIT: "time"}


@dataclass(frozen=True)
class TimeSeen:
    """One time that plans reckon with, and what was seen of it; all in minutes.

    `kind` is one of KINDS and `subject_id` its mould, compound or step. `left_out` were seen and tell
    nothing, because nobody was in when it was due. `step_minutes` is what it is kept in: 60 for whole hours.
    `beside_minutes` of it are kept with another step: a cure is seen with the wait of the step after it.
    """

    kind: str
    subject_id: int
    what: str
    used_minutes: int
    spread: Spread | None
    left_out: int
    step_minutes: int = 1
    beside_minutes: int = 0

    @property
    def noun(self) -> str:
        """What its times are counted as: "mix"."""
        return NOUNS[self.kind]

    @property
    def median_minutes(self) -> int | None:
        """The median as it would be reckoned with, begun minutes or hours counted."""
        return None if self.spread is None else self._kept(self.spread.median)

    @property
    def ninetieth_minutes(self) -> int | None:
        """The 90th percentile as it would be reckoned with."""
        return None if self.spread is None else self._kept(self.spread.ninetieth)

    @property
    def used_words(self) -> str:
        """What plans reckon with now."""
        return minutes_words(self.kind, self.used_minutes)

    @property
    def median_words(self) -> str:
        """The median in words, "" when nothing was seen."""
        return "" if self.median_minutes is None else minutes_words(self.kind, self.median_minutes)

    @property
    def ninetieth_words(self) -> str:
        """The 90th percentile in words."""
        return "" if self.ninetieth_minutes is None else minutes_words(self.kind, self.ninetieth_minutes)

    def _kept(self, minutes: float) -> int:
        whole = ceil(round(minutes, 3) / self.step_minutes) * self.step_minutes
        return max(self.beside_minutes + self.step_minutes, whole)


def minutes_words(kind: str, minutes: int) -> str:
    """A time as it is said: openings in minutes up to three hours, drying in hours, others as a span."""
    if kind == DRYING:
        return f"{minutes // MINUTES_PER_HOUR} h"
    if kind in (OPENING, MOULD_OPENING) and minutes <= 3 * MINUTES_PER_HOUR:
        return f"{minutes} min"
    return span_words(minutes)


def times_seen(*, now: datetime, local: Local) -> list[TimeSeen]:
    """Every time that plans reckon with, as seen in the last 26 weeks. Twelve queries at most.

    Filling is from one mould's tap to the next of a mix. Opening is from the pour to the opening, one for
    each mix: by the mould where it has a time of its own, else by the compound. Drying is from the mould to
    dry by weight or by the word of whoever stood there, one for each mix. A wait is from the step before to
    the step, with what only passes between them, such as a cure; a cure that nothing follows is not seen to
    end. What was opened or done on a later day than it was due is left out: it tells when hands came in.
    """
    since = now - timedelta(weeks=WEEKS_BACK)
    casts = _casts(since)
    waits_kept = _waits_between_hands()
    opened, left_out = _openings(casts, local)
    waits, waits_out = _waits(since, {one.step.pk: one.kept_in.pk for one in waits_kept}, local)
    seen = {**_fills(casts), **opened, **_drying(since, now), **waits}
    out = {**left_out, **waits_out}

    def time(
        kind: str, subject_id: int, what: str, used_minutes: int, step: int = 1, beside: int = 0
    ) -> TimeSeen:
        key = (kind, subject_id)
        spread = spread_of(seen.get(key, []))
        return TimeSeen(kind, subject_id, what, used_minutes, spread, out.get(key, 0), step, beside)

    found = []
    for mould in Mould.objects.filter(retired_on__isnull=True).order_by("name"):
        found.append(time(FILLING, mould.pk, f"Filling of {mould.name}", mould.fill_minutes))
        if mould.in_mould_minutes is not None:
            found.append(time(MOULD_OPENING, mould.pk, f"Opening of {mould.name}", mould.in_mould_minutes))
    for compound in Compound.objects.order_by("name"):
        hours = compound.dry_hours * MINUTES_PER_HOUR
        found.append(time(OPENING, compound.pk, f"Opening of {compound.name}", compound.open_after_minutes))
        found.append(time(DRYING, compound.pk, f"Drying of {compound.name}", hours, MINUTES_PER_HOUR))
    for one in waits_kept:
        found.append(time(WAIT, one.kept_in.pk, one.words, one.minutes, 1, one.beside_minutes))
    return sorted(found, key=lambda one: KINDS.index(one.kind))


def _casts(since: datetime) -> list[Cast]:
    return list(
        Cast.objects.filter(poured_at__gte=since, left_out_at__isnull=True, mix__undone_at__isnull=True)
        .select_related("mix__compound", "mould_copy__mould")
        .order_by("-poured_at", "-position")[:ROWS_MOST]
    )


@dataclass(frozen=True)
class _WaitKept:
    """The set time from one step with hands to the next one, `step`; `passing` lie between them."""

    step: RouteStep
    passing: tuple[RouteStep, ...]

    @property
    def kept_in(self) -> RouteStep:
        """The step whose wait is learnt: the longest of those that only pass, else the step itself."""
        return max(self.passing, key=lambda one: one.wait_minutes or 0, default=self.step)

    @property
    def minutes(self) -> int:
        """All of it."""
        return sum(one.wait_minutes or 0 for one in (*self.passing, self.step))

    @property
    def beside_minutes(self) -> int:
        """What of it the other steps keep."""
        return self.minutes - (self.kept_in.wait_minutes or 0)

    @property
    def words(self) -> str:
        """What it is called."""
        passed = [one.name for one in self.passing]
        before = listed([*passed, "wait"]).capitalize() if passed else "Wait"
        return f"{before} before {self.step.name} on {self.step.route.name}"


def _waits_between_hands() -> list[_WaitKept]:
    """Every wait between two steps with hands that is a set time. One query.

    What waits until dry is left out: it is seen as drying.
    """
    found = []
    route_id, seen_hands = 0, False
    passing: list[RouteStep] = []
    for step in RouteStep.objects.select_related("route").order_by("route__name", "route", "position"):
        if step.route_id != route_id:
            route_id, seen_hands, passing = step.route_id, False, []
        if not _wants_hands(step):
            passing.append(step)
            continue
        wait = _WaitKept(step, tuple(passing))
        is_set = all(one.wait_minutes is not None for one in (*passing, step))
        if seen_hands and is_set and wait.kept_in.wait_minutes:
            found.append(wait)
        seen_hands, passing = True, []
    return found


def _wants_hands(step: RouteStep) -> bool:
    return bool(step.minutes_each or step.minutes_per_board)


def _minutes(start: datetime, end: datetime) -> float:
    return (end - start).total_seconds() / 60


def _by_mix(casts: Iterable[Cast]) -> Iterator[list[Cast]]:
    mixes: dict[int, list[Cast]] = defaultdict(list)
    for cast in casts:
        mixes[cast.mix_id].append(cast)
    for group in mixes.values():
        yield sorted(group, key=lambda cast: cast.position)


def _fills(casts: Sequence[Cast]) -> dict[Subject, list[float]]:
    fills: dict[Subject, list[float]] = defaultdict(list)
    for group in _by_mix(casts):
        for before, after in zip(group, group[1:], strict=False):
            if before.poured_at and after.poured_at and after.position == before.position + 1:
                minutes = _minutes(before.poured_at, after.poured_at)
                if minutes > 0:
                    fills[FILLING, after.mould_copy.mould_id].append(minutes)
    return fills


def _openings(casts: Sequence[Cast], local: Local) -> tuple[dict[Subject, list[float]], dict[Subject, int]]:
    """One for each mix and subject: its last mould filled, which was in for the shortest time."""
    seen: dict[tuple[Subject, int], Cast] = {}
    for cast in casts:
        if cast.poured_at is None or cast.out_at is None or cast.out_at <= cast.poured_at:
            continue
        mould = cast.mould_copy.mould
        subject = (
            (OPENING, cast.mix.compound_id) if mould.in_mould_minutes is None else (MOULD_OPENING, mould.pk)
        )
        kept = seen.setdefault((subject, cast.mix_id), cast)
        if kept.poured_at and kept.out_at and cast.out_at - cast.poured_at < kept.out_at - kept.poured_at:
            seen[subject, cast.mix_id] = cast
    found: dict[Subject, list[float]] = defaultdict(list)
    left_out: dict[Subject, int] = defaultdict(int)
    for (subject, _), cast in seen.items():
        assert cast.poured_at is not None and cast.out_at is not None
        if local(cast.out_at).date() > local(due_out_at(cast)).date():
            left_out[subject] += 1
        else:
            found[subject].append(_minutes(cast.poured_at, cast.out_at))
    return found, left_out


def _drying(since: datetime, now: datetime) -> dict[Subject, list[float]]:
    """One for each mix and article that was weighed until dry or called dry, by its slowest compound."""
    told = Piece.objects.filter(out_at__gte=since, undone_at__isnull=True).filter(
        Q(dry_called_at__isnull=False) | Q(weighings__undone_at__isnull=True, weighings__isnull=False)
    )
    pieces = list(with_all_that_tells(told.order_by("-out_at").distinct())[:ROWS_MOST])
    drying = drying_now(pieces, now=now)
    groups: dict[tuple[object, ...], tuple[int, float]] = {}
    for piece in pieces:
        dried = drying[piece.pk]
        was_weighed = dried.verdict is not None and dried.verdict.is_dry
        if dried.told_by == "called" or (dried.told_by == "weighed" and was_weighed):
            slowest = max((cast.part.compound for cast in piece.casts.all()), key=lambda one: one.dry_hours)
            groups.setdefault(group_key(piece), (slowest.pk, _minutes(piece.out_at, dried.dry_at)))
    found: dict[Subject, list[float]] = defaultdict(list)
    for compound_id, minutes in groups.values():
        if minutes > 0:
            found[DRYING, compound_id].append(minutes)
    return found


def _waits(
    since: datetime, kept_in: Mapping[int, int], local: Local
) -> tuple[dict[Subject, list[float]], dict[Subject, int]]:
    """One for each board that a step was done on in one go, under the step that `kept_in` names for it."""
    rows = (
        StepDone.objects.filter(done_at__gte=since, undone_at__isnull=True, step__in=list(kept_in))
        .order_by("-done_at")
        .values_list("step", "waited_from", "due_at", "done_at")
        .distinct()[:ROWS_MOST]
    )
    found: dict[Subject, list[float]] = defaultdict(list)
    left_out: dict[Subject, int] = defaultdict(int)
    for step_id, waited_from, due_at, done_at in rows:
        if step_id is None:
            continue
        if local(done_at).date() > local(due_at).date():
            left_out[WAIT, kept_in[step_id]] += 1
        elif done_at > waited_from:
            found[WAIT, kept_in[step_id]].append(_minutes(waited_from, done_at))
    return found, left_out
