"""Taking an order file apart. The rules are those of RFC 4180 unless said otherwise."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.arithmetic.csv_text import ROWS_MOST, decode, read_csv
from inventory.errors import FileNotRead

HEAD = "Order,Customer,Note\r\n"


def cells(text):
    return [row.cells for row in read_csv(text).rows]


class TestRfc4180:
    """Y. Shafranovich, RFC 4180, Common Format and MIME Type for CSV Files, 2005, section 2."""

    def test_rule_1_records_end_in_crlf(self):
        assert cells(HEAD + "1041,Sandpiper,x\r\n1044,Plover,y\r\n") == [
            ("1041", "Sandpiper", "x"),
            ("1044", "Plover", "y"),
        ]

    def test_rule_2_the_last_record_may_have_no_line_end(self):
        assert cells(HEAD + "1041,Sandpiper,x") == [("1041", "Sandpiper", "x")]

    def test_rule_4_spaces_are_part_of_a_field(self):
        assert cells(HEAD + "1041, Sandpiper ,  x\r\n") == [("1041", " Sandpiper ", "  x")]

    def test_rule_5_fields_may_or_may_not_be_quoted(self):
        assert cells(HEAD + '"1041",Sandpiper,"x"\r\n') == [("1041", "Sandpiper", "x")]

    def test_rule_6_line_ends_and_commas_inside_quotes_belong_to_the_field(self):
        assert cells(HEAD + '1041,"Low, Sandpiper","one\r\ntwo"\r\n') == [
            ("1041", "Low, Sandpiper", "one\r\ntwo")
        ]

    def test_rule_7_a_quote_inside_quotes_is_doubled(self):
        assert cells(HEAD + '1041,Sandpiper,"say ""ebb"""\r\n') == [("1041", "Sandpiper", 'say "ebb"')]


@given(
    st.lists(
        st.tuples(*[st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Cs"]), min_size=1)] * 3),
        min_size=1,
        max_size=6,
    )
)
def test_what_the_standard_library_writes_is_read_back(rows):
    """Round trip against Python's csv writer, an implementation that is not ours."""
    out = io.StringIO(newline="")
    csv.writer(out).writerows([("Order", "Customer", "Note"), *rows])

    kept = [row for row in rows if any(cell.strip() for cell in row)]
    if kept:
        assert cells(out.getvalue()) == kept


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_commas_semicolons_and_tabs_are_told_apart(delimiter):
    text = delimiter.join(["Order", "Customer", "Note"]) + "\n" + delimiter.join(["1041", "Low", "a b"])

    read = read_csv(text)

    assert (read.delimiter, read.rows[0].cells) == (delimiter, ("1041", "Low", "a b"))


def test_a_semicolon_file_with_decimal_commas_is_a_semicolon_file():
    read = read_csv('Order;Note\n1041;"1,5; about"\n1044;2,5\n')

    assert read.rows[0].cells == ("1041", "1,5; about")


def test_blank_records_are_left_out_and_counted():
    read = read_csv("\r\n" + HEAD + "1041,a,b\r\n\r\n,,\r\n1044,c,d\r\n")

    assert [row.number for row in read.rows] == [1, 4]


def test_headings_become_distinct_and_none_is_empty():
    assert read_csv("Name, ,Name,Ship  by\n1,2,3,4\n").headings == (
        "Name",
        "column 2",
        "Name (2)",
        "Ship by",
    )


def test_samples_are_the_first_thing_under_each_heading():
    assert read_csv("Order,Note,Gift\n1041,,\n1044,late\n").samples() == {
        "Order": "1041",
        "Note": "late",
        "Gift": "",
    }


@pytest.mark.parametrize("line_end", ["\n", "\r", "\r\n"])
def test_all_line_ends_are_read(line_end):
    assert cells(line_end.join(["Order,Note", "1041,a", "1044,b"])) == [("1041", "a"), ("1044", "b")]


def test_an_open_quote_is_named_with_its_row():
    with pytest.raises(FileNotRead, match="Row 2 cannot be read") as refused:
        read_csv(HEAD + '1041,a,b\r\n1044,"c,d\r\n')
    assert refused.value.facts["reason"] == "quotes"


@pytest.mark.parametrize(("text", "reason"), [("", "empty"), ("\r\n \r\n", "empty"), (HEAD, "no rows")])
def test_a_file_without_orders_says_so(text, reason):
    with pytest.raises(FileNotRead) as refused:
        read_csv(text)
    assert refused.value.facts["reason"] == reason


def test_more_rows_than_are_read_at_once_are_refused_with_both_figures():
    with pytest.raises(FileNotRead, match="5,001 rows, and 5,000 are read at once. Split it up."):
        read_csv("Order,Note\n" + "1041,a\n" * (ROWS_MOST + 1))


class TestDecode:
    def test_a_byte_order_mark_is_no_part_of_the_first_heading(self):
        assert decode(b"\xef\xbb\xbfOrder").text == "Order"

    def test_utf_8_is_read_as_such(self):
        decoded = decode("Bécassine".encode())
        assert (decoded.text, decoded.is_guessed) == ("Bécassine", False)

    def test_windows_1252_is_read_and_said_to_be_a_guess(self):
        decoded = decode("Bécassine".encode("cp1252"))
        assert (decoded.text, decoded.is_guessed) == ("Bécassine", True)

    def test_utf_16_with_its_mark_is_read(self):
        assert decode("Bécassine,1".encode("utf-16")).text == "Bécassine,1"

    def test_bytes_that_windows_1252_does_not_have_are_read_sign_for_sign_as_a_guess(self):
        decoded = decode("Order,Name\n1,\u68ee".encode("shift_jis") + b"\x81")

        assert (decoded.encoding, decoded.is_guessed) == ("latin-1", True)

    @pytest.mark.parametrize(
        "content",
        [
            b"PK\x03\x04\x14\x00\x06\x00" + bytes(range(256)),  # a workbook
            b"\x89PNG\r\n\x1a\n\x00\x00",
            "Order\x00".encode("utf-16"),
        ],
    )
    def test_what_is_no_text_is_refused(self, content):
        with pytest.raises(FileNotRead, match="not text"):
            decode(content)
