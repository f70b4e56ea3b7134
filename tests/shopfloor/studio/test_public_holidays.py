"""Public holidays by place, against the days published by the authorities."""

from __future__ import annotations

from datetime import date

import pytest

from shopfloor.studio.public_holidays import countries, place_name, public_holidays, regions


@pytest.mark.parametrize(
    ("place", "days"),
    [
        # Source: GOV.UK, UK bank holidays, 2026 and 2027, https://www.gov.uk/bank-holidays (from memory).
        ("GB-ENG", ["2026-04-03", "2026-04-06", "2026-05-04", "2026-05-25", "2026-08-31", "2026-12-28"]),
        ("GB-SCT", ["2026-01-02", "2026-04-03", "2026-08-03", "2026-11-30"]),
        # Source: Feiertagsgesetz (Bavaria), art. 1: Epiphany, Corpus Christi, All Saints.
        ("DE-BY", ["2026-01-06", "2026-06-04", "2026-11-01"]),
        # Source: 5 U.S.C. 6103: fourth Thursday in November, third Monday in January.
        ("US", ["2026-11-26", "2026-01-19", "2026-07-04"]),
    ],
)
def test_the_days_that_are_published_are_holidays(place: str, days: list[str]) -> None:
    found = public_holidays(place, 2026, 2026)

    assert [day for day in days if date.fromisoformat(day) not in found] == []


def test_easter_monday_is_a_holiday_in_england_and_not_in_scotland() -> None:
    """Source: GOV.UK, UK bank holidays (from memory)."""
    assert date(2026, 4, 6) in public_holidays("GB-ENG", 2026, 2026)
    assert date(2026, 4, 6) not in public_holidays("GB-SCT", 2026, 2026)


@pytest.mark.parametrize("place", ["", "XX", "GB-XX", "__doc__"])
def test_a_place_that_is_not_known_has_none(place: str) -> None:
    assert public_holidays(place, 2026, 2027) == {}


def test_names_are_words() -> None:
    assert ("GB", "United Kingdom") in countries()
    assert ("SCT", "Scotland") in regions("GB")
    assert place_name("GB-SCT") == "United Kingdom, Scotland"
    assert place_name("") == ""


def test_the_days_are_named_in_the_language_of_the_page() -> None:
    assert public_holidays("DE", 2026, 2026)[date(2026, 1, 1)] == "New Year's Day"
