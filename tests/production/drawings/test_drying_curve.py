from __future__ import annotations

from dataclasses import replace
from datetime import date
from math import exp

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.drawings.shapes import Ring, Words
from production.drawings.drying_curve import DryingFacts, Weighing, drawn_drying_curve, drying_picture
from tests.inventory.drawings.reach import of_class, one_path, outside

DAY = 1440.0
START, DRY, TAU = 1_306_000, 1_106_000, 1_000.0


def mass(minutes: float) -> int:
    """Mass on the curve, mg."""
    return round(DRY + (START - DRY) * exp(-minutes / TAU))


FACTS = DryingFacts(
    weighings=(
        Weighing(730, START, "1,306.0 g"),
        Weighing(730 + 400, mass(400), "1,240.1 g"),
        Weighing(730 + 1500, mass(1500), "1,150.6 g"),
    ),
    first_day=date(2026, 10, 5),
    dry_mass_mg=DRY,
    start_mass_mg=START,
    tau=TAU,
    dry_at=3 * DAY + 550,
    dry_words="dry Thu 09:10",
)


def rings(facts: DryingFacts) -> list[Ring]:
    return [s for s in drying_picture(facts, 470, 112).shapes if isinstance(s, Ring)]


def test_there_is_a_ring_for_each_weighing_and_weighings_on_the_curve_lie_on_it() -> None:
    picture = drying_picture(FACTS, 470, 112)
    curve = one_path(picture, "d-curve")

    assert len(rings(FACTS)) == 3
    for ring in rings(FACTS):
        nearest = min(curve, key=lambda point: abs(point[0] - ring.x))
        assert nearest[1] == pytest.approx(ring.y, abs=1.2)


def test_heights_are_in_proportion_to_the_water_left() -> None:
    first, second, third = (ring.y for ring in rings(FACTS))
    base = 112 - 25

    assert (base - second) / (base - first) == pytest.approx(exp(-0.4), abs=0.001)
    assert (base - third) / (base - first) == pytest.approx(exp(-1.5), abs=0.001)


def test_a_weighing_off_the_curve_stands_off_it() -> None:
    heavy = replace(FACTS.weighings[2], mass_mg=FACTS.weighings[2].mass_mg + 40_000)
    moved = rings(replace(FACTS, weighings=(*FACTS.weighings[:2], heavy)))[2]

    assert moved.y < rings(FACTS)[2].y - 10


def test_an_upright_stands_where_it_is_expected_dry() -> None:
    picture = drying_picture(FACTS, 470, 112)
    first, last = rings(FACTS)[0], rings(FACTS)[2]
    upright = [one for one in of_class(picture, "d-line2")]
    x = one_path(picture, "d-line2")[0][0]

    assert len(upright) == 1
    # 3 d 9 h 10 after midnight, 4,140 min after the first weighing; the third came 1,500 after it
    assert (x - first.x) / (last.x - first.x) == pytest.approx(4140 / 1500, abs=0.01)
    assert "dry Thu 09:10" in [s.text for s in picture.shapes if isinstance(s, Words)]


def test_too_few_weighings_are_rings_without_a_curve() -> None:
    few = replace(
        FACTS, weighings=FACTS.weighings[:1], dry_mass_mg=None, start_mass_mg=None, tau=None, dry_at=None
    )

    picture = drying_picture(few, 470, 112)

    assert of_class(picture, "d-curve") == []
    assert len([s for s in picture.shapes if isinstance(s, Ring)]) == 1
    assert picture.says == "Weights: 1,306.0 g Mon 5."


def test_masses_close_together_are_written_under_one_another() -> None:
    close = tuple(Weighing(730 + 20 * n, START - n * 1000, f"1,30{6 - n}.0 g") for n in range(3))

    written = [
        s
        for s in drying_picture(replace(FACTS, weighings=close), 334, 104).shapes
        if isinstance(s, Words) and s.css == "t-over-paper"
    ]

    for above, below in zip(written, written[1:], strict=False):
        assert below.y - above.y >= 13 or below.left >= above.right


def test_it_says_its_weighings_and_when_it_is_expected_dry() -> None:
    assert drawn_drying_curve(FACTS).wide.says == (
        "Weights: 1,306.0 g Mon 5, 1,240.1 g Mon 5, 1,150.6 g Tue 6. Expected dry Thu 09:10."
    )


@given(
    times=st.lists(st.floats(0, 5 * DAY), min_size=1, max_size=8),
    masses=st.lists(st.integers(1, 3_000_000), min_size=8, max_size=8),
    fit=st.none() | st.tuples(st.integers(1, 2_000_000), st.floats(10, 10_000), st.floats(0, 20 * DAY)),
    width=st.sampled_from([(470.0, 112.0), (334.0, 104.0)]),
)
def test_nothing_leaves_the_frame_whatever_is_weighed(
    times: list[float],
    masses: list[int],
    fit: tuple[int, float, float] | None,
    width: tuple[float, float],
) -> None:
    weighings = tuple(
        Weighing(at, of, f"{of / 1000:,.1f} g") for at, of in zip(sorted(times), masses, strict=False)
    )
    dry, tau, dry_at = fit or (None, None, None)
    facts = DryingFacts(weighings, date(2026, 10, 5), dry, None, tau, dry_at, "dry Thu 09:10" if fit else "")

    assert outside(drying_picture(facts, *width), slack=5) == []
