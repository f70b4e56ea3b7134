from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.drawings.shapes import Box, Picture, Words
from production.drawings.bench_day import (
    NARROW,
    WIDE,
    BenchMix,
    HourScale,
    bench_day_picture,
    drawn_bench_day,
)
from tests.inventory.drawings.reach import of_class, outside

MIXES = (
    BenchMix("311", "Slate", "#4B555C", 505, 518, 578, mixed=True),
    BenchMix("312", "Brick", "#94473A", 564, 576, 651, mixed=True),
    BenchMix("313", "Fog", "#B4BABB", 603, 615, 795, mixed=False),
)
DRAWN = drawn_bench_day(MIXES, 8, 17, 571)


def casts(picture: Picture) -> list[Box]:
    return [shape for shape in of_class(picture, "d-cast") if isinstance(shape, Box)]


def test_each_mix_is_one_step_down() -> None:
    tops = [cast.y for cast in casts(DRAWN.wide)]

    assert len(tops) == 3
    assert [round(b - a, 6) for a, b in zip(tops, tops[1:], strict=False)] == [15.2, 15.2]


def test_time_in_the_mould_is_to_scale() -> None:
    # 60, 75 and 180 min of 540 over 1,220 px
    assert [cast.width for cast in casts(DRAWN.wide)] == pytest.approx([135.6, 169.4, 406.7], abs=0.1)


def test_a_mix_is_hollow_until_it_is_mixed() -> None:
    assert len(of_class(DRAWN.wide, "d-block done")) == 2
    assert len(of_class(DRAWN.wide, "d-block")) == 1


def test_each_step_says_when_it_comes_out_and_the_wide_one_names_the_colour() -> None:
    words = [s.text for s in DRAWN.wide.shapes if isinstance(s, Words) and s.css == "t-over"]
    short = [s.text for s in DRAWN.narrow.shapes if isinstance(s, Words) and s.css == "t-over"]

    assert words[0] == "311 Slate, out 09:38"
    assert short[0] == "311 out 09:38"


def test_the_picture_grows_with_the_mixes_and_stands_when_there_are_none() -> None:
    none = bench_day_picture((), HourScale(8, 17, WIDE), 571)

    assert DRAWN.wide.height > none.height > 0
    assert none.says == "Today from 8 to 17: nothing to pour. It is 09:31."


def test_it_says_itself_in_words() -> None:
    assert DRAWN.narrow.says == DRAWN.wide.says
    assert "mix 313, Fog, to pour 10:15, out of the mould 13:15." in DRAWN.wide.says


def test_now_is_left_out_before_and_after_the_hours_drawn() -> None:
    for now in (7 * 60, 18 * 60, None):
        assert of_class(bench_day_picture(MIXES, HourScale(8, 17, WIDE), now), "d-now") == []


def test_a_cast_that_stays_overnight_has_no_right_wall() -> None:
    overnight = replace(MIXES[2], out=30 * 60)

    (walls,) = of_class(bench_day_picture((overnight,), HourScale(8, 17, WIDE), None), "d-walls2")

    assert walls.d.count("V") == 1


@given(
    started=st.floats(0, 1400),
    mixing=st.floats(0, 60),
    moulding=st.floats(0, 2000),
    width=st.sampled_from([WIDE, NARROW]),
)
def test_nothing_leaves_the_frame(started: float, mixing: float, moulding: float, width: float) -> None:
    mix = BenchMix(
        "1311", "Samphire", "#6A7D4E", started, started + mixing, started + mixing + moulding, False
    )

    assert outside(bench_day_picture((mix,) * 3, HourScale(8, 17, width), 571)) == []
