"""The Week in a browser's eyes: the plan as strips and as a table, and how the planning stands."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.answers import new_request_key
from production.models import (
    LateLook,
    LateOffer,
    LateReason,
    Mould,
    OfferedLine,
    Plan,
    PlannedLine,
    PlannedMix,
)
from shopfloor.jobs.models import Job
from shopfloor.studio.models import WeeklyHours
from tests.factories.production import pots

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("studio_open")]


def words(response):
    return " ".join(response.content.decode().split())


def planned_tomorrow(**line):
    planned = pots()
    tomorrow = timezone.now() + timedelta(days=1)
    PlannedMix.objects.update(
        starts_at=tomorrow,
        poured_by=tomorrow + timedelta(minutes=15),
        opens_at=tomorrow + timedelta(minutes=75),
    )
    PlannedLine.objects.update(ship_by=(tomorrow + timedelta(days=4)).date(), **line)
    return planned


def test_before_the_first_plan_there_is_a_plate_to_plan(signed_in):
    page = words(signed_in.get("/week/"))

    assert "No plan yet" in page
    assert "Plan the week" in page


def test_before_the_first_plan_it_leads_to_the_hours_while_there_are_none(signed_in):
    assert "without hours" not in words(signed_in.get("/week/"))
    WeeklyHours.objects.all().delete()

    page = words(signed_in.get("/week/"))

    assert '<a href="/studio/">Say when hands are in</a>: without hours nothing can be planned.' in page


def test_the_plan_is_shown_with_its_grams_and_the_way_to_the_table(signed_in):
    planned = planned_tomorrow()

    page = words(signed_in.get("/week/"))

    assert "Everything leaves in time" in page
    assert "2 pots, saucers" in page
    assert '<td class="key" data-th="Mix">1</td>' in page
    assert planned.colour.name in page
    assert "Same as a table" in page
    assert "/week/mix-sheet/" in page


def test_every_strip_says_itself_in_one_sentence(signed_in):
    planned_tomorrow()

    page = words(signed_in.get("/week/"))

    assert "Mix 1, 2 pots, saucers, Brick" in page
    assert "to pour " in page
    assert ", spare " in page


def test_a_late_order_has_its_panel(signed_in):
    planned_tomorrow(days_late=2, held_by="hands", held_facts={"weight": 1, "waited_minutes": {"hands": 90}})

    page = words(signed_in.get("/week/"))

    assert "One order will leave late" in page
    assert "It waited longest for hands, in working time: 1 h 30." in page
    assert "Why it is late is not looked into yet." in page


def late_tomorrow():
    planned_tomorrow(days_late=2, held_by="hands", held_facts={"weight": 1})
    return Plan.objects.get()


def looking_into(plan, **fields):
    return Job.objects.create(
        **{
            "kind": "what would help",
            "key": f"what would help {plan.pk}",
            "payload": {"plan_id": plan.pk},
            "state": Job.State.RUNNING,
            "made_at": timezone.now(),
            "due_at": timezone.now(),
            **fields,
        }
    )


def test_what_was_not_looked_into_can_be_asked_for(signed_in):
    late_tomorrow()
    assert "Not all that is late was looked into." in words(signed_in.get("/week/"))

    signed_in.post("/week/look/", {"request_key": new_request_key()})

    page = words(signed_in.get("/week/"))
    assert "<p>Looking into what is late.</p>" in page
    assert ">Stop<" in page


def test_while_it_looks_the_page_says_how_far_it_is(signed_in):
    looking_into(late_tomorrow(), saying="Looking for what would help: 3 of 9")

    assert "<p>Looking for what would help: 3 of 9.</p>" in words(signed_in.get("/week/"))
    fragment = signed_in.get("/week/looking/")
    assert "Looking for what would help: 3 of 9." in words(fragment)
    assert "HX-Refresh" not in fragment

    Job.objects.update(state=Job.State.DONE)
    assert signed_in.get("/week/looking/")["HX-Refresh"] == "true"


def test_a_look_can_be_stopped_from_the_page(signed_in):
    job = looking_into(late_tomorrow())

    signed_in.post("/week/look/stop/", {"request_key": new_request_key()})

    job.refresh_from_db()
    assert job.stop_asked


def test_a_look_that_was_broken_off_says_why_and_can_be_asked_for_again(signed_in):
    looking_into(late_tomorrow(), state=Job.State.FAILED, fault="Cut off 4 times. It was left undone.")

    page = words(signed_in.get("/week/"))

    assert "Looking into what is late was broken off: Cut off 4 times. It was left undone." in page
    assert ">Look into it<" in page


def test_a_look_into_an_older_plan_is_not_shown_for_the_newer_one(signed_in):
    plan = late_tomorrow()
    looking_into(plan, payload={"plan_id": plan.pk - 1}, saying="Looking for what would help: 3 of 9")

    page = words(signed_in.get("/week/"))

    assert "3 of 9" not in page
    assert "Not all that is late was looked into." in page


def test_reason_and_offers_lead_to_where_it_is_done(signed_in):
    plan = late_tomorrow()
    line = plan.lines.get()
    mould = Mould.objects.order_by("id")[0]
    look = LateLook.objects.create(
        plan=plan, looked_at=timezone.now(), points=40, mixes_count=3, solves=9, is_whole=True
    )
    LateReason.objects.create(look=look, line=line, kind="limit", limits=[{"kind": "hands", "name": ""}])
    saved = {"look": look, "points_saved": 27, "mixes_saved": 0, "by_lifting": False}
    for place, (kind, fields) in enumerate(
        [
            ("one more copy", {"name": mould.name, "mould": mould}),
            ("Saturday hands", {}),
            ("a bigger jug", {}),
            ("two parts", {"line": line, "pieces": 1}),
        ],
        start=1,
    ):
        offer = LateOffer.objects.create(kind=kind, position=place, **saved, **fields)
        OfferedLine.objects.create(offer=offer, line=line, days_before=2, days_after=0)

    page = words(signed_in.get("/week/"))

    assert "Hands are the limit. With more hands in it would leave in time." in page
    assert f'<a class="plate" href="/moulds/{mould.pk}/copies/">Note the moulds</a>' in page
    assert '<a class="plate" href="/studio/">Add Saturday hands</a>' in page
    assert '<a class="plate" href="/orders/">Ship in two parts</a>' in page
    assert "<span>A jug half as big again: in time; 27 points saved.</span></li>" in page
    assert "Look into it" not in page


def test_the_table_says_the_same(signed_in):
    planned_tomorrow()

    page = words(signed_in.get("/week/table/"))

    assert "Week as strips" in page
    assert '<th scope="col" class="num">Ready</th>' in page
    assert "not poured" in page


def test_while_it_plans_the_old_plan_stays_and_can_be_stopped(signed_in):
    planned_tomorrow()
    signed_in.post("/week/plan/", {"request_key": new_request_key()})

    page = words(signed_in.get("/week/"))

    assert "Planning the week" in page
    assert ">Stop<" in page
    assert "Plan again" not in page
    assert "2 pots, saucers" in page


def test_while_it_plans_the_page_says_what_it_is_at(signed_in):
    planned_tomorrow()
    signed_in.post("/week/plan/", {"request_key": new_request_key()})
    Job.objects.update(saying="moving mixes about, 20 of 300; best so far nothing late, 3 mixes")

    page = words(signed_in.get("/week/planning/"))

    assert "Planning the week: moving mixes about, 20 of 300; best so far nothing late, 3 mixes." in page


def test_what_is_proven_and_how_the_search_ended_is_on_the_page(signed_in):
    planned_tomorrow(days_late=2, held_by="hands")
    Plan.objects.update(points=98, bound_points=58, ended="stopped", tries=12)

    page = words(signed_in.get("/week/"))

    assert "1 late line, 98 points; not proven; at least 58. Stopped after 12 tries; the best so far." in page


def test_at_the_end_of_the_planning_the_page_is_fetched_anew(signed_in):
    signed_in.post("/week/plan/", {"request_key": new_request_key()})
    assert "HX-Refresh" not in signed_in.get("/week/planning/")

    Job.objects.update(state=Job.State.DONE)
    assert signed_in.get("/week/planning/")["HX-Refresh"] == "true"


def test_a_planning_that_was_broken_off_says_why(signed_in):
    planned_tomorrow()
    signed_in.post("/week/plan/", {"request_key": new_request_key()})
    Job.objects.update(state=Job.State.FAILED, fault="The powder has no density.")

    assert "Planning was broken off: The powder has no density." in words(signed_in.get("/week/"))


def test_a_plan_for_nothing_leads_to_the_orders(signed_in):
    planned_tomorrow()
    PlannedMix.objects.all().delete()
    PlannedLine.objects.all().delete()

    page = words(signed_in.get("/week/"))

    assert "Nothing to pour. Orders and market days make the week." in page
    assert "See the orders" in page


def test_a_helper_sees_the_week_too(signed_in_helper):
    assert signed_in_helper.get("/week/").status_code == 200
