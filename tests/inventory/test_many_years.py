"""A quarter of a century of entries behind the studio: it all agrees, and its pages open at either end."""

from __future__ import annotations

from datetime import UTC, datetime
from datetime import date as Day

import pytest
from django.test import Client
from django.urls import reverse

from inventory.models import Lot, Posting
from inventory.queries.months import used_by_month
from inventory.queries.verify import verify_ledger
from tests.bench import years

YEARS = 25
NOW = datetime(2051, 10, 5, 8, 0, tzinfo=UTC)


@pytest.fixture
def many_years(studio_open, monkeypatch):
    """A lot a year, each of a hundred entries."""
    monkeypatch.setattr(years, "ENTRIES_PER_YEAR", years.ENTRIES_PER_LOT)
    years.found_studio()
    years.fill_years(YEARS * years.ENTRIES_PER_LOT, NOW)


@pytest.mark.django_db
def test_25_years_agree_and_every_page_opens_at_either_end(many_years, signed_in: Client):
    found = verify_ledger()
    first = Posting.objects.order_by("pk").first()
    oldest = Lot.objects.order_by("received_on").first()

    assert (found.faults, found.entries) == ((), 2500)
    assert (first.happened_at.year, oldest.received_on.year) == (2026, 2026)
    for name, arguments, query in (
        ("stores", [], {}),
        ("value", [], {"until": "2027-01"}),
        ("tub", ["B1"], {}),
        ("lot", [oldest.code], {}),
        ("list", ["ledger"], {"since": "2026-01-01", "until": "2051-12-31"}),
        ("list", ["lots"], {"sort": "received_on"}),
    ):
        answer = signed_in.get(reverse(f"inventory:{name}", args=arguments), query)
        assert answer.status_code == 200, name
    in_the_first_year = used_by_month(Day(2027, 9, 30), 12)
    assert sum(row.amount for row in in_the_first_year.rows if row.reason == "mixes") > 0
