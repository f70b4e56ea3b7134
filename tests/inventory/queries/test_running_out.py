"""What will run out, in days and in words. The figures follow the design's worked scene."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from inventory.operations.ledger import draw_from
from inventory.operations.ordering import expect_delivery
from inventory.queries.running_out import running_out, standing
from tests.factories.inventory import KG, MONDAY, a_filled_tub, a_material, a_supplier, a_tap, a_tap_of, a_tub

pytestmark = pytest.mark.django_db

TUESDAY = date(2026, 10, 6)


def weekdays(day: date) -> bool:
    return day.weekday() < 5


def in_days(*draws: tuple[int, int]) -> list[tuple[date, int]]:
    return [(TUESDAY + timedelta(days=days), amount) for days, amount in draws]


@pytest.fixture
def powder(db):
    supplier = a_supplier(lead_working_days=4)
    material = a_material(
        name="Quick compound", supplier=supplier, safety_level=3 * KG, slack_days=0, pack_size=20 * KG
    )
    a_filled_tub(13_720_000, material, code="B4")
    a_filled_tub(5_310_000, material, code="Q2", role="working")
    return material


def test_below_its_level_it_is_flagged_with_the_last_day_to_order(powder):
    """Below on Tue 13; four working days before that (Mon 12, Fri 9, Thu 8, Wed 7) is Wed 7."""
    (row,) = running_out(TUESDAY, {powder.pk: in_days((1, 12 * KG), (7, 4_500_000))}, weekdays)

    assert (row.held, row.first_below_on, row.order_by_on) == (
        19_030_000,
        date(2026, 10, 13),
        date(2026, 10, 7),
    )
    assert (row.flag, row.line) == (
        "Order by Wed 7 Oct",
        "Below 3 kg on Tue 13. Takes 4 working days.",
    )
    assert row.quiet == "1 pack of 20 kg would do."
    assert row.sentence == (
        "Quick compound: Order by Wed 7 Oct. Below 3 kg on Tue 13. Takes 4 working days."
        " 1 pack of 20 kg would do."
    )
    assert [(tub.code, tub.amount) for tub in row.tubs] == [("Q2", 5_310_000), ("B4", 13_720_000)]
    assert [day.balance for day in row.balances][6:8] == [7_030_000, 2_530_000]


def test_when_the_day_to_order_is_past_it_says_today(powder):
    (row,) = running_out(TUESDAY, {powder.pk: in_days((2, 18 * KG))}, weekdays)

    assert (row.flag, row.order_by_on) == ("Order today", TUESDAY)


def test_what_lasts_says_until_when_and_when_to_order_after_that(powder):
    (row,) = running_out(TUESDAY, {powder.pk: in_days((0, 12 * KG))}, weekdays)

    # 12 kg in 12 days is 1 kg a day; 7.03 kg left on Sat 17 falls below 3 kg on the fifth day after it.
    assert (row.flag, row.line) == ("", "Lasts past Sat 17 Oct.")
    assert row.first_below_on == date(2026, 10, 22)
    # Thursday the 22nd less four working days.
    assert row.quiet == "Order by Fri 16 Oct."


def test_a_delivery_to_come_counts_and_is_named(powder):
    expect_delivery(
        material_id=powder.pk,
        amount=20 * KG,
        ordered_on=date(2026, 10, 1),
        expected_on=date(2026, 10, 9),
        **a_tap(),
    )

    (row,) = running_out(TUESDAY, {powder.pk: in_days((7, 17 * KG))}, weekdays)

    assert row.flag == ""
    assert "20.00 kg expected Fri 9 Oct." in row.quiet


def test_an_overdue_delivery_is_said(powder):
    expect_delivery(
        material_id=powder.pk,
        amount=KG,
        ordered_on=date(2026, 10, 1),
        expected_on=date(2026, 10, 2),
        **a_tap(),
    )

    (row,) = running_out(TUESDAY, {powder.pk: in_days((0, KG))}, weekdays)

    assert "1.00 kg expected Fri 2 Oct, not in yet." in row.quiet


def test_without_a_plan_the_mean_use_stands_in_and_says_so(powder):
    for days_ago in range(1, 29):
        at = MONDAY - timedelta(days=days_ago - 1)
        draw_from(a_tap_of(happened_at=at), powder.containers.get(code="B4").pk, 400_000, "mix")

    (row,) = running_out(TUESDAY, {}, weekdays)

    assert row.is_by_mean_use
    # 19.03 kg less 28 times 0.4 kg; the same every day, so no safety stock beyond the level kept.
    assert row.held == 7_830_000
    assert {day.drawn for day in row.balances} == {400_000}
    assert row.safety == 3 * KG
    # 7.83 - 0.4 n < 3 first at n = 13, which is one day after the horizon.
    assert row.first_below_on == TUESDAY + timedelta(days=12)


def test_where_no_hours_are_noted_every_day_counts_and_the_days_are_looked_through_once(powder):
    """Below on Tue 13; four days before that is Fri 9."""
    looked_at = []

    def nobody_is_in(day):
        looked_at.append(day)
        return False

    (row,) = running_out(TUESDAY, {powder.pk: in_days((1, 12 * KG), (7, 4_500_000))}, nobody_is_in)

    assert len(looked_at) < 400
    assert (row.flag, row.order_by_on) == ("Order by Fri 9 Oct", date(2026, 10, 9))


def test_no_supplier_and_slack_are_said():
    lone = a_material(name="Slate oxide", safety_level=70_000)
    a_filled_tub(50_000, lone)
    slack = a_material(name="Wax", supplier=a_supplier(lead_working_days=1), slack_days=2, safety_level=KG)
    a_filled_tub(KG // 2, slack)

    rows = {row.material: row for row in running_out(TUESDAY, {lone.pk: in_days((0, 1))}, weekdays)}

    assert rows["Slate oxide"].line == ("Below 70 g now. No supplier is noted: 3 working days are reckoned.")
    assert rows["Wax"].line == "Below 1 kg now. Takes 1 working day, 2 more allowed."


def test_a_pack_that_outlives_its_opened_life_is_warned_of(powder):
    powder.opened_life_days = 5
    powder.save()

    (row,) = running_out(TUESDAY, {powder.pk: in_days((0, 17 * KG))}, weekdays)

    assert "An opened pack would outlive its opened life at this rate." in row.quiet


def test_a_pack_of_what_nothing_draws_outlives_nothing(powder):
    powder.opened_life_days = 5
    powder.safety_level = 30 * KG
    powder.save()
    other = a_material(name="Rust oxide")

    rows = {row.material: row for row in running_out(TUESDAY, {other.pk: in_days((0, 1))}, weekdays)}

    assert rows["Quick compound"].quiet == "1 pack of 20 kg would do."


def test_of_nothing_that_nothing_wants_no_lasting_is_said(powder):
    a_material(name="Wax", safety_level=0)

    rows = {row.material: row for row in running_out(TUESDAY, {powder.pk: in_days((0, KG))}, weekdays)}

    assert (rows["Wax"].flag, rows["Wax"].sentence) == ("", "Wax: Nothing here, nothing planned.")
    assert rows["Quick compound"].line == "Lasts past Sat 17 Oct."


def test_gone_is_said_where_no_level_is_kept():
    wick = a_material(kind="wick", unit="piece", supplier=a_supplier())
    a_filled_tub(4_000, wick)

    (row,) = running_out(TUESDAY, {wick.pk: in_days((3, 5_000))}, weekdays)

    assert row.line.startswith("Gone on Fri 9.")


def test_the_most_pressing_comes_first_and_the_standing_says_it(powder):
    steady = a_material(name="Rust oxide")
    a_filled_tub(KG, steady)
    green = a_material(name="Green oxide", safety_level=70_000, supplier=a_supplier())
    a_filled_tub(96_000, green)
    draws = {powder.pk: in_days((7, 17 * KG)), green.pk: in_days((0, 30_000))}

    rows = running_out(TUESDAY, draws, weekdays)

    assert [row.material for row in rows] == ["Green oxide", "Quick compound", "Rust oxide"]
    assert standing(rows) == "Order Green oxide today"
    assert standing(rows[1:]) == "Quick compound: order by Wed 7 Oct"
    assert standing(rows[2:]) == "Everything lasts past Sat 17 Oct"
    assert standing([]) == ""


def test_a_studio_with_empty_tubs_is_not_told_that_everything_lasts(db):
    a_tub(a_material(name="Rust oxide"))

    assert standing(running_out(TUESDAY, {}, weekdays)) == "Nothing is in the tubs yet"


def test_the_number_of_queries_stays(powder, django_assert_num_queries):
    for _ in range(8):
        a_filled_tub(KG, a_material(supplier=a_supplier(), safety_level=2 * KG))

    with django_assert_num_queries(4):
        running_out(TUESDAY, {powder.pk: in_days((1, KG))}, weekdays)
    with django_assert_num_queries(7):
        running_out(TUESDAY, {}, weekdays)
