"""Rows become a planning problem: demand, moulds, powder, hours and what is in the making."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.ports import OpenHours, StudioFacts, StudioHours
from production.models import Cast, Mould, MouldCopy, Piece, PlannedMix
from production.planning.demand import Demand
from production.planning.effort import Effort
from production.planning.forms import problem_from_form, problem_to_form
from production.planning.problem import Line
from production.planning.solve import plan
from production.queries.planning_task import PlanningTask
from production.queries.problem import build_problem
from tests.factories.production import (
    a_colour,
    a_compound,
    a_mould,
    a_planned_mix,
    a_route,
    an_article,
    judged,
    minutes,
    out_of_mould,
    pieces_of,
    poured,
)

pytestmark = pytest.mark.django_db

MONDAY_8 = datetime(2026, 10, 5, 8, 0, tzinfo=UTC)
FRIDAY = date(2026, 10, 9)
FACTS = StudioFacts("Samphire Lane", "", "", "GBP", 1600, 2, 12, "")
HOUR = 60


def hours(zone: str = "UTC", closed: tuple[date, ...] = ()) -> StudioHours:
    """One pair of hands, Monday to Friday, 08:00 to 17:00."""
    weekly = tuple(OpenHours(day, time(8), time(17), 1) for day in range(5))
    return StudioHours(ZoneInfo(zone), weekly, frozenset(closed))


def wants(planned: PlannedMix, quantity: int = 2, **fields: Any) -> Demand:
    """Demand of order 1045 for what the planned mix casts."""
    line = planned.casts.first().line
    given = {
        "wanted_by": "line:12",
        "label": "1045",
        "article_id": line.article_id,
        "colour_id": line.colour_id,
        "quantity": quantity,
        "ship_by": FRIDAY,
        "kind": {0: "shelf", 2: "market"}.get(fields.get("weight", 1), "order"),
        **fields,
    }
    return Demand(**given)


def task_of(*demands: Demand, now: datetime = MONDAY_8, **other: Any) -> PlanningTask:
    return build_problem(demands, now=now, hours=other.get("hours", hours()), facts=FACTS)


def bookends(**moulds: Any) -> PlannedMix:
    """One-part bookends in one colour, with a coat after drying and a cure after it."""
    compound = a_compound()
    colour = a_colour(compound)
    route = a_route({"wait_minutes": None}, {"kind": "cure", "wait_minutes": 600, "minutes_each": 0})
    article = an_article(compound, colour, a_mould(**moulds), part_names=["bookend"], route=route)
    return a_planned_mix(article, colour, pieces=2)


def lines_of(task: PlanningTask) -> list[tuple[str, int]]:
    return [(line.id, line.quantity) for line in task.problem.lines]


def test_what_an_order_lacks_is_a_line_to_pour_by_closing_time_of_its_day() -> None:
    planned = bookends()

    (line,) = task_of(wants(planned)).problem.lines

    assert line == Line("line:12/1", line.article, line.colour, 2, ship_by=4 * 1440 + 17 * HOUR, weight=1)


def test_an_order_that_leaves_on_a_closed_day_is_wanted_by_the_last_closing_before() -> None:
    planned = bookends()

    (line,) = task_of(wants(planned, ship_by=date(2026, 10, 11))).problem.lines

    assert line.ship_by == 4 * 1440 + 17 * HOUR


def test_nothing_is_planned_before_now() -> None:
    planned = bookends()

    task = task_of(wants(planned), now=MONDAY_8 + timedelta(hours=2, minutes=30, seconds=20))

    assert task.problem.windows[0].start == 10 * HOUR + 31
    assert task.problem.windows[0].end == 17 * HOUR


def test_the_hours_after_closing_leave_the_day_out() -> None:
    planned = bookends()

    task = task_of(wants(planned), now=MONDAY_8 + timedelta(hours=10))

    assert task.problem.windows[0].start == 1440 + 8 * HOUR


def test_a_closed_day_has_no_window() -> None:
    planned = bookends()

    task = task_of(wants(planned), hours=hours(closed=(date(2026, 10, 6),)))

    assert [window.start for window in task.problem.windows[:2]] == [8 * HOUR, 2 * 1440 + 8 * HOUR]


def test_a_week_with_a_clock_change_has_an_hour_more_and_keeps_its_wall_hours() -> None:
    """Europe/London goes back to winter time on Sunday 25 October 2026, 02:00."""
    planned = bookends()
    now = datetime(2026, 10, 19, 6, 0, tzinfo=UTC)

    task = task_of(wants(planned, ship_by=date(2026, 10, 26)), now=now, hours=hours("Europe/London"))

    mondays = [window for window in task.problem.windows if window.start >= 7 * 1440]
    assert mondays[0].start == 7 * 1440 + HOUR + 8 * HOUR
    assert task.problem.lines[0].ship_by == 7 * 1440 + HOUR + 17 * HOUR


def test_a_line_is_split_into_drying_boards() -> None:
    planned = bookends()

    task = task_of(wants(planned, quantity=30))

    assert lines_of(task) == [("line:12/1", 12), ("line:12/2", 12), ("line:12/3", 6)]
    assert [task.lines[f"line:12/{number}"].board for number in (1, 2, 3)] == [1, 2, 3]


def test_casts_in_moulds_are_not_poured_again_and_hold_their_copies() -> None:
    planned = bookends(copies=3)
    poured(planned)

    task = task_of(wants(planned, quantity=5), now=MONDAY_8 + minutes(20))

    assert lines_of(task) == [("line:12/1", 2), ("line:12/2", 3)]
    (in_mould,) = task.problem.poured
    assert in_mould.filled_at == 8 * HOUR + 5
    assert [(cast.line, cast.quantity) for cast in in_mould.casts] == [("line:12/1", 2)]
    assert task.problem.moulds[0].copies == 3


def test_casts_out_of_the_mould_dry_from_when_they_came_out_and_their_copies_are_damp() -> None:
    planned = bookends()
    out_of_mould(planned)

    task = task_of(wants(planned), now=MONDAY_8 + minutes(80))

    (out,) = task.problem.out_of_mould
    assert (out.line, out.part, out.quantity, out.opened_at) == ("line:12/1", "bookend", 2, 8 * HOUR + 70)
    assert task.problem.moulds[0].free_at == (8 * HOUR + 70 + 120,) * 2


def test_pieces_on_the_shelf_are_a_board_with_the_steps_they_still_need() -> None:
    planned = bookends()
    pieces = pieces_of(planned)
    kept = tuple(piece.pk for piece in pieces)

    task = task_of(wants(planned, kept_piece_ids=kept), now=MONDAY_8 + timedelta(hours=10))

    (line,) = task.problem.lines
    article = task.problem.article_by_name[line.article]
    assert article.parts == ()
    # Out at 09:10 and dry a day later; by 18:00 15 h 10 of that are left. The cure is a wait before packing.
    assert [(step.name, step.wait_minutes) for step in article.steps] == [("coat 1", 15 * HOUR + 10)]
    assert article.pack_wait_minutes == 600


def test_pieces_that_only_cure_wait_for_packing_alone() -> None:
    planned = bookends()
    pieces = pieces_of(planned)
    coated = MONDAY_8 + timedelta(days=1, hours=4)
    Piece.objects.update(steps_done=1, last_step_at=coated)

    task = task_of(
        wants(planned, kept_piece_ids=tuple(piece.pk for piece in pieces)), now=coated + minutes(60)
    )

    article = task.problem.article_by_name[task.problem.lines[0].article]
    assert (article.steps, article.pack_wait_minutes) == ((), 540)


def test_ready_pieces_ask_for_nothing() -> None:
    planned = bookends()
    pieces = pieces_of(planned)
    Piece.objects.update(steps_done=1, last_step_at=MONDAY_8)

    task = task_of(
        wants(planned, kept_piece_ids=tuple(piece.pk for piece in pieces)), now=MONDAY_8 + timedelta(days=3)
    )

    assert task.problem.lines == ()


def test_a_scrap_cast_is_poured_again() -> None:
    planned = bookends()
    mix = out_of_mould(planned)
    judged(mix.casts.first(), "scrap")

    task = task_of(wants(planned), now=MONDAY_8 + minutes(90))

    assert lines_of(task) == [("line:12/1", 1), ("line:12/2", 1)]


def test_a_single_part_waits_in_the_line_that_pours_the_other() -> None:
    compound = a_compound()
    colour = a_colour(compound)
    article = an_article(compound, colour, a_mould(), a_mould())
    planned = a_planned_mix(article, colour, pieces=1)
    mix = out_of_mould(planned)
    judged(mix.casts.order_by("position").last(), "scrap")

    task = task_of(wants(planned, quantity=1), now=MONDAY_8 + minutes(90))

    assert lines_of(task) == [("line:12/1", 1)]
    assert [(out.line, out.part) for out in task.problem.out_of_mould] == [("line:12/1", "pot")]
    solution = plan(task.problem, effort=Effort(rules=1))
    assert [cast.part for mix in solution.mixes for cast in mix.casts] == ["saucer"]


def test_half_of_a_matched_piece_is_poured_again_whole() -> None:
    compound = a_compound()
    colour = a_colour(compound)
    article = an_article(compound, colour, a_mould(), a_mould(), is_matched=True)
    planned = a_planned_mix(article, colour, pieces=1)
    mix = out_of_mould(planned)
    judged(mix.casts.order_by("position").last(), "scrap")

    task = task_of(wants(planned, quantity=1), now=MONDAY_8 + minutes(90))

    assert task.problem.out_of_mould == ()
    solution = plan(task.problem, effort=Effort(rules=1))
    assert sorted(cast.part for mix in solution.mixes for cast in mix.casts) == ["pot", "saucer"]


def test_casts_that_nobody_wants_any_more_are_only_opened() -> None:
    planned = bookends()
    poured(planned)

    task = task_of(now=MONDAY_8 + minutes(20))

    assert [cast.quantity for mix in task.problem.poured for cast in mix.casts] == [2]
    assert task.lines == {}
    assert plan(task.problem, effort=Effort(rules=1)).openings[0].start == 8 * HOUR + 65


def test_lent_and_retired_copies_do_not_count() -> None:
    planned = bookends(copies=4)
    MouldCopy.objects.filter(number=1).update(lent_on=FRIDAY)
    MouldCopy.objects.filter(number=2).update(retired_on=FRIDAY)

    task = task_of(wants(planned))

    assert task.problem.moulds[0].copies == 2


def test_the_slurry_follows_from_densities_and_water_ratio() -> None:
    """Ideal mixing, (1 + w + p) / (1/2.63 + w/0.9982) with w = 0.30, pigment p = 0.02 of no volume; by hand
    1.32 / (0.380228 + 0.300541) = 1.93899 g/mL; with 3 % overfill 1.99716; powder 1/1.32 of it."""
    planned = bookends()

    (compound,) = task_of(wants(planned)).problem.compounds

    assert compound.slurry_g_per_ml == pytest.approx(1.99716, rel=1e-4)
    assert compound.powder_share == pytest.approx(1 / 1.32, rel=1e-4)


@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        (lambda: Mould.objects.update(volume_ul=None), "was never measured. Fill it with water"),
        (lambda: MouldCopy.objects.update(retired_on=FRIDAY), "No copy of the mould"),
        (lambda: Mould.objects.update(volume_ul=9_000_000), "the jug takes"),
        (lambda: Mould.objects.update(fill_minutes=14), "filling takes 14 min"),
    ],
)
def test_what_cannot_be_made_is_left_out_and_said(spoil: Any, says: str) -> None:
    planned = bookends()
    spoil()

    task = task_of(wants(planned))

    assert task.problem.lines == ()
    assert says in task.cannot_be_made[0].sentence


def test_a_colour_without_recipe_does_not_keep_the_others_from_being_planned() -> None:
    planned = bookends()
    rust = a_colour(name="Rust")

    task = task_of(wants(planned), wants(planned, wanted_by="line:13", label="1046", colour_id=rust.pk))

    assert lines_of(task) == [("line:12/1", 2)]
    (cannot,) = task.cannot_be_made
    assert (cannot.label, cannot.quantity) == ("1046", 2)
    assert cannot.sentence.startswith("No recipe for Rust in ")


def test_the_number_of_queries_does_not_grow_with_the_demand() -> None:
    planned = bookends()
    kept = tuple(piece.pk for piece in pieces_of(planned))

    def queries(count: int) -> int:
        demands = [wants(planned, wanted_by=f"line:{n}", kept_piece_ids=kept) for n in range(count)]
        with CaptureQueriesContext(
            connection,
        ) as seen:
            task_of(*demands)
        return len(seen)

    assert queries(1) == queries(40)


def test_a_cast_left_out_is_nothing_to_open() -> None:
    planned = bookends()
    poured(planned)
    Cast.objects.update(left_out_at=MONDAY_8)

    assert task_of(wants(planned)).problem.poured == ()


def test_each_mould_is_opened_after_its_own_time_or_the_compounds() -> None:
    planned = bookends()

    assert task_of(wants(planned)).problem.moulds[0].open_after_minutes is None
    Mould.objects.update(in_mould_minutes=180)
    task = task_of(wants(planned))
    assert task.problem.moulds[0].open_after_minutes == 180
    assert task.problem.compounds[0].open_after_minutes == 60


def test_stirring_is_taken_from_the_working_time() -> None:
    planned = bookends()

    (compound,) = task_of(wants(planned)).problem.compounds

    assert (planned.compound.working_time_minutes, planned.compound.stir_minutes) == (15, 3)
    assert compound.working_minutes == 12


def test_a_studio_without_hours_gets_a_plan_that_places_nothing() -> None:
    planned = bookends()
    nobody = StudioHours(ZoneInfo("UTC"), (), frozenset())

    solution = plan(task_of(wants(planned), hours=nobody).problem, effort=Effort(rules=1))

    assert [line.packed_at for line in solution.lines] == [None]


def test_an_emptied_studio_can_still_be_planned() -> None:
    assert plan(task_of().problem, effort=Effort(rules=1)).mixes == ()


def test_every_problem_of_rows_can_be_written_in_the_exchanged_form() -> None:
    planned = bookends()
    poured(planned)

    problem = task_of(wants(planned, quantity=5), now=MONDAY_8 + minutes(20)).problem

    assert problem_from_form(problem_to_form(problem)) == problem
