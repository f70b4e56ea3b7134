from __future__ import annotations

from datetime import date

from inventory.drawings.shapes import Picture
from production.drawings.day_scale import DAY, DayScale, DrawnDay, day_ground, drawn_days, now_line
from tests.inventory.drawings.reach import one_path, outside


def weekdays(day: date) -> tuple[float, float] | None:
    """08:00 to 17:00 on weekdays, nobody at the weekend."""
    return (480, 1020) if day.weekday() < 5 else None


# 5 October 2026 is a Monday
DAYS = drawn_days(date(2026, 10, 5), 7, weekdays)
SCALE = DayScale(DAYS, 700, now=DAY + 720)


def test_days_follow_one_another_with_the_hours_of_each() -> None:
    assert [day.day.day for day in DAYS] == [5, 6, 7, 8, 9, 10, 11]
    assert DAYS[0] == DrawnDay(date(2026, 10, 5), 480, 1020)
    assert [day.has_hands for day in DAYS] == [True] * 5 + [False] * 2


def test_days_are_of_equal_width_and_hours_to_scale() -> None:
    assert [SCALE.x(n * DAY) for n in range(8)] == [0, 100, 200, 300, 400, 500, 600, 700]
    assert SCALE.x(DAY + 720) == 150


def test_a_minute_is_said_with_its_day() -> None:
    assert SCALE.say(DAY + 571) == "Tue 6 09:31"
    assert SCALE.say(-60) == "Sun 4 23:00"


def test_hours_with_hands_are_light_and_days_without_are_closed_over_their_whole_width() -> None:
    ground = Picture(700, 46, "", day_ground(SCALE, 46))
    hands = one_path(ground, "d-hands")
    closed = one_path(ground, "d-closed")

    assert len(hands) == 5 * 4
    assert hands[0] == (33.3, 0)
    assert round(hands[1][0] - hands[0][0], 1) == 37.5
    assert {x for x, _ in closed} == {500, 600, 700}
    assert outside(ground, slack=0) == []


def test_a_studio_that_is_never_open_is_closed_on_every_day() -> None:
    shut = DayScale(drawn_days(date(2026, 10, 5), 7, lambda day: None), 700)

    assert [shape.css for shape in day_ground(shut, 46)] == ["d-closed", "d-midnight"]


def test_the_line_for_now_stands_over_now_and_only_inside_the_picture() -> None:
    line = one_path(Picture(700, 46, "", now_line(SCALE, 46)), "d-now")

    assert min(x for x, _ in line) <= 150 <= max(x for x, _ in line)
    assert now_line(DayScale(DAYS, 700, now=-1), 46) == ()
    assert now_line(DayScale(DAYS, 700, now=8 * DAY), 46) == ()
    assert now_line(DayScale(DAYS, 700), 46) == ()


def test_the_line_for_now_stays_inside_at_both_ends() -> None:
    for now in (0, 7 * DAY):
        assert outside(Picture(700, 46, "", now_line(DayScale(DAYS, 700, now), 46)), slack=0) == []
