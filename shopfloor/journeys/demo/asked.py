"""What the demo studio is asked for, day by day, and the file of new orders to import.

Every customer is a bird or a tide on an invented street.
"""
# ruff: noqa: E501

from __future__ import annotations

import csv
import io
from datetime import date, timedelta

from orders.operations.keeping import NewOrder
from shopfloor.journeys.demo.rows import ARTICLE_PK, COLOUR_PK

DAYS_LIVED = 12
# Ready in time, and then wanted later: there is always this one to pack.
PUT_OFF = "1041"
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
        lines=_lines(wanted),
    )


def _lines(wanted: Wanted) -> tuple[tuple[int, int, int], ...]:
    return tuple((ARTICLE_PK[article], COLOUR_PK[colour], quantity) for article, colour, quantity in wanted)


def working_day(day: date) -> date:
    """`day`, or the Monday after it when it is a weekend."""
    return day + timedelta(days=max(0, 7 - day.weekday()) if day.weekday() > 4 else 0)


# Days before the end on which an order came in; number, customer, days to ship-by counted from the end, lines.
ORDERS: tuple[tuple[int, str, str, int, Wanted, str], ...] = (
    (12, "1036", "Whimbrel Reach", -3, ((TRAY, "Slate", 2),), ""),
    (12, "1038", "Dunlin Spit", -2, ((SOAP, "Fog", 2), (PLAIN_CUP, "Rust", 2)), ""),
    (12, PUT_OFF, "Sandpiper Low", -2, ((FILLED_CUP, "Shell", 4),), "For the windowsill, from all of us."),
    (12, "1042", "Oystercatcher Point", -1, ((TRAY, "Rust", 1), (SOAP, "Shell", 1)), ""),
    (9, "1043", "Redshank Bank", 1, ((TRAY, "Brick", 2), (PLAIN_CUP, "Fog", 3)), ""),
    (8, "1044", "Plover Marsh", 3, ((POT, "Samphire", 2),), ""),
    (7, "1045", "Curlew Sands", 3, ((TRAY, "Fog", 1), (SOAP, "Shell", 2), (BOOKEND, "Slate", 2)), ""),
    (5, "1046", "Knot Shallows", 6, ((TRINKET, "Fog", 2), (TRAY, "Rust", 2)), ""),
    (3, "1048", "Turnstone Bar", 1, ((FILLED_CUP, "Samphire", 4), (TRAY, "Slate", 2)), "Happy new home."),
    (2, "1049", "Godwit Neap", 7, ((POT, "Brick", 1), (PLAIN_CUP, "Shell", 4)), ""),
    (1, "1047", "Heron Ebb", 6, ((BOOKEND, "Fog", 6),), ""),
)
MARKET: Wanted = ((TRAY, "Rust", 4), (POT, "Brick", 2), (PLAIN_CUP, "Shell", 6), (SOAP, "Samphire", 2))


def orders_of(day: date, today: date) -> list[NewOrder]:
    """What came in on `day` of the demo's life, which ends on `today`."""
    came = [
        _order(number, customer, day, working_day(today + timedelta(days=days)), wanted, gift)
        for before, number, customer, days, wanted, gift in ORDERS
        if today - timedelta(days=before) == day
    ]
    if day == today - timedelta(days=DAYS_LIVED):
        saturday = today + timedelta(days=9 + (5 - today.weekday() - 9) % 7)
        came.append(
            NewOrder(
                number="Invented Quay market",
                kind="market",
                ordered_on=day,
                ship_by=saturday,
                lines=_lines(MARKET),
            )
        )
    return came


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
        ("Brick", TRAY, 2, "1051", "Avocet Ness", 8, 8, ""),
        ("Samphire", SOAP, 2, "1051", "Avocet Ness", 8, 8, ""),
        ("Rust", POT, 2, "1052", "Bittern Fleet", 11, 9, "With love, from the \"mud\" side"),
        ("Shell", PLAIN_CUP, 4, "1053", "Lapwing Hard", 4, 10, ""),
        ("Fog", TRINKET, 1, "1053", "Lapwing Hard", 4, 10, ""),
        ("Slate", TRAY, 3, "1054", "Whimbrel Spring", 15, 12, "Happy, belated birthday"),
    ]  # fmt: skip
    for colour, article, quantity, number, customer, house, days, gift in rows:
        writer.writerow(
            [
                colour, article, quantity, number, customer, f"{house} Invented Row", "Nowhere-on-Mud",
                today.isoformat(), working_day(today + timedelta(days=days)).isoformat(), gift,
            ]
        )  # fmt: skip
    return text.getvalue()
