"""The whole ledger as a download."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from inventory.arithmetic.ledger_file import check_ledger_file
from inventory.operations.spilling import note_spill
from tests.factories.inventory import KG, a_filled_tub, a_tap

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("form", ["csv", "jsonl"])
def test_what_is_downloaded_can_be_checked_without_the_studio(signed_in: Client, studio_open, form):
    note_spill(container_id=a_filled_tub(KG).pk, amount=1000, **a_tap())

    answer = signed_in.get(reverse("inventory:ledger-file", args=[form]))

    assert answer["Content-Disposition"].endswith(f'.{form}"')
    whole = b"".join(answer.streaming_content)
    checked = check_ledger_file(lambda: iter(whole.splitlines(keepends=True)), form)
    assert checked.faults == ()
    assert checked.counts["entries"] == 2


def test_only_the_owner_gets_it_and_another_form_is_refused(
    signed_in: Client, signed_in_helper: Client, studio_open
):
    assert signed_in_helper.get(reverse("inventory:ledger-file", args=["csv"])).status_code == 403

    page = signed_in.get(reverse("inventory:ledger-file", args=["xlsx"]), follow=True).content.decode()
    assert "Ask for the ledger as csv or as jsonl." in page
