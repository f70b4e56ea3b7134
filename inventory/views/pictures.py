"""From what a query found to the facts of a drawing."""

from __future__ import annotations

from datetime import date, datetime

from inventory.drawings.shapes import Picture
from inventory.drawings.stair import StairFacts, stair_picture
from inventory.drawings.tubs import Tub, tubs_picture
from inventory.drawings.wall_clock import DAY, wall_minutes
from inventory.queries.decant_proposal import DecantProposal, TubState
from inventory.queries.decant_sums import DecantSums
from inventory.queries.running_out import RunningOut
from inventory.queries.wording import alike, in_words

# Plans say the day of a draw, not its hour: the step is drawn at noon.
NOON = DAY / 2


def stair_of(row: RunningOut, now_local: datetime) -> Picture:
    """The stair of one material from today."""
    today = now_local.date()
    changes = [
        (_minute(day.day, today, now_local), change)
        for day in row.balances
        for change in (day.delivered, -day.drawn)
        if change
    ]
    order_by = (row.order_by_on - today).days * DAY + 1 if row.order_by_on and row.flag else None
    return stair_picture(
        StairFacts(
            says=f"{in_words(row.held, row.unit)} held. {row.sentence}",
            held=row.held,
            changes=tuple(changes),
            least=row.safety,
            first_day=today,
            days=len(row.balances),
            now=wall_minutes(now_local, today),
            order_by=order_by,
        )
    )


def tubs_of(proposal: DecantProposal) -> Picture:
    """The bulk tub, the working tub, and what is brought over."""
    bulk, working = proposal.bulk, proposal.working
    bring, in_bulk, in_working, will_hold = alike(
        proposal.unit, proposal.amount, bulk.held, working.held, working.held + proposal.amount
    )
    return tubs_picture(
        Tub(f"bulk tub {bulk.code}", bulk.held, bulk.capacity, in_bulk.split()[0]),
        Tub(f"working tub {working.code}", working.held, working.capacity, in_working.split()[0]),
        bring=proposal.amount,
        bring_words=bring,
        why_words="carries the week" if proposal.carries_the_week else "as much as there is room for",
        says=f"Bulk tub {bulk.code} holds {in_bulk}, working tub {working.code} holds {in_working}."
        f" Bring over {bring} so that {working.code} holds {will_hold}.",
    )


def tubs_after(source: TubState, target: TubState, sums: DecantSums) -> Picture:
    """Both tubs as they stand, with what a decant that was typed would bring."""
    bring, in_source, in_target, source_will, target_will = alike(
        source.unit, sums.into, source.held, target.held, sums.source_will_hold, sums.target_will_hold
    )
    return tubs_picture(
        Tub(f"{source.role_words} {source.code}", source.held, source.capacity, in_source.split()[0]),
        Tub(f"{target.role_words} {target.code}", target.held, target.capacity, in_target.split()[0]),
        bring=sums.into,
        bring_words=bring,
        why_words=f"then {target_will}",
        says=f"{source.code} holds {in_source} and will hold {source_will}. {target.code} holds {in_target}"
        f" and will hold {target_will}.",
    )


def _minute(day: date, today: date, now_local: datetime) -> float:
    noon = (day - today).days * DAY + NOON
    return max(noon, wall_minutes(now_local, today)) if day == today else noon
