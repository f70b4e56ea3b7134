from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.drawings.shapes import Box
from production.drawings.mould_day import CopyUse, drawn_mould_day
from tests.inventory.drawings.reach import of_class, one_path, outside

USE = CopyUse(poured=615, out=795, dry_at=975, colour_hex="#B4BABB")
DRAWN = drawn_mould_day("Copy 1", (USE,), 8, 17, 571)


def test_walls_stand_for_the_time_in_the_mould_and_drops_for_cleaning_and_drying() -> None:
    (cast,) = of_class(DRAWN.wide, "d-cast")
    wet = one_path(DRAWN.wide, "d-wet")

    assert isinstance(cast, Box)
    # 10:15 to 13:15 and 13:15 to 16:15 of nine hours over 620 px
    assert (cast.x, cast.width) == (pytest.approx(165, abs=0.1), pytest.approx(206.7, abs=0.1))
    assert min(x for x, _ in wet) == pytest.approx(cast.x + cast.width, abs=0.1)
    assert max(x for x, _ in wet) == pytest.approx(578.3, abs=0.1)


def test_it_says_when_the_copy_is_in_use_and_when_it_is_dry_again() -> None:
    assert DRAWN.wide.says == "Copy 1: in use 10:15 to 13:15, clean and dry 16:15"
    assert drawn_mould_day("Copy 2", (), 8, 17, None).narrow.says == "Copy 2: free all day"


@given(start=st.floats(0, 1500), inside=st.floats(0, 1500), wet=st.floats(0, 1500))
def test_nothing_leaves_the_frame(start: float, inside: float, wet: float) -> None:
    use = CopyUse(start, start + inside, start + inside + wet, "#94473A")
    drawn = drawn_mould_day("Copy 1", (use,), 8, 17, 571)

    assert outside(drawn.wide) == []
    assert outside(drawn.narrow) == []


def test_a_wash_is_told_as_one():
    drawn = drawn_mould_day("Copy 1", (CopyUse(540, 540, 660, ""),), 8, 17, None)

    assert drawn.wide.says == "Copy 1: washed 09:00, clean and dry 11:00"
