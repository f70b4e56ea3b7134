"""The lists of the stores: narrowed, sorted, paged, and as a file."""

from __future__ import annotations

import csv
import io
from datetime import UTC, date, datetime, timedelta

import pytest
from django.test import Client
from django.urls import reverse

from inventory.models import Delivery
from inventory.operations.spilling import note_spill
from tests.factories.inventory import KG, G, a_material, a_supplier, a_tap, a_tub, fill

pytestmark = pytest.mark.django_db
TODAY = datetime.now(UTC).date()


@pytest.fixture
def two_materials(studio_open):
    powder = a_material(name="Quick compound", supplier=a_supplier(name="Mudlark"))
    oxide = a_material(name="=Green oxide", kind="pigment")
    tub = a_tub(powder, code="B4", stands_at="=shelf")
    fill(tub, 10 * KG, supplier=powder.supplier, best_before=TODAY - timedelta(days=3), price_minor=20_00)
    a_tub(powder, code="Q2", role="working")
    fill(a_tub(oxide, code="P1", role="working"), 480_500)
    note_spill(container_id=tub.pk, amount=KG, **a_tap(now=datetime.now(UTC)))
    for days, cancelled in ((-2, None), (5, None), (1, TODAY)):
        Delivery.objects.create(
            material=powder,
            amount=5 * KG,
            ordered_on=TODAY - timedelta(days=9),
            expected_on=TODAY + timedelta(days=days),
            cancelled_on=cancelled,
        )


def firsts(client: Client, name: str, **asked: str) -> list[str]:
    """The first cell of each row."""
    table = client.get(reverse("inventory:list", args=[name]), asked).context["table"]
    column = table.columns.names()[0]
    return [str(row.get_cell_value(column)) for row in table.paginated_rows]


def file_of(client: Client, name: str, **asked: str) -> list[dict[str, str]]:
    answer = client.get(reverse("inventory:list", args=[name]), {**asked, "csv": "1"})
    assert answer["Content-Type"] == "text/csv; charset=utf-8"
    text = b"".join(answer.streaming_content).decode()
    return list(csv.DictReader(io.StringIO(text, newline="")))


@pytest.mark.parametrize(
    ("name", "asked", "left"),
    [
        ("materials", {}, ["=Green oxide", "Quick compound"]),
        ("materials", {"kind": "pigment"}, ["=Green oxide"]),
        ("materials", {"find": "mudl"}, ["Quick compound"]),
        ("materials", {"sort": "-held"}, ["Quick compound", "=Green oxide"]),
        ("tubs", {}, ["B4", "P1", "Q2"]),
        ("tubs", {"role": "working"}, ["P1", "Q2"]),
        ("tubs", {"holding": "nothing"}, ["Q2"]),
        ("tubs", {"holding": "something", "sort": "holds"}, ["P1", "B4"]),
        ("tubs", {"find": "shelf"}, ["B4"]),
        ("suppliers", {"find": "lark"}, ["Mudlark"]),
        ("suppliers", {"find": "nobody"}, []),
        ("deliveries", {"stands": "late"}, ["Quick compound"]),
        ("deliveries", {"stands": "open"}, ["Quick compound"] * 2),
        ("deliveries", {}, ["Quick compound"] * 3),
        ("deliveries", {"stands": "in"}, []),
    ],
)
def test_a_list_is_narrowed_and_sorted_as_asked(signed_in: Client, two_materials, name, asked, left):
    assert firsts(signed_in, name, **asked) == left


def test_a_lot_past_its_day_is_found(signed_in: Client, two_materials):
    (past,) = file_of(signed_in, "lots", left="past")

    assert (past["Material"], past["Left"], past["Supplier"]) == ("Quick compound", "9000", "Mudlark")
    assert past["Best before"] == (TODAY - timedelta(days=3)).isoformat()
    assert len(file_of(signed_in, "lots", left="left")) == 2


def test_the_ledger_is_narrowed_by_days_kind_and_tub(signed_in: Client, two_materials):
    """The deliveries of the fixture were in October 2026; the spill is of today."""
    (spill,) = file_of(signed_in, "ledger", kind="spill")

    assert (spill["From"], spill["To"], spill["How much"], spill["Unit"]) == ("B4", "spill", "1000", "gram")
    assert spill["When"].startswith(TODAY.isoformat())
    assert len(file_of(signed_in, "ledger", since="2026-10-01", until="2026-10-31")) == 2
    assert [row["Lot"] for row in file_of(signed_in, "ledger", since="2026-10-01", find="P1")] != []
    assert file_of(signed_in, "ledger", since="2001-01-01", until="2001-12-31") == []


def test_the_file_has_bare_figures_and_no_formula(signed_in: Client, two_materials):
    oxide, powder = file_of(signed_in, "materials")

    assert (oxide["Material"], oxide["Held"], oxide["Unit"]) == ("'=Green oxide", "480.5", "gram")
    assert (powder["Held"], powder["Keep at least"]) == ("9000", "0")
    tub = file_of(signed_in, "tubs")[0]
    assert (tub["Stands at"], tub["Opened"], tub["Empty weighs"]) == ("'=shelf", TODAY.isoformat(), "1000")
    assert file_of(signed_in, "tubs")[1]["Opened"] == ""


def test_the_file_has_what_is_shown_all_pages_of_it(signed_in: Client, studio_open):
    powder = a_material(name="Quick compound")
    for number in range(103):
        a_tub(powder, code=f"B{number + 1}")
    a_tub(powder, code="Q1", role="working")

    shown = signed_in.get(reverse("inventory:list", args=["tubs"]), {"role": "bulk"})

    assert len(shown.context["table"].paginated_rows) == 100
    assert "page 1 of 2" in shown.content.decode()
    assert len(file_of(signed_in, "tubs", role="bulk")) == 103
    assert len(firsts(signed_in, "tubs", role="bulk", page="2")) == 3
    pages = [firsts(signed_in, "tubs", sort="material", page=page) for page in "12"]
    assert len(set().union(*pages)) == 104, "every tub stands on one page, also where all are sorted alike"
    for nonsense in ("0", "-1", "x", "99"):
        assert firsts(signed_in, "tubs", page=nonsense), nonsense


def test_the_number_of_rows_cannot_be_asked_for(signed_in: Client, two_materials):
    assert firsts(signed_in, "tubs", per_page="1") == ["B4", "P1", "Q2"]


def test_what_is_not_understood_narrows_nothing_and_is_said(signed_in: Client, two_materials):
    answer = signed_in.get(reverse("inventory:list", args=["tubs"]), {"role": "nonsense", "sort": "nonsense"})

    assert answer.status_code == 200
    assert "That is not in the list. Choose one that is." in answer.content.decode()
    assert firsts(signed_in, "tubs", role="nonsense") == ["B4", "P1", "Q2"]
    assert firsts(signed_in, "ledger", since="yesterday") != []


def test_an_unknown_list_leads_to_one_that_is(signed_in: Client, two_materials):
    page = signed_in.get(reverse("inventory:list", args=["nonsense"]), follow=True).content.decode()

    assert "There is no such list. Choose one of these." in page


def test_prices_are_in_the_owners_lists_only(signed_in: Client, signed_in_helper: Client, two_materials):
    assert "Price" in file_of(signed_in, "lots")[0]
    assert {row["Price"] for row in file_of(signed_in, "lots")} == {"20.00", "0.00"}
    for name in ("lots", "deliveries", "suppliers"):
        for row in file_of(signed_in_helper, name):
            assert not {"Price", "Carriage"} & row.keys(), name


def test_a_day_without_a_clock_change_and_one_with_are_both_whole(signed_in: Client, studio_open, settings):
    """Source: zone rules of Europe/London: 25 October 2026 has 25 hours, its last from 23:00 to 24:00 UTC."""
    settings.TIME_ZONE = "Europe/London"
    tub = a_tub(code="B4")
    fill(tub, KG)
    for instant in (datetime(2026, 10, 24, 23, 0, tzinfo=UTC), datetime(2026, 10, 25, 23, 59, tzinfo=UTC)):
        note_spill(container_id=tub.pk, amount=G, **a_tap(now=instant))

    on_the_day = file_of(signed_in, "ledger", since="2026-10-25", until="2026-10-25")

    assert [row["When"] for row in on_the_day] == ["2026-10-25T23:59:00+00:00", "2026-10-25T00:00:00+01:00"]
    assert file_of(signed_in, "ledger", since=date(2026, 10, 26).isoformat(), until="2026-10-26") == []
