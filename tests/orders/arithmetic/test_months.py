"""Months back."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from orders.arithmetic.months import months_before


@pytest.mark.parametrize(
    ("at", "months", "expected"),
    [
        (datetime(2026, 10, 5, 9, tzinfo=UTC), 12, datetime(2025, 10, 5, 9, tzinfo=UTC)),
        (datetime(2026, 3, 31, tzinfo=UTC), 1, datetime(2026, 2, 28, tzinfo=UTC)),
        (datetime(2024, 1, 31, tzinfo=UTC), 2, datetime(2023, 11, 30, tzinfo=UTC)),
        (datetime(2024, 2, 29, tzinfo=UTC), 12, datetime(2023, 2, 28, tzinfo=UTC)),
    ],
)
def test_months_are_calendar_months(at, months, expected):
    assert months_before(at, months) == expected
