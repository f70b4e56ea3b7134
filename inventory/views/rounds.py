"""A round of counting: the list, one tub, the differences, and the sheet to print."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from inventory.answers import do, new_request_key, refuse, refuse_field
from inventory.errors import ReadBefore, RoundEnded, StudioError
from inventory.forms.moving import CountForm
from inventory.operations.rounds import begin_round, lay_round_down, post_round, read_tub
from inventory.papers.count_sheet import sheet_of
from inventory.queries.containers import tub_page
from inventory.queries.rounds import RoundPage, open_round, round_page
from inventory.roles import for_everyone, is_owner
from inventory.views.showing import show_form


@require_GET
@for_everyone
def show_round(request: HttpRequest) -> HttpResponse:
    """Every tub by place, those that were read with what was read."""
    return render(request, "inventory/round.html", {"page": _page()})


@require_POST
@for_everyone
def begin(request: HttpRequest) -> HttpResponse:
    """Begin a round, or join the one under way."""
    try:
        do(request, begin_round)
    except StudioError as fault:
        refuse(request, fault)
    return redirect("inventory:round")


@require_http_methods(["GET", "POST"])
@for_everyone
def read_page(request: HttpRequest, code: str) -> HttpResponse:
    """Type what the scale shows of one tub, then on to the next."""
    try:
        found = tub_page(code, now=request.studio.now())
    except StudioError as fault:
        refuse(request, fault)
        return redirect("inventory:round")
    page = _page()
    line = next((tub for tub in page.tubs if tub.code == found.code), None)
    if page.round_id is None or line is None:
        refuse(request, RoundEnded("No round is under way, or this tub is not in it. Begin a round."))
        return redirect("inventory:round")
    form = CountForm(request.POST or None, tub=found)
    if request.method == "POST" and form.is_valid():
        earlier = request.POST.get("instead_of", "")
        try:
            do(
                request,
                read_tub,
                round_id=page.round_id,
                container_id=found.container_id,
                instead_of=int(earlier) if earlier.isdecimal() and len(earlier) < 19 else None,
                **form.content(),
            )
            return _next(_page())
        except (ReadBefore, RoundEnded) as fault:
            refuse(request, fault)
            return redirect("inventory:round")
        except StudioError as fault:
            refuse_field(form, fault)
    return show_form(request, "inventory/round_read.html", form, tub=found, line=line, page=page)


@require_GET
@for_everyone
def differences(request: HttpRequest) -> HttpResponse:
    """What differs and what it is worth, before any of it is posted."""
    page = _page()
    if page.round_id is None:
        return redirect("inventory:round")
    context = {"page": page, "request_key": new_request_key(), "is_owner": is_owner(request.user)}
    return render(request, "inventory/round_differences.html", context)


@require_POST
@for_everyone
def post_page(request: HttpRequest) -> HttpResponse:
    """Post every difference together."""
    try:
        do(request, post_round, round_id=_asked(request), shown=request.POST.get("shown", ""))
    except RoundEnded as fault:
        refuse(request, fault)
        return redirect("inventory:round")
    except StudioError as fault:
        refuse(request, fault)
        return redirect("inventory:round-differences")
    return redirect("inventory:round")


@require_POST
@for_everyone
def lay_down(request: HttpRequest) -> HttpResponse:
    """End the round without posting."""
    try:
        do(request, lay_round_down, round_id=_asked(request))
    except StudioError as fault:
        refuse(request, fault)
    return redirect("inventory:round")


@require_GET
@for_everyone
def sheet(request: HttpRequest) -> HttpResponse:
    """The list to print and fill in by hand."""
    studio = request.studio
    context = sheet_of(_page(), facts=studio.facts, printed_at=studio.local(studio.now()))
    return studio.paper(request, "inventory/papers/count_sheet.html", context, "count sheet.pdf")


def _page() -> RoundPage:
    return round_page(open_round())


def _asked(request: HttpRequest) -> int:
    asked = request.POST.get("round", "")
    return int(asked) if asked.isdecimal() and len(asked) < 19 else 0


def _next(page: RoundPage) -> HttpResponse:
    if page.next_code:
        return redirect("inventory:round-read", page.next_code)
    return redirect("inventory:round-differences")
