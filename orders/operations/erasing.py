"""Forgetting a customer: name and address go, totals and traces stay."""

from __future__ import annotations

from collections.abc import Sequence

from inventory.operations.acts import Done, Tap, act
from orders.arithmetic.months import months_before
from orders.errors import NoSuchOrder, NotToErase
from orders.models import ApiAnswer, Customer, Order, OrderBefore, Parcel
from orders.operations.uploads import forget_uploads
from orders.queries.held import long_gone

ERASED_NAME = "name erased"
ERASED_AT_ONCE = 500


@act("orders.erase_customer")
def erase_customer(tap: Tap, *, customer_id: int) -> Done:
    """Erase the name, address, notes, gift messages and tracking of a customer. It cannot be undone.

    Orders, pieces and what they were made from stay, under the order number. Uploaded order files are
    forgotten, since one may hold the address.

    Changes: orders_customer, orders_order, orders_orderbefore, orders_parcel, orders_apianswer.
    Raises: NoSuchOrder when there is no such customer; NotToErase while one of the orders is open.
    """
    customer = Customer.objects.select_for_update().filter(pk=customer_id).first()
    if customer is None:
        raise NoSuchOrder("There is no such customer. Open the order again.", number="")
    waiting = Order.objects.filter(customer=customer, closed_at__isnull=True).first()
    if waiting is not None:
        raise NotToErase(
            f"{waiting.number} is open and needs the address. Ship it or call it off first.",
            number=waiting.number,
        )
    numbers = _erase([customer], tap)
    said = f"Name and address of {', '.join(numbers[:6])} erased. Orders and traces stay."
    return Done(said, {"customer_id": customer.pk, "numbers": numbers})


@act("orders.erase_long_gone")
def erase_long_gone(tap: Tap, *, months: int) -> Done:
    """Erase the customers whose last order was closed more than so many months ago, as `erase_customer` does.

    Changes: as `erase_customer`, for at most `ERASED_AT_ONCE` of them.
    Again: the first answer.
    """
    customers = list(long_gone(months_before(tap.now, months))[:ERASED_AT_ONCE])
    numbers = _erase(customers, tap)
    count = "1 name" if len(customers) == 1 else f"{len(customers)} names"
    return Done(f"{count} and addresses erased after {months} months.", {"numbers": numbers})


def _erase(customers: Sequence[Customer], tap: Tap) -> list[str]:
    """Erase what is personal of customers and their orders; answers the numbers of the orders."""
    ids = [customer.pk for customer in customers]
    Customer.objects.filter(pk__in=ids).update(name=ERASED_NAME, address="", erased_at=tap.now)
    orders = Order.objects.filter(customer__in=ids)
    numbers = list(orders.values_list("number", flat=True))
    orders.update(note="", gift_message="")
    # A carrier's tracking number leads to the address, and what a program was answered holds it.
    Parcel.objects.filter(order__customer__in=ids).update(tracking="")
    ApiAnswer.objects.filter(body__number__in=numbers).delete()
    OrderBefore.objects.filter(order__customer__in=ids).delete()
    OrderBefore.objects.filter(fields__customer_id__in=ids).delete()
    forget_uploads()
    return numbers
