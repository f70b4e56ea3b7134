"""Several people at the same tubs at the same moment: whatever they do, the ledger agrees afterwards."""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import Any
from uuid import uuid4

import pytest

from inventory.errors import StudioError
from inventory.models import Act, Container, Holding
from inventory.operations.acts import Done
from inventory.operations.counting import count_container
from inventory.operations.decanting import decant
from inventory.operations.ledger import draw_material
from inventory.operations.receiving import receive_lot
from inventory.operations.spilling import note_spill
from inventory.operations.undoing import UNDO
from inventory.queries.verify import verify_ledger
from tests.factories.inventory import KG, MONDAY, a_material, a_tap, a_tub, fill, held, in_an_act
from tests.services.at_once import at_once

pytestmark = pytest.mark.django_db(transaction=True)
PEOPLE = 4
ACTS_EACH = 12


def a_person_at(tubs: list[Container], seed: int) -> Callable[[], list[str]]:
    """Does a dozen things in an order of its own; answers what was neither done nor refused in a sentence."""
    chance = random.Random(seed)
    bulk, working = tubs[:2], tubs[2]

    def one() -> Done | None:
        tub, amount = chance.choice(tubs), chance.randint(1, KG)
        acts: list[Callable[[], Any]] = [
            lambda: note_spill(container_id=tub.pk, amount=amount, **a_tap()),
            lambda: decant(
                source_id=chance.choice(bulk).pk,
                target_id=working.pk,
                amount=amount,
                lumps=amount // 50,
                **a_tap(),
            ),
            lambda: count_container(container_id=tub.pk, gross_mg=KG + amount, reason="scale", **a_tap()),
            lambda: receive_lot(
                material_id=tub.material_id,
                amount=amount,
                received_on=MONDAY.date(),
                container_id=tub.pk,
                **a_tap(),
            ),
            lambda: drawn(tub.material_id, amount),
            undo,
        ]
        return chance.choice(acts)()

    def drawn(material_id: int, amount: int) -> None:
        with in_an_act() as tap:
            draw_material(tap, material_id, amount, "mix")

    def undo() -> None:
        ids = list(Act.objects.filter(name__in=UNDO).order_by("-pk").values_list("pk", "name")[:5])
        if ids:
            act_id, name = chance.choice(ids)
            UNDO[name](act_id=act_id, **a_tap(uuid4()))

    def all_day() -> list[str]:
        astray = []
        for _ in range(ACTS_EACH):
            try:
                one()
            except StudioError as refusal:
                if not refusal.message.endswith((".", "?")):
                    astray.append(refusal.message)
            except Exception as fault:  # the test names every fault that is no sentence
                astray.append(repr(fault))
        return astray

    return all_day


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_whatever_several_people_do_at_once_the_ledger_agrees(seed):
    powder = a_material()
    tubs = [
        a_tub(powder, code=code, capacity=30 * KG, role=role)
        for code, role in (("B1", "bulk"), ("B2", "bulk"), ("Q1", "working"))
    ]
    for tub in tubs:
        fill(tub, 3 * KG + 1)
        fill(tub, 2 * KG + 2)

    astray = at_once(*(a_person_at(tubs, PEOPLE * seed + person) for person in range(PEOPLE)))

    assert astray == [[]] * PEOPLE
    assert Act.objects.count() > PEOPLE * ACTS_EACH // 2
    assert not Holding.objects.filter(amount__lt=0).exists()
    assert verify_ledger().faults == ()


def test_of_two_who_draw_the_last_kilogram_one_succeeds_and_the_other_is_told_what_is_left():
    tub = a_tub(a_material(name="Quick compound"), code="B4")
    fill(tub, KG)

    answers = at_once(*[lambda: note_spill(container_id=tub.pk, amount=800_000, **a_tap())] * 2)

    done = [answer for answer in answers if isinstance(answer, Done)]
    refused = [answer for answer in answers if isinstance(answer, StudioError)]
    assert (len(done), len(refused)) == (1, 1)
    assert "B4 holds 200 g, and 800 g is asked for." in refused[0].message
    assert held(tub) == 200_000
    assert verify_ledger().faults == ()
