"""What the demo studio is asked for: the orders of the first morning, and the file of new ones to import.

Every customer is a bird or a tide on an invented street.
"""
# ruff: noqa: E501

from __future__ import annotations

import csv
import io
from datetime import date, timedelta

from orders.operations.taking import NewOrder
from shopfloor.journeys.demo.rows import ARTICLE_PK, COLOUR_PK

DAYS_LIVED = 11
SHIPPED_ORDER = "1040"
POT = "Saltings pot and saucer"
TRAY = "Ferry tray"
BOOKEND = "Groyne bookend"
PLAIN_CUP = "Cockle tea-light cup, plain"
FILLED_CUP = "Cockle tea-light cup, filled"
SOAP = "Strand soap dish"
TRINKET = "Creek trinket dish and lid"
STREET = "Invented Row\nNowhere-on-Mud"

Wanted = tuple[tuple[str, str, int], ...]


def _order(
    number: str, customer: str, ordered_on: date, ship_by: date, wanted: Wanted, gift: str = ""
) -> NewOrder:
    return NewOrder(
        number=number,
        ordered_on=ordered_on,
        ship_by=ship_by,
        customer=customer,
        address=f"{int(number[-2:]) + 2} {STREET}",
        gift_message=gift,
        came_from="post",
        lines=tuple(
            (ARTICLE_PK[article], COLOUR_PK[colour], quantity) for article, colour, quantity in wanted
        ),
    )


def first_orders(morning: date) -> list[NewOrder]:
    """Orders open on the morning the demo begins, and the market day; ship-by days count from the day it ends."""
    today = morning + timedelta(days=DAYS_LIVED)

    def leaves(days: int) -> date:
        return today + timedelta(days=days)

    market_on = leaves(9 + (5 - leaves(9).weekday()) % 7)
    market = NewOrder(
        number="Invented Quay market",
        kind="market",
        ordered_on=morning,
        ship_by=market_on,
        lines=tuple(
            (ARTICLE_PK[article], COLOUR_PK[colour], quantity)
            for article, colour, quantity in (
                (TRAY, "Rust", 4), (POT, "Brick", 2), (PLAIN_CUP, "Shell", 6), (SOAP, "Samphire", 2),
            )
        ),
    )  # fmt: skip
    return [
        _order(SHIPPED_ORDER, "Oystercatcher Point", morning, leaves(-1), ((TRAY, "Slate", 2), (SOAP, "Fog", 1))),
        _order("1041", "Sandpiper Low", morning, leaves(1), ((FILLED_CUP, "Shell", 4),), "For the windowsill."),
        _order("1043", "Redshank Bank", morning, leaves(2), ((TRAY, "Brick", 2), (PLAIN_CUP, "Fog", 3))),
        _order("1044", "Plover Marsh", morning, leaves(3), ((POT, "Samphire", 2),)),
        _order("1045", "Curlew Sands", morning, leaves(4), ((TRAY, "Fog", 1), (SOAP, "Shell", 2), (BOOKEND, "Slate", 2))),
        _order("1046", "Knot Shallows", morning, leaves(5), ((TRINKET, "Fog", 2), (TRAY, "Rust", 2))),
        market,
    ]  # fmt: skip


def too_much(today: date) -> NewOrder:
    """Three pairs of bookends that two copies of the mould cannot make in time."""
    return _order("1047", "Heron Ebb", today, today + timedelta(days=5), ((BOOKEND, "Fog", 6),))


def order_file(today: date) -> str:
    """A file of four new orders, as a shop's export gives it (RFC 4180): other headings, other column order."""
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(
        [
            "Colour",
            "Article",
            "How many",
            "Order",
            "Customer",
            "Street",
            "Town",
            "Ordered",
            "Ship by",
            "Gift message",
        ]
    )
    rows: list[tuple[str, str, int, str, str, int, int, str]] = [
        ("Brick", TRAY, 2, "1048", "Dunlin Spit", 8, 8, ""),
        ("Samphire", SOAP, 2, "1048", "Dunlin Spit", 8, 8, ""),
        ("Rust", POT, 2, "1049", "Turnstone Bar", 11, 9, "With love, from the \"mud\" side"),
        ("Shell", PLAIN_CUP, 4, "1050", "Godwit Neap", 4, 10, ""),
        ("Fog", TRINKET, 1, "1050", "Godwit Neap", 4, 10, ""),
        ("Slate", TRAY, 3, "1051", "Whimbrel Spring", 15, 12, "Happy, belated birthday"),
    ]  # fmt: skip
    for colour, article, quantity, number, customer, house, days, gift in rows:
        writer.writerow(
            [
                colour, article, quantity, number, customer, f"{house} Invented Row", "Nowhere-on-Mud",
                today.isoformat(), (today + timedelta(days=days)).isoformat(), gift,
            ]
        )  # fmt: skip
    return text.getvalue()
