"""Taps sent by script: answered in plain JSON, those kept on the device meanwhile by their age.

A page sends an act with the headers `Tap-Age` (seconds since it was pressed) and `Tap-For` (whose page it was
on). The answer says where to go on, or what was refused. With `Tap-Late` nobody is looking at a page: the
sentence comes with the answer instead of standing on the next one.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.utils.crypto import salted_hmac

OLDEST = timedelta(days=7)
LIVE_SECONDS = 5.0
NOT_KEPT = "It was not kept. Open the page again and look."


def person_of(request: HttpRequest) -> str:
    """A name for whoever is signed in that tells nothing of them; "" for nobody."""
    user = getattr(request, "user", None)
    if user is None or not user.is_authenticated:
        return ""
    return salted_hmac("shopfloor.kept.person", str(user.pk)).hexdigest()[:20]


class KeptTapsMiddleware:
    """Answers taps sent by script; marks pages with whose they are."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        age = request.headers.get("Tap-Age")
        if age is None or request.method != "POST":
            response = self.get_response(request)
            if response.headers.get("Content-Type", "").startswith("text/html"):
                response.headers["Studio-Person"] = person_of(request)
            return response
        person = person_of(request)
        if not person:
            return JsonResponse({"said": "Sign in first."}, status=401)
        if request.headers.get("Tap-For") != person:
            return JsonResponse({"said": "This tap is of somebody else. It stays kept."}, status=409)
        try:
            gone = timedelta(seconds=float(age))
        except (ValueError, OverflowError):
            gone = OLDEST * 2
        if not timedelta() <= gone <= OLDEST:
            return JsonResponse(
                {"said": "This tap is too old. Enter it by hand.", "refused": True}, status=400
            )
        if gone.total_seconds() > LIVE_SECONDS:
            now = request.studio.now()  # type: ignore[attr-defined]
            request.tapped_at = now - gone  # type: ignore[attr-defined]
        return self._answer(request, self.get_response(request))

    def _answer(self, request: HttpRequest, response: HttpResponse) -> HttpResponse:
        is_late = "Tap-Late" in request.headers
        is_redirect = 300 <= response.status_code < 400
        if not is_late:
            return JsonResponse({"to": response.headers["Location"]}) if is_redirect else response
        if response.status_code == 403 or response.status_code >= 500:
            return response
        said = request.session.pop("said", None) or {}
        refusal = getattr(request, "refusal", "") or (said.get("text", "") if said.get("refused") else "")
        if refusal or response.status_code >= 400:
            return JsonResponse({"said": refusal or NOT_KEPT, "refused": True}, status=422)
        return JsonResponse({"said": said.get("text", ""), "refused": False})
