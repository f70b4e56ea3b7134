"""The clock that rings: one for a studio, however many machines it runs on.

Each clock tries to hold one row of the database; whoever holds it rings and holds it anew before the time is
over. When that machine dies, the row's time runs out and the next clock goes on. The time is the database's,
because machines' own clocks differ.
"""

from __future__ import annotations

import logging
import time
from datetime import timedelta
from typing import Any
from uuid import UUID, uuid4

from celery.beat import Scheduler
from django.conf import settings
from django.db import Error, IntegrityError, connection
from django.db.models import DateTimeField, ExpressionWrapper, Q
from django.db.models.functions import Now

from shopfloor.jobs.models import Clock

logger = logging.getLogger(__name__)

# So many rings may be missed before another clock takes over.
RINGS_MISSED = 3
LOOK_SECONDS = 1.0
# More than this between the wall's time and the time gone by, and the machine's clock was set.
SET_BY_SECONDS = 2.0


def held_seconds() -> int:
    """How long the row is held without being held anew."""
    return max(RINGS_MISSED * int(settings.JOB_RING_SECONDS), 3)


def hold(holder: UUID) -> bool:
    """Hold the clock's row, or go on holding it; answers whether it is ours.

    Changes: the row, by one conditional update.
    """
    gone_by, far = Now(), timedelta(seconds=2 * held_seconds())
    # A time further away than anybody writes is left from a clock that was set back since.
    free = Q(holder=holder) | Q(until=None) | Q(until__lt=gone_by) | Q(until__gt=_after(far))
    until = _after(timedelta(seconds=held_seconds()))
    if Clock.objects.filter(free, pk=1).update(holder=holder, until=until):
        return True
    try:
        if not Clock.objects.filter(pk=1).exists():
            Clock.objects.create(pk=1)
            return bool(Clock.objects.filter(pk=1, until=None).update(holder=holder, until=until))
    except IntegrityError:
        # Another clock made the row at the same moment: it is tried again in a second.
        return False
    return False


def let_go(holder: UUID) -> None:
    """Let the row go at once, so that the next clock need not wait."""
    Clock.objects.filter(pk=1, holder=holder).update(holder=None, until=None)


def _after(wait: timedelta) -> ExpressionWrapper[Any]:
    return ExpressionWrapper(Now() + wait, output_field=DateTimeField())


class OneClock(Scheduler):  # type: ignore[misc]
    """Celery's clock. It rings only while it holds the row, and goes on when the machine's clock is set."""

    def setup_schedule(self) -> None:
        """Begin with a name of its own, holding nothing."""
        self.holder = uuid4()
        self.is_ours = False
        self.wall_ahead = time.time() - time.monotonic()
        super().setup_schedule()

    def tick(self) -> float:
        """Ring what is due, where it is ours to ring; answers the seconds until the next look."""
        try:
            connection.close_if_unusable_or_obsolete()
            was_ours, self.is_ours = self.is_ours, hold(self.holder)
        except Error as fault:
            # Without the database a ring would be of no use.
            connection.close()
            self.is_ours = False
            logger.warning("The clock waits for the database: %s", str(fault).strip())
            return LOOK_SECONDS
        if not self.is_ours:
            return LOOK_SECONDS
        if not was_ours or self._was_set():
            self._begin_anew()
        return min(float(super().tick()), held_seconds() / RINGS_MISSED)

    def close(self) -> None:
        """End, and leave the row to the next."""
        try:
            let_go(self.holder)
        except Error as fault:
            logger.warning("The clock could not be let go: %s", str(fault).strip())
        super().close()

    def _was_set(self) -> bool:
        """Whether the machine's clock was set since the last look: what is due was reckoned by it."""
        ahead = time.time() - time.monotonic()
        was_ahead, self.wall_ahead = self.wall_ahead, ahead
        return abs(ahead - was_ahead) > SET_BY_SECONDS

    def _begin_anew(self) -> None:
        """Ring everything once, now, and reckon from there."""
        long_ago = self.app.now() - timedelta(days=1)
        for entry in self.schedule.values():
            entry.last_run_at = long_ago
        self._heap = None
