"""Days kept free of pours: the list, keeping one free, and giving it back."""

from __future__ import annotations

from datetime import timedelta

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path
from django.views.decorators.http import require_http_methods, require_POST

from inventory.answers import do, new_request_key, refuse, refuse_field
from inventory.errors import StudioError
from inventory.roles import for_everyone
from production.forms.week import FreeDayForm
from production.operations.keeping_free import give_day_back, keep_day_free
from production.queries.pins import days_kept_free

DAYS_AHEAD = 42


@for_everyone
@require_http_methods(["GET", "POST"])
def free_days(request: HttpRequest) -> HttpResponse:
    """The days kept free of pours; another is added here."""
    now, hours = request.studio.now(), request.studio.hours
    today = request.studio.local(now).date()
    ahead = [today + timedelta(days=days) for days in range(DAYS_AHEAD)]
    form = FreeDayForm(request.POST or None, days=[day for day in ahead if hours.is_working_day(day)])
    if request.method == "POST" and form.is_valid():
        colour = form.cleaned_data["colour"]
        try:
            day = form.cleaned_data["day"]
            do(request, keep_day_free, day=day, colour_id=colour.pk if colour else None)
            return redirect("production:free-days")
        except StudioError as fault:
            refuse_field(form, fault)
    context = {
        "days": days_kept_free(now),
        "form": form,
        "request_key": request.POST.get("request_key") or new_request_key(),
    }
    return render(
        request, "production/free_days.html", context, status=422 if request.method == "POST" else 200
    )


@for_everyone
@require_POST
def give_back(request: HttpRequest, kept_id: int) -> HttpResponse:
    """Let later plans pour on the day again."""
    try:
        do(request, give_day_back, kept_id=kept_id)
    except StudioError as fault:
        refuse(request, fault)
    return redirect("production:free-days")


urlpatterns = [
    path("week/free-days/", free_days, name="free-days"),
    path("week/free-days/<int:kept_id>/give-back/", give_back, name="give-day-back"),
]
