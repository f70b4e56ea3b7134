"""`manage.py verify_ledger`."""

from __future__ import annotations

from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from inventory.models import Holding
from tests.factories.inventory import KG, a_filled_tub

pytestmark = pytest.mark.django_db


def test_says_that_all_agrees():
    a_filled_tub(KG)
    out = StringIO()

    call_command("verify_ledger", stdout=out)

    assert out.getvalue() == (
        "The ledger agrees: 1 holdings are the sums of 1 entries in 1 postings,"
        " and 1 lots are accounted for.\n"
    )


def test_names_the_first_fault_and_fails():
    tub = a_filled_tub(KG, code="B4")
    Holding.objects.update(amount=7)

    with pytest.raises(CommandError) as refusal:
        call_command("verify_ledger", stdout=StringIO())

    code = tub.place.holdings.get().lot.code
    assert str(refusal.value) == (
        f"2 wrong. The first: B4 holds 7 of lot {code} by its holding, 1000000 by the entries."
    )
    # What the shell sees; call_command itself raises.
    assert refusal.value.returncode == 1
