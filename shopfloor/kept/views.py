"""The service worker that sends kept taps, and who is signed in."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.shortcuts import render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from shopfloor.kept.middleware import person_of
from shopfloor.studio.visitors import for_visitors


@for_visitors
@never_cache
@require_safe
def who(request: HttpRequest) -> HttpResponse:
    """Who is signed in, with the token that a tap kept from another session has to be sent with."""
    person = person_of(request)
    return JsonResponse({"person": person, "csrf": get_token(request) if person else ""})


@for_visitors
@never_cache
@require_safe
def worker(request: HttpRequest) -> HttpResponse:
    """The script; at the root, so that it may answer for every page."""
    return render(request, "kept/worker.js", content_type="text/javascript; charset=utf-8")
