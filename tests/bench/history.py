"""Years of history behind the present: ledger entries and shipped orders, straight into the tables."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from uuid import UUID

from django.db import transaction

from inventory.arithmetic.codes import make_piece_mark
from inventory.models import Act, Container, Entry, Lot, Material, Place, Posting
from orders.models import Assignment, Customer, Order, OrderLine, Parcel, ParcelPiece
from production.models import Article, Cast, Colour, Compound, Mix, MouldCopy, Piece

DRAWS_PER_LOT = 99
MARKS_BEFORE = 10_000


def fill_ledger(entries_count: int, now: datetime) -> int:
    """At least `entries_count` entries in lots that came in and were used up; answers how many."""
    powder = Material.objects.filter(kind="powder").first()
    tub = Container.objects.filter(material=powder).select_related("place").first()
    assert powder and tub, "load the demo first"
    supplier = Place.objects.get_or_create(kind=Place.Kind.SUPPLIER)[0]
    mix = Place.objects.get_or_create(kind=Place.Kind.MIX)[0]
    lots_count = -(-entries_count // (DRAWS_PER_LOT + 1))
    draw_mg = 100_000
    with transaction.atomic():
        lots = Lot.objects.bulk_create(
            Lot(
                material=powder,
                code=f"OLD-{number}",
                received_on=now.date() - timedelta(days=900 - number % 800),
                amount=DRAWS_PER_LOT * draw_mg,
                price_minor=4000,
            )
            for number in range(lots_count)
        )
        written = 0
        for number, lot in enumerate(lots):
            happened_at = now - timedelta(days=900 - number % 800)
            kinds = [Posting.Kind.RECEIPT] + [Posting.Kind.DRAW] * DRAWS_PER_LOT
            postings = Posting.objects.bulk_create(
                Posting(
                    kind=kind,
                    happened_at=happened_at,
                    recorded_at=happened_at,
                    request_key=UUID(int=number + 1),
                )
                for kind in kinds
            )
            moves = [(supplier, tub.place, lot.amount)] + [(tub.place, mix, draw_mg)] * DRAWS_PER_LOT
            written += len(
                Entry.objects.bulk_create(
                    Entry(posting=posting, lot=lot, source=source, destination=destination, amount=amount)
                    for posting, (source, destination, amount) in zip(postings, moves, strict=True)
                )
            )
        Act.objects.bulk_create(
            Act(
                request_key=UUID(int=number + 1),
                name="inventory.receive_lot",
                content_digest="old",
                said=f"Lot OLD-{number} taken in.",
                happened_at=now - timedelta(days=800),
                recorded_at=now - timedelta(days=800),
            )
            for number in range(lots_count)
        )
    return written


def fill_orders(orders_count: int, today: date, now: datetime) -> None:
    """Shipped orders of two pieces each, with their mixes, casts, parcels and customers."""
    article = Article.objects.filter(parts__isnull=False, is_matched=False).first()
    colours = list(Colour.objects.all())
    copies = list(MouldCopy.objects.all())
    compound = Compound.objects.first()
    assert article and copies and compound, "load the demo first"
    part = article.parts.get()
    days_ago = [3 + number * 700 // orders_count for number in range(orders_count)]
    with transaction.atomic():
        customers = Customer.objects.bulk_create(
            Customer(name=f"Godwit {number}", address="9 Invented Row\nNowhere-on-Mud")
            for number in range(orders_count)
        )
        orders = Order.objects.bulk_create(
            Order(
                number=f"P{number}",
                customer=customer,
                ordered_on=today - timedelta(days=ago + 14),
                ship_by=today - timedelta(days=ago),
                closed_at=now - timedelta(days=ago),
            )
            for number, (customer, ago) in enumerate(zip(customers, days_ago, strict=True))
        )
        lines = OrderLine.objects.bulk_create(
            OrderLine(order=order, article=article, colour=colours[number % len(colours)], quantity=2)
            for number, order in enumerate(orders)
        )
        mixes = Mix.objects.bulk_create(
            Mix(
                number=1_000_000 + number,
                compound=compound,
                colour=line.colour,
                powder_mg=900_000,
                water_mg=300_000,
                dry_mg_per_ul=1.6,
                started_at=now - timedelta(days=ago + 9),
                poured_at=now - timedelta(days=ago + 9),
            )
            for number, (line, ago) in enumerate(zip(lines, days_ago, strict=True))
        )
        pieces = Piece.objects.bulk_create(
            Piece(
                mark=make_piece_mark(MARKS_BEFORE + 2 * number + which),
                article=article,
                colour=line.colour,
                out_at=now - timedelta(days=ago + 8),
                last_step_at=now - timedelta(days=ago + 5),
                ready_at=now - timedelta(days=ago + 4),
                shipped_at=now - timedelta(days=ago),
                steps_done=article.route.steps.count(),
            )
            for number, (line, ago) in enumerate(zip(lines, days_ago, strict=True))
            for which in (0, 1)
        )
        Cast.objects.bulk_create(
            Cast(
                mix=mixes[index // 2],
                part=part,
                mould_copy=copies[index % len(copies)],
                piece_colour=piece.colour,
                position=index % 2 + 1,
                fill_mg=400_000,
                poured_at=piece.out_at - timedelta(hours=2),
                out_at=piece.out_at,
                outcome="good",
                piece=piece,
            )
            for index, piece in enumerate(pieces)
        )
        Assignment.objects.bulk_create(
            Assignment(piece=piece, line=lines[index // 2]) for index, piece in enumerate(pieces)
        )
        parcels = Parcel.objects.bulk_create(
            Parcel(order=order, packed_at=order.closed_at, shipped_at=order.closed_at) for order in orders
        )
        ParcelPiece.objects.bulk_create(
            ParcelPiece(parcel=parcels[index // 2], piece=piece, ticked_at=piece.shipped_at)
            for index, piece in enumerate(pieces)
        )
