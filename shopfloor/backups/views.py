"""Asking for a copy from the Studio page."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from inventory.answers import do
from inventory.roles import owner_only
from shopfloor.backups.operations import ask_for_copy


@owner_only
@require_POST
def copy_ask(request: HttpRequest) -> HttpResponse:
    """Keep a copy now, in the background; a second tap meanwhile asks for the same one."""
    do(request, ask_for_copy)
    return redirect("studio")
