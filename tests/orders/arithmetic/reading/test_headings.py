"""Which column holds what."""

from __future__ import annotations

from orders.arithmetic.reading.headings import (
    FIELDS,
    guess_columns,
    heading_digest,
    missing_fields,
    plain_heading,
)


def test_headings_are_recognised_whatever_their_capitals_signs_and_order():
    found = guess_columns(["HOW MANY", "Ship-by", "colour", "Article", "Name", "Order no."])

    assert found == {
        "quantity": ["HOW MANY"],
        "ship_by": ["Ship-by"],
        "colour": ["colour"],
        "article": ["Article"],
        "customer": ["Name"],
        "number": ["Order no."],
    }
    assert missing_fields(found) == []


def test_address_columns_are_taken_together_in_the_order_of_the_file():
    assert guess_columns(["Postcode", "Address 1", "Town"])["address"] == ["Postcode", "Address 1", "Town"]


def test_of_two_headings_that_mean_the_same_the_first_wins():
    assert guess_columns(["Customer", "Name"])["customer"] == ["Customer"]


def test_what_is_needed_and_not_there_is_named():
    assert [field.label for field in missing_fields(guess_columns(["Order", "Customer", "Thing"]))] == [
        "Ship by",
        "Article",
        "Colour",
        "How many",
    ]


def test_no_heading_means_two_things():
    headings = [heading for field in FIELDS for heading in field.headings]

    assert len(headings) == len(set(headings))
    assert headings == [plain_heading(heading) for heading in headings]


def test_the_digest_of_a_heading_row_ignores_capitals_and_minds_the_order():
    assert heading_digest(["Order", "Ship by"]) == heading_digest(["ORDER", "ship-by"])
    assert heading_digest(["Order", "Ship by"]) != heading_digest(["Ship by", "Order"])
