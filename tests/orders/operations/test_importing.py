"""From an order file to orders."""

from __future__ import annotations

from datetime import timedelta

import pytest

from inventory.errors import FileNotRead, RequestKeyReused
from orders.errors import NothingToKeep, StalePreview, UploadGone
from orders.models import ColumnMapping, Customer, Order, OrderFile, OrderLine
from orders.operations.importing import (
    keep_file,
    learn_name,
    leave_rows_out,
    mend_cell,
    preview_of,
    read_file,
    read_otherwise,
    set_columns,
)
from orders.queries.keeping import kept_for
from tests.factories.inventory import MONDAY, a_tap
from tests.factories.orders import TODAY, a_piece, a_range, an_order
from tests.services.at_once import at_once

pytestmark = pytest.mark.django_db

HEAD = "Order,Customer,Address,Ship by,Article,Colour,How many"
FILE = [
    HEAD,
    "1041,Sandpiper Low,3 Invented Row,2026-10-09,Ferry tray,Rust,2",
    '1041,,,,"Cockle tea-light cup, filled",Slate,1',
    "1044,Plover Marsh,4 Invented Row,2026-10-12,Ferry tray,Slate,1",
]


def uploaded(lines=FILE, name="week-41.csv", encoding="utf-8"):
    return read_file(name=name, content="\r\n".join(lines).encode(encoding), now=MONDAY)


def shown(upload):
    return preview_of(upload, today=TODAY)[2].sorted.digest


def kept(upload, **tap):
    return keep_file(**a_tap(**tap), token=upload.token, shown=shown(upload))


def test_a_file_becomes_orders_with_customers_and_lines(made):
    done = kept(uploaded())

    assert done.said == "week-41.csv: 2 orders, 3 rows kept."
    order = Order.objects.get(number="1041")
    assert (order.customer.name, order.customer.address) == ("Sandpiper Low", "3 Invented Row")
    assert (order.ship_by.isoformat(), order.ordered_on) == ("2026-10-09", TODAY)
    assert set(order.lines.values_list("article", "colour", "quantity")) == {
        (made.tray.pk, made.rust.pk, 2),
        (made.cup.pk, made.slate.pk, 1),
    }
    noted = OrderFile.objects.get()
    assert (noted.name, noted.orders_count, noted.rows_count) == ("week-41.csv", 2, 3)


def test_nothing_is_kept_by_looking(made):
    preview_of(uploaded(), today=TODAY)

    assert not Order.objects.exists()
    assert not ColumnMapping.objects.exists()


def test_pieces_on_the_shelf_are_kept_for_the_new_lines(made):
    piece = a_piece(made.tray, made.slate)

    kept(uploaded())

    assert kept_for([piece.pk]) == {piece.pk: "1044"}


def test_one_bad_row_keeps_its_whole_order_out(made):
    lines = [*FILE, "1041,,,,Ferry tray,Slate,many"]

    done = kept(uploaded(lines))

    assert done.said == "week-41.csv: 1 order, 1 row kept. 1 order with a row to mend stayed out."
    assert list(Order.objects.values_list("number", flat=True)) == ["1044"]


def test_the_same_file_twice_adds_nothing_and_says_when_it_was_kept(made):
    kept(uploaded())
    again = uploaded()

    assert preview_of(again, today=TODAY)[2].seen_at == MONDAY
    with pytest.raises(NothingToKeep, match="Nothing was added"):
        kept(again)
    assert (Order.objects.count(), OrderLine.objects.count(), Customer.objects.count()) == (2, 3, 2)


def test_the_same_rows_in_another_file_add_nothing_either(made):
    kept(uploaded())

    with pytest.raises(NothingToKeep):
        kept(uploaded([*FILE, ""], name="week-41 (2).csv"))


def test_the_same_key_and_content_answers_the_first_time_and_other_content_is_refused(made):
    upload = uploaded()
    tap, seen = a_tap(), shown(upload)
    first = keep_file(**tap, token=upload.token, shown=seen)

    again = keep_file(**tap, token=upload.token, shown=seen)

    assert (again.again, again.said, again.facts) == (True, first.said, first.facts)
    with pytest.raises(RequestKeyReused):
        keep_file(**tap, token=upload.token, shown="otherwise")
    assert Order.objects.count() == 2


def test_a_page_that_is_no_longer_true_is_refused_and_nothing_kept(made):
    upload = uploaded()
    seen = shown(upload)
    an_order((made.tray, made.slate, 1), number="1044")

    with pytest.raises(StalePreview, match="changed since this page was shown"):
        keep_file(**a_tap(), token=upload.token, shown=seen)
    assert Order.objects.count() == 1


def test_an_order_that_is_here_otherwise_is_not_changed(made):
    order = an_order((made.tray, made.slate, 5), number="1044", customer="Plover Marsh")

    kept(uploaded())

    assert order.lines.get().quantity == 5


def test_a_ship_by_in_the_past_is_not_kept(made):
    upload = uploaded([HEAD, "1041,Low,,2026-10-02,Ferry tray,Rust,2"])

    assert "is past" in preview_of(upload, today=TODAY)[2].sorted.to_mend[0].faults[0].sentence
    with pytest.raises(NothingToKeep):
        kept(upload)


def test_a_name_is_learned_and_remembered_for_the_next_file(made):
    lines = [HEAD, "1041,Low,,2026-10-09,Tray of the ferry,Russet,2"]
    upload = uploaded(lines)
    learn_name(token=upload.token, kind="articles", text="Tray of the ferry", means=made.tray.pk)
    learn_name(token=upload.token, kind="colours", text="Russet", means=made.rust.pk)
    kept(read_again(upload))

    next_week = uploaded([HEAD, "1055,Low,,2026-10-12,tray of the FERRY,russet,1"])

    assert [order.number for order in preview_of(next_week, today=TODAY)[2].sorted.new] == ["1055"]


def test_a_name_is_not_remembered_before_something_is_kept(made):
    upload = uploaded([HEAD, "1041,Low,,2026-10-09,Tray of the ferry,Rust,2"])
    learn_name(token=upload.token, kind="articles", text="Tray of the ferry", means=made.tray.pk)

    assert not ColumnMapping.objects.exists()


def test_unknown_headings_are_asked_for_once(made):
    lines = ["Ref;Who;Until;Thing;Shade of it;Pieces", "1041;Low;9/10/2026;Ferry tray;Rust;2"]
    upload = uploaded(lines)
    with pytest.raises(NothingToKeep, match="which column holds what"):
        keep_file(**a_tap(), token=upload.token, shown="")

    columns = {"number": ["Ref"], "customer": ["Who"], "ship_by": ["Until"], "article": ["Thing"]}
    columns |= {"colour": ["Shade of it"], "quantity": ["Pieces"], "note": [""]}
    kept(set_columns(token=upload.token, columns=columns))

    assert Order.objects.get().ship_by.isoformat() == "2026-10-09"
    assert uploaded([lines[0], "1042;Low;10/10/2026;Ferry tray;Rust;1"]).columns["number"] == ["Ref"]


def test_a_needed_column_and_one_that_means_two_things_are_named_with_their_field(made):
    upload = uploaded()
    columns = {name: list(found) for name, found in upload.columns.items()}

    with pytest.raises(FileNotRead, match="Choose the column for colour") as refused:
        set_columns(token=upload.token, columns=columns | {"colour": [""]})
    assert refused.value.facts["field"] == "colour"
    with pytest.raises(FileNotRead, match='"Article" is article already'):
        set_columns(token=upload.token, columns=columns | {"colour": ["Article"]})


def test_a_mended_cell_and_a_row_left_out_count_for_this_file_only(made):
    upload = uploaded([HEAD, "1041,Low,,2026-10-09,Ferry tray,Rust,two", "1041,Low,,,Nothing,Rust,1"])
    mend_cell(token=upload.token, rows=[1], field="quantity", text="2")
    leave_rows_out(token=upload.token, rows=[2])

    kept(read_again(upload))

    assert Order.objects.get().lines.get().quantity == 2


def test_a_row_left_out_can_be_taken_back_in(made):
    upload = uploaded()
    leave_rows_out(token=upload.token, rows=[3])
    assert len(preview_of(read_again(upload), today=TODAY)[2].sorted.new) == 1

    leave_rows_out(token=upload.token, rows=[3], back=True)

    assert len(preview_of(read_again(upload), today=TODAY)[2].sorted.new) == 2


def test_a_file_in_windows_1252_is_read(made):
    upload = uploaded([HEAD, "1041,Bécassine,,2026-10-09,Ferry tray,Rust,2"], encoding="cp1252")
    kept(upload)

    assert upload.encoding == "cp1252"
    assert Customer.objects.get().name == "Bécassine"


def test_a_file_too_large_is_refused_with_both_figures(made, settings):
    settings.ORDER_FILE_MOST_BYTES = 1_000_000

    with pytest.raises(FileNotRead, match=r"1\.1 MB, and 1\.0 MB are read at once"):
        read_file(name="big.csv", content=b"a" * 1_100_000, now=MONDAY)


def test_binary_nonsense_is_refused(made):
    with pytest.raises(FileNotRead, match="not text"):
        read_file(name="picture.csv", content=bytes(range(256)), now=MONDAY)


def test_a_file_that_was_swept_says_so(made):
    with pytest.raises(UploadGone):
        keep_file(**a_tap(), token="x" * 43, shown="")


def test_previews_take_the_same_queries_however_many_rows(made, django_assert_num_queries):
    for number in ("1041", "2000"):
        an_order((made.tray, made.rust, 1), number=number)
    few = uploaded()
    many = uploaded([HEAD, *(f"{n},Low,,2026-10-09,Ferry tray,Rust,1" for n in range(2000, 2200))])

    for upload in (few, many):
        with django_assert_num_queries(6):
            preview_of(upload, today=TODAY)


def read_again(upload):
    from orders.operations.uploads import load_upload

    return load_upload(upload.token)


@pytest.mark.django_db(transaction=True)
def test_two_screens_keeping_the_same_file_at_once_keep_every_order_once():
    a_range()
    one, other = uploaded(), uploaded()
    seen = shown(one)

    at_once(
        lambda: keep_file(**a_tap(), token=one.token, shown=seen),
        lambda: keep_file(**a_tap(), token=other.token, shown=seen),
    )

    assert (Order.objects.count(), OrderLine.objects.count()) == (2, 3)
    assert TODAY + timedelta(days=4) == Order.objects.get(number="1041").ship_by


def test_the_same_number_from_two_origins_is_two_orders_and_again_adds_nothing(made):
    an_order((made.tray, made.rust, 1), number="1041", came_from="Post")
    lines = [
        f"{HEAD},Came from",
        "1041,Sandpiper Low,3 Invented Row,2026-10-09,Ferry tray,Rust,2,Market",
        "1041,,,,Ferry tray,Slate,1,",
        "1050,Plover Marsh,,2026-10-09,Ferry tray,Rust,1,Shop",
        "1050,Curlew Sands,,2026-10-09,Ferry tray,Rust,1,Market",
    ]

    kept(uploaded(lines))
    again = preview_of(uploaded(lines), today=TODAY)[2].sorted

    assert set(Order.objects.values_list("number", "came_from")) == {
        ("1041", "Post"),
        ("1041 Market", "Market"),
        ("1050", "Shop"),
        ("1050 Market", "Market"),
    }
    assert Order.objects.get(number="1041 Market").lines.count() == 2
    assert (len(again.same), again.new) == (3, ())


def test_a_file_in_other_letters_with_days_month_first_is_read_as_said(made):
    lines = [HEAD, "1041,森,,10/11/2026,Ferry tray,Rust,2"]
    upload = uploaded(lines, encoding="shift_jis")

    upload = read_otherwise(token=upload.token, encoding="shift_jis", days="month")
    kept(upload)

    order = Order.objects.get()
    assert (order.customer.name, order.ship_by.isoformat()) == ("森", "2026-10-11")
    with pytest.raises(FileNotRead, match="The file is not in UTF-8"):
        read_otherwise(token=uploaded(lines, encoding="shift_jis").token, encoding="utf-8")


def test_formulas_decimal_commas_and_a_thousand_that_may_be_one_are_told_apart(made):
    rows = [
        '"=""1041""";Sandpiper Low;=1+1;9 Oct 2026;Ferry tray;Rust;2,0',
        "1042;=HYPERLINK(1);;2026-10-09;Ferry tray;Rust;2",
        "1043;Plover Marsh;;Oct 9, 2026;Ferry tray;Rust;1.000",
        "1044;'-Curlew Sands;;20261009;Ferry tray;Rust;2,5",
        "1045;'=Heron Ebb;;09.10.2026;Ferry tray;Rust;=2*3",
        "1046;'+Knot Shallows;;09-Oct-2026;Ferry tray;Rust;1,00",
    ]
    upload = uploaded([HEAD.replace(",", ";"), *rows])

    found = preview_of(upload, today=TODAY)[2].sorted

    assert {fault.sentence for order in found.to_mend for fault in order.faults} == {
        "address is a formula, =1+1. Type what it comes to.",
        "customer is a formula, =HYPERLINK(1). Type what it comes to.",
        '"1.000" can be 1 or 1000 pieces. Write it without the comma or point.',
        '"2,5" is not a whole number of pieces.',
        "customer is a formula, =Heron Ebb. Type what it comes to.",
        '"=2*3" is not a whole number of pieces.',
    }
    assert [(order.number, order.customer) for order in found.new] == [("1046", "+Knot Shallows")]
    assert found.to_mend[0].number == "1041"


def test_a_file_says_which_lines_take_seconds_and_which_orders_count_more(made):
    head = f"{HEAD},Seconds will do,If late"
    row = "1041,Sandpiper Low,3 Invented Row,2026-10-09,Ferry tray,Rust,2,yes,twice"

    kept(uploaded([head, row]))

    line = OrderLine.objects.select_related("order").get()
    assert (line.seconds_do, line.order.weight) == (True, 2)
