"""What is pressed on the Week: letting go a mix put to a time by hand, and going back to the plan before."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import path
from django.views.decorators.http import require_POST

from inventory.answers import do, refuse
from inventory.errors import StudioError
from inventory.roles import for_everyone
from production.operations.pinning import release_mix, take_plan_back


@for_everyone
@require_POST
def release(request: HttpRequest, pin_id: int) -> HttpResponse:
    """Let a mix be moved by later plans."""
    try:
        do(request, release_mix, pin_id=pin_id)
    except StudioError as fault:
        refuse(request, fault)
    return redirect("production:week")


@for_everyone
@require_POST
def plan_back(request: HttpRequest, plan_id: int) -> HttpResponse:
    """Go back to the plan before this one."""
    try:
        do(request, take_plan_back, plan_id=plan_id)
    except StudioError as fault:
        refuse(request, fault)
    return redirect("production:week")


urlpatterns = [
    path("week/pin/<int:pin_id>/let-go/", release, name="release-mix"),
    path("week/plan/<int:plan_id>/back/", plan_back, name="plan-back"),
]
