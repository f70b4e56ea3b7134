"""How castings came out, group by group."""

from __future__ import annotations

import pytest

from production.arithmetic.outcome_rates import (
    AGE_FROM_WEEKS,
    LOT,
    MOULD,
    NOT_GOOD,
    OPENINGS,
    SCRAP,
    TUB_AGE,
    JudgedCast,
    band_words,
    rates_by,
)


def casts(count: int, outcome: str = "good", reason: str = "", **fields: object) -> list[JudgedCast]:
    """So many castings alike, each from a mix of its own unless one is given."""
    given = {"mould": "pot", "compound": "quick", "powder_lots": ("L1",), "mix": 0, **fields}
    return [JudgedCast(outcome=outcome, reason=reason, **given) for _ in range(count)]  # type: ignore[arg-type]


# 4 of 96 are not good in the first weeks, 9 of 20 once the tub is ten weeks open.
TEN_WEEKS = [
    *casts(92, tub_days=20),
    *casts(4, "second", "air bubbles", tub_days=20),
    *casts(11, tub_days=72, mix=7),
    *casts(9, "scrap", "lumps", tub_days=72, mix=8),
]


def test_lumpy_powder_since_the_tub_was_ten_weeks_open_stands_out() -> None:
    """Ranges by `scipy.stats.binomtest`: 9 of 20 is 25.8 to 65.8 %, 4 of 96 is 1.6 to 10.2 %."""
    early, late = rates_by(TUB_AGE, TEN_WEEKS)

    assert (early.group, late.group) == ("2 to 3 weeks", "10 to 12 weeks")
    assert (late.casts, late.mixes, late.good, late.second, late.scrap) == (20, 2, 11, 0, 9)
    assert late.share.low == pytest.approx(0.258, abs=1e-3)
    assert late.share.high == pytest.approx(0.658, abs=1e-3)
    assert late.rest is not None
    assert late.rest.high == pytest.approx(0.102, abs=1e-3)
    assert late.reasons == (("lumps", 9),)
    assert late.stands_out
    assert not early.stands_out


def test_a_reason_counts_what_bears_it_and_scrap_only_scrap() -> None:
    by_reason = {rate.group: rate.share.count for rate in rates_by(TUB_AGE, TEN_WEEKS, "air bubbles")}
    by_scrap = {rate.group: rate.share.count for rate in rates_by(TUB_AGE, TEN_WEEKS, SCRAP)}

    assert by_reason == {"2 to 3 weeks": 4, "10 to 12 weeks": 0}
    assert by_scrap == {"2 to 3 weeks": 0, "10 to 12 weeks": 9}


def test_three_bad_ones_of_five_are_no_proof() -> None:
    """Worked here: 3 of 5 is 23.1 to 88.2 %, 4 of 30 is 5.3 to 29.7 %: the ranges meet."""
    some = [*casts(2, mould="dish"), *casts(3, "scrap", mould="dish"), *casts(26), *casts(4, "scrap")]

    assert [rate.stands_out for rate in rates_by(MOULD, some)] == [False, False]


def test_a_mix_of_two_lots_counts_in_both_and_what_is_not_known_comes_last() -> None:
    some = [*casts(1, powder_lots=("L2", "L1")), *casts(1, powder_lots=()), *casts(1, powder_lots=("L2",))]

    assert [(rate.group, rate.casts) for rate in rates_by(LOT, some)] == [
        ("L1", 1),
        ("L2", 2),
        ("not known", 1),
    ]


def test_bands_come_from_few_to_many() -> None:
    some = [casts(1, openings=count)[0] for count in (50, 2, 20, 1, 7)]

    assert [rate.group for rate in rates_by(OPENINGS, some)] == [
        "1 to 2",
        "6 to 10",
        "11 to 20",
        "41 and more",
    ]


@pytest.mark.parametrize(
    ("weeks", "words"),
    [(0, "under 1 week"), (1, "1 week"), (3, "2 to 3 weeks"), (13, "13 weeks and more"), (None, "not known")],
)
def test_a_band_in_words(weeks: int | None, words: str) -> None:
    assert band_words(weeks, AGE_FROM_WEEKS, "week") == words


def test_one_group_alone_has_no_others_and_nothing_cast_no_groups() -> None:
    (only,) = rates_by(MOULD, casts(3), NOT_GOOD)

    assert only.rest is None
    assert not only.stands_out
    assert rates_by(MOULD, []) == ()
