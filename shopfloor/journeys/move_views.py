"""The move form: where a planned mix is, where it could go, and what that would change."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from inventory.answers import do, new_request_key, refuse_field
from inventory.errors import StudioError
from inventory.roles import for_everyone
from production.errors import MixStays, NotThere
from production.planning.moving import Moved
from production.queries.tried_moves import MixToMove, mix_to_move
from production.queries.tried_words import day_words, effect_words, refusal_words
from shopfloor.journeys.forms import MoveForm
from shopfloor.journeys.moving import move_mix, tried

DAYS_AHEAD = 42
QUARTER = 15


@for_everyone
@require_http_methods(["GET", "POST"])
def move(request: HttpRequest, planned_mix_id: int) -> HttpResponse:
    """Move a mix."""
    try:
        mix = mix_to_move(planned_mix_id)
    except NotThere as fault:
        raise Http404(fault.message) from fault
    form = _form(request, mix, request.POST if request.method == "POST" else request.GET)
    if request.method == "POST" and form.is_valid():
        try:
            do(request, move_mix, planned_mix_id=mix.id, to=form.instant())
            return redirect("production:week")
        except MixStays:
            # The form is shown again with the same sentence and the first time that works.
            return _shown(request, mix, form)
        except StudioError as fault:
            refuse_field(form, fault)
    return _shown(request, mix, form)


def _form(request: HttpRequest, mix: MixToMove, entries: Any) -> MoveForm:
    hours, local = request.studio.hours, request.studio.local
    today = local(request.studio.now()).date()
    starts = local(mix.starts_at)
    days = [today + timedelta(days=ahead) for ahead in range(DAYS_AHEAD)]
    # A day that a strip was dropped on is said to have nobody in, and not left out of the list.
    asked = entries.get("day", "")
    days = [day for day in days if hours.is_working_day(day) or day.isoformat() == asked]
    days = sorted({*days, starts.date()})
    is_asked = "day" in entries and "at" in entries
    return MoveForm(
        entries if is_asked else None,
        days=days,
        zone=hours.zone,
        initial={"day": starts.date().isoformat(), "at": _to_quarter(starts)},
    )


def _to_quarter(at: datetime) -> str:
    """The time of day, down to the quarter of an hour."""
    return f"{at.hour:02}:{at.minute // QUARTER * QUARTER:02}"


def _shown(request: HttpRequest, mix: MixToMove, form: MoveForm) -> HttpResponse:
    is_valid = form.is_bound and form.is_valid()
    context = {
        "mix": mix,
        "form": form,
        "request_key": request.POST.get("request_key") or new_request_key(),
        **(_effect(request, mix, form.instant()) if is_valid else {}),
    }
    if request.htmx and request.GET.get("only") == "effect":
        return render(request, "journeys/_move_effect.html", context)
    template = "journeys/_move.html" if request.htmx else "journeys/move.html"
    return render(request, template, context, status=422 if request.method == "POST" else 200)


def _effect(request: HttpRequest, mix: MixToMove, to: datetime) -> dict[str, Any]:
    try:
        trial = tried(mix.id, to, now=request.studio.now())
    except NotThere as fault:
        # Another plan was adopted while this one was looked at.
        return {"refused": fault.message}
    if isinstance(trial.tried, Moved):
        return {"effect": effect_words(trial, trial.tried, request.studio.hours)}
    first = trial.first_free
    found: dict[str, Any] = {"refused": refusal_words(trial, trial.tried)}
    if first is not None:
        local = request.studio.local(first)
        found |= {
            "first_day": local.date(),
            "first_at": f"{local:%H:%M}",
            "use": _use_words(local, trial.to),
        }
    return found


def _use_words(first: datetime, asked: datetime) -> str:
    """What the plate says that takes the first free time: its day, or its time on the same day."""
    same: date = asked.astimezone(first.tzinfo).date()
    return f"Use {first:%H:%M}" if first.date() == same else f"Use {day_words(first.date())}"
