"""The least a test of the stores needs: every function makes one thing, and says what it holds."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime
from typing import Any
from uuid import UUID, uuid4

from django.db import transaction
from django.db.models import QuerySet

from inventory.models import Act, Container, Lot, Material, Place, Posting, Supplier
from inventory.operations.acts import Tap
from inventory.operations.ledger import Move, outside, post

MONDAY = datetime(2026, 10, 5, 8, 0, tzinfo=UTC)
KG = 1_000_000
G = 1_000

SCENE = "tests.scene"

_numbers = itertools.count(1)


def a_supplier(**fields: Any) -> Supplier:
    """A supplier who takes three working days."""
    return Supplier.objects.create(**{"name": f"Mudlark Minerals {next(_numbers)}", **fields})


def a_material(**fields: Any) -> Material:
    """A powder measured in grams."""
    given = {"name": f"Quick compound {next(_numbers)}", "kind": "powder", "unit": "g", **fields}
    return Material.objects.create(**given)


def a_tub(material: Material | None = None, **fields: Any) -> Container:
    """An empty bulk tub: 1 kg without content, room for 25 kg."""
    given = {
        "code": f"B{next(_numbers)}",
        "role": "bulk",
        "tare_mg": 1 * KG,
        "capacity": 25 * KG,
        "material": material or a_material(),
        "place": Place.objects.create(kind=Place.Kind.CONTAINER),
        **fields,
    }
    return Container.objects.create(**given)


def a_lot(material: Material, amount: int, **fields: Any) -> Lot:
    """A lot that is in no tub yet."""
    given = {
        "code": f"L{next(_numbers)}",
        "received_on": date(2026, 9, 1),
        "material": material,
        "amount": amount,
        **fields,
    }
    return Lot.objects.create(**given)


def fill(tub: Container, amount: int, **lot_fields: Any) -> Lot:
    """A new lot of `amount` (thousandths) received into the tub."""
    lot = a_lot(tub.material, amount, **lot_fields)
    with in_an_act() as tap:
        post(tap, "receipt", [Move(lot.pk, outside("supplier").pk, tub.place_id, amount)])
    return lot


def a_filled_tub(amount: int, material: Material | None = None, **fields: Any) -> Container:
    """A tub that holds one lot of `amount` (thousandths)."""
    tub = a_tub(material, **fields)
    fill(tub, amount)
    return tub


def a_tap_of(**fields: Any) -> Tap:
    """The tap that a ledger function is handed by the act it is part of."""
    return Tap(**{"request_key": uuid4(), "by": None, "happened_at": MONDAY, "now": MONDAY, **fields})


@contextmanager
def in_an_act(**fields: Any) -> Iterator[Tap]:
    """The transaction and the record of an act, for ledger functions that are parts of one."""
    tap = a_tap_of(**fields)
    with transaction.atomic():
        yield tap
        Act.objects.create(
            request_key=tap.request_key,
            name=SCENE,
            content_digest="",
            said="Done.",
            by_id=tap.by,
            happened_at=tap.happened_at,
            recorded_at=tap.now,
        )


def acts_done() -> QuerySet[Act]:
    """The acts of people, without those that only set a test's scene."""
    return Act.objects.exclude(name=SCENE)


def a_tap(key: UUID | None = None, **fields: Any) -> dict[str, Any]:
    """The arguments that every act takes beside its content."""
    return {"request_key": key or uuid4(), "now": MONDAY, "by": None, **fields}


def a_post(**typed: Any) -> dict[str, Any]:
    """A form as a page sends it, with its request key."""
    return {"request_key": str(uuid4()), **typed}


def held(tub: Container) -> int:
    """What the tub holds of all lots (thousandths)."""
    return sum(tub.place.holdings.values_list("amount", flat=True))


def ledger_size() -> tuple[int, int]:
    """How many postings and entries there are, to show that a refusal added none."""
    return Posting.objects.count(), sum(posting.entries.count() for posting in Posting.objects.all())
