"""The Week: groups by the day they leave, what is late and why, and when the plan is old."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from production.models import PlannedMix
from production.operations.adopting import adopt_plan
from production.operations.looking import keep_late_look
from production.planning.demand import Demand
from production.planning.effort import Effort
from production.planning.lifting import Limit
from production.planning.looking import Findings
from production.planning.offers import Offer, Priced
from production.planning.solve import plan
from production.planning.why import Because
from production.queries.week import WeekNow, week_now
from tests.factories.inventory import a_tap
from tests.factories.production import a_colour, minutes, pieces_of, poured
from tests.production.operations.test_looking import late_bookends
from tests.production.queries.test_problem import MONDAY_8, bookends, task_of, wants

pytestmark = pytest.mark.django_db

LONDON = ZoneInfo("Europe/London")
OCT_9, OCT_14, OCT_17 = date(2026, 10, 9), date(2026, 10, 14), date(2026, 10, 17)


def adopted(*demands: Demand, now: datetime = MONDAY_8) -> None:
    task = task_of(*demands, now=now)
    adopt_plan(**a_tap(now=now), task=task, solution=plan(task.problem, effort=Effort(rules=2)))


def the_week(now: datetime = MONDAY_8, left: frozenset[str] = frozenset()) -> WeekNow:
    found = week_now(now=now, local=lambda at: at.astimezone(LONDON), has_left=left.intersection)
    assert found is not None
    return found


def test_before_the_first_plan_there_is_no_week() -> None:
    assert week_now(now=MONDAY_8, local=lambda at: at, has_left=set) is None


def test_what_leaves_in_time_hangs_from_its_day_with_its_mixes() -> None:
    planned = bookends()
    adopted(wants(planned))

    week = the_week()

    assert week.statement == "Everything leaves in time"
    assert week.quiet == "1 order, planned back from the day they leave."
    (group,) = week.groups
    assert (group.kind, group.leaves_on, group.for_words) == ("order", OCT_9, "1045")
    (strip,) = group.strips
    assert strip.what == "2 bookends"
    assert not strip.is_mixed
    assert strip.started_at < strip.poured_at < strip.out_at < strip.dry_at < strip.ready_at
    assert [step.kind for step in strip.steps] == ["coat", "cure"]
    assert strip.steps[0].start_at >= strip.dry_at


def test_late_groups_come_first_then_days_then_market_days_and_shelf_stock() -> None:
    planned = bookends(copies=6)
    adopted(
        wants(planned, wanted_by="wish:1", label="shelf stock", weight=0, ship_by=date(2026, 10, 26)),
        wants(planned, wanted_by="line:4", label="Invented Quay market", weight=2, ship_by=OCT_17),
        wants(planned, wanted_by="line:3", label="1047", ship_by=OCT_14),
        wants(planned, wanted_by="line:2", label="1046", ship_by=OCT_9),
        wants(planned, wanted_by="line:1", label="1045", ship_by=date(2026, 10, 6)),
    )

    week = the_week()

    assert week.statement == "One order will leave late"
    assert [(group.kind, group.for_words) for group in week.groups] == [
        ("order", "1045"),
        ("order", "1046"),
        ("order", "1047"),
        ("market day", "Invented Quay market"),
        ("shelf stock", ""),
    ]
    assert [group.is_late for group in week.groups] == [True, False, False, False, False]
    assert week.quiet.startswith("3 orders and 1 market day,")


def test_a_late_order_says_when_it_should_have_been_poured() -> None:
    planned = bookends()
    adopted(wants(planned, ship_by=date(2026, 10, 6)))

    (why,) = the_week().groups[0].late

    assert why.heading.startswith("1045: 2 Saltings pot")
    assert "leave one day late" in why.heading
    assert why.sentence.startswith("Too late already: it would have had to be poured by Fri 2, ")


def test_what_was_found_out_about_a_late_order_is_in_its_panel() -> None:
    task, plan_id = late_bookends(label="1045")
    assert not the_week().is_looked_into
    (name,) = task.mould_facts
    board = Because("line:12/1", "limit", (Limit("mould", name),))
    copy = Priced(Offer("one more copy", name), 0.0, 9, 27.0, 0, (("line:12/1", 3, 0),))
    hour = Priced(Offer("an hour more a day"), 27.0, 9, 0.0, 0, (), True)
    found = Findings((board,), (copy, hour), 27.0, 9, 5, True)

    keep_late_look(**a_tap(now=MONDAY_8), plan_id=plan_id, task=task, findings=found)

    week = the_week()
    assert week.is_looked_into
    (why,) = week.groups[0].late
    assert f"You own one copy of the mould {name}" in why.sentence
    assert "With more copies it would leave in time." in why.sentence
    assert why.helps[0].label == "Note the moulds"
    assert why.helps[0].place_argument == task.mould_facts[name].mould_id
    assert why.would_not == "An hour more a day would not help."


def test_where_nothing_is_late_there_is_nothing_to_look_into() -> None:
    adopted(wants(bookends()))

    assert the_week().is_looked_into


def test_a_mix_hangs_once_in_its_most_urgent_group_and_names_the_others() -> None:
    planned = bookends(copies=4)
    adopted(
        wants(planned, wanted_by="line:1", ship_by=OCT_9),
        wants(planned, wanted_by="line:2", label="1046", ship_by=date(2026, 10, 12)),
    )
    planned_mixes = PlannedMix.objects.filter(plan__in=[PlannedMix.objects.latest("pk").plan_id])
    shared = [mix for mix in planned_mixes if mix.casts.values("line").distinct().count() > 1]

    strips = [strip for group in the_week().groups for strip in group.strips]

    assert len(strips) == len(planned_mixes)
    assert [strip.also for strip in strips if strip.also] == ["Mon 12"] * len(shared)


def test_a_mix_that_was_mixed_stays_with_the_day_its_pieces_leave() -> None:
    planned = bookends()
    poured(planned)
    adopted(wants(planned), now=MONDAY_8 + minutes(20))

    (strip,) = the_week(MONDAY_8 + minutes(20)).groups[0].strips

    assert strip.is_mixed
    assert strip.number == 1
    assert strip.out_at == MONDAY_8 + minutes(65)


def test_coats_that_were_done_stand_where_they_were_done() -> None:
    planned = bookends()
    pieces = pieces_of(planned)
    coated = MONDAY_8 + timedelta(days=1, hours=4)
    for piece in pieces:
        piece.steps_done, piece.last_step_at = 1, coated
        piece.save()
    kept = tuple(piece.pk for piece in pieces)
    adopted(wants(planned, kept_piece_ids=kept), now=coated + minutes(5))

    (strip,) = the_week(coated + minutes(5)).groups[0].strips

    assert [(step.kind, step.is_done) for step in strip.steps] == [("coat", True), ("cure", False)]
    assert strip.steps[0].start_at == coated
    assert strip.steps[1].end_at == coated + minutes(600)


def test_the_day_shows_its_hands_and_powder() -> None:
    planned = bookends()
    adopted(wants(planned))

    week = the_week()

    mix = PlannedMix.objects.latest("pk")
    load = week.loads[mix.starts_at.astimezone(LONDON).date()]
    assert load.powder_mg == week.mixes[0].powder_mg
    # Ten minutes to weigh and mix, two fills of one minute, five to clean up; two openings of three.
    assert load.hands_minutes >= 17


def test_what_cannot_be_made_is_said_apart_and_is_in_no_group() -> None:
    planned = bookends()
    rust = a_colour(name="Rust")
    adopted(wants(planned), wants(planned, wanted_by="line:13", label="1046", colour_id=rust.pk))

    week = the_week()

    (cannot,) = week.cannot
    assert (cannot.label, cannot.sentence[:18]) == ("1046", "No recipe for Rust")
    assert [group.for_words for group in week.groups] == ["1045"]


def test_an_order_that_has_left_is_not_in_the_week_any_more() -> None:
    planned = bookends()
    kept = tuple(piece.pk for piece in pieces_of(planned))
    adopted(
        wants(planned, kept_piece_ids=kept),
        wants(planned, wanted_by="line:13", label="1046", ship_by=OCT_14),
        now=MONDAY_8 + minutes(90),
    )

    before = the_week(MONDAY_8 + minutes(90))
    after = the_week(MONDAY_8 + minutes(90), left=frozenset({"line:12"}))

    assert [group.for_words for group in before.groups] == ["1045", "1046"]
    assert [group.for_words for group in after.groups] == ["1046"]
    assert after.quiet.startswith("1 order,")
    mixed = [strip for group in after.groups for strip in group.strips if strip.is_mixed]
    assert mixed == []


def test_a_mix_ahead_for_an_order_that_has_left_is_shelf_stock_and_not_late() -> None:
    adopted(wants(bookends(), ship_by=date(2026, 10, 6)))
    assert the_week().statement == "One order will leave late"

    week = the_week(left=frozenset({"line:12"}))

    assert week.statement == "Everything leaves in time"
    assert week.quiet.startswith("Shelf stock only,")
    (group,) = week.groups
    assert (group.kind, group.leaves_on, group.late) == ("shelf stock", None, ())
    assert [(strip.number, strip.is_late) for strip in group.strips] == [(1, False)]


def test_the_week_says_why_its_plan_is_old() -> None:
    adopted(wants(bookends()))
    starts_at = PlannedMix.objects.latest("pk").starts_at

    assert the_week(starts_at + minutes(30)).stale == ""
    assert the_week(starts_at + minutes(31)).stale == "1 mix should have been started by now, mix 1 first."


def test_the_number_of_queries_does_not_grow_with_the_orders() -> None:
    planned = bookends(copies=4)
    kept = tuple(piece.pk for piece in pieces_of(planned))

    def queries(count: int) -> int:
        first = wants(planned, wanted_by="line:12", kept_piece_ids=kept, quantity=3)
        adopted(first, *(wants(planned, wanted_by=f"line:{n + 20}", label=str(n)) for n in range(count)))
        with CaptureQueriesContext(connection) as seen:
            the_week()
        return len(seen)

    assert queries(1) == queries(25)
