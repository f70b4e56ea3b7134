"""When e-mail may go: quiet hours and the hour of the daily one, both on the studio's wall clock."""

from __future__ import annotations

from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo


def is_quiet(clock: time, quiet_from: time | None, quiet_until: time | None) -> bool:
    """Whether a wall clock time lies in the quiet hours, which may go over midnight."""
    if quiet_from is None or quiet_until is None:
        return False
    if quiet_from < quiet_until:
        return quiet_from <= clock < quiet_until
    return clock >= quiet_from or clock < quiet_until


def last_digest(now: datetime, digest_at: time, zone: ZoneInfo) -> datetime:
    """The last time up to `now` (aware) at which the wall clock showed `digest_at`, in UTC.

    Once a day whatever the clock does: an hour that comes twice counts the first time, one that is left out
    as much later as the clock was put on.
    """
    day = now.astimezone(zone).date()
    moments = [
        datetime.combine(day - timedelta(days=back), digest_at, tzinfo=zone).astimezone(UTC)
        for back in range(3)
    ]
    return next(moment for moment in moments if moment <= now)


def is_due(
    *,
    at_once: bool,
    made_at: datetime,
    now: datetime,
    digest_at: time,
    quiet_from: time | None,
    quiet_until: time | None,
    zone: ZoneInfo,
) -> bool:
    """Whether what came up at `made_at` is to be told by now: at once, or with the daily one."""
    if is_quiet(now.astimezone(zone).time(), quiet_from, quiet_until):
        return False
    return at_once or made_at <= last_digest(now, digest_at, zone)
