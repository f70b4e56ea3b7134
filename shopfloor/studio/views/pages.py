"""The Studio pages: hours, closed days, people, what papers say, and the way to a copy of everything."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inventory.answers import do, new_request_key, refuse, refuse_field
from inventory.arithmetic.money import format_money
from inventory.errors import StudioError
from inventory.operations.acts import Done
from inventory.roles import after_proof, for_everyone, is_owner, owner_only
from orders.papers.card_words import words_to_fill
from shopfloor.backups.queries import copies_stand
from shopfloor.feed.operations import made_at
from shopfloor.studio.bench_tablet import TABLET_MINUTES, has_pin, tablets
from shopfloor.studio.forms import (
    ClosedDaysForm,
    HolidayForm,
    HolidaysForm,
    HoursForm,
    PersonForm,
    SettingsForm,
)
from shopfloor.studio.operations.opening import (
    add_hours,
    close_days,
    keep_holiday,
    keep_holidays,
    keep_settings,
    open_day,
    remove_hours,
    work_holiday,
)
from shopfloor.studio.operations.people import add_person, close_sign_in, open_sign_in
from shopfloor.studio.operations.signing_in import LINK_MINUTES, make_link
from shopfloor.studio.queries import days_off, hours_by_weekday, people, studio_settings
from shopfloor.studio.visits import visits
from shopfloor.studio.ways_in import noted

Content = Callable[[dict[str, Any]], dict[str, Any]]


@for_everyone
@require_safe
def studio(request: HttpRequest) -> HttpResponse:
    """Everything about the studio itself on one page; the forms are the owner's."""
    return _page(request)


@owner_only
@require_POST
def hours_add(request: HttpRequest) -> HttpResponse:
    """A stretch of a weekday."""
    return _answer(request, "hours_form", HoursForm(request.POST), add_hours, dict)


@owner_only
@require_POST
def hours_remove(request: HttpRequest, hours_id: int) -> HttpResponse:
    """Take a stretch out."""
    return _tap(request, remove_hours, hours_id=hours_id)


@owner_only
@require_POST
def days_close(request: HttpRequest) -> HttpResponse:
    """Days on which nobody is in."""
    return _answer(
        request, "days_form", ClosedDaysForm(request.POST, today=_today(request)), close_days, dict
    )


@owner_only
@require_POST
def day_open(request: HttpRequest, day_id: int) -> HttpResponse:
    """Take a day off the list."""
    return _tap(request, open_day, day_id=day_id)


@owner_only
@require_POST
def holidays_keep(request: HttpRequest) -> HttpResponse:
    """The place whose public holidays are closed."""
    kept = studio_settings().holidays_of.partition("-")[0]
    # A part of the country before says nothing of another one.
    form = HolidaysForm(request.POST, country=kept if request.POST.get("country") == kept else "")
    return _answer(request, "holidays_form", form, keep_holidays, dict)


@owner_only
@require_POST
def holiday_work(request: HttpRequest) -> HttpResponse:
    """Be in on a public holiday."""
    return _on_holiday(request, work_holiday)


@owner_only
@require_POST
def holiday_keep(request: HttpRequest) -> HttpResponse:
    """Be out on a public holiday again."""
    return _on_holiday(request, keep_holiday)


def _on_holiday(request: HttpRequest, operation: Callable[..., Done]) -> HttpResponse:
    form = HolidayForm(request.POST)
    if form.is_valid():
        return _tap(request, operation, on=form.cleaned_data["on"])
    refuse(request, StudioError("That is not a day. Open the page again."))
    return redirect("studio")


@owner_only
@require_POST
def settings_keep(request: HttpRequest) -> HttpResponse:
    """What papers and costs need to know."""
    return _answer(request, "settings_form", SettingsForm(request.POST), keep_settings, _settings_values)


@after_proof
@owner_only
@require_POST
def person_add(request: HttpRequest) -> HttpResponse:
    """Somebody to let in."""
    form = PersonForm(request.POST)
    return _answer(
        request,
        "person_form",
        form,
        add_person,
        lambda typed: {"name": typed["name"], "owner": _owner(typed)},
    )


@after_proof
@owner_only
@require_POST
def person_close(request: HttpRequest, user_id: int) -> HttpResponse:
    """Keep a person out."""
    return _tap(request, close_sign_in, user_id=user_id)


@after_proof
@owner_only
@require_POST
def person_open(request: HttpRequest, user_id: int) -> HttpResponse:
    """Let a person in again."""
    return _tap(request, open_sign_in, user_id=user_id)


@after_proof
@owner_only
@never_cache
@require_http_methods(["POST"])
def person_link(request: HttpRequest, user_id: int) -> HttpResponse:
    """Make a sign-in link and show it this once."""
    person = people().filter(pk=user_id, is_active=True).first()
    if person is None:
        refuse(request, StudioError("That person cannot sign in. Let them in first."))
        return redirect("studio")
    secret = make_link(person.pk, now=request.studio.now())  # type: ignore[attr-defined]
    noted(request, f"Made a sign-in link for {person}.")
    link = request.build_absolute_uri(reverse("sign-in-link", args=[secret]))
    return render(
        request, "studio/person_link.html", {"person": person, "link": link, "minutes": LINK_MINUTES}
    )


def _answer(
    request: HttpRequest, name: str, form: Form, operation: Callable[..., Done], content: Content
) -> HttpResponse:
    """Run a form's operation; a refusal shows the page again with what was typed and the same request key."""
    if form.is_valid():
        try:
            do(request, operation, **content(form.cleaned_data))
            return redirect("studio")
        except StudioError as fault:
            refuse_field(form, fault)
    return _page(request, status=422, key=request.POST.get("request_key", ""), **{name: form})


def _tap(request: HttpRequest, operation: Callable[..., Done], **content: Any) -> HttpResponse:
    try:
        do(request, operation, **content)
    except StudioError as fault:
        refuse(request, fault)
    return redirect("studio")


def _page(request: HttpRequest, *, status: int = 200, key: str = "", **forms: Form) -> HttpResponse:
    shown: dict[str, Any] = {
        "area": "studio",
        "week": hours_by_weekday(),
        "closed": days_off(_today(request)),
        "request_key": key or new_request_key(),
        "refused": next(iter(forms), ""),
        "visits": visits(
            now=request.studio.now(),  # type: ignore[attr-defined]
            this_session=request.session.session_key,
            user_id=None if is_owner(request.user) else request.user.pk,
        ),
        "has_pin": has_pin(request.user.pk),
    }
    if is_owner(request.user):
        shown |= {
            "is_owner": True,
            "calendar_made_at": made_at(),
            "people": people(),
            "tablets": tablets(),
            "tablet_minutes": TABLET_MINUTES,
            "hours_form": HoursForm(),
            "days_form": ClosedDaysForm(today=_today(request)),
            "holidays_form": _holidays_form(),
            "person_form": PersonForm(),
            "settings_form": SettingsForm(initial=_settings_initial()),
            **copies_stand(),
        }
    return render(request, "studio/studio.html", shown | forms, status=status)


def _today(request: HttpRequest) -> date:
    today: date = request.studio.local(request.studio.now()).date()  # type: ignore[attr-defined]
    return today


def _owner(typed: dict[str, Any]) -> bool:
    return bool(typed["role"] == "owner")


def _holidays_form() -> HolidaysForm:
    country, _, region = studio_settings().holidays_of.partition("-")
    return HolidaysForm(country=country, initial={"country": country, "region": region})


def _settings_initial() -> dict[str, Any]:
    row = studio_settings()
    initial = {name: getattr(row, name) for name in SettingsForm.base_fields if name != "hour_rate"}
    initial["card_words"] = words_to_fill(row.card_words)
    return initial | {"hour_rate": format_money(row.hour_rate_minor, row.currency)}


def _settings_values(typed: dict[str, Any]) -> dict[str, Any]:
    return {"values": typed}
