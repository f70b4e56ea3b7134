"""What the stores must hold by scale readings and the weights on the pages, kept apart from the ledger."""

from __future__ import annotations

import io
from collections import Counter

from django.core.management import call_command
from django.db.models import Sum

from inventory.models import Container, Entry, Holding


class Book:
    """A second book: amounts by tub, in thousandths, written down by whoever does the work."""

    def __init__(self, delivered: dict[str, int]) -> None:
        self.holds = Counter(delivered)

    def out_of(self, tub: str, amount: int) -> None:
        """An amount left a tub."""
        self.holds[tub] -= amount

    def into(self, tub: str, amount: int) -> None:
        """An amount came into a tub."""
        self.holds[tub] += amount

    def check(self) -> None:
        """The ledger says the same, by its entries and by its holdings, and finds no fault in itself."""
        tubs = {container.place_id: container.code for container in Container.objects.all()}
        moved: Counter[str] = Counter()
        for place, amount in _sums("destination"):
            if place in tubs:
                moved[tubs[place]] += amount
        for place, amount in _sums("source"):
            if place in tubs:
                moved[tubs[place]] -= amount
        held: Counter[str] = Counter()
        for place, amount in Holding.objects.values_list("place").annotate(Sum("amount")):
            held[tubs[place]] += amount
        assert (+moved, +held) == (+self.holds, +self.holds)
        call_command("verify_ledger", stdout=io.StringIO())


def _sums(side: str) -> list[tuple[int, int]]:
    return list(Entry.objects.order_by().values_list(side).annotate(Sum("amount")))
