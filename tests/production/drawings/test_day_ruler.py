from __future__ import annotations

from datetime import date

import pytest

from inventory.drawings.shapes import Box, Drawn, Picture, Words
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


def long_ruler(count: int) -> Drawn:
    days = drawn_days(date(2026, 11, 23), count, lambda day: (480, 1020) if day.weekday() < 5 else None)
    return drawn_day_ruler(days, tuple(RulerDay(25, 1080, 1_600_000) for _ in days), 2 * DAY + 870)


@pytest.mark.parametrize("count", [7, 13, 18, 25, 40])
def test_no_word_of_a_long_ruler_runs_into_its_neighbour(count: int) -> None:
    # The widest of these words takes about 0.45 of its size a letter in Archivo: 15 px names, 13 px letters.
    for picture, sizes in (
        (long_ruler(count).wide, {"t15": 7.6, "t135": 6.2}),
        (long_ruler(count).narrow, {"": 7}),
    ):
        for size, letter in sizes.items():
            words = [s for s in picture.shapes if isinstance(s, Words) and s.css.startswith(size)]
            for line in {word.y for word in words}:
                row = sorted((word for word in words if word.y == line), key=lambda word: word.x)
                for one, other in zip(row, row[1:], strict=False):
                    assert other.x - one.x >= letter * (len(one.text) + len(other.text)) / 2


def test_a_long_ruler_on_a_phone_still_names_today() -> None:
    assert "W25" in texts(long_ruler(18).narrow)
    assert "M23" in texts(long_ruler(18).narrow)
    assert "T24" not in texts(long_ruler(18).narrow)


def test_the_outermost_days_of_a_long_ruler_are_not_cut_off() -> None:
    for count in (18, 40):
        narrow = long_ruler(count).narrow
        named = [shape for shape in narrow.shapes if isinstance(shape, Words)]
        assert min(word.x for word in named) >= 13
        assert max(word.x for word in named) <= narrow.width - 13
