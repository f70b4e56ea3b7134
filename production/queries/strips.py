"""One mix from jug to the day it leaves: what was, what the plan says, and what follows from the route."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from production.models import PlannedCast, PlannedLine
from production.queries.plans import MixAhead, MixMade, is_late
from production.queries.waiting import DRY, StepFacts
from production.queries.wording import counted

Times = Mapping[str, tuple[datetime, int]]
"""Start and minutes of each planned step, by its name."""


@dataclass(frozen=True)
class StripStep:
    """One step after casting. `kind` is as `RouteStep.Kind` has it; what only passes is a cure or dries."""

    kind: str
    name: str
    start_at: datetime
    end_at: datetime
    is_done: bool


@dataclass(frozen=True)
class Strip:
    """One mix for one day on which it leaves. `leaves_on` None for shelf stock.

    `what` counts its casts: "2 pots, saucers"; `also` names further days and market days it is for. `pin_id`
    is what holds it at its time, if it was put there by hand.
    """

    number: int
    planned_mix_id: int | None
    is_mixed: bool
    colour: str
    colour_hex: str
    silhouette: str
    what: str
    started_at: datetime
    poured_at: datetime
    out_at: datetime
    dry_at: datetime
    ready_at: datetime
    steps: tuple[StripStep, ...]
    tau_minutes: float | None
    leaves_on: date | None
    is_late: bool
    also: str = ""
    pin_id: int | None = None


def planned_strip(
    ahead: MixAhead,
    casts: Sequence[PlannedCast],
    lines: Sequence[PlannedLine],
    steps: Sequence[StepFacts],
    leaves_on: date | None,
    also: str,
) -> Strip:
    """The strip of a mix still to be mixed. `lines` of the group it hangs in, the last packed first."""
    planned = ahead.planned
    minutes = sum(cast.mould.open_minutes * cast.quantity for cast in casts)
    out_at = planned.opens_at + timedelta(minutes=minutes)
    dry_at = out_at + timedelta(hours=planned.compound.dry_hours)
    found, ends_at = project(steps, 0, out_at, dry_at, times_of(lines[0]), planned.starts_at)
    return Strip(
        number=ahead.number,
        planned_mix_id=planned.pk,
        is_mixed=False,
        colour=planned.colour.name,
        colour_hex=planned.colour.hex,
        silhouette=lines[0].article.silhouette,
        what=cast_words((cast.part.name, cast.quantity) for cast in casts),
        started_at=planned.starts_at,
        poured_at=planned.starts_at + timedelta(minutes=planned.compound.weigh_and_mix_minutes),
        out_at=out_at,
        dry_at=dry_at,
        ready_at=max(ends_at, lines[0].packed_at or ends_at),
        steps=found,
        tau_minutes=None,
        leaves_on=leaves_on,
        is_late=any(is_late(line) for line in lines),
        also=also,
        pin_id=planned.pin_id if planned.pin and planned.pin.released_at is None else None,
    )


def made_strip(
    made: MixMade,
    line: PlannedLine | None,
    steps: Sequence[StepFacts],
    leaves_on: date | None,
    now: datetime,
) -> Strip:
    """The strip of a mix that was mixed. `line` is the planned board of its pieces, None if there is none."""
    cast, mix = made.first, made.first.mix
    out_at, dry_at, done, last_step_at, tau = made.out_at, None, 0, None, None
    if made.pieces:
        piece = made.pieces[0]
        dry_at, done, last_step_at = piece.drying.dry_at, piece.steps_done, piece.last_step_at
        if piece.drying.told_by == "weighed":
            tau = piece.drying.tau_hours * 60
    dry_at = dry_at or out_at + timedelta(hours=mix.compound.dry_hours)
    times = times_of(line) if line else {}
    found, ends_at = project(steps, done, out_at, dry_at, times, now, last_step_at)
    packed_at = line.packed_at if line and not made.is_ready else None
    return Strip(
        number=mix.number,
        planned_mix_id=None,
        is_mixed=True,
        colour=mix.colour.name,
        colour_hex=mix.colour.hex,
        silhouette=cast.part.article.silhouette,
        what=cast_words((one.part.name, 1) for one in made.casts),
        started_at=mix.started_at,
        poured_at=min([one.poured_at for one in made.casts if one.poured_at] or [mix.started_at]),
        out_at=out_at,
        dry_at=dry_at,
        ready_at=max(ends_at, packed_at or ends_at),
        steps=found,
        tau_minutes=tau,
        leaves_on=leaves_on,
        is_late=bool(line and is_late(line)),
    )


def project(
    steps: Sequence[StepFacts],
    steps_done: int,
    out_at: datetime,
    dry_at: datetime,
    times: Times,
    not_before: datetime,
    last_step_at: datetime | None = None,
) -> tuple[tuple[StripStep, ...], datetime]:
    """The steps of a route in time, and when the last of them is over.

    A step that was done stands where it was done, one that is planned where the plan has it, any other at the
    end of its wait, not before `not_before`. A cure wants no hands and runs at once.
    """
    found: list[StripStep] = []
    at = out_at
    for place, step in enumerate(steps):
        due = max(at, dry_at) if step.wait_minutes is None else at + timedelta(minutes=step.wait_minutes)
        if not step.wants_hands:
            kind = DRY if step.kind == DRY else "cure"
            found.append(StripStep(kind, step.name, at, due, place < steps_done or due <= not_before))
            at = due
            continue
        if place < steps_done:
            start = last_step_at if place == steps_done - 1 and last_step_at else due
            at = start
        else:
            start, minutes = times.get(step.name, (max(due, not_before), step.minutes_for(1)))
            at = start + timedelta(minutes=minutes)
        found.append(StripStep(step.kind, step.name, start, at, place < steps_done))
    return tuple(found), at if steps else max(at, dry_at)


def times_of(line: PlannedLine) -> dict[str, tuple[datetime, int]]:
    """Start and minutes of each planned step of a line, by its name."""
    return {name: (datetime.fromisoformat(start), minutes) for name, start, minutes in line.steps}


def cast_words(casts: Iterable[tuple[str, int]]) -> str:
    """What is in a mix: "2 pots, saucers" where there are as many of each, else "4 cups, 2 dishes"."""
    counts: Counter[str] = Counter()
    for part, quantity in casts:
        counts[part.lower()] += quantity
    words = [counted(count, part) for part, count in counts.items()]
    if len(set(counts.values())) == 1:
        words[1:] = [one.split(" ", 1)[1] for one in words[1:]]
    return ", ".join(words)
