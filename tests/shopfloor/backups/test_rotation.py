"""Which copies stay."""

from datetime import UTC, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from shopfloor.backups.rotation import let_go

NIGHT = datetime(2026, 11, 25, 3, 0, tzinfo=UTC)


def test_of_a_year_of_nights_the_last_week_five_weeks_and_twelve_months_stay():
    nights = [NIGHT - timedelta(days=ago) for ago in range(365)]

    kept = sorted(set(nights) - let_go(nights), reverse=True)

    assert [night.date().isoformat() for night in kept[:7]] == [
        "2026-11-25",
        "2026-11-24",
        "2026-11-23",
        "2026-11-22",
        "2026-11-21",
        "2026-11-20",
        "2026-11-19",
    ]
    # 22 and 25 November are newest of their weeks and among the last seven days already.
    assert [night.date().isoformat() for night in kept[7:10]] == ["2026-11-15", "2026-11-08", "2026-11-01"]
    assert [night.strftime("%m-%d") for night in kept[10:]] == [
        "10-31",
        "09-30",
        "08-31",
        "07-31",
        "06-30",
        "05-31",
        "04-30",
        "03-31",
        "02-28",
        "01-31",
        "12-31",
    ]


def test_of_a_day_only_the_newest_stays():
    assert let_go([NIGHT, NIGHT.replace(hour=18)]) == {NIGHT}


@given(st.lists(st.integers(0, 2500 * 24).map(lambda ago: NIGHT - timedelta(hours=ago)), max_size=60))
def test_the_newest_always_stays_and_letting_go_again_lets_nothing_go(made):
    kept = set(made) - let_go(made)

    assert not made or max(made) in kept
    assert let_go(kept) == set()
