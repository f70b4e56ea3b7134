from __future__ import annotations

from dataclasses import replace
from datetime import date
from itertools import pairwise
from math import exp

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.drawings.shapes import Box, Path, Picture, Words
from production.drawings.day_scale import DAY, NARROW, WIDE, DayScale, drawn_days
from production.drawings.ebb import (
    EbbFacts,
    EbbStep,
    drawn_ebb,
    ebb_kind,
    ebb_picture,
    ebb_sentence,
    post_head,
    spare_words,
)
from tests.inventory.drawings.reach import of_class, one_path, outside, points_of

FIRST = date(2026, 10, 5)  # a Monday
DAYS = drawn_days(FIRST, 13, lambda day: (450, 990) if day.weekday() < 5 else None)
NOW = DAY + 571.0
SCALE = DayScale(DAYS, WIDE, NOW)
PHONE = DayScale(DAYS, NARROW, NOW)


def at(day: int, hour: int, minute: int = 0) -> float:
    """Minute of a time in October 2026."""
    return (day - 5) * DAY + hour * 60 + minute


BOOKENDS = EbbFacts(
    name="Mix 310, 2 Groyne bookend, Fog",
    started=at(5, 8, 55),
    poured=at(5, 9, 10),
    out=at(5, 12, 10),
    dry=at(8, 9, 10),
    ready=at(9, 13, 10),
    mixed=True,
    colour_hex="#B4BABB",
    silhouette="bookend",
    leaves=at(12, 15),
    steps=(
        EbbStep("coat", at(8, 9, 10), at(8, 9, 30), done=True),
        EbbStep("coat", at(8, 13, 10), at(8, 13, 30)),
        EbbStep("cure", at(8, 13, 30), at(9, 13, 10)),
    ),
)
LATE = replace(BOOKENDS, leaves=at(8, 15), ready=at(9, 13))
CUPS = replace(
    BOOKENDS,
    steps=(
        EbbStep("coat", at(8, 10), at(8, 10, 20)),
        EbbStep("fill", at(9, 9), at(9, 9, 30)),
        EbbStep("cure", at(9, 9, 30), at(12, 9)),
    ),
    ready=at(12, 9),
)


def walls(picture: Picture) -> tuple[float, float]:
    points = one_path(picture, "d-walls")
    return min(x for x, _ in points), max(x for x, _ in points)


def block(picture: Picture) -> Box:
    (found,) = [s for s in picture.shapes if isinstance(s, Box) and s.css.startswith("d-block")]
    return found


# Mixing and the mould


def test_the_block_of_a_mix_is_hollow_until_it_is_mixed() -> None:
    assert block(ebb_picture(BOOKENDS, SCALE)).css == "d-block done"
    assert block(ebb_picture(replace(BOOKENDS, mixed=False), SCALE)).css == "d-block"


def test_walls_are_as_wide_as_the_time_in_the_mould() -> None:
    # 3 h of 24 over a day of 80 px is 10 px
    left, right = walls(ebb_picture(BOOKENDS, SCALE))

    assert right - left == pytest.approx(10, abs=0.11)


@pytest.mark.parametrize("scale", [SCALE, PHONE])
def test_an_hour_in_the_mould_is_never_drawn_narrower_than_nine_px(scale: DayScale) -> None:
    short = replace(BOOKENDS, out=BOOKENDS.poured + 60)

    left, right = walls(ebb_picture(short, scale))

    assert right - left == pytest.approx(9, abs=0.11)


def test_the_cast_between_the_walls_has_its_own_colour() -> None:
    (cast,) = of_class(ebb_picture(BOOKENDS, SCALE), "d-cast")

    assert isinstance(cast, Box)
    assert cast.fill == "#B4BABB"


# Water leaving


def test_the_curve_falls_as_the_exponential_of_the_studios_own_tau() -> None:
    tau = 900.0
    points = one_path(ebb_picture(replace(BOOKENDS, tau=tau), SCALE), "d-curve")
    (start, _), (end, _) = points[0], points[-1]
    base, tall = 39, 32

    for x, y in points:
        gone = (x - start) / (end - start) * (BOOKENDS.dry - BOOKENDS.out)
        assert (base - y) / tall == pytest.approx(exp(-gone / tau), abs=0.012)


def test_the_curve_never_rises_and_starts_full() -> None:
    heights = [y for _, y in one_path(ebb_picture(BOOKENDS, SCALE), "d-curve")]

    assert heights[0] == 7
    assert heights == sorted(heights)


def test_level_lines_end_at_the_curve() -> None:
    picture = ebb_picture(BOOKENDS, SCALE)
    curve = one_path(picture, "d-curve")

    levels = one_path(picture, "d-levels")

    for (_, y), (end, _) in zip(levels[::2], levels[1::2], strict=True):
        nearest = min(curve, key=lambda point: abs(point[0] - end))
        assert nearest[1] == pytest.approx(y, abs=2.6)


def test_level_lines_of_a_slow_piece_stop_where_it_counts_as_dry() -> None:
    picture = ebb_picture(replace(BOOKENDS, tau=20 * DAY), SCALE)
    dry = one_path(picture, "d-tick")[0][0]

    assert max(x for x, _ in one_path(picture, "d-levels")) == dry


def test_an_upright_stands_where_it_counts_as_dry() -> None:
    # Thu 8 09:10 is 3 days and 9 h 10 after the picture's start: 3.382 days of 80 px
    assert one_path(ebb_picture(BOOKENDS, SCALE), "d-tick")[0][0] == pytest.approx(270.6, abs=0.1)


# Coats, wax, curing, the piece


def test_coats_are_hollow_until_done() -> None:
    picture = ebb_picture(BOOKENDS, SCALE)

    assert len(of_class(picture, "d-coat done")) == 1
    assert len(of_class(picture, "d-coat")) == 1


@pytest.mark.parametrize("scale", [SCALE, PHONE])
def test_coats_close_together_are_drawn_beside_one_another(scale: DayScale) -> None:
    close = replace(
        BOOKENDS, steps=tuple(EbbStep("coat", at(8, 10, n), at(8, 10, n + 10)) for n in (0, 10, 20))
    )

    coats = [s for s in of_class(ebb_picture(close, scale), "d-coat") if isinstance(s, Box)]

    assert len(coats) == 3
    assert all(a.x + a.width + 1 <= b.x for a, b in pairwise(coats))


@pytest.mark.parametrize("scale", [SCALE, PHONE])
def test_steps_stand_in_order_and_never_on_one_another(scale: DayScale) -> None:
    picture = ebb_picture(CUPS, scale)
    (coat,) = of_class(picture, "d-coat")
    (wax,) = of_class(picture, "d-wax")
    (cure,) = of_class(picture, "d-cure")
    dry = one_path(picture, "d-tick")[0][0]

    assert isinstance(coat, Box)
    assert isinstance(wax, Path)
    assert isinstance(cure, Path)
    cup = points_of(wax.d)
    assert dry <= coat.x
    assert coat.x + coat.width <= cup[0][0]
    assert max(x for x, _ in cup) <= points_of(cure.d)[0][0]


def test_the_piece_stands_where_it_is_ready_in_its_own_outline() -> None:
    (piece,) = of_class(ebb_picture(BOOKENDS, SCALE), "sil-body")

    assert isinstance(piece, Path)
    # Fri 9 13:10: 4.549 days of 80 px, and one px more
    assert dict(piece.extra)["transform"].startswith("translate(364.9 ")


# The day it leaves


def test_the_post_stands_on_the_day_it_leaves_and_the_spare_time_is_written() -> None:
    picture = ebb_picture(BOOKENDS, SCALE)
    words = [shape for shape in picture.shapes if isinstance(shape, Words)]

    # Mon 12 15:00: 7.625 days of 80 px
    assert one_path(picture, "d-post")[0][0] == 610
    assert [word.text for word in words] == ["spare 3 d 1 h"]
    assert words[0].right < 610


def test_the_spare_time_is_said_behind_the_post_where_there_is_no_room_before_it() -> None:
    close = replace(BOOKENDS, leaves=at(9, 15))
    (word,) = [shape for shape in ebb_picture(close, SCALE).shapes if isinstance(shape, Words)]

    assert word.text == "spare 1 h"
    assert word.left > one_path(ebb_picture(close, SCALE), "d-post")[0][0]


def test_slanted_lines_cover_what_falls_beyond_the_post_and_only_then() -> None:
    late = ebb_picture(LATE, SCALE)
    frame = one_path(late, "d-late")
    post = one_path(late, "d-post")[0][0]

    assert of_class(ebb_picture(BOOKENDS, SCALE), "d-hatch") == []
    assert of_class(ebb_picture(BOOKENDS, SCALE), "d-late") == []
    assert min(x for x, _ in frame) == pytest.approx(post, abs=0.1)
    # ready Fri 9 13:00: 4.542 days of 80 px
    assert max(x for x, _ in frame) == pytest.approx(363.3, abs=0.1)
    for x, y in one_path(late, "d-hatch"):
        assert post - 0.1 <= x <= 363.4
        assert 3.9 <= y <= 39.1


def test_lateness_that_goes_on_after_the_last_day_is_cut_off_there() -> None:
    beyond = replace(LATE, leaves=at(16, 15), ready=at(25, 9))
    picture = ebb_picture(beyond, SCALE)

    assert max(x for x, _ in one_path(picture, "d-late")) == WIDE
    assert outside(picture) == []
    assert "late 9 d" in [s.text for s in picture.shapes if isinstance(s, Words)]


def test_ready_at_the_very_minute_it_leaves_is_not_late() -> None:
    just = replace(BOOKENDS, leaves=BOOKENDS.ready)

    assert of_class(ebb_picture(just, SCALE), "d-hatch") == []
    assert spare_words(just) == "spare 0 min"


def test_lateness_is_said_by_the_days_it_leaves_after_its_own() -> None:
    assert spare_words(LATE) == "late 1 d"
    assert spare_words(replace(LATE, leaves=at(9, 9))) == "late 4 h"


def test_shelf_stock_has_no_post_and_no_spare_time() -> None:
    stock = replace(BOOKENDS, leaves=None)
    picture = ebb_picture(stock, SCALE)

    assert of_class(picture, "d-post") == []
    assert stock.spare is None
    assert spare_words(stock) == ""


# Words and widths


def test_the_strip_says_itself_in_one_sentence() -> None:
    assert ebb_sentence(BOOKENDS, SCALE) == (
        "Mix 310, 2 Groyne bookend, Fog: poured Mon 5 09:10, out of the mould Mon 5 12:10, dry Thu 8 09:10, "
        "coat 1 Thu 8 09:10, done, coat 2 Thu 8 13:10, cured Fri 9 13:10, ready Fri 9 13:10, "
        "leaves Mon 12 15:00, spare 3 d 1 h"
    )
    assert "to pour Mon 5 09:10" in ebb_sentence(replace(BOOKENDS, mixed=False), SCALE)
    assert "wax fill Fri 9 09:00" in ebb_sentence(CUPS, SCALE)


def test_both_widths_say_the_same_and_only_the_wide_one_writes_into_the_drawing() -> None:
    drawn = drawn_ebb(BOOKENDS, DAYS, NOW)

    assert (drawn.wide.width, drawn.narrow.width) == (1040, 358)
    assert drawn.wide.says == drawn.narrow.says
    assert not [shape for shape in drawn.narrow.shapes if isinstance(shape, Words)]


def test_a_mix_poured_before_the_first_day_shows_what_is_left_of_it() -> None:
    old = replace(BOOKENDS, started=-3000, poured=-2990, out=-2900, dry=at(6, 9))

    picture = ebb_picture(old, SCALE)

    assert of_class(picture, "d-walls") == []
    assert one_path(picture, "d-curve")[0][0] == 0
    assert outside(picture, slack=2) == []


def test_a_mix_of_the_first_minutes_keeps_its_block_inside() -> None:
    early = replace(BOOKENDS, started=0, poured=5, out=65)

    assert block(ebb_picture(early, PHONE)).x >= 0


@given(
    started=st.floats(-3 * DAY, 12 * DAY),
    stretches=st.lists(st.floats(0, 3 * DAY), min_size=4, max_size=4),
    steps=st.lists(
        st.tuples(st.sampled_from(["coat", "fill"]), st.floats(0, DAY), st.floats(1, 120)), max_size=3
    ),
    spare=st.none() | st.floats(-6 * DAY, 6 * DAY),
    width=st.sampled_from([1040.0, 416.0, 358.0, 334.0]),
)
def test_nothing_leaves_the_frame_whatever_the_times(
    started: float,
    stretches: list[float],
    steps: list[tuple[str, float, float]],
    spare: float | None,
    width: float,
) -> None:
    poured = started + stretches[0] / 100
    out = poured + stretches[1] / 10
    moment = dry = out + stretches[2]
    made = []
    for kind, wait, takes in steps:
        made.append(EbbStep(kind, moment + wait, moment + wait + takes))  # type: ignore[arg-type]
        moment += wait + takes
    ready = moment + stretches[3]
    made.append(EbbStep("cure", moment, ready))
    facts = replace(
        BOOKENDS,
        started=started,
        poured=poured,
        out=out,
        dry=dry,
        ready=ready,
        steps=tuple(made),
        leaves=None if spare is None else ready + spare,
    )

    picture = ebb_picture(facts, DayScale(DAYS, width, NOW), with_words=width > 600)

    assert outside(picture, slack=2.5) == []
    hatched = bool(of_class(picture, "d-hatch"))
    assert not hatched or (facts.leaves is not None and facts.ready > facts.leaves)


# The head of a group


def test_a_pennant_points_back_from_the_post_and_what_leaves_stands_before_it() -> None:
    picture = post_head(at(12, 15), "1047 Heron Ebb, three pairs of bookends", SCALE)
    (words,) = [shape for shape in picture.shapes if isinstance(shape, Words)]

    assert one_path(picture, "d-post")[0][0] == 610
    assert min(x for x, _ in one_path(picture, "d-pennant")) == 599
    assert words.right <= 599


def test_what_leaves_on_the_first_day_stands_behind_its_post() -> None:
    picture = post_head(at(5, 15), "1041 Sandpiper Low", SCALE)
    (words,) = [shape for shape in picture.shapes if isinstance(shape, Words)]

    assert words.left > at(5, 15) / DAY * 80
    assert outside(picture) == []


def test_a_step_of_the_studios_own_is_a_diamond_called_by_its_name() -> None:
    gilded = replace(
        BOOKENDS, steps=(EbbStep(ebb_kind("own"), at(8, 10), at(8, 10, 20), name="gild"), *BOOKENDS.steps[1:])
    )

    assert "gild Thu 8 10:00" in ebb_sentence(gilded, SCALE)
    diamonds = [s for s in ebb_picture(gilded, SCALE).shapes if isinstance(s, Path) and s.css == "d-coat"]
    assert len(diamonds) == 1


def test_drying_anew_after_the_first_time_is_said_with_its_end() -> None:
    again = replace(BOOKENDS, steps=(EbbStep("dry", at(8, 9, 10), at(8, 11)), *BOOKENDS.steps))

    assert "dry again Thu 8 11:00" in ebb_sentence(again, SCALE)
