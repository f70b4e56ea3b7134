"""Moulds: the list, the page of one, its water fills and its copies."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path
from django.views.decorators.http import require_GET, require_POST

from inventory.answers import do, new_request_key, refuse, refuse_field, save_form
from inventory.errors import StudioError
from inventory.roles import for_everyone, is_owner, owner_only
from inventory.views.showing import show_form
from production.forms.moulds import (
    CopiesForm,
    CopyForm,
    MouldForm,
    MouldPhotoForm,
    RetireForm,
    WaterFillForm,
)
from production.operations.measuring import add_water_fill, leave_fill_out
from production.operations.owning import (
    add_copies,
    bring_back_copy,
    keep_mould_photo,
    lend_copy,
    retire_copy,
    retire_mould,
    take_up_mould,
    wash_copy,
)
from production.papers.mould_label import label_of
from production.queries.moulds import (
    copies_here,
    copy_now,
    copy_row,
    mould,
    mould_of_fill,
    mould_page,
    moulds_list,
    planned_mixes_with,
    retired_moulds,
)
from production.views.mould_pictures import day_picture, wear

WATER_C_USUAL = 20.0


@for_everyone
@require_GET
def moulds(request: HttpRequest) -> HttpResponse:
    """Every mould with its volume and copies."""
    rows = moulds_list(now=request.studio.now())
    context = {"rows": rows, "retired": retired_moulds(), "is_owner": is_owner(request.user)}
    return render(request, "production/moulds.html", context)


@for_everyone
def show_mould(request: HttpRequest, mould_id: int) -> HttpResponse:
    """One mould; a water fill is added here."""
    copies = copies_here(mould_id, now=request.studio.now())
    form = WaterFillForm(request.POST or None, initial={"water_c": WATER_C_USUAL}, copies=copies)
    if request.method == "POST" and form.is_valid():
        try:
            typed = form.cleaned_data
            content = {"water_c": typed["water_c"], "copy_id": typed["copy_id"]}
            do(request, add_water_fill, mould_id=mould_id, water_mg=typed["water"], **content)
            return redirect("production:mould", mould_id)
        except StudioError as fault:
            refuse_field(form, fault)
    return _page(request, mould_id, form)


@for_everyone
@require_POST
def leave_out(request: HttpRequest, fill_id: int) -> HttpResponse:
    """Leave a fill out of the mean, or take it in again."""
    mould_id = mould_of_fill(fill_id)
    left_out = request.POST.get("left_out") != "no"
    return _tap(request, mould_id, leave_fill_out, fill_id=fill_id, left_out=left_out)


@owner_only
def edit_mould(request: HttpRequest, mould_id: int | None = None) -> HttpResponse:
    """Add a mould, or change one."""
    try:
        found = mould(mould_id) if mould_id else None
    except StudioError as fault:
        refuse(request, fault)
        return redirect("production:moulds")
    form = MouldForm(request.POST or None, instance=found, has_fills=bool(found and found.fills))
    if request.method == "POST" and form.is_valid():
        saved = save_form(request, form, f"{form.cleaned_data['name']} {'changed' if found else 'added'}.")
        return redirect("production:mould" if found else "production:mould-copies", saved.pk)
    return show_form(request, "production/mould_edit.html", form, mould=found)


@owner_only
def new_copies(request: HttpRequest, mould_id: int) -> HttpResponse:
    """Note new copies."""
    try:
        found = mould(mould_id)
    except StudioError as fault:
        refuse(request, fault)
        return redirect("production:moulds")
    form = CopiesForm(request.POST or None, currency=request.studio.facts.currency)
    if request.method == "POST" and form.is_valid():
        try:
            do(request, add_copies, mould_id=mould_id, **form.content())
            return redirect("production:mould", mould_id)
        except StudioError as fault:
            refuse_field(form, fault)
    return show_form(request, "production/mould_copies.html", form, mould=found)


@owner_only
@require_POST
def lend(request: HttpRequest, copy_id: int) -> HttpResponse:
    """A copy is lent out."""
    return _copy_tap(request, copy_id, lend_copy, on=_today(request))


@owner_only
@require_POST
def bring_back(request: HttpRequest, copy_id: int) -> HttpResponse:
    """A lent copy is back."""
    return _copy_tap(request, copy_id, bring_back_copy)


@owner_only
def retire(request: HttpRequest, copy_id: int) -> HttpResponse:
    """Take a copy out of use: asked first, because the plan may need it."""
    form = RetireForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        return _copy_tap(request, copy_id, retire_copy, on=_today(request), ended=form.cleaned_data["ended"])
    try:
        found, copy = copy_now(copy_id, now=request.studio.now())
    except StudioError as fault:
        refuse(request, fault)
        return redirect("production:moulds")
    planned = planned_mixes_with(found.pk)
    return show_form(request, "production/mould_retire.html", form, mould=found, copy=copy, planned=planned)


@owner_only
def retire_kind(request: HttpRequest, mould_id: int) -> HttpResponse:
    """Give up a kind of mould: asked first, with what is planned and made in it."""
    if request.method == "POST":
        planned = request.POST.get("planned", "")
        content = {"on": _today(request), "planned": int(planned) if planned.isdecimal() else 0}
        return _tap(request, mould_id, retire_mould, mould_id=mould_id, **content)
    try:
        page = mould_page(mould_id, now=request.studio.now(), local=request.studio.local)
    except StudioError as fault:
        refuse(request, fault)
        return redirect("production:moulds")
    context = {"page": page, "mould": page.mould, "seen": {"planned": planned_mixes_with(mould_id)}}
    return render(request, "production/mould_retire_kind.html", context)


@owner_only
@require_POST
def take_up(request: HttpRequest, mould_id: int) -> HttpResponse:
    """Use a retired kind of mould again."""
    return _tap(request, mould_id, take_up_mould, mould_id=mould_id)


@for_everyone
@require_POST
def wash(request: HttpRequest, copy_id: int) -> HttpResponse:
    """A copy was washed just now."""
    return _copy_tap(request, copy_id, wash_copy)


@owner_only
def edit_copy(request: HttpRequest, copy_id: int) -> HttpResponse:
    """Mend what is expected of a copy."""
    try:
        found = copy_row(copy_id)
    except StudioError as fault:
        refuse(request, fault)
        return redirect("production:moulds")
    form = CopyForm(request.POST or None, instance=found, currency=request.studio.facts.currency)
    if request.method == "POST" and form.is_valid():
        save_form(request, form, f"{found} changed.")
        return redirect("production:mould", found.mould_id)
    return show_form(request, "production/mould_copy_edit.html", form, mould=found.mould, copy=found)


@owner_only
def mould_photo(request: HttpRequest, mould_id: int) -> HttpResponse:
    """Choose a photo of a mould."""
    try:
        found = mould(mould_id)
    except StudioError as fault:
        refuse(request, fault)
        return redirect("production:moulds")
    form = MouldPhotoForm(request.POST or None, request.FILES or None)
    if request.method == "POST" and form.is_valid():
        do(request, keep_mould_photo, mould_id=mould_id, photo=form.cleaned_data["photo"])
        return redirect("production:mould", mould_id)
    return show_form(request, "production/mould_photo.html", form, mould=found)


@for_everyone
@require_GET
def copy_label(request: HttpRequest, copy_id: int) -> HttpResponse:
    """The label of a copy as a paper of 62 by 100 mm."""
    try:
        copy = copy_row(copy_id)
    except StudioError as fault:
        refuse(request, fault)
        return redirect("production:moulds")
    context = label_of(copy, site_address=request.studio.facts.site_address)
    name = f"mould {copy.mould_id} copy {copy.number}.pdf"
    return request.studio.paper(request, "production/papers/mould_label.html", context, name)


def _page(request: HttpRequest, mould_id: int, form: WaterFillForm) -> HttpResponse:
    studio, now = request.studio, request.studio.now()
    try:
        page = mould_page(mould_id, now=now, local=studio.local)
    except StudioError as fault:
        refuse(request, fault)
        return redirect("production:moulds")
    copies = [(copy, day_picture(copy, studio, now), wear(copy.copy)) for copy in page.copies]
    context = {
        "page": page,
        "mould": page.mould,
        "copies": copies,
        "form": form,
        "request_key": request.POST.get("request_key") or new_request_key(),
        "is_owner": is_owner(request.user),
        "count_again": {"left_out": "no"},
    }
    status = 422 if request.method == "POST" else 200
    return render(request, "production/mould.html", context, status=status)


def _copy_tap(request: HttpRequest, copy_id: int, operation: Any, **content: Any) -> HttpResponse:
    try:
        found, _ = copy_now(copy_id, now=request.studio.now())
    except StudioError as fault:
        refuse(request, fault)
        return redirect("production:moulds")
    return _tap(request, found.pk, operation, copy_id=copy_id, **content)


def _tap(request: HttpRequest, mould_id: int | None, operation: Any, /, **content: Any) -> HttpResponse:
    try:
        do(request, operation, **content)
    except StudioError as fault:
        refuse(request, fault)
    return redirect("production:mould", mould_id) if mould_id else redirect("production:moulds")


def _today(request: HttpRequest) -> Any:
    return request.studio.local(request.studio.now()).date()


urlpatterns = [
    path("moulds/", moulds, name="moulds"),
    path("moulds/new/", edit_mould, name="mould-new"),
    path("moulds/<int:mould_id>/", show_mould, name="mould"),
    path("moulds/<int:mould_id>/change/", edit_mould, name="mould-edit"),
    path("moulds/<int:mould_id>/copies/", new_copies, name="mould-copies"),
    path("moulds/<int:mould_id>/retire/", retire_kind, name="mould-retire"),
    path("moulds/<int:mould_id>/again/", take_up, name="mould-again"),
    path("moulds/fill/<int:fill_id>/", leave_out, name="mould-fill"),
    path("moulds/copy/<int:copy_id>/lend/", lend, name="copy-lend"),
    path("moulds/copy/<int:copy_id>/back/", bring_back, name="copy-back"),
    path("moulds/copy/<int:copy_id>/retire/", retire, name="copy-retire"),
    path("moulds/copy/<int:copy_id>/wash/", wash, name="copy-wash"),
    path("moulds/copy/<int:copy_id>/change/", edit_copy, name="copy-edit"),
    path("moulds/copy/<int:copy_id>/label/", copy_label, name="copy-label"),
    path("moulds/<int:mould_id>/photo/", mould_photo, name="mould-photo"),
]
