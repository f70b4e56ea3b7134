"""Forgetting a customer: name and address go, totals and traces stay."""

from __future__ import annotations

from inventory.operations.acts import Done, Tap, act
from orders.errors import NoSuchOrder, NotToErase
from orders.models import Customer, Order, OrderBefore
from orders.operations.uploads import forget_uploads

ERASED_NAME = "name erased"


@act("orders.erase_customer")
def erase_customer(tap: Tap, *, customer_id: int) -> Done:
    """Erase the name, address, notes and gift messages of a customer. It cannot be undone.

    Orders, pieces and what they were made from stay, under the order number. Uploaded order files are
    forgotten, since one may hold the address.

    Changes: orders_customer, orders_order, orders_orderbefore.
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
    customer.name, customer.address = ERASED_NAME, ""
    customer.erased_at = tap.now
    customer.save(update_fields=["name", "address", "erased_at"])
    orders = Order.objects.filter(customer=customer)
    numbers = list(orders.values_list("number", flat=True))
    orders.update(note="", gift_message="")
    OrderBefore.objects.filter(order__customer=customer).delete()
    OrderBefore.objects.filter(fields__customer_id=customer.pk).delete()
    forget_uploads()
    said = f"Name and address of {', '.join(numbers[:6])} erased. Orders and traces stay."
    return Done(said, {"customer_id": customer.pk, "numbers": numbers})
