"""What is held about one customer, and which customers nothing is needed of any more."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Max, Q, QuerySet

from orders.errors import NoSuchOrder
from orders.models import Customer, Order, Parcel


@dataclass(frozen=True)
class CustomerPage:
    """A customer with the numbers of all orders, newest first, and whether the name can be erased now."""

    id: int
    name: str
    address: str
    is_erased: bool
    orders: tuple[Order, ...]

    @property
    def can_erase(self) -> bool:
        """Whether no order is open that needs the address."""
        return not self.is_erased and all(order.closed_at for order in self.orders)


def customer_page(customer_id: int) -> CustomerPage:
    """One customer. Two queries.

    Raises: NoSuchOrder.
    """
    found = _customer(customer_id)
    orders = tuple(found.orders.order_by("-ordered_on", "-id"))
    return CustomerPage(found.pk, found.name, found.address, bool(found.erased_at), orders)


def held_about(customer_id: int) -> dict[str, Any]:
    """All that is held about a customer, as plain figures and words. Nine queries, however many orders.

    Raises: NoSuchOrder.
    """
    found = _customer(customer_id)
    orders = (
        found.orders.select_related("replaces")
        .prefetch_related(
            "lines__article",
            "lines__colour",
            "parcels__pieces__piece",
            "parcels__packaging__material",
            "parcels__returns__piece",
        )
        .order_by("ordered_on", "id")
    )
    return {
        "name": found.name,
        "address": found.address.splitlines(),
        "erased_at": found.erased_at,
        "orders": [_order(order) for order in orders],
    }


def long_gone(before: datetime) -> QuerySet[Customer]:
    """Customers with a name whose last order was closed before an instant and who wait for nothing."""
    open_one = Q(orders__closed_at__isnull=True)
    return (
        Customer.objects.filter(erased_at__isnull=True, orders__isnull=False)
        .exclude(pk__in=Customer.objects.filter(open_one).values("pk"))
        .annotate(last=Max("orders__closed_at"))
        .filter(last__lt=before)
        .order_by("pk")
    )


def _customer(customer_id: int) -> Customer:
    found = Customer.objects.filter(pk=customer_id).first()
    if found is None:
        raise NoSuchOrder("There is no such customer. Open the order again.", number="")
    return found


def _order(order: Order) -> dict[str, Any]:
    return {
        "number": order.number,
        "came_from": order.came_from,
        "ordered_on": order.ordered_on,
        "ship_by": order.ship_by,
        "closed_at": order.closed_at,
        "called_off": order.called_off,
        "replaces": order.replaces.number if order.replaces else None,
        "note": order.note,
        "gift_message": order.gift_message,
        "lines": [
            {"article": line.article.name, "colour": line.colour.name, "quantity": line.quantity}
            for line in order.lines.all()
        ],
        "parcels": [_parcel(parcel) for parcel in order.parcels.all()],
    }


def _parcel(parcel: Parcel) -> dict[str, Any]:
    return {
        "number": parcel.number,
        "packed_at": parcel.packed_at,
        "shipped_at": parcel.shipped_at,
        "carrier": parcel.carrier,
        "tracking": parcel.tracking,
        "weight_g": parcel.weight_mg / 1000 if parcel.weight_mg else None,
        "pieces": [one.piece.mark for one in parcel.pieces.all()],
        "returned": [
            {"piece": one.piece.mark, "why": one.why, "as": one.outcome, "noted_at": one.noted_at}
            for one in parcel.returns.all()
        ],
    }
