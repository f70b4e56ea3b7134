"""What belongs to every area: Undo, and the short addresses printed on papers."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_POST, require_safe

from inventory.answers import do, refuse
from inventory.errors import StudioError
from inventory.roles import for_everyone, is_owner
from production.queries.moulds import copy_row
from shopfloor.middleware import came_from
from shopfloor.studio.undo import undoing_of


@for_everyone
@require_POST
def undo(request: HttpRequest, act_id: int) -> HttpResponse:
    """Take an act back and show the page it was pressed on."""
    try:
        offer = request.studio.offer_pieces  # type: ignore[attr-defined]
        do(request, undoing_of(act_id, by_owner=is_owner(request.user)), act_id=act_id, offer_pieces=offer)
    except StudioError as fault:
        refuse(request, fault)
    return redirect(came_from(request))


@for_everyone
@require_safe
def piece(request: HttpRequest, mark: str) -> HttpResponse:
    """/p/T3VY on a care card: where the piece came from."""
    return redirect(f"{reverse('trace')}?{urlencode({'code': mark})}")


@for_everyone
@require_safe
def tub(request: HttpRequest, code: str) -> HttpResponse:
    """/t/Q2 on a tub."""
    return redirect("inventory:tub", code)


@for_everyone
@require_safe
def mould_copy(request: HttpRequest, copy_id: int) -> HttpResponse:
    """/m/7 on a mould."""
    try:
        return redirect("production:mould", copy_row(copy_id).mould_id)
    except StudioError as fault:
        refuse(request, fault)
        return redirect("production:moulds")


@for_everyone
@require_safe
def order(request: HttpRequest, number: str) -> HttpResponse:
    """/o/1041 on a packing slip."""
    return redirect("orders:order", number)
