"""Counting and spilling on the page."""

from __future__ import annotations

from datetime import date

import pytest
from django.test import Client

from tests.factories.inventory import (
    KG,
    a_filled_tub,
    a_material,
    a_post,
    a_tub,
    acts_done,
    held,
    ledger_size,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def tubs(db):
    powder = a_material(name="Quick compound")
    bulk = a_filled_tub(13_720_000, powder, code="B4", tare_mg=1_180_000)
    working = a_filled_tub(5_310_000, powder, code="Q2", role="working", tare_mg=860_000, capacity=15 * KG)
    return bulk, working


COUNT = "/stores/count/?tub=Q2"
SPILL = "/stores/spill/?tub=Q2"


REFUSED = [
    (COUNT, {"reading": "0.80"}, "is less than the empty tub (0.86 kg)", "reading"),
    (COUNT, {"reading": "17"}, "Is something else on the scale?", "reading"),
    (COUNT, {"reading": "6.10"}, "0.07 kg less. Choose why.", "reason"),
    (COUNT, {"reading": "heavy"}, "is not an amount", "reading"),
    (COUNT, {"reading": "5 l"}, "5 l is a volume, and a weight is wanted.", "reading"),
    (COUNT, {"reading": ""}, "Fill this in", "reading"),
    (SPILL, {"amount": "9", "reason": "spill"}, "Q2 holds 5.31 kg, and 9.00 kg is asked for.", "amount"),
    (SPILL, {"amount": "9", "reason": "spill"}, "More is in B4 (13.72 kg).", "amount"),
    (SPILL, {"amount": "0", "reason": "spill"}, "Nothing was lost", "amount"),
]


@pytest.mark.parametrize(("address", "typed", "sentence", "field"), REFUSED)
def test_a_refusal_stands_beside_its_field_and_keeps_what_was_typed(
    signed_in: Client, tubs, address, typed, sentence, field
):
    before, sent = ledger_size(), a_post(**typed)

    answer = signed_in.post(address, sent)

    page = answer.content.decode()
    assert answer.status_code == 422
    assert sentence in " ".join(answer.context["form"].errors[field])
    assert f'id="id_{field}_error"' in page
    for text in typed.values():
        assert not text or text in page
    assert sent["request_key"] in page
    assert (ledger_size(), acts_done().count()) == (before, 0)


def test_a_count_with_its_reason_is_kept(signed_in: Client, tubs):
    answer = signed_in.post(COUNT, a_post(reading="6.10", reason="not known"), follow=True)

    assert "Q2 holds 5.24 kg, 0.07 kg less than it should (not known)." in answer.content.decode()
    assert held(tubs[1]) == 5_240_000


def test_a_retired_tub_cannot_be_counted(signed_in: Client, tubs):
    a_tub(tubs[0].material, code="Q9", role="working", retired_on=date(2026, 10, 1))

    count = signed_in.post("/stores/count/?tub=Q9", a_post(reading="2"))

    assert count.status_code == 422
    assert "Q9 is retired since 1 Oct 2026" in count.content.decode()
