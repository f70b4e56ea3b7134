"""How a page with a form is shown: with its request key, and with status 422 when it was refused."""

from __future__ import annotations

from typing import Any

from django.forms import BaseForm
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from inventory.answers import new_request_key


def show_form(
    request: HttpRequest, template: str, form: BaseForm, *, is_shown: bool = False, **context: Any
) -> HttpResponse:
    """The page with the form as typed; a refused one keeps its request key.

    With `is_shown` nothing was refused: what would be done is shown before it is kept.
    """
    key = request.POST.get("request_key") or new_request_key()
    refused = form.is_bound and request.method == "POST" and not is_shown
    return render(
        request, template, {"form": form, "request_key": key, **context}, status=422 if refused else 200
    )
