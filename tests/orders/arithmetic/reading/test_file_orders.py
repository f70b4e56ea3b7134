"""Rows put together to orders, and sorted."""

from __future__ import annotations

from datetime import date

from inventory.arithmetic.csv_text import read_csv
from orders.arithmetic.reading.file_orders import KeptOrder, orders_of, sort_out
from orders.arithmetic.reading.headings import guess_columns
from orders.arithmetic.reading.names import LearnedNames, RangeNames
from orders.arithmetic.reading.rows import read_rows

TODAY = date(2026, 10, 5)
FRIDAY = date(2026, 10, 9)
TRAY, CUP = 1, 2
RUST, SLATE = 11, 12
NAMES = RangeNames(
    articles={TRAY: "Ferry tray", CUP: "Cockle cup"},
    colours={RUST: "Rust", SLATE: "Slate"},
    made_in={TRAY: frozenset({RUST, SLATE}), CUP: frozenset({SLATE})},
)
HEAD = "Order,Customer,Address,Town,Ship by,Article,Colour,How many,Gift message"


def orders(*rows, learned=None, mends=None, left_out=(), head=HEAD):
    text = read_csv("\n".join([head, *rows]))
    read = read_rows(text, guess_columns(text.headings), mends=mends or {}, left_out=left_out)
    return orders_of(read.rows, NAMES, learned or LearnedNames(), today=TODAY)


def sorted_out(*rows, kept=None, **given):
    return sort_out(orders(*rows, **given), kept or {}, today=TODAY)


def sentences(order):
    return [(fault.row, fault.field, fault.sentence) for fault in order.faults]


GOOD = "1041,Sandpiper Low,3 Invented Row,Nowhere-on-Mud,2026-10-09,Ferry tray,Rust,2,"


def test_rows_of_one_number_are_one_order_with_its_address_in_lines():
    (order,) = orders(GOOD, "1041,,,,,Cockle cup,Slate,1,Happy moving")

    assert order.faults == ()
    assert (order.customer, order.address) == ("Sandpiper Low", "3 Invented Row\nNowhere-on-Mud")
    assert (order.ship_by, order.ordered_on, order.gift_message) == (FRIDAY, TODAY, "Happy moving")
    assert order.wanted == {(TRAY, RUST): 2, (CUP, SLATE): 1}
    assert order.rows == (1, 2)


def test_columns_may_stand_in_any_order():
    (order,) = orders(
        "2,Rust,Ferry tray,2026-10-09,Sandpiper Low,1041",
        head="How many,Colour,Article,Ship by,Customer,Order",
    )

    assert (order.number, order.customer, order.wanted) == ("1041", "Sandpiper Low", {(TRAY, RUST): 2})


def test_two_rows_of_the_same_article_and_colour_add_up():
    (order,) = orders(GOOD, GOOD)

    assert order.wanted == {(TRAY, RUST): 4}


def test_rows_that_contradict_each_other_are_both_told():
    (order,) = orders(GOOD, "1041,,,,2026-10-12,Cockle cup,Slate,1,")

    assert sentences(order) == [
        (2, "ship_by", "ship by is Mon 12 Oct 2026 here and Fri 9 Oct 2026 in row 1.")
    ]


def test_an_unknown_article_and_colour_are_named_in_the_words_of_the_file():
    (order,) = orders("1041,Low,,,2026-10-09,Fery tray,Russet,2,")

    assert sentences(order) == [
        (1, "article", '"Fery tray" is not in the Range.'),
        (1, "colour", '"Russet" is no colour of the Range.'),
    ]


def test_a_learned_name_is_understood():
    (order,) = orders("1041,Low,,,2026-10-09,Fery tray,Rust,2,", learned=LearnedNames({"fery tray": TRAY}))

    assert order.wanted == {(TRAY, RUST): 2}


def test_a_colour_the_article_is_not_made_in_is_refused():
    (order,) = orders("1041,Low,,,2026-10-09,Cockle cup,Rust,2,")

    assert sentences(order) == [(1, "colour", "Cockle cup is not made in Rust.")]


def test_what_is_empty_is_named_once_per_order():
    (order,) = orders("1041,,,,,Ferry tray,Rust,,", "1041,,,,,Cockle cup,Slate,1,")

    assert sentences(order) == [
        (1, "quantity", "how many is empty."),
        (1, "customer", "customer is empty."),
        (1, "ship_by", "ship by is empty."),
    ]


def test_rows_without_an_order_number_do_not_become_one_order():
    first, second = orders(",Low,,,2026-10-09,Ferry tray,Rust,2,", ",Low,,,2026-10-09,Ferry tray,Rust,2,")

    assert (first.rows, second.rows) == ((1,), (2,))
    assert sentences(first) == [(1, "number", "order is empty.")]


def test_a_number_that_could_not_stand_in_an_address_is_refused():
    (order,) = orders(GOOD.replace("1041", "10/41"))

    assert sentences(order)[0][2] == '"10/41" has a / in it, which an order number cannot have.'


def test_a_row_with_a_field_too_many_says_what_may_be_wrong_and_nothing_else():
    (order,) = orders("1041,Low, Sandpiper,3 Row,Town,2026-10-09,Ferry tray,Rust,2,")

    assert sentences(order) == [(1, "", "10 fields under 9 headings. A text with a comma may need quotes.")]


def test_a_mended_cell_stands_instead_of_the_files_own():
    (order,) = orders("1041,Low,,,2026-10-09,Ferry tray,Rust,two,", mends={1: {"quantity": "2"}})

    assert (order.faults, order.wanted) == ((), {(TRAY, RUST): 2})


def test_one_bad_row_keeps_its_whole_order_out_and_no_other():
    found = sorted_out(GOOD, "1041,,,,,Ferry tray,Rust,two,", "1044,Plover,,,2026-10-09,Cockle cup,Slate,1,")

    assert [order.number for order in found.new] == ["1044"]
    assert [order.number for order in found.to_mend] == ["1041"]
    assert (found.new_rows, found.rows_to_mend) == (1, 1)


def test_a_row_left_out_lets_the_rest_of_its_order_in():
    found = sorted_out(GOOD, "1041,,,,,Ferry tray,Rust,two,", left_out=[2])

    assert [order.rows for order in found.new] == [(1,)]


def test_a_ship_by_that_is_past_is_refused_for_a_new_order_only():
    past = GOOD.replace("2026-10-09", "2026-10-02")

    assert sentences(sorted_out(past).to_mend[0]) == [
        (1, "ship_by", "ship by Fri 2 Oct 2026 is past. Give a day from today on.")
    ]
    assert sorted_out(past, kept={"1041": a_kept_order(ship_by=date(2026, 10, 2))}).same


def a_kept_order(**changed):
    given = {
        "number": "1041",
        "customer": "Sandpiper Low",
        "address": "3 Invented Row\nNowhere-on-Mud",
        "is_erased": False,
        "ship_by": FRIDAY,
        "wanted": {(TRAY, RUST): 2},
        **changed,
    }
    return KeptOrder(**given)


def test_an_order_that_is_here_as_the_file_has_it_is_the_same():
    found = sorted_out(GOOD, kept={"1041": a_kept_order()})

    assert (len(found.same), found.new, found.different, found.to_mend) == (1, (), (), ())


def test_an_order_that_is_here_otherwise_says_how_and_is_not_kept_again():
    kept = {"1041": a_kept_order(ship_by=date(2026, 10, 8), wanted={(TRAY, RUST): 3})}

    (different,) = sorted_out(GOOD, kept=kept).different

    assert different.sentences == (
        "kept to ship by Thu 8 Oct 2026, the file says Fri 9 Oct 2026.",
        "kept with 3 pieces, the file says 2.",
    )


def test_an_erased_customer_is_no_difference():
    kept = {"1041": a_kept_order(customer="name erased", address="", is_erased=True)}

    assert sorted_out(GOOD, kept=kept).same


def test_an_order_that_is_here_is_never_to_mend():
    found = sorted_out(GOOD.replace("Ferry", "Fery"), kept={"1041": a_kept_order()})

    assert found.to_mend == ()
    assert found.different[0].sentences == ('row 1 cannot be read: "Fery tray" is not in the Range.',)


def test_the_digest_names_exactly_what_would_be_kept():
    assert sorted_out(GOOD).digest == sorted_out(GOOD, "1050,Low,,,soon,x,y,z,").digest
    assert sorted_out(GOOD).digest != sorted_out(GOOD.replace(",2,", ",3,")).digest


SECONDS = "Order,Customer,Ship by,Article,Colour,How many,Seconds will do,If late"


def test_seconds_go_to_lines_whose_every_row_takes_them_and_late_counts_for_the_order():
    (order,) = orders(
        "1041,Sandpiper Low,2026-10-09,Ferry tray,Rust,2,yes,twice",
        "1041,,,Ferry tray,Rust,1,no,",
        "1041,,,Cockle cup,Slate,1,Y,2",
        head=SECONDS,
    )

    assert (order.faults, order.seconds, order.weight) == ((), ((CUP, SLATE),), 2)


def test_what_is_neither_yes_nor_no_or_says_two_things_of_lateness_is_to_mend():
    (order,) = orders(
        "1041,Sandpiper Low,2026-10-09,Ferry tray,Rust,2,perhaps,twice",
        "1041,,,Cockle cup,Slate,1,,4",
        head=SECONDS,
    )

    assert sentences(order) == [
        (1, "seconds_do", '"perhaps" is neither yes nor no.'),
        (2, "weight", 'if late is "4" here and "2" in row 1.'),
    ]


def test_an_order_kept_without_seconds_differs_only_where_the_file_speaks_of_them():
    here = KeptOrder("1041", "Sandpiper Low", "", False, FRIDAY, {(TRAY, RUST): 2})
    row = "1041,Sandpiper Low,2026-10-09,Ferry tray,Rust,2"

    silent = sorted_out(f"{row},,", head=SECONDS, kept={"1041": here})
    speaking = sorted_out(f"{row},yes,4", head=SECONDS, kept={"1041": here})

    assert len(silent.same) == 1
    assert speaking.different[0].sentences == (
        "kept with seconds for other lines.",
        "kept to count otherwise if it is late.",
    )
