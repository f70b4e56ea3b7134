"""Names and addresses are erased by themselves after the time the studio chose."""

from __future__ import annotations

from datetime import datetime
from uuid import uuid4

from orders.arithmetic.months import months_before
from orders.operations.erasing import erase_long_gone
from orders.queries.held import long_gone
from shopfloor.studio.port import LiveStudio


def forget_names(studio: LiveStudio, *, now: datetime) -> int:
    """Erase the customers whose time is over, if one was chosen; answers how many orders they had.

    Changes: as `erase_long_gone`. Again: nothing more, since they are erased.
    """
    months = studio.facts.forget_after_months
    if not months or not long_gone(months_before(now, months)).exists():
        return 0
    return len(erase_long_gone(request_key=uuid4(), now=now, months=months).facts["numbers"])
