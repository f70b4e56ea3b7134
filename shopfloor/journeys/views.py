"""Pages that cross the apps: the way in, planning the week, and looking into what is late."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_GET, require_POST

from inventory.answers import do, refuse
from inventory.errors import StudioError
from inventory.roles import for_everyone
from shopfloor.journeys.looking import ask_for_look, stop_looking
from shopfloor.journeys.planning import ask_for_plan, stop_planning


@for_everyone
@require_GET
def home(request: HttpRequest) -> HttpResponse:
    """The day begins at the Bench."""
    return redirect("production:bench")


@for_everyone
@require_POST
def ask_plan(request: HttpRequest) -> HttpResponse:
    """Plan again."""
    try:
        do(request, ask_for_plan)
    except StudioError as fault:
        refuse(request, fault)
    return redirect("production:week")


@for_everyone
@require_POST
def stop_plan(request: HttpRequest) -> HttpResponse:
    """Stop planning and keep the best so far."""
    try:
        do(request, stop_planning)
    except StudioError as fault:
        refuse(request, fault)
    return redirect("production:week")


@for_everyone
@require_POST
def ask_look(request: HttpRequest) -> HttpResponse:
    """Look into what is late."""
    try:
        do(request, ask_for_look)
    except StudioError as fault:
        refuse(request, fault)
    return redirect("production:week")


@for_everyone
@require_POST
def stop_look(request: HttpRequest) -> HttpResponse:
    """Stop looking and keep what was found."""
    try:
        do(request, stop_looking)
    except StudioError as fault:
        refuse(request, fault)
    return redirect("production:week")
