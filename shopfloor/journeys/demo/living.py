"""Lets the demo studio live some days: what hands would do at the Bench, done through the same operations.

Nothing is written round the operations, so the demo's ledger, pieces and plans are as true
as a real studio's.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from typing import Any
from uuid import UUID, uuid5

from inventory.errors import NotEnoughInContainer
from inventory.operations.decanting import decant
from inventory.ports import StudioHours
from inventory.queries.decant_proposal import decant_proposals
from orders.operations.assigning import offer_pieces
from production.errors import MixNotMadeUp
from production.operations.finishing import finish_step
from production.operations.judging import judge_cast
from production.operations.opening import open_moulds
from production.operations.pouring import pour_cast, start_mix
from production.operations.weighing import call_dry
from production.queries.asked import asked_for_pieces
from production.queries.bench import BenchNow, bench_now
from production.queries.needs import planned_draws
from production.queries.progress import pieces_here
from production.queries.setting import mixes_setting
from shopfloor.journeys.demo.rows import ARTICLE_PK, COLOUR_PK

DEMO_KEYS = UUID("6f1d3a52-8a3e-4e0b-9d0c-52e5a3c1f0aa")
# Every so many casts one comes out badly, so that the demo shows what a second and a scrap do.
SCRAP_EVERY = 19
SECOND_EVERY = 23
LOOK_AGAIN_MINUTES = 30
MINUTES_PER_FILL = 2
LUMPS_MG = 15_000
# What fell due in the last hours is left for whoever opens the demo.
LEFT_IN_MOULDS = timedelta(hours=3)
LEFT_UNCOATED = timedelta(hours=20)
LEFT_OUT = timedelta(minutes=75)
LEFT_TO_OPEN = (
    ("Ferry tray", "Slate"),
    ("Cockle tea-light cup, plain", "Fog"),
    ("Strand soap dish", "Shell"),
)


@dataclass
class Hands:
    """One pair of hands living through the studio's hours from `now` on; the demo ends at `until`."""

    hours: StudioHours
    now: datetime
    until: datetime
    by: int | None = None
    acts: int = 0
    casts_judged: int = 0
    decants: int = 0

    def keys(self) -> dict[str, Any]:
        """A request key that follows from how many acts came before, and who and when."""
        self.acts += 1
        return {"request_key": uuid5(DEMO_KEYS, str(self.acts)), "by": self.by, "now": self.now}

    def work_until(self, until: datetime) -> None:
        """Do what is due, in the order the Bench asks for it, in the studio's hours until `until`."""
        for opens, closes in _hours_between(self.hours, self.now, until):
            self.now = max(self.now, opens)
            while self.now < closes:
                self.now += timedelta(minutes=self._next_act(closes))
        self.now = until

    def _next_act(self, closes: datetime) -> int:
        """Do one thing and answer the minutes it took; with nothing to do, when to look again."""
        bench = bench_now(now=self.now)
        minutes_left = int((closes - self.now).total_seconds() // 60)
        return (
            self._open_moulds(bench)
            or self._coat_or_fill(bench)
            or self._mix(bench, minutes_left)
            or LOOK_AGAIN_MINUTES
        )

    def leave_something(self) -> None:
        """See to it that there is a mould to open and a coat to give, whatever the hour."""
        bench = bench_now(now=self.until)
        if not bench.past:
            self._pour_for_the_shelf()
        if not bench.shelf:
            drying = [piece for piece in pieces_here(now=self.until) if piece.state == "drying"]
            if drying:
                first = min(drying, key=lambda piece: piece.out_at)
                call_dry(piece_ids=[first.id], **self.keys())

    def _pour_for_the_shelf(self) -> None:
        """Pour two pieces for shelf stock a little over an hour ago, in moulds that are free."""
        self.now = self.until - LEFT_OUT
        for article, colour in LEFT_TO_OPEN:
            (asked,) = asked_for_pieces(ARTICLE_PK[article], COLOUR_PK[colour], 2)
            casts = [{"part_id": cast.part_id, "quantity": cast.quantity} for cast in asked.casts]
            with contextlib.suppress(MixNotMadeUp, NotEnoughInContainer):
                start_mix(
                    compound_id=asked.compound.pk, colour_id=asked.colour.pk, casts=casts, **self.keys()
                )
                self._pour_all()
                break
        self.now = self.until

    def _open_moulds(self, bench: BenchNow) -> int:
        due = [moulds for moulds in bench.past if moulds.due_at < self.until - LEFT_IN_MOULDS]
        if not due:
            return 0
        opened = open_moulds(mix_id=due[0].mix_id, **self.keys())
        for cast_id in opened.facts["cast_ids"]:
            self._judge(cast_id)
        return 4 * len(opened.facts["cast_ids"])

    def _judge(self, cast_id: int) -> None:
        self.casts_judged += 1
        outcome, reason = "good", ""
        if self.casts_judged % SCRAP_EVERY == 0:
            outcome, reason = "scrap", "torn detail"
        elif self.casts_judged % SECOND_EVERY == 0:
            outcome, reason = "second", "air bubbles"
        judge_cast(cast_id=cast_id, outcome=outcome, reason=reason, offer_pieces=offer_pieces, **self.keys())

    def _coat_or_fill(self, bench: BenchNow) -> int:
        due = [row for row in bench.shelf if row.step and row.due_at < self.until - LEFT_UNCOATED]
        if not due:
            return 0
        row = due[0]
        assert row.step is not None
        finish_step(piece_ids=row.piece_ids, step_id=row.step.step_id, **self.keys())
        return max(1, row.step.minutes_for(len(row.piece_ids)))

    def _mix(self, bench: BenchNow, minutes_left: int) -> int:
        """Mix and pour what is planned for now, decanting first when the working tub is short."""
        following = bench.next_mix
        if following is None or following.starts_at > self.now or following.made_up is None:
            return 0
        minutes = int((following.poured_by - following.starts_at).total_seconds() // 60)
        if minutes > minutes_left:
            return 0
        self._decant()
        try:
            start_mix(planned_mix_id=following.planned_id, **self.keys())
        except (MixNotMadeUp, NotEnoughInContainer):
            # A mould still damp or a tub short: hands do something else and look again.
            return 0
        began = self.now
        self._pour_all()
        self.now = began
        return minutes

    def _pour_all(self) -> None:
        for mix in mixes_setting():
            for fill in mix.fills:
                self.now += timedelta(minutes=MINUTES_PER_FILL)
                pour_cast(cast_id=fill.cast_id, **self.keys())

    def _decant(self) -> None:
        for proposal in decant_proposals(self.now.date(), planned_draws(self.hours.zone), days=3):
            if proposal.amount > 0 and proposal.working.held < proposal.still_needs:
                self.decants += 1
                lumps = min(LUMPS_MG * self.decants, proposal.bulk.held - proposal.amount)
                decant(
                    source_id=proposal.bulk.container_id,
                    target_id=proposal.working.container_id,
                    amount=proposal.amount,
                    # The longer a tub is open, the more the sieve keeps.
                    lumps=max(0, lumps),
                    **self.keys(),
                )


def _hours_between(
    hours: StudioHours, since: datetime, until: datetime
) -> Iterator[tuple[datetime, datetime]]:
    """The stretches with hands in between two instants, cut at both ends."""
    day = since.astimezone(hours.zone).date()
    while day <= until.astimezone(hours.zone).date():
        if hours.is_working_day(day):
            for stretch in hours.weekly:
                opens, closes = (_instant(day, at, hours) for at in (stretch.opens, stretch.closes))
                if stretch.weekday == day.weekday() and closes > since and opens < until:
                    yield max(opens, since), min(closes, until)
        day += timedelta(days=1)


def _instant(day: Any, at: time, hours: StudioHours) -> datetime:
    return datetime.combine(day, at, tzinfo=hours.zone)
