"""Importing in the browser's eyes."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils import timezone

from orders.models import Order
from shopfloor.jobs.handlers import HANDLERS
from shopfloor.jobs.work import do_due_jobs
from tests.factories.orders import a_new_order, a_range
from tests.orders.operations.test_importing import HEAD

pytestmark = pytest.mark.django_db


def soon(days=6):
    return (timezone.localdate() + timedelta(days=days)).isoformat()


def lines():
    return [
        HEAD,
        f"1041,Sandpiper Low,3 Invented Row,{soon()},Ferry tray,Rust,2",
        f"1044,Plover Marsh,4 Invented Row,{soon()},Fery tray,Slate,1",
    ]


def choose(client, rows=None, content=None, name="week-41.csv"):
    content = "\r\n".join(rows or lines()).encode() if content is None else content
    return client.post("/orders/import/", {"file": SimpleUploadedFile(name, content)})


def preview(client, address):
    return client.get(address).content.decode()


def shown_key(page):
    return page.split('name="shown" value="')[1].split('"')[0]


def keep(client, address, page, **given):
    content = {"request_key": str(uuid4()), "shown": shown_key(page), **given}
    return client.post(f"{address}keep/", content, follow=True).content.decode()


def test_the_preview_names_the_row_to_mend_and_what_the_button_keeps(signed_in, studio_open, made):
    address = choose(signed_in).url

    page = preview(signed_in, address)

    assert "week-41.csv: 2 rows read, 1 to mend" in page
    assert "Nothing is kept until you press the button." in page
    assert "Row 2, order 1044: &quot;Fery tray&quot; is not in the Range." in page
    assert "Order 1044 waits until this row is mended or left out." in page
    assert "Keep 1 order, 1 row" in page
    assert page.index(f'<option value="{made.tray.pk}"') < page.index(f'<option value="{made.cup.pk}"')
    assert not Order.objects.exists()


def test_the_button_keeps_what_the_page_showed(signed_in, studio_open, made):
    address = choose(signed_in).url

    shown = keep(signed_in, address, preview(signed_in, address))

    assert "week-41.csv: 1 order, 1 row kept. 1 order with a row to mend stayed out." in shown
    assert list(Order.objects.values_list("number", flat=True)) == ["1041"]


def test_a_second_tap_answers_as_the_first(signed_in, studio_open, made):
    address = choose(signed_in).url
    page, key = preview(signed_in, address), str(uuid4())

    first = keep(signed_in, address, page, request_key=key)
    second = keep(signed_in, address, page, request_key=key)

    said = "week-41.csv: 1 order, 1 row kept."
    assert said in first
    assert said in second
    assert Order.objects.count() == 1


def test_a_stale_preview_is_refused_and_shown_anew(signed_in, studio_open, made):
    from orders.operations.taking import type_order

    address = choose(signed_in).url
    page = preview(signed_in, address)
    now = timezone.now()
    order = a_new_order([(made.tray, made.rust, 1)], number="1041", ship_by=now.date() + timedelta(days=9))
    type_order(request_key=uuid4(), now=now, order=order)

    shown = keep(signed_in, address, page)

    assert "No order of this file is new and whole. Nothing was added." in shown
    assert "Row 1, order 1041. Kept to ship by" in shown
    assert Order.objects.count() == 1


def test_a_name_with_none_near_it_is_not_taught_by_a_careless_tap(signed_in, studio_open, made):
    rows = [HEAD, f"1041,Sandpiper Low,3 Invented Row,{soon()},Qwertz,Rust,2"]
    address = choose(signed_in, rows).url

    answer = signed_in.post(
        f"{address}mend/",
        {"kind": "articles", "text": "Qwertz", "means": "0", "field": "article", "rows": "1"},
        follow=True,
    )

    assert '<option value="0">choose</option>' in preview(signed_in, address)
    assert "Choose what it is, then use it." in answer.content.decode()


def test_a_name_is_said_once_and_the_row_becomes_new(signed_in, studio_open, made):
    address = choose(signed_in).url

    answer = signed_in.post(
        f"{address}mend/",
        {"kind": "articles", "text": "Fery tray", "means": made.tray.pk, "field": "article", "rows": "2"},
        follow=True,
    )

    assert "Keep 2 orders, 2 rows" in answer.content.decode()


def test_a_cell_is_mended_and_a_row_left_out_and_taken_back(signed_in, studio_open, made):
    rows = [HEAD, f"1041,Low,,{soon()},Ferry tray,Rust,two"]
    address = choose(signed_in, rows).url
    mended = signed_in.post(
        f"{address}mend/", {"field": "quantity", "text": "2", "rows": "1"}, follow=True
    ).content.decode()
    assert "Keep 1 order, 1 row" in mended

    left = signed_in.post(f"{address}leave-out/", {"row": "1"}, follow=True).content.decode()
    assert "Keep" not in left.split("<h2>New</h2>")[1]
    back = signed_in.post(f"{address}leave-out/", {"row": "1", "back": "1"}, follow=True).content.decode()
    assert "Keep 1 order, 1 row" in back


def test_the_same_file_again_says_when_it_was_kept(signed_in, studio_open, made):
    rows = lines()[:2]
    address = choose(signed_in, rows).url
    keep(signed_in, address, preview(signed_in, address))

    page = preview(signed_in, choose(signed_in, rows).url)

    assert "Same file as" in page
    assert "Nothing added." in page
    assert "Row 1, order 1041: same as kept. Nothing added." in page
    assert 'name="shown"' not in page


def test_unknown_headings_are_asked_for_then_remembered(signed_in, studio_open, made):
    rows = ["Ref;Who;Until;Thing;Shade of it;Pieces", f"1041;Low;{soon()};Ferry tray;Rust;2"]
    answer = choose(signed_in, rows)
    assert answer.url.endswith("/columns/")
    assert "say what its columns hold" in preview(signed_in, answer.url)
    columns = {
        "number": "Ref",
        "customer": "Who",
        "ship_by": "Until",
        "article": "Thing",
        "quantity": "Pieces",
    }

    refused = signed_in.post(answer.url, columns)
    assert refused.status_code == 422
    assert "Choose the column for colour." in refused.content.decode()
    assert '<option value="Ref" selected>Ref: 1041</option>' in refused.content.decode()

    address = signed_in.post(answer.url, {**columns, "colour": "Shade of it"}).url
    keep(signed_in, address, preview(signed_in, address))
    assert not choose(signed_in, [*rows, f"1042;Low;{soon()};Ferry tray;Rust;1"]).url.endswith("/columns/")


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "The file is empty."),
        (bytes(range(256)) * 8, "This file is not text."),
        (b"Order,Note\r\n", "has a heading row and nothing under it"),
        (b"a" * 20_100_000, "20.1 MB, and 20.0 MB are read at once"),
    ],
)
def test_a_file_that_cannot_be_read_is_said_beside_its_field(signed_in, studio_open, made, content, said):
    answer = choose(signed_in, content=content)

    assert answer.status_code == 422
    assert said in answer.content.decode()


def test_no_file_is_said_too(signed_in, studio_open):
    answer = signed_in.post("/orders/import/", {})

    assert answer.status_code == 422
    assert "Choose a file." in answer.content.decode()


def test_another_sign_in_cannot_open_the_file(signed_in, helper_user, studio_open, made):
    address = choose(signed_in).url
    other = Client()
    other.force_login(helper_user)

    assert other.get(address).url == "/orders/import/"
    assert other.post(f"{address}keep/", {"request_key": uuid4(), "shown": ""}).url == "/orders/import/"
    assert other.get(f"{address}rows-to-mend.csv").url == "/orders/import/"


def test_rows_to_mend_come_as_a_file_that_is_safe_in_a_spreadsheet(signed_in, studio_open, made):
    rows = [HEAD, f"1041,=HYPERLINK(1),,{soon()},Fery tray,Rust,2"]
    address = choose(signed_in, rows).url

    answer = signed_in.get(f"{address}rows-to-mend.csv")

    assert answer["Content-Type"].startswith("text/csv")
    assert answer.content.decode() == f"{HEAD}\r\n1041,'=HYPERLINK(1),,{soon()},Fery tray,Rust,2\r\n"


def test_markup_in_a_file_is_shown_as_text(signed_in, studio_open, made):
    rows = [HEAD, f"1041,<script>x</script>,,{soon()},Ferry tray,Rust,2"]

    page = preview(signed_in, choose(signed_in, rows).url)

    assert "<script>x" not in page
    assert "&lt;script&gt;x" in page


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
def test_an_order_file_is_mended_and_kept_on_a_phone(
    signed_in_page, live_server, page_phone, axe, tmp_path: Path
):
    made = a_range()
    file = tmp_path / "week-41.csv"
    head = "Order,Customer,Ship by,Article,Colour,How many"
    file.write_text(f"{head}\n1041,Low,2099-10-09,Fery tray,Rust,2\n", encoding="utf-8")
    page = signed_in_page(page_phone)
    page.goto(f"{live_server.url}/orders/import/")

    page.get_by_label("Order file").set_input_files(file)
    page.get_by_role("button", name="Read the file").click()
    page.get_by_text('Row 1, order 1041: "Fery tray" is not in the Range.').wait_for()
    assert axe(page) == []
    assert page.get_by_label("It is").input_value() == str(made.tray.pk)
    page.get_by_role("button", name="Use this").click()
    page.get_by_role("button", name="Keep 1 order, 1 row").click()

    page.get_by_text("week-41.csv: 1 order, 1 row kept.").wait_for()
    assert page.get_by_text("1041").first.is_visible()
    assert page.complaints == []


def a_long_file(rows):
    """Orders of one row; every tenth has a name that is not in the Range, every fiftieth no count."""
    lines = [HEAD]
    for number in range(rows):
        article = "Fery tray" if number % 10 == 0 else "Ferry tray"
        count = "many" if number % 50 == 1 else "1"
        lines.append(f"W{number},Sandpiper {number},3 Invented Row,{soon()},{article},Rust,{count}")
    return lines


def work(studio_now=timezone.now):
    do_due_jobs(HANDLERS, studio_now)


def test_a_long_file_is_read_and_kept_in_the_background_and_can_be_stopped(signed_in, studio_open, made):
    address = choose(signed_in, a_long_file(1200)).url

    assert "1200 rows" in preview(signed_in, address)
    signed_in.post(f"{address}stop/")
    work()
    assert "Stopped. Nothing of it is kept." in preview(signed_in, address)

    signed_in.post(f"{address}read/")
    work()
    page = preview(signed_in, address)
    assert "1200 rows read, 144 to mend" in page
    assert "Row 1, order W0, and 119 more rows: &quot;Fery tray&quot; is not in the Range." in page
    assert "Keep 1056 orders, 1056 rows" in page

    keep(signed_in, address, page)
    assert not Order.objects.exists()
    work()
    shown = signed_in.get(address, follow=True).content.decode()
    assert "week-41.csv: 1056 orders, 1056 rows kept. 144 orders with a row to mend stayed out." in shown
    assert Order.objects.count() == 1056
