"""Programs that may ask over HTTP: let in with a token that is shown once, and ended."""

from __future__ import annotations

import secrets

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from inventory.answers import do, new_request_key, refuse, refuse_field
from inventory.errors import StudioError
from inventory.roles import after_proof, owner_only
from orders.forms import ClientForm
from orders.operations.clients import end_client, let_client_in, token_digest
from orders.queries.clients import api_clients

TOKEN_BYTES = 32


@after_proof
@owner_only
@never_cache
@require_http_methods(["GET", "POST"])
def programs(request: HttpRequest) -> HttpResponse:
    """The programs that were let in, and letting another in."""
    form = ClientForm(request.POST or None)
    token = ""
    if request.method == "POST" and form.is_valid():
        made = secrets.token_urlsafe(TOKEN_BYTES)
        try:
            do(request, let_client_in, **form.cleaned_data, digest=token_digest(made))
            # Said on this page itself: nothing else of it is kept, so it cannot be shown on the next one.
            request.session.pop("said", None)
            form, token = ClientForm(), made
        except StudioError as fault:
            refuse_field(form, fault)
    context = {
        "form": form,
        "token": token,
        "clients": api_clients(),
        "document": request.build_absolute_uri("/api/openapi.json"),
        "request_key": new_request_key() if token else request.POST.get("request_key") or new_request_key(),
    }
    return render(request, "orders/programs.html", context, status=422 if form.errors else 200)


@after_proof
@owner_only
@require_POST
def end(request: HttpRequest, client_id: int) -> HttpResponse:
    """End a program's token."""
    try:
        do(request, end_client, client_id=client_id)
    except StudioError as fault:
        refuse(request, fault)
    return redirect("orders:programs")
