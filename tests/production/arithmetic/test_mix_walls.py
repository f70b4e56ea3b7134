"""What is refused and what is only said about the numbers of a mix."""

from __future__ import annotations

import pytest

from production.arithmetic.mix_walls import (
    CEMENT_WALLS,
    MixNumberRefused,
    PartsTypedAsRatio,
    RatioTypedAsParts,
    WaterBelowUptake,
    WaterTemperatureRefused,
    check_overfill,
    check_pigment_load,
    check_ratio_is_no_slip,
    check_water_ratio,
    check_water_temperature,
    ratio_from_parts,
)


@pytest.mark.parametrize("parts", [0.15, 0.4, 1.5])
def test_parts_typed_as_a_ratio_are_refused_with_a_hundredfold_offer(parts: float) -> None:
    with pytest.raises(PartsTypedAsRatio) as refused:
        ratio_from_parts(parts)

    assert refused.value.facts["offer"] == pytest.approx(100 * parts)


@pytest.mark.parametrize(("parts", "ratio"), [(30, 0.30), (0.1, 0.001), (1.6, 0.016), (70, 0.70)])
def test_parts_per_hundred_become_a_ratio(parts: float, ratio: float) -> None:
    assert ratio_from_parts(parts) == pytest.approx(ratio)


@pytest.mark.parametrize("ratio", [15, 40, 150])
def test_a_ratio_typed_as_parts_is_refused_with_a_hundredth_as_offer(ratio: float) -> None:
    with pytest.raises(RatioTypedAsParts) as refused:
        check_ratio_is_no_slip(ratio)

    assert refused.value.facts == {"typed": ratio, "offer": ratio / 100}


@pytest.mark.parametrize("value", [0, -1, float("nan"), float("inf")])
def test_no_number_above_zero_is_no_ratio(value: float) -> None:
    with pytest.raises(MixNumberRefused):
        ratio_from_parts(value)
    with pytest.raises(MixNumberRefused):
        check_water_ratio(value)


@pytest.mark.parametrize(
    ("ratio", "codes"), [(0.186, ["little water"]), (0.25, []), (0.90, []), (0.91, ["much water"])]
)
def test_the_warning_walls_of_gypsum_are_a_quarter_and_nine_tenths(ratio: float, codes: list[str]) -> None:
    """Source: common practice, no source."""
    assert [warning.code for warning in check_water_ratio(ratio)] == codes


def test_cement_is_refused_below_its_bound_water() -> None:
    """Source: Powers, chemically bound water of Portland cement about 0.23 (from memory)."""
    with pytest.raises(WaterBelowUptake):
        check_water_ratio(0.22, CEMENT_WALLS)
    assert [warning.code for warning in check_water_ratio(0.34, CEMENT_WALLS)] == ["little water"]


def test_at_the_wall_nothing_is_said_yet() -> None:
    """Source: ASTM C979 for 10 % pigment; the others common practice, no source."""
    assert check_overfill(15) == []
    assert check_overfill(50)
    assert check_pigment_load(5) == []
    assert check_pigment_load(10)


@pytest.mark.parametrize(
    ("temperature_c", "codes"),
    [(5, ["cold water"]), (10, []), (30, []), (31, ["warm water"]), (45, ["warm water"])],
)
def test_cold_and_warm_mixing_water_is_said(temperature_c: float, codes: list[str]) -> None:
    """Source: common practice, no source."""
    assert [warning.code for warning in check_water_temperature(temperature_c)] == codes


@pytest.mark.parametrize("temperature_c", [0.5, 46, float("nan"), -3])
def test_ice_and_hot_water_are_refused(temperature_c: float) -> None:
    with pytest.raises(WaterTemperatureRefused):
        check_water_temperature(temperature_c)
