"""The Week: the plan, how the planning stands, and the week as a table."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path
from django.views.decorators.http import require_GET

from inventory.roles import for_everyone
from production.queries.pins import days_kept_free
from production.queries.plan_changes import plan_changes
from production.queries.week import week_now
from production.views.week_pictures import WeekPictures


@for_everyone
@require_GET
def week(request: HttpRequest) -> HttpResponse:
    """The plan, group by group, as strips."""
    return _shown(request, "production/week.html")


@for_everyone
@require_GET
def week_table(request: HttpRequest) -> HttpResponse:
    """The same as a table."""
    return _shown(request, "production/week_table.html")


@for_everyone
@require_GET
def week_planning(request: HttpRequest) -> HttpResponse:
    """How the planning stands, asked again while it runs; at its end the whole page is fetched anew."""
    job = request.studio.plan_job()
    response = render(request, "production/_week_planning.html", {"job": job})
    if not job.is_running:
        response["HX-Refresh"] = "true"
    return response


@for_everyone
@require_GET
def week_looking(request: HttpRequest) -> HttpResponse:
    """How the look into late lines stands, asked again while it runs; at its end the page is fetched anew."""
    looking = request.studio.look_job()
    context = {"looking": looking, "plan_id": looking.plan_id, "is_looked_into": False}
    response = render(request, "production/_week_looking.html", context)
    if not looking.is_running:
        response["HX-Refresh"] = "true"
    return response


def _shown(request: HttpRequest, template: str) -> HttpResponse:
    now = request.studio.now()
    found = week_now(now=now, local=request.studio.local, has_left=request.studio.has_left)
    context = {
        "week": found,
        "job": request.studio.plan_job(),
        "now": now,
        "changes": plan_changes(now=now),
        "free_days": days_kept_free(now),
    }
    if found:
        pictures = WeekPictures(found, request.studio, now)
        context |= {
            "looking": request.studio.look_job(),
            "ruler": pictures.ruler(),
            "groups": pictures.groups(),
        }
    else:
        context["has_hours"] = bool(request.studio.hours.weekly)
    return render(request, template, context)


urlpatterns = [
    path("week/", week, name="week"),
    path("week/table/", week_table, name="week-table"),
    path("week/planning/", week_planning, name="week-planning"),
    path("week/looking/", week_looking, name="week-looking"),
]
