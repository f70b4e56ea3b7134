"""Puts the studio on the request."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

from shopfloor.studio.port import LiveStudio


class StudioMiddleware:
    """`request.studio` for every view (see `inventory.ports.Studio`)."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        request.studio = LiveStudio()  # type: ignore[attr-defined]
        return self.get_response(request)
