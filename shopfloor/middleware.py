"""What every answer carries, what no request may carry, and the studio on the request."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from urllib.parse import urlsplit

from django.contrib.sessions.exceptions import SessionInterrupted
from django.contrib.sessions.middleware import SessionMiddleware
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBadRequest, HttpResponseNotAllowed
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme

from inventory.answers import refuse
from inventory.errors import StudioError
from shopfloor.faults import SessionNotKept, trouble_of
from shopfloor.studio.port import LiveStudio

# A browser offers none of these to a page that does not ask, nor to what it may be tricked into showing.
NOT_USED = ("microphone", "geolocation", "payment", "usb", "serial", "display-capture")
# Codes are read by the camera while a box is packed or a delivery comes.
PERMISSIONS = ", ".join(["camera=(self)", *(f"{name}=()" for name in NOT_USED)])
# Names, addresses, prices: no browser keeps them. Bench and Shelf it does, to open without a connection.
NOT_KEPT = ("/orders/", "/trace/", "/studio/", "/range/", "/notices/", "/api/")


LARGEST_KEY = 2**63 - 1


class HeadersMiddleware:
    """Headers that keep strangers' pages away from the studio's, on every answer, static files too."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        response.headers.setdefault("Cross-Origin-Resource-Policy", "same-origin")
        response.headers.setdefault("Permissions-Policy", PERMISSIONS)
        if request.path.startswith(NOT_KEPT):
            response.headers.setdefault("Cache-Control", "no-store")
        return response


class SessionsMiddleware(SessionMiddleware):
    """The framework's, but a database that fails is no session that was ended.

    It answers both with a 400, and a phone takes that for a refusal of a tap that was kept.
    """

    def process_response(self, request: HttpRequest, response: HttpResponse) -> HttpResponse:
        """Keep the session. Raises: SessionNotKept; SessionInterrupted."""
        try:
            return super().process_response(request, response)
        except SessionInterrupted as fault:
            if trouble_of(fault) is None:
                raise
            raise SessionNotKept from fault


class StudioMiddleware:
    """`request.studio` for every view (see `inventory.ports.Studio`)."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        request.studio = LiveStudio()  # type: ignore[attr-defined]
        if request.method == "TRACE":
            return HttpResponseNotAllowed(["GET", "POST"])
        if has_nul(request):
            return HttpResponseBadRequest(
                "There is a sign in this that no text has.", content_type="text/plain"
            )
        return self.get_response(request)

    def process_view(self, request: HttpRequest, view: Any, arguments: Any, named: dict[str, Any]) -> None:
        """A number that no row can have is an address that is not there."""
        if any(isinstance(value, int) and value > LARGEST_KEY for value in named.values()):
            raise Http404("There is nothing of that number.")

    def process_exception(self, request: HttpRequest, fault: Exception) -> HttpResponse | None:
        """A refusal that no page caught itself is said on the page the tap came from."""
        if not isinstance(fault, StudioError):
            return None
        refuse(request, fault)
        return redirect(came_from(request))


def came_from(request: HttpRequest) -> str:
    """The page of the tap, if it is one of ours and another one than this."""
    address = request.headers.get("referer", "")
    ours = url_has_allowed_host_and_scheme(
        address, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    is_this = request.method == "GET" and urlsplit(address).path == request.path
    return address if ours and not is_this else reverse("home")


def has_nul(request: HttpRequest) -> bool:
    """Whether the sign NUL is in what was asked or typed: no keyboard has it, and PostgreSQL keeps none."""
    if "\0" in request.path or "%00" in request.META.get("QUERY_STRING", ""):
        return True
    return any("\0" in value for values in request.POST.lists() for value in values[1])
