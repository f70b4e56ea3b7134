from __future__ import annotations

from datetime import date

import pytest

from inventory.drawings.shapes import Box, Picture, Words
from production.drawings.day_ruler import RulerDay, bare_ruler, drawn_day_ruler, hours_words
from production.drawings.day_scale import DAY, drawn_days
from tests.inventory.drawings.reach import of_class, outside

# 5 October 2026 is a Monday
DAYS = drawn_days(date(2026, 10, 5), 7, lambda day: (450, 990) if day.weekday() < 5 else None)
LOADS = (
    RulerDay(275, 390, 4_100_000),
    RulerDay(195, 390, 6_240_000),
    RulerDay(585, 390, 4_780_000),
    RulerDay(390, 390),
    RulerDay(0, 390),
    RulerDay(0, 0),
    RulerDay(0, 0),
)
DRAWN = drawn_day_ruler(DAYS, LOADS, DAY + 571)


def texts(picture: Picture) -> list[str]:
    return [shape.text for shape in picture.shapes if isinstance(shape, Words)]


def test_days_stand_in_their_order_in_both_widths() -> None:
    assert [t for t in texts(DRAWN.wide) if t[:3] in {"Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"}] == [
        "Mon 5",
        "Tue 6",
        "Wed 7",
        "Thu 8",
        "Fri 9",
        "Sat 10",
        "Sun 11",
    ]
    assert texts(DRAWN.narrow) == ["M5", "T6", "W7", "T8", "F9", "S10", "S11"]


def test_bars_are_as_long_as_the_hands_used() -> None:
    used = [shape for shape in of_class(DRAWN.wide, "d-bar-used") if isinstance(shape, Box)]
    there = [shape for shape in of_class(DRAWN.wide, "d-bar") if isinstance(shape, Box)]

    # 4:35 of 6:30, half, more than all, all
    shares = [u.width / t.width for u, t in zip(used, there, strict=True)]
    assert shares == pytest.approx([275 / 390, 0.5, 1, 1])


def test_more_hands_than_there_are_end_in_a_mark_of_another_shape() -> None:
    (over,) = of_class(DRAWN.wide, "d-over")
    bar = of_class(DRAWN.wide, "d-bar")[2]

    assert isinstance(over, Box)
    assert isinstance(bar, Box)
    assert over.height > bar.height
    assert over.x + over.width == pytest.approx(bar.x + bar.width)


def test_hands_and_powder_are_written_and_days_without_hands_say_so() -> None:
    written = texts(DRAWN.wide)

    assert {"4:35 of 6:30", "4.10 kg", "9:45 of 6:30"} <= set(written)
    assert written.count("nobody in") == 2


def test_today_is_heavier_than_the_other_days() -> None:
    heavy = [s.text for s in DRAWN.wide.shapes if isinstance(s, Words) and "t-today" in s.css]

    assert heavy == ["Tue 6"]


def test_both_widths_say_the_same() -> None:
    assert DRAWN.wide.says == DRAWN.narrow.says
    assert DRAWN.wide.says.startswith(
        "Days from Mon 5 to Sun 11: Mon 5 hands 4:35 of 6:30, powder 4.10 kg; Tue 6"
    )
    assert DRAWN.wide.says.endswith("Sat 10 nobody in; Sun 11 nobody in")


def test_nothing_leaves_the_frame() -> None:
    assert outside(DRAWN.wide) == []
    assert outside(DRAWN.narrow) == []
    assert outside(bare_ruler(DAYS, None, 416, height=22)) == []


def test_a_load_is_needed_for_each_day() -> None:
    with pytest.raises(ValueError, match="zip"):
        drawn_day_ruler(DAYS, LOADS[:3])


def test_minutes_are_written_as_hours_and_minutes() -> None:
    assert [hours_words(390), hours_words(0), hours_words(59.6)] == ["6:30", "0:00", "1:00"]
