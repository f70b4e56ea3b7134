"""Numbers, percents and waits as people type them."""

from __future__ import annotations

import pytest
from django.core.exceptions import ValidationError

from production.forms.numbers import MinutesField, NumberField, PartField, WaitField


@pytest.mark.parametrize(
    ("typed", "minutes"),
    [
        ("90 min", 90),
        ("16 h", 960),
        ("16", 960),
        ("1,5 h", 90),
        ("2 d", 2880),
        ("2 d 4 h", 3120),
        ("2 days", 2880),
        ("45 minutes", 45),
        ("0", 0),
    ],
)
def test_a_wait_is_read_as_it_is_said(typed, minutes):
    assert WaitField().clean(typed) == minutes


@pytest.mark.parametrize("typed", ["soon", "h 3", "-2 h", "61 d", "1441 h"])
def test_a_wait_that_is_none_is_refused(typed):
    with pytest.raises(ValidationError):
        WaitField().clean(typed)


@pytest.mark.parametrize(("minutes", "shown"), [(960, "16 h"), (2880, "2 d"), (90, "90 min"), (0, "0 min")])
def test_a_kept_wait_is_shown_so_that_it_can_be_typed_again(minutes, shown):
    assert WaitField().prepare_value(minutes) == shown
    assert WaitField().clean(shown) == minutes


def test_an_empty_wait_is_none():
    assert WaitField(required=False).clean("") is None


def test_a_percent_is_kept_as_a_part_of_one_and_shown_as_typed():
    field = PartField()

    assert field.clean("1,2 %") == pytest.approx(0.012)
    assert field.prepare_value(0.012) == "1.2"
    assert field.prepare_value("1,2") == "1,2"


def test_a_number_takes_either_decimal_sign_and_its_unit():
    field = NumberField(unit="°C")

    assert field.clean("20,5 °C") == 20.5
    assert field.prepare_value(20.0) == "20"
    with pytest.raises(ValidationError):
        field.clean("warm")


@pytest.mark.parametrize("typed", ["-1", "1.5", "two"])
def test_minutes_are_whole_and_not_below_zero(typed):
    with pytest.raises(ValidationError):
        MinutesField().clean(typed)
