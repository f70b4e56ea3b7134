"""How much wax and fragrance goes into a cast vessel."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from production.arithmetic.wax_fill import (
    Convention,
    FragranceOverLimit,
    WaxFillRefused,
    percent_of_total,
    percent_of_wax,
    split_fill,
    wax_fill,
)

OUNCE_MG = 28_349.523125


def test_fragrance_of_the_wax_as_suppliers_work_it() -> None:
    """Source: candle suppliers' published example: 220 g at 10 % of wax is 20.0 g oil and 200.0 g wax."""
    fill = split_fill(220_000, 10, "of wax")

    assert (fill.fragrance_mg, fill.wax_mg) == (20_000, 200_000)


def test_sixteen_ounces_of_wax_take_one_point_six_of_oil() -> None:
    """Source: candle suppliers' published example: 16 oz of wax, 10 % of wax: 1.6 oz of oil."""
    fill = split_fill(round(17.6 * OUNCE_MG), 10, "of wax")

    assert fill.wax_mg / OUNCE_MG == pytest.approx(16, abs=1e-4)
    assert fill.fragrance_mg / OUNCE_MG == pytest.approx(1.6, abs=1e-4)


def test_fragrance_of_the_total_as_suppliers_work_it() -> None:
    """Source: candle suppliers' published examples: 220 g gives 22.0 + 198.0; 16 oz gives 1.6 + 14.4."""
    grams = split_fill(220_000, 10, "of total")
    ounces = split_fill(round(16 * OUNCE_MG), 10, "of total")

    assert (grams.fragrance_mg, grams.wax_mg) == (22_000, 198_000)
    assert ounces.fragrance_mg / OUNCE_MG == pytest.approx(1.6, abs=1e-4)
    assert ounces.wax_mg / OUNCE_MG == pytest.approx(14.4, abs=1e-4)


@pytest.mark.parametrize(
    ("of_wax", "of_total"), [(5, 4.7619), (6, 5.6604), (8, 7.4074), (10, 9.0909), (12, 10.7143)]
)
def test_percent_of_wax_and_of_total_are_turned_into_each_other(of_wax: float, of_total: float) -> None:
    """Source: p / (1 + p), worked here."""
    assert percent_of_total(of_wax) == pytest.approx(of_total, abs=1e-4)
    assert percent_of_wax(of_total) == pytest.approx(of_wax, abs=2e-4)


def test_the_convention_decides_which_side_of_a_hazard_limit_a_candle_falls() -> None:
    """Source: CLP Annex II 2.8: EUH208 from 0.1 % of a sensitiser (1B); 1 % of the oil, worked here."""
    of_total, of_wax = (split_fill(220_000, 10, convention) for convention in ("of total", "of wax"))

    assert of_total.percent_of_total / 100 == pytest.approx(0.10)
    assert of_wax.percent_of_total / 100 == pytest.approx(0.0909, abs=1e-4)


def test_a_hundred_and_eighty_millilitres_of_hot_wax() -> None:
    """Source: m = V rho, worked here: 180 mL at 0.78 g/mL is 140.4 g."""
    assert wax_fill(180_000, 1.0, 0.78).total_mg == 140_400
    assert wax_fill(240_000, 0.75, 0.78).wax_mg == 140_400


@given(
    total_mg=st.integers(1, 10**7),
    percent=st.floats(0, 50),
    convention=st.sampled_from(["of wax", "of total"]),
)
def test_wax_and_fragrance_add_up_to_the_fill(total_mg: int, percent: float, convention: Convention) -> None:
    fill = split_fill(total_mg, percent, convention)

    assert fill.wax_mg + fill.fragrance_mg == total_mg
    typed = fill.percent_of_wax if convention == "of wax" else fill.percent_of_total
    assert typed == pytest.approx(percent)
    assert fill.percent_of_total <= fill.percent_of_wax + 1e-12


def test_more_fragrance_than_its_maker_allows_is_refused() -> None:
    wax_fill(180_000, 1.0, 0.78, fragrance_percent=10, fragrance_limit_percent=10)

    with pytest.raises(FragranceOverLimit) as refused:
        wax_fill(180_000, 1.0, 0.78, fragrance_percent=10.5, fragrance_limit_percent=10)

    assert refused.value.message == (
        "10.5 % fragrance of wax is more than the 10 % its maker allows. Use less."
    )


@pytest.mark.parametrize("percent", [0.7, 4.8, 5.6, 6, 10])
def test_a_load_at_its_makers_very_limit_is_allowed(percent: float) -> None:
    fill = wax_fill(180_000, 1.0, 0.78, fragrance_percent=percent, fragrance_limit_percent=percent)

    assert fill.percent_of_wax == pytest.approx(percent)


def test_a_limit_stated_in_the_other_convention_is_compared_in_its_own() -> None:
    within = wax_fill(
        180_000, 1.0, 0.78, fragrance_percent=10, fragrance_limit_percent=9.1, limit_convention="of total"
    )
    assert within.percent_of_total == pytest.approx(9.0909, abs=1e-4)

    with pytest.raises(FragranceOverLimit) as refused:
        wax_fill(
            180_000,
            1.0,
            0.78,
            fragrance_percent=10,
            convention="of total",
            fragrance_limit_percent=11,
            limit_convention="of wax",
        )
    assert refused.value.facts["fragrance_percent"] == pytest.approx(11.1111, abs=1e-4)


@pytest.mark.parametrize(
    ("volume_ul", "part", "density"),
    [(0, 0.8, 0.78), (-1, 0.8, 0.78), (180_000, 0, 0.78), (180_000, 1.01, 0.78), (180_000, 80, 0.78)]
    + [(180_000, 0.8, 0), (180_000, 0.8, 780), (180_000, 0.8, float("nan"))],
)
def test_fills_that_cannot_be_are_refused(volume_ul: int, part: float, density: float) -> None:
    with pytest.raises(WaxFillRefused):
        wax_fill(volume_ul, part, density)


@pytest.mark.parametrize(
    ("percent", "convention"),
    [(-1, "of wax"), (float("nan"), "of wax"), (float("inf"), "of wax"), (100, "of total")],
)
def test_loads_that_cannot_be_are_refused(percent: float, convention: Convention) -> None:
    with pytest.raises(WaxFillRefused):
        split_fill(220_000, percent, convention)
