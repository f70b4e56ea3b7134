"""Loads the demo studio: what it owns, then a week and a half of its life up to now."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from pathlib import Path
from uuid import UUID, uuid5

from django.core.management import call_command
from django.db import transaction

from inventory.operations.ordering import expect_delivery
from inventory.operations.receiving import receive_lot
from orders.operations.changing import change_order
from orders.operations.packing import tick_piece
from orders.operations.shipping import ship_parcel
from orders.operations.taking import type_order
from orders.operations.wishes import set_wish
from orders.queries.order_page import order_page
from orders.queries.packing_page import packing_page
from shopfloor.journeys.demo.asked import (
    DAYS_LIVED,
    ORDERS,
    PUT_OFF,
    order_file,
    orders_of,
    working_day,
)
from shopfloor.journeys.demo.living import DEMO_KEYS, Hands
from shopfloor.journeys.demo.rows import (
    ARTICLE_PK,
    COLOUR_PK,
    MATERIAL_PK,
    PLACES,
    TUBS,
    samphire_lane,
)
from shopfloor.journeys.planning import plan_week
from shopfloor.studio.port import LiveStudio

Say = Callable[[str], None]
SHELF_WISHES = (("Ferry tray", "Slate", 2), ("Strand soap dish", "Shell", 2))
# The days before today are planned quickly: what becomes of them is past, and the first page should not wait.
PLAN_EFFORT_PERCENT = 1


def load_demo(*, now: datetime, folder: Path, by: int | None = None, say: Say = lambda _: None) -> Path:
    """Fill an empty studio with Samphire Lane and let it live until `now`; answers the order file to import.

    Everything after the plain rows goes through the studio's own operations, at their own times in the past.
    """
    say("Loading Samphire Lane, the demo studio")
    with transaction.atomic():
        load_rows()
        studio = LiveStudio()
        began = _morning_of(studio.local(now).date() - timedelta(days=DAYS_LIVED), studio)
        hands = Hands(hours=studio.hours, now=began, until=now, by=by)
        _fill_stores(hands)
        for article, colour, level in SHELF_WISHES:
            set_wish(article_id=ARTICLE_PK[article], colour_id=COLOUR_PK[colour], level=level, **hands.keys())
        _live_until(hands, studio, now)
    file = folder / "demo-orders.csv"
    file.write_text(order_file(studio.local(now).date()), encoding="utf-8", newline="")
    return file


def load_rows() -> None:
    """Put what the demo studio is and owns into an empty database."""
    with tempfile.NamedTemporaryFile("w", suffix=".json", delete=False, encoding="utf-8") as file:
        json.dump(samphire_lane(), file, default=lambda value: value.isoformat())
    try:
        call_command("loaddata", file.name, verbosity=0)
    finally:
        Path(file.name).unlink()


def _morning_of(day: date, studio: LiveStudio) -> datetime:
    return datetime.combine(day, time(8, 0), tzinfo=studio.hours.zone)


def _fill_stores(hands: Hands) -> None:
    """Deliveries of weeks ago, each into its own tub."""
    today = hands.now
    for material, tub, role, tare_g, capacity, amount, price_minor, days_ago in TUBS:
        hands.now = today - timedelta(days=days_ago)
        receive_lot(
            material_id=MATERIAL_PK[material],
            amount=amount,
            received_on=hands.now.date(),
            new_container={
                "role": role,
                "code": tub,
                "tare_mg": tare_g * 1000,
                "capacity": capacity,
                "stands_at": PLACES[tub[0]],
            },
            price_minor=price_minor,
            supplier_lot=f"{tub}-{hands.now:%y%m}",
            **hands.keys(),
        )
    hands.now = today


def _live_until(hands: Hands, studio: LiveStudio, now: datetime) -> None:
    """Take orders and plan each morning, work the day, ship what is ready; stop in the middle of today."""
    day = hands.now.astimezone(studio.hours.zone).date()
    last = studio.local(now).date()
    while day <= last:
        hands.now = min(now, max(hands.now, _morning_of(day, studio)))
        for order in orders_of(day, last):
            type_order(order=order, **hands.keys())
        if day == last:
            _put_off(hands, last)
        if day == last - timedelta(days=2):
            _order_powder(hands)
        if studio.hours.is_working_day(day):
            _plan(hands, studio)
            hands.work_until(min(now, _morning_of(day + timedelta(days=1), studio)))
            _ship(hands)
        day += timedelta(days=1)
    hands.now = now
    hands.leave_something()
    _plan(hands, studio)


def _put_off(hands: Hands, today: date) -> None:
    """Sandpiper Low asks for a later day, when the cups have been ready for two."""
    page = order_page(PUT_OFF, now=hands.now, hours=hands.hours)
    (asked,) = (
        order
        for before in range(DAYS_LIVED + 1)
        for order in orders_of(today - timedelta(days=before), today)
        if order.number == PUT_OFF
    )
    later = replace(asked, ship_by=working_day(today + timedelta(days=1)))
    change_order(order_id=page.id, order=later, **hands.keys())


def _order_powder(hands: Hands) -> None:
    """A delivery on its way."""
    today = hands.now.date()
    expect_delivery(
        material_id=MATERIAL_PK["Quick compound"],
        amount=15_000_000,
        ordered_on=today,
        expected_on=working_day(today + timedelta(days=6)),
        **hands.keys(),
    )


def _plan(hands: Hands, studio: LiveStudio) -> None:
    hands.acts += 1
    key: UUID = uuid5(DEMO_KEYS, f"plan {hands.acts}")
    with transaction.atomic():
        plan_week(
            request_key=key, by=hands.by, now=hands.now, studio=studio, effort_percent=PLAN_EFFORT_PERCENT
        )()


def _ship(hands: Hands) -> None:
    """Pack and send every order that has left by the end, once all of it is ready."""
    for _, number, _, days, _, _ in ORDERS:
        if days >= 0 or number == PUT_OFF:
            continue
        page = packing_page(number, now=hands.now, hours=hands.hours)
        if not page.left or len(page.rows) < page.left:
            continue
        marks = [row.mark for row in page.rows]
        for mark in marks:
            tick_piece(order_id=page.order_id, mark=mark, **hands.keys())
        ship_parcel(order_id=page.order_id, marks=marks, hours=hands.hours, **hands.keys())
