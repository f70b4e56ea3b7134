"""The least a test of the orders needs: a small range, orders for it, and pieces on the shelf."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from inventory.arithmetic.codes import make_piece_mark
from inventory.models import Material
from orders.models import Order
from orders.operations.assigning import offer_pieces
from orders.operations.keeping import NewOrder
from orders.operations.taking import type_order
from production.models import Article, Cast, Colour, Compound, Mix, Piece
from tests.factories.inventory import MONDAY, a_filled_tub, a_material, a_tap
from tests.factories.production import a_colour, a_compound, a_mould, a_route, an_article

_numbers = itertools.count(1)
TODAY = MONDAY.date()
PIECE = 1_000


@dataclass(frozen=True)
class SmallRange:
    """Trays in Rust and Slate, filled cups (candles) in Slate only, and boxes to post them."""

    compound: Compound
    rust: Colour
    slate: Colour
    tray: Article
    cup: Article
    box: Material


def a_range(*, boxes: int = 20) -> SmallRange:
    """Ferry trays and filled Cockle cups, each posted in a box of its own; so many boxes in the stores."""
    compound = a_compound()
    rust = a_colour(compound, name="Rust")
    slate = a_colour(compound, name="Slate")
    box = a_material(name="Post box, medium", kind="packaging", unit="piece")
    if boxes:
        a_filled_tub(boxes * PIECE, box, role="working", capacity=100 * PIECE)
    packing = {"packaging": box, "packaging_each": PIECE}
    tray = an_article(
        compound, rust, a_mould(name="Ferry tray"), part_names=["tray"], name="Ferry tray",
        silhouette="tray", care="Wipe with a damp cloth.\nNot for food.", **packing,
    )  # fmt: skip
    tray.colours.add(slate)
    cup = an_article(
        compound, slate, a_mould(name="Cockle cup"), part_names=["cup"], silhouette="cup", is_candle=True,
        name="Cockle tea-light cup, filled", route=_a_candle_route(), **packing,
    )  # fmt: skip
    return SmallRange(compound, rust, slate, tray, cup, box)


def _a_candle_route() -> Any:
    wax = a_material(name="Container wax", kind="wax", hazard_wording="Contains linalool. May irritate.")
    return a_route(
        {"kind": "fill", "name": "fill", "wait_minutes": 0, "material": wax, "amount_each": 62_000}
    )


def a_new_order(lines: Sequence[tuple[Article, Colour, int]], **fields: Any) -> NewOrder:
    """An order as typed: for Sandpiper Low, ordered today, leaving on Friday."""
    given = {
        "number": f"{20_000 + next(_numbers)}",
        "customer": "Sandpiper Low",
        "address": "3 Invented Row\nNowhere-on-Mud\nZZ0 0ZZ",
        "ordered_on": TODAY,
        "ship_by": TODAY + timedelta(days=4),
        "lines": tuple((article.pk, colour.pk, quantity) for article, colour, quantity in lines),
        **fields,
    }
    return NewOrder(**given)


def an_order(*lines: tuple[Article, Colour, int], now: datetime = MONDAY, **fields: Any) -> Order:
    """A kept order of these lines."""
    done = type_order(**a_tap(now=now), order=a_new_order(lines, **fields))
    return Order.objects.get(pk=done.facts["order_id"])


def a_market_day(*lines: tuple[Article, Colour, int], on: date, **fields: Any) -> Order:
    """A kept market day."""
    given = {"number": f"Invented Quay {on}", "kind": "market", "customer": "", "address": "", "ship_by": on}
    return an_order(*lines, **given | fields)


def a_piece(
    article: Article,
    colour: Colour,
    *,
    ready_at: datetime | None = MONDAY - timedelta(hours=1),
    offer: bool = True,
    **fields: Any,
) -> Piece:
    """A good piece on the shelf with cast and mix, ready unless said otherwise; offered to the orders."""
    number = next(_numbers)
    out_at = MONDAY - timedelta(days=3)
    given = {
        "mark": f"new{number}", "out_at": out_at, "last_step_at": out_at, "ready_at": ready_at,
        "steps_done": article.route.steps.count() if ready_at else 0, **fields,
    }  # fmt: skip
    piece = Piece.objects.create(article=article, colour=colour, **given)
    piece.mark = fields.get("mark") or make_piece_mark(piece.pk)
    piece.save(update_fields=["mark"])
    part = article.parts.order_by("id").first()
    assert part is not None
    mix = Mix.objects.create(
        number=9000 + number, compound=part.compound, colour=colour, powder_mg=1, water_mg=1,
        dry_mg_per_ul=1.5, started_at=out_at - timedelta(hours=2), poured_at=out_at - timedelta(hours=2),
    )  # fmt: skip
    Cast.objects.create(
        mix=mix, part=part, mould_copy=part.mould.copies.order_by("number")[0], piece_colour=colour,
        position=1, fill_mg=1, poured_at=mix.poured_at, out_at=out_at, outcome=piece.outcome, piece=piece,
    )  # fmt: skip
    if offer:
        offered()
    return piece


def offered(now: datetime = MONDAY) -> None:
    """Free pieces are kept for whoever lacks them, as at the end of an act."""
    from django.db import transaction

    with transaction.atomic():
        offer_pieces(now=now)
