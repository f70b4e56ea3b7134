from __future__ import annotations

from dataclasses import replace
from datetime import date

from hypothesis import given
from hypothesis import strategies as st

from inventory.drawings.shapes import Picture, Words
from inventory.drawings.stair import BASE, TOP, StairFacts, stair_picture
from inventory.drawings.wall_clock import DAY
from tests.inventory.drawings.reach import of_class, one_path, outside

FACTS = StairFacts(
    says="Quick compound: 20 kg held, below 5 kg on Fri 9",
    held=20_000,
    changes=((DAY + 600, -5_000), (2 * DAY + 600, -5_000), (4 * DAY, -7_500)),
    least=5_000,
    first_day=date(2026, 10, 6),
    days=12,
    now=571,
)


def heights(picture: Picture) -> list[float]:
    """Heights the stair stands at, in the order it takes them."""
    seen: list[float] = []
    for _, y in one_path(picture, "d-line2"):
        if not seen or seen[-1] != y:
            seen.append(y)
    return seen


def test_each_step_is_as_high_as_what_is_held() -> None:
    # 20, 15, 10 and 2.5 of 20 over the 40 px between the base line and the top
    assert heights(stair_picture(FACTS)) == [8.0, 18.0, 28.0, 43.0]


def test_the_least_to_keep_is_drawn_to_the_same_scale() -> None:
    (_, y), (_, also) = one_path(stair_picture(FACTS), "d-least")

    assert (y, also) == (38.0, 38.0)


def test_less_than_the_least_to_keep_lies_under_its_line() -> None:
    short = stair_picture(replace(FACTS, held=10_000, least=40_000, changes=()))

    assert one_path(short, "d-least")[0][1] == TOP
    assert heights(short) == [38.0]


def test_a_delivery_lifts_the_stair() -> None:
    lifted = replace(FACTS, changes=((DAY, -10_000), (2 * DAY, 10_000)))

    assert heights(stair_picture(lifted)) == [8.0, 28.0, 8.0]


def test_a_stair_never_goes_under_its_base_line() -> None:
    overdrawn = replace(FACTS, changes=((DAY, -30_000),))

    assert heights(stair_picture(overdrawn))[-1] == BASE


def test_the_flag_stands_on_the_last_day_to_order_and_at_now_when_that_is_past() -> None:
    inside = one_path(stair_picture(replace(FACTS, order_by=6 * DAY)), "d-flag")[0][0]
    past = one_path(stair_picture(replace(FACTS, order_by=-3 * DAY)), "d-flag")[0][0]
    start = one_path(stair_picture(FACTS), "d-line2")[0][0]

    assert inside == 4 + 0.5 * 328
    assert past == start


def test_there_is_no_flag_when_nothing_runs_short_or_only_later() -> None:
    assert of_class(stair_picture(FACTS), "d-flag") == []
    assert of_class(stair_picture(replace(FACTS, order_by=13 * DAY)), "d-flag") == []


def test_days_are_named_from_left_to_right() -> None:
    named = [shape for shape in stair_picture(FACTS).shapes if isinstance(shape, Words)]

    assert [word.text for word in named] == ["Tue 6", "Fri 9", "Mon 12", "Thu 15"]
    assert [word.x for word in named] == sorted(word.x for word in named)


def test_the_picture_says_what_the_page_says() -> None:
    assert stair_picture(FACTS).says == FACTS.says


@given(
    held=st.integers(0, 10**9),
    least=st.integers(0, 10**9),
    changes=st.lists(st.tuples(st.floats(0, 30 * DAY), st.integers(-(10**8), 10**8)), max_size=20),
    order_by=st.none() | st.floats(-10 * DAY, 30 * DAY),
)
def test_nothing_leaves_the_frame(
    held: int, least: int, changes: list[tuple[float, int]], order_by: float | None
) -> None:
    facts = replace(FACTS, held=held, least=least, changes=tuple(sorted(changes)), order_by=order_by)

    picture = stair_picture(facts)

    assert outside(picture) == []
    assert all(TOP <= y <= BASE for y in heights(picture))


def test_a_delivery_awaited_is_an_arrow_where_it_comes_in():
    """Day 3 of 12 in 336 px: 4 + 3.5/12 of 328 is 99.7 px."""
    facts = StairFacts(
        says="",
        held=5,
        changes=((3.5 * DAY, 10), (4.5 * DAY, -2), (20 * DAY, 7)),
        least=0,
        first_day=date(2026, 10, 6),
        days=12,
    )

    arrows = [shape for shape in stair_picture(facts).shapes if getattr(shape, "css", "") == "d-arrow-head"]

    assert len(arrows) == 1
    assert "L99.7 40" in arrows[0].d
