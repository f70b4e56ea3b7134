"""A route as the planner wants it."""

from __future__ import annotations

from typing import Any

from production.queries.plan_steps import planned_steps, steps_left
from production.queries.waiting import StepFacts

DRY = 1800


def step(name: str = "coat 1", wait: int | None = None, each: int = 2, **fields: Any) -> StepFacts:
    given = {
        "step_id": 1, "kind": "coat", "name": name, "wait_minutes": wait, "minutes_each": each,
        "minutes_per_board": 0, "material_id": None, "amount_each": 0, **fields,
    }  # fmt: skip
    return StepFacts(**given)


def waits(*steps: StepFacts, **options: Any) -> tuple[list[int | None], int]:
    route = planned_steps(steps, dry_minutes=DRY, **options)
    return [one.wait_minutes for one in route.steps], route.pack_wait_minutes


def test_the_first_coat_waits_for_drying_and_the_next_for_the_one_before() -> None:
    assert waits(step(), step("coat 2", 240)) == ([None, 240], 0)


def test_a_cure_at_the_end_is_a_wait_before_packing() -> None:
    assert waits(step(), step("cure", 1200, 0)) == ([None], 1200)


def test_a_cure_between_is_part_of_the_next_wait() -> None:
    assert waits(step(), step("cure", 600, 0), step("feet", 60)) == ([None, 660], 0)


def test_a_cure_before_the_first_coat_comes_on_top_of_the_drying() -> None:
    assert waits(step("rest", 300, 0), step("coat 1", None)) == ([300 + DRY], 0)


def test_a_second_wait_until_dry_is_over_when_the_first_was() -> None:
    assert waits(step(), step("coat 2", None)) == ([None, 0], 0)


def test_a_route_that_only_cures_adds_what_comes_after_the_drying() -> None:
    assert waits(step("cure", None, 0), step("cure 2", 600, 0)) == ([], 600)


def test_no_steps_only_dry() -> None:
    assert waits() == ([], 0)


def test_pieces_on_the_shelf_wait_only_for_what_is_left() -> None:
    route = steps_left([step(), step("coat 2", 240)], still_minutes=75)

    assert [one.wait_minutes for one in route.steps] == [75, 240]
    assert route.pack_wait_minutes == 0


def test_names_that_meet_or_mean_the_packing_get_a_number() -> None:
    route = planned_steps([step("coat"), step("coat", 60), step("pack", 60)], dry_minutes=DRY)

    assert [one.name for one in route.steps] == ["coat", "coat (2)", "pack (2)"]


def test_what_a_step_takes_is_named_and_what_a_cure_takes_goes_with_the_next_step() -> None:
    steps = [
        step(material_id=7, amount_each=4_500),
        step("cure", 600, 0, material_id=8, amount_each=1_000),
        step("feet", 60),
        step("cure", 60, 0, material_id=8, amount_each=2_000),
    ]

    route = planned_steps(steps, dry_minutes=DRY, materials={7: "sealer", 8: "felt"})

    assert [[(need.supply, need.each) for need in one.needs] for one in route.steps] == [
        [("sealer", 4.5)],
        [("felt", 1.0)],
    ]
    assert [(need.supply, need.each) for need in route.pack_needs] == [("felt", 2.0)]
