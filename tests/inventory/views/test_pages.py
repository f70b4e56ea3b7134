"""Every page of the stores: signed in, empty, with one row and with many, and sorted."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta

import pytest
from django.contrib.auth.models import User
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inventory.models import Lot, Material, Posting, Supplier
from inventory.operations.decanting import decant
from inventory.operations.ordering import expect_delivery, keep_pack, place_order
from inventory.operations.receiving import price_lot
from inventory.operations.rounds import begin_round, read_tub
from inventory.queries.months import used_by_month
from inventory.queries.verify import verify_ledger
from tests.bench import years
from tests.factories.inventory import KG, MONDAY, a_filled_tub, a_material, a_supplier, a_tap, a_tub, fill

pytestmark = pytest.mark.django_db


@pytest.fixture
def stocked(db):
    """A powder in a bulk and a working tub, decanted once, with a delivery to come."""
    powder = a_material(
        name="Quick compound", supplier=a_supplier(), opened_life_days=30, safety_level=3 * KG
    )
    bulk = a_tub(powder, code="B4")
    lot = fill(bulk, 10 * KG)
    working = a_tub(powder, code="Q2", role="working")
    decant(source_id=bulk.pk, target_id=working.pk, amount=2 * KG, **a_tap())
    expect_delivery(
        material_id=powder.pk,
        amount=5 * KG,
        ordered_on=date(2026, 10, 5),
        expected_on=date(2026, 10, 9),
        **a_tap(),
    )
    return {"material": powder, "bulk": bulk, "working": working, "lot": lot}


def addresses(stocked):
    powder, lot = stocked["material"], stocked["lot"]
    return {
        "stores": reverse("inventory:stores"),
        "decant": reverse("inventory:decant"),
        "decant two tubs": reverse("inventory:decant") + "?source=B4&target=Q2",
        "count": reverse("inventory:count"),
        "count a tub": reverse("inventory:count") + "?tub=Q2",
        "spill": reverse("inventory:spill"),
        "spill a tub": reverse("inventory:spill") + "?tub=Q2",
        "receive": reverse("inventory:receive"),
        "receive a material": reverse("inventory:receive") + f"?material={powder.pk}",
        "expect": reverse("inventory:expect"),
        "expect a material": reverse("inventory:expect") + f"?material={powder.pk}",
        "tubs": reverse("inventory:tubs"),
        **{f"list of {name}": reverse("inventory:list", args=[name]) for name in LISTS},
        "tub": reverse("inventory:tub", args=["B4"]),
        "tub change": reverse("inventory:tub-change", args=["B4"]),
        "tub label": reverse("inventory:tub-label", args=["B4"]),
        "lot": reverse("inventory:lot", args=[lot.code]),
        "lot price": reverse("inventory:lot-price", args=[lot.code]),
        "material": reverse("inventory:material", args=[powder.pk]),
        "material change": reverse("inventory:material-change", args=[powder.pk]),
        "material new": reverse("inventory:material-new"),
        "tub make": reverse("inventory:tub-make", args=[powder.pk]),
        "supplier new": reverse("inventory:supplier-new"),
        "supplier": reverse("inventory:supplier", args=[powder.supplier_id]),
        "supplier change": reverse("inventory:supplier-change", args=[powder.supplier_id]),
        "pack add": reverse("inventory:pack-add", args=[powder.supplier_id]),
        "what to order": reverse("inventory:to-order"),
        "placed": reverse("inventory:placed"),
        "round": reverse("inventory:round"),
    }


LISTS = ("materials", "tubs", "lots", "ledger", "deliveries", "suppliers")
NOTHING_YET = {
    "materials": "No materials yet. Take in a delivery to begin.",
    "lots": "No lots yet.",
    "ledger": "Nothing was moved in this time.",
    "deliveries": "Nothing was ordered yet.",
    "suppliers": "No suppliers yet.",
}
OWNERS = {"material change", "material new", "supplier new", "supplier change", "pack add", "lot price"}


def test_every_page_opens_for_the_owner(signed_in: Client, stocked):
    for name, address in addresses(stocked).items():
        assert signed_in.get(address).status_code == 200, name


def test_every_page_wants_a_sign_in(stocked):
    for name, address in addresses(stocked).items():
        answer = Client().get(address)
        assert answer.status_code == 302, name
        assert answer.url.startswith(reverse("sign-in")), name


def test_a_helper_opens_all_but_the_owners_pages(signed_in_helper: Client, stocked):
    for name, address in addresses(stocked).items():
        expected = 403 if name in OWNERS else 200
        assert signed_in_helper.get(address).status_code == expected, name


def test_a_helper_sees_no_sum_of_money(signed_in: Client, signed_in_helper: Client, stocked):
    """On no page and in no file of the stores; the owner sees each of these prices somewhere."""
    powder, supplier = stocked["material"], stocked["material"].supplier
    Material.objects.filter(pk=powder.pk).update(safety_level=12 * KG)
    Supplier.objects.filter(pk=supplier.pk).update(carriage_minor=7_77)
    for amount, price_minor in ((5 * KG, 12_34), (25 * KG, 43_21)):
        keep_pack(
            supplier_id=supplier.pk, material_id=powder.pk, amount=amount, price_minor=price_minor, **a_tap()
        )
    lines = [(powder.pk, 5 * KG, 91_19)]
    days = {"ordered_on": date(2026, 10, 5), "expected_on": date(2026, 10, 9)}
    done = place_order(supplier_id=supplier.pk, lines=lines, **days, **a_tap())
    price_lot(lot_id=stocked["lot"].pk, price_minor=56_78, **a_tap())
    begun = begin_round(**a_tap())
    read = {"round_id": begun.facts["round_id"], "container_id": stocked["bulk"].pk, "gross_mg": 5 * KG}
    read_tub(**read, reason="not known", **a_tap())
    ordered = done.facts["delivery_ids"][0]
    pages = addresses(stocked) | {
        "receive an order": reverse("inventory:receive") + f"?material={powder.pk}&delivery={ordered}",
        "differences": reverse("inventory:round-differences"),
        "count sheet": reverse("inventory:round-sheet"),
        **{f"file of {name}": reverse("inventory:list", args=[name]) + "?csv=1" for name in LISTS},
    }
    seen: set[str] = set()
    for name, address in pages.items():
        sums = sums_in(signed_in.get(address))
        seen |= sums
        assert sums_in(signed_in_helper.get(address)) == set(), name
    assert seen >= {"7.77", "12.34", "43.21", "91.19", "56.78"}


def sums_in(answer) -> set[str]:
    page = b"".join(answer).decode(errors="replace")
    # Whole sums only: the page's own clock may well say 57.771204 seconds.
    return set(re.findall(r"(?<![\d.])(?:7\.77|12\.34|43\.21|91\.19|56\.78)(?!\d)|\S* ?GBP", page))


def test_empty_stores_say_how_to_begin(signed_in: Client, studio_open):
    page = signed_in.get(reverse("inventory:stores")).content.decode()
    tubs = signed_in.get(reverse("inventory:tubs")).content.decode()
    receive = signed_in.get(reverse("inventory:receive")).content.decode()

    assert "No materials yet. Take in a delivery to begin." in page
    assert "No tubs yet." in tubs
    for name, sentence in NOTHING_YET.items():
        page = signed_in.get(reverse("inventory:list", args=[name])).content.decode()
        assert sentence in page, name
    assert "Say first what it is" in receive


def test_pages_show_amounts_with_their_units(signed_in: Client, stocked):
    tub = signed_in.get(reverse("inventory:tub", args=["B4"])).content.decode()
    tubs = signed_in.get(reverse("inventory:tubs")).content.decode()

    assert "holds 8.00 kg" in tub
    assert "-2.00 kg" in tub
    assert "2.00 kg into" in tub
    assert "8000000" not in tub + tubs
    assert "2.00 kg" in tubs


def test_an_unknown_tub_lot_or_material_is_said_with_what_is_near(signed_in: Client, stocked):
    for address, sentence in [
        (reverse("inventory:tub", args=["B5"]), "There is no tub B5. Near: B4."),
        (reverse("inventory:lot", args=["NOPE"]), "There is no lot NOPE."),
        (reverse("inventory:count") + "?tub=ZZ9", "There is no tub ZZ9."),
        (reverse("inventory:decant") + "?source=B4&target=ZZ9", "There is no tub ZZ9 in use."),
        (reverse("inventory:material", args=[987654]), "There is no such material."),
        (reverse("inventory:receive") + "?material=nonsense", "There is no such material."),
        (reverse("inventory:tub-make", args=[987654]), "There is no such material."),
        (reverse("inventory:supplier", args=[987654]), "There is no such supplier."),
    ]:
        page = signed_in.get(address, follow=True).content.decode()
        assert sentence in page, address


def test_tubs_are_sorted_as_asked(signed_in: Client, stocked):
    up = signed_in.get(reverse("inventory:tubs") + "?sort=holds").content.decode()
    down = signed_in.get(reverse("inventory:tubs") + "?sort=-holds").content.decode()

    assert up.index(">Q2<") < up.index(">B4<")
    assert down.index(">B4<") < down.index(">Q2<")


def queries_of(client: Client, address: str) -> int:
    client.get(address)
    with CaptureQueriesContext(
        connection,
    ) as captured:
        assert client.get(address).status_code == 200
    return len(captured)


def test_the_number_of_queries_does_not_grow_with_the_rows(signed_in: Client, stocked, studio_open):
    paths = {name: address for name, address in addresses(stocked).items() if name != "tub label"}
    with_few = {name: queries_of(signed_in, address) for name, address in paths.items()}

    powder, bulk, working = stocked["material"], stocked["bulk"], stocked["working"]
    for number in range(12):
        other = a_material(supplier=a_supplier(), safety_level=KG)
        a_filled_tub(5 * KG, other)
        a_filled_tub(1 * KG, other, role="working")
        fill(bulk, 1 * KG)
        later = MONDAY + timedelta(minutes=number + 1)
        decant(source_id=bulk.pk, target_id=working.pk, amount=KG, **a_tap(now=later))
    for _ in range(3):
        a_filled_tub(1 * KG, powder)

    assert {name: queries_of(signed_in, address) for name, address in paths.items()} == with_few


def test_the_history_is_paged(signed_in: Client, owner: User):
    tub = a_tub(code="B9")
    for _ in range(60):
        fill(tub, KG // 10)

    first = signed_in.get(reverse("inventory:tub", args=["B9"]))
    earlier = first.context["history"].earlier_before
    second = signed_in.get(reverse("inventory:tub", args=["B9"]) + f"?before={earlier}")

    assert len(first.context["history"].rows) == 50
    assert len(second.context["history"].rows) == 10
    assert second.context["history"].rows[-1].holds == KG // 10
    assert second.context["history"].rows[0].holds == KG


@pytest.fixture
def many_years(studio_open, monkeypatch):
    """A lot a year, each of a hundred entries."""
    monkeypatch.setattr(years, "ENTRIES_PER_YEAR", years.ENTRIES_PER_LOT)
    years.found_studio()
    years.fill_years(25 * years.ENTRIES_PER_LOT, datetime(2051, 10, 5, 8, 0, tzinfo=UTC))


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
    in_the_first_year = used_by_month(date(2027, 9, 30), 12)
    assert sum(row.amount for row in in_the_first_year.rows if row.reason == "mixes") > 0
