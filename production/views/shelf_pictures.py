"""From what the Shelf found to the facts of its drawings."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from inventory.drawings.shapes import Drawn
from inventory.drawings.wall_clock import wall_minutes
from inventory.ports import Studio
from production.drawings.day_ruler import bare_ruler
from production.drawings.day_scale import DayScale, DrawnDay, drawn_days
from production.drawings.drying_curve import DryingFacts, Weighing, drawn_drying_curve
from production.drawings.ebb import EbbFacts, EbbKind, EbbStep, ebb_kind, ebb_picture
from production.queries.progress import PieceHere
from production.queries.shelf import ShelfRow
from production.queries.waiting import DRY

DAYS_BACK, DAYS_SHOWN = 4, 11
WIDE, NARROW = 416, 334
MIXING = timedelta(minutes=10)
HANDS = timedelta(minutes=20)


class ShelfPictures:
    """Draws the strips of one page over the same days."""

    def __init__(self, studio: Studio, now: datetime) -> None:
        self.studio = studio
        self.now = now
        today = studio.local(now).date()
        self.first_day = today - timedelta(days=DAYS_BACK)
        self.days: tuple[DrawnDay, ...] = drawn_days(self.first_day, DAYS_SHOWN, self._hours_of)
        self.now_minute = self._minute(now)

    def ruler(self) -> Drawn:
        """The head of the boards: the days."""
        picture = bare_ruler(self.days, self.now_minute, WIDE)
        return Drawn(wide=picture, narrow=picture)

    def strip(self, row: ShelfRow) -> Drawn:
        """The strip of one row, from the mix to the piece standing."""
        facts = self._facts(row)
        return Drawn(
            wide=ebb_picture(facts, DayScale(self.days, WIDE, self.now_minute), height=44, with_words=False),
            narrow=ebb_picture(
                facts, DayScale(self.days, NARROW, self.now_minute), height=40, with_words=False
            ),
        )

    def curve(self, piece: PieceHere) -> Drawn | None:
        """The weighings of a piece on its drying curve, None before the first."""
        drying = piece.drying
        if not drying.readings:
            return None
        first_day = self.studio.local(drying.readings[0][0]).date()
        is_fitted = drying.told_by == "weighed" and len(drying.readings) >= 3
        words = f"dry {self.studio.local(drying.dry_at):%a %H:%M}"
        return drawn_drying_curve(
            DryingFacts(
                weighings=tuple(
                    Weighing(self._minute(at, first_day), mass, f"{mass / 1000:,.1f} g")
                    for at, mass in drying.readings
                ),
                first_day=first_day,
                dry_mass_mg=drying.fit_dry_mg if is_fitted else None,
                start_mass_mg=drying.fit_start_mg if is_fitted else None,
                tau=drying.tau_hours * 60 if is_fitted else None,
                dry_at=self._minute(drying.dry_at, first_day),
                dry_words=words,
            )
        )

    def _facts(self, row: ShelfRow) -> EbbFacts:
        piece = row.first
        out, dry = self._minute(piece.out_at), self._minute(piece.drying.dry_at)
        steps, ready = self._steps(piece)
        return EbbFacts(
            name=f"Mix {row.mixes}, {len(row.pieces)} {piece.article}, {piece.colour}",
            started=self._minute(piece.poured_at - MIXING),
            poured=self._minute(piece.poured_at),
            out=out,
            dry=dry,
            ready=max(ready, dry),
            mixed=True,
            colour_hex=piece.colour_hex,
            silhouette=piece.silhouette,
            tau=piece.drying.tau_hours * 60,
            steps=steps,
        )

    def _steps(self, piece: PieceHere) -> tuple[tuple[EbbStep, ...], float]:
        """The steps of the route where they were or will be if each is done when due, and when it is over.

        Only the last step's time is kept on the piece: the ones before it are set back by their waits.
        """
        done_at: list[datetime] = []
        at = piece.last_step_at
        for step in reversed(piece.steps[: piece.steps_done]):
            done_at.insert(0, at)
            at -= timedelta(minutes=step.wait_minutes or 0)
        drawn = [
            EbbStep(ebb_kind(step.kind), self._minute(when), self._minute(when + HANDS), True, step.name)
            for step, when in zip(piece.steps, done_at, strict=False)
            if step.wants_hands
        ]
        at = piece.last_step_at
        for step in piece.steps[piece.steps_done :]:
            due = (
                max(at, piece.drying.dry_at)
                if step.wait_minutes is None
                else at + timedelta(minutes=step.wait_minutes)
            )
            if step.wants_hands:
                due = max(due, self.now)
                start, end = self._minute(due), self._minute(due + HANDS)
                drawn.append(EbbStep(ebb_kind(step.kind), start, end, name=step.name))
            else:
                kind: EbbKind = "dry" if step.kind == DRY else "cure"
                drawn.append(EbbStep(kind, self._minute(at), self._minute(due), name=step.name))
            at = due
        return tuple(drawn), self._minute(at)

    def _hours_of(self, day: date) -> tuple[float, float] | None:
        hours = self.studio.hours
        if not hours.is_working_day(day):
            return None
        stretches = [stretch for stretch in hours.weekly if stretch.weekday == day.weekday()]
        opens = min(stretch.opens for stretch in stretches)
        closes = max(stretch.closes for stretch in stretches)
        return opens.hour * 60.0 + opens.minute, closes.hour * 60.0 + closes.minute

    def _minute(self, at: datetime, first_day: date | None = None) -> float:
        return wall_minutes(self.studio.local(at), first_day or self.first_day)
