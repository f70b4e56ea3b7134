"""What goes into the calendar: the Bench's own timetable, the mixes that set, and the days orders leave."""

from __future__ import annotations

from datetime import datetime

from django.urls import reverse

from orders.queries.leaving_days import leaving_days
from production.queries.setting import mixes_setting
from production.queries.timetable import MIX, OPEN, Dated, timetable_now
from shopfloor.feed.icalendar import Event

ABOUT = "about "


def entries(*, now: datetime, site_address: str) -> list[Event]:
    """The entries of the calendar, in order of time. Order numbers are in it, and no names."""
    dated = [_timed(one, site_address) for one in timetable_now(now=now)]
    setting = [
        Event(
            key=f"mix-{mix.mix_id}",
            begins=mix.started_at,
            ends=mix.stiff_at,
            summary=f"Mix {mix.number}, {mix.colour}, to work",
            link=site_address + reverse("production:bench"),
        )
        for mix in mixes_setting()
    ]
    days = [
        Event(
            key=f"order-{order.order_id}",
            begins=order.ship_by,
            ends=None,
            summary=f"Market day {order.number}" if order.is_market else f"Ship {order.number}",
            link=site_address + reverse("orders:order", args=[order.number]),
        )
        for order in leaving_days()
    ]
    return [*setting, *dated, *days]


def _timed(one: Dated, site_address: str) -> Event:
    if one.kind == MIX:
        link = reverse("production:weigh", args=[one.planned_id])
    elif one.moulds:
        link = reverse("production:open", args=[one.moulds.mix_id])
    else:
        link = reverse("production:shelf")
    return Event(
        key=one.key,
        begins=one.at,
        ends=one.ends_at,
        summary=f"{ABOUT}{one.words}" if one.is_about else one.words,
        link=site_address + link,
        rings=one.kind == OPEN and not one.is_about,
    )
