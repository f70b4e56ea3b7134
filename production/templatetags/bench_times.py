"""Times in templates as the bench says them."""

from __future__ import annotations

from datetime import datetime

from django import template
from django.utils.timezone import localtime

from production.queries import wording

register = template.Library()


@register.filter
def day_clock(at: datetime, now: datetime) -> str:
    """{{ due_at|day_clock:now }} -> "15:50" today, else "Thu 8, 09:10"."""
    return wording.day_clock(at, now)


@register.filter
def said_clock(at: datetime, now: datetime) -> str:
    """{{ due_at|said_clock:now }} -> "today 15:50", else "Thu 8, 09:10"."""
    return wording.said_clock(at, now)


@register.filter
def is_another_day(at: datetime, now: datetime) -> bool:
    """Whether an instant falls on another day than today by the studio's clock."""
    return localtime(at).date() != localtime(now).date()
