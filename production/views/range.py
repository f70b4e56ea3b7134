"""The Range: articles, and the compounds, colours and routes they are made of."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.forms import BaseInlineFormSet, ModelForm, model_to_dict
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path, reverse
from django.views.decorators.http import require_GET, require_POST

from inventory.answers import do, new_request_key, refuse, save_form
from inventory.errors import StudioError
from inventory.operations.acts import Done
from inventory.roles import for_everyone, is_owner, owner_only
from inventory.views.showing import show_form
from production.forms.bench import OutcomePhotoForm
from production.forms.compounds import ColourForm, CompoundForm, PigmentFormSet
from production.forms.range import ArticleForm, PartFormSet, RouteForm, StepFormSet, StepKindForm
from production.operations.describing import keep_colours, keep_route, keep_with_rows
from production.operations.ranging import keep_article_photo, retire_article, take_up_article
from production.queries.ingredients import beginning, ingredients
from production.queries.progress import newest_plan
from production.queries.range import (
    article,
    article_page,
    colour,
    compound,
    priced_range,
    range_list,
    route,
    step_kind,
)
from production.views.range_pictures import route_picture


@for_everyone
@require_GET
def show_range(request: HttpRequest) -> HttpResponse:
    """Every article, and what they are made of."""
    owner, facts = is_owner(request.user), request.studio.facts
    if owner:
        rate, board = facts.hour_rate_minor, facts.drying_board_pieces
        rows, priced = priced_range(now=request.studio.now(), rate_minor=rate, board_pieces=board)
    else:
        rows, priced = range_list(now=request.studio.now()), {}
    context = {
        "rows": [(row, priced.get(row.article.pk)) for row in rows],
        "currency": facts.currency,
        "beginning": beginning(),
        "has_hours": bool(request.studio.hours.weekly),
        "made_of": ingredients(),
        "is_owner": owner,
    }
    return render(request, "production/range.html", context)


@for_everyone
@require_GET
def show_article(request: HttpRequest, article_id: int) -> HttpResponse:
    """One article."""
    try:
        page = article_page(article_id, now=request.studio.now())
    except StudioError as fault:
        refuse(request, fault)
        return redirect("production:range")
    context = {
        "page": page,
        "article": page.row.article,
        "strip": route_picture(page.row),
        "is_owner": is_owner(request.user),
    }
    return render(request, "production/article.html", context)


@owner_only
def edit_article(request: HttpRequest, article_id: int | None = None) -> HttpResponse:
    """Add an article with its parts, or change one."""

    try:
        pattern = None if article_id else _pattern(request)
    except StudioError as fault:
        refuse(request, fault)
        return redirect("production:range")

    def keep(form: Any, rows: Any) -> str:
        rows.instance = form.instance
        if pattern:
            form.instance.price_minor, form.instance.margin_wanted = (
                pattern.price_minor,
                pattern.margin_wanted,
            )
        keep_with_rows(form.instance, rows.save(commit=False), rows.deleted_objects)
        keep_colours(form.instance, form.cleaned_data["colours"])
        return "production:article"

    template = "production/article_edit.html"
    return _edit(request, article, article_id, ArticleForm, PartFormSet, keep, template, pattern)


def _pattern(request: HttpRequest) -> Any:
    """The article that a new one is to be like, if the address names one."""
    like = request.GET.get("like", "")
    return article(int(like)) if like.isdecimal() else None


@owner_only
@require_POST
def keep_photo(request: HttpRequest, article_id: int) -> HttpResponse:
    """A photo of the article."""
    form = OutcomePhotoForm(request.POST, request.FILES)
    if not form.is_valid():
        refuse(request, StudioError(" ".join(form.errors["photo"])))
        return redirect("production:article", article_id)
    return _act(request, article_id, keep_article_photo, photo=form.cleaned_data["photo"])


@owner_only
def retire(request: HttpRequest, article_id: int) -> HttpResponse:
    """Stop making an article; what is still wanted of it is said first."""
    if request.method == "POST":
        today = request.studio.local(request.studio.now()).date()
        return _act(request, article_id, retire_article, on=today)
    try:
        found = article(article_id)
    except StudioError as fault:
        refuse(request, fault)
        return redirect("production:range")
    context = {"article": found, "wanted_by": request.studio.wanted_by(article_id)}
    return render(request, "production/article_retire.html", context)


@owner_only
@require_POST
def take_up(request: HttpRequest, article_id: int) -> HttpResponse:
    """Make it again."""
    return _act(request, article_id, take_up_article)


def _act(
    request: HttpRequest, article_id: int, operation: Callable[..., Done], **content: Any
) -> HttpResponse:
    try:
        do(request, operation, article_id=article_id, **content)
    except StudioError as fault:
        refuse(request, fault)
    return redirect("production:article", article_id)


@owner_only
def edit_colour(request: HttpRequest, colour_id: int | None = None) -> HttpResponse:
    """Add a colour with its pigments, or change one."""

    def keep(form: Any, rows: Any) -> str:
        keep_with_rows(form.instance, rows.save(commit=False), rows.deleted_objects)
        return ""

    return _edit(request, colour, colour_id, ColourForm, PigmentFormSet, keep, "production/range_colour.html")


@owner_only
def edit_route(request: HttpRequest, route_id: int | None = None) -> HttpResponse:
    """Add a route with its steps, or change one."""

    def keep(form: Any, rows: Any) -> str:
        rows.save(commit=False)
        gone = rows.deleted_objects
        kept = [row for row in rows.forms if row not in rows.deleted_forms and row.instance not in gone]
        kept = [row for row in kept if row.instance.pk or row.has_changed()]
        kept.sort(key=lambda row: row.cleaned_data["position"])
        keep_route(form.instance, [row.instance for row in kept], gone)
        return ""

    return _edit(request, route, route_id, RouteForm, StepFormSet, keep, "production/range_route.html")


@owner_only
def edit_step_kind(request: HttpRequest, kind_id: int | None = None) -> HttpResponse:
    """Add a kind of step of the studio's own, or change one."""
    return _plain(request, step_kind, kind_id, StepKindForm, "production/range_step_kind.html")


@owner_only
def edit_compound(request: HttpRequest, compound_id: int | None = None) -> HttpResponse:
    """Add a compound, or change one."""
    return _plain(request, compound, compound_id, CompoundForm, "production/range_compound.html")


def _plain(
    request: HttpRequest,
    read: Callable[[int], Any],
    pk: int | None,
    form_class: type[ModelForm],
    template: str,
) -> HttpResponse:
    """A record of its own on one page."""
    try:
        found = read(pk) if pk else None
    except StudioError as fault:
        refuse(request, fault)
        return redirect("production:range")
    form = form_class(request.POST or None, instance=found)
    if request.method == "POST" and form.is_valid():
        save_form(request, form, f"{form.cleaned_data['name']} {'changed' if found else 'added'}.")
        return redirect("production:range")
    return show_form(request, template, form, found=found)


def _edit(
    request: HttpRequest,
    read: Callable[[int], Any],
    pk: int | None,
    form_class: type[ModelForm],
    rows_class: type[BaseInlineFormSet],
    keep: Callable[[Any, Any], str],
    template: str,
    pattern: Any = None,
) -> HttpResponse:
    """A record with its rows on one page: shown, refused with what was typed, or kept.

    A new one begins as `pattern` is, where there is one.
    """
    try:
        found = read(pk) if pk else None
    except StudioError as fault:
        refuse(request, fault)
        return redirect("production:range")
    form = form_class(request.POST or None, instance=found, initial=_values(pattern, form_class))
    rows = rows_class(request.POST or None, instance=form.instance, prefix="rows")
    if pattern and request.method != "POST":
        # Whose part it is comes with the new one, not with the pattern.
        rows.initial_extra = [
            {name: value for name, value in _values(part, rows_class.form).items() if name != rows.fk.name}
            for part in pattern.parts.all()
        ]
        rows.extra = len(rows.initial_extra) + 1
    # Both are asked, so that all that is wrong is said at once.
    if request.method == "POST" and all((form.is_valid(), rows.is_valid())):
        to = keep(form, rows)
        said = _said(form, found)
        request.session["said"] = {"text": said, "act_id": None}
        if "more" in request.POST:
            return redirect(_again(request, form.instance.pk))
        return redirect(to, form.instance.pk) if to else redirect("production:range")
    key = request.POST.get("request_key") or new_request_key()
    context = {"form": form, "rows": rows, "request_key": key, "found": found, "pattern": pattern}
    return render(request, template, context, status=422 if request.method == "POST" else 200)


def _said(form: ModelForm, found: Any) -> str:
    """What was kept; a new name is asked about once by the next order file."""
    said = f"{form.instance} {'changed' if found else 'added'}."
    if "name" in form.changed_data and found and isinstance(form, ArticleForm):
        said = f"{form.initial['name']} is called {form.instance} now. Order files ask once what that is."
    return f"{said} Plan again to take it in." if newest_plan() else said


def _again(request: HttpRequest, pk: int) -> str:
    """The page to go on changing what was just kept."""
    name = request.resolver_match.view_name.removesuffix("-new") if request.resolver_match else ""
    name = "production:article-edit" if name == "production:article" else name
    return reverse(name, args=[pk])


def _values(pattern: Any, form_class: type[ModelForm]) -> dict[str, Any]:
    """What a form about something like `pattern` begins with."""
    if pattern is None:
        return {}
    return model_to_dict(pattern, fields=form_class._meta.fields)


urlpatterns = [
    path("range/", show_range, name="range"),
    path("range/new/", edit_article, name="article-new"),
    path("range/<int:article_id>/", show_article, name="article"),
    path("range/<int:article_id>/change/", edit_article, name="article-edit"),
    path("range/<int:article_id>/photo/", keep_photo, name="article-photo"),
    path("range/<int:article_id>/retire/", retire, name="article-retire"),
    path("range/<int:article_id>/again/", take_up, name="article-again"),
    path("range/compounds/new/", edit_compound, name="compound-new"),
    path("range/compounds/<int:compound_id>/", edit_compound, name="compound"),
    path("range/colours/new/", edit_colour, name="colour-new"),
    path("range/colours/<int:colour_id>/", edit_colour, name="colour"),
    path("range/kinds/new/", edit_step_kind, name="step-kind-new"),
    path("range/kinds/<int:kind_id>/", edit_step_kind, name="step-kind"),
    path("range/routes/new/", edit_route, name="route-new"),
    path("range/routes/<int:route_id>/", edit_route, name="route"),
]
