"""What articles and pieces cost, and what they are sold for. For the owner only."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path
from django.views.decorators.http import require_GET

from inventory.answers import new_request_key, refuse, save_form
from inventory.errors import StudioError
from inventory.roles import owner_only
from production.drawings.mould_to_piece import wave_rule
from production.forms.range import PriceForm
from production.queries.article_cost import ArticleCostPage, article_cost, piece_cost, range_costs
from production.queries.cost_words import GROUPS, cost_rows, difference_words, group_sums, losses_words


@owner_only
def show_article_cost(request: HttpRequest, article_id: int) -> HttpResponse:
    """How an article's cost is made up, its price against it, and what the pieces made last really cost."""
    try:
        page = article_cost(article_id, **_studio(request))
    except StudioError as fault:
        return _refused(request, fault)
    currency = request.studio.facts.currency
    article = page.priced.article
    form = PriceForm(request.POST or None, instance=article, currency=currency)
    if request.method == "POST" and form.is_valid():
        save_form(request, form, f"Price of {article} kept.")
        return redirect("production:article-cost", article_id)
    context = {"form": form, "request_key": request.POST.get("request_key") or new_request_key()}
    status = 422 if request.method == "POST" else 200
    return render(request, "production/cost.html", context | _shown(request, page), status=status)


@owner_only
@require_GET
def print_cost_sheet(request: HttpRequest, article_id: int) -> HttpResponse:
    """The same on paper."""
    try:
        page = article_cost(article_id, **_studio(request))
    except StudioError as fault:
        return _refused(request, fault)
    studio = request.studio
    today = studio.local(studio.now()).date()
    context = {"facts": studio.facts, "wave": wave_rule(), "today": today, **_shown(request, page)}
    name = f"cost of {page.priced.article}.pdf"
    return studio.paper(request, "production/papers/cost_sheet.html", context, name)


@owner_only
@require_GET
def print_all_costs(request: HttpRequest) -> HttpResponse:
    """What every article costs, against its price, on one paper."""
    studio = request.studio
    context = {
        "facts": studio.facts,
        "wave": wave_rule(),
        "today": studio.local(studio.now()).date(),
        "rows": [
            (one, group_sums(one.dearest.lines) if one.dearest else ())
            for one in range_costs(**_studio(request))
        ],
        "groups": GROUPS,
        "currency": studio.facts.currency,
        "rate_minor": studio.facts.hour_rate_minor,
    }
    return studio.paper(request, "production/papers/cost_sheet_all.html", context, "cost of the range.pdf")


@owner_only
@require_GET
def show_piece_cost(request: HttpRequest, mark: str) -> HttpResponse:
    """What one piece really cost, beside what it should have cost."""
    try:
        page = piece_cost(mark.upper(), **_studio(request))
    except StudioError as fault:
        return _refused(request, fault)
    currency = request.studio.facts.currency
    is_ready = page.piece.ready_at is not None and page.piece.ready_at <= request.studio.now()
    context = {
        "piece": page.piece,
        "cost": page.cost,
        "rows": cost_rows(page.cost.lines, currency),
        "because": [
            (difference_words(one, currency, is_ready=is_ready), one.minor) for one in page.cost.because
        ],
        "is_ready": is_ready,
        "currency": currency,
    }
    return render(request, "production/piece_cost.html", context)


def _studio(request: HttpRequest) -> dict[str, Any]:
    facts = request.studio.facts
    return {
        "now": request.studio.now(),
        "rate_minor": facts.hour_rate_minor,
        "board_pieces": facts.drying_board_pieces,
    }


def _shown(request: HttpRequest, page: ArticleCostPage) -> dict[str, Any]:
    asked = request.GET.get("colour", "")
    shown = page.in_colour(int(asked) if asked.isdecimal() else None)
    currency = request.studio.facts.currency
    return {
        "page": page,
        "priced": page.priced,
        "article": page.priced.article,
        "shown": shown,
        "rows": cost_rows(shown.lines, currency) if shown else [],
        "losses": losses_words(page.priced.losses),
        "margin_percent": None if page.priced.margin is None else page.priced.margin * 100,
        "wanted_percent": (page.priced.article.margin_wanted or 0) * 100,
        "currency": currency,
        "rate_minor": request.studio.facts.hour_rate_minor,
    }


def _refused(request: HttpRequest, fault: StudioError) -> HttpResponse:
    refuse(request, fault)
    return redirect("production:range")


urlpatterns = [
    path("range/<int:article_id>/cost/", show_article_cost, name="article-cost"),
    path("range/<int:article_id>/cost-sheet/", print_cost_sheet, name="cost-sheet"),
    path("range/cost-sheet/", print_all_costs, name="cost-sheet-all"),
    path("range/pieces/<str:mark>/cost/", show_piece_cost, name="piece-cost"),
]
