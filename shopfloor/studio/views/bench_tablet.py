"""The bench tablet: one browser for all hands, on which people change by a tap and a PIN."""

from __future__ import annotations

from django.contrib.auth import login, logout
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from inventory.answers import refuse
from inventory.errors import StudioError
from inventory.roles import after_proof, for_everyone, owner_only
from shopfloor.studio.bench_tablet import at_the_bench, leave_mark, mark_session, tablet_of
from shopfloor.studio.errors import PinRefused
from shopfloor.studio.operations.bench_tablet import (
    end_tablet,
    forget_pin,
    keep_pin,
    mark_tablet,
    person_by_pin,
)
from shopfloor.studio.views.signing_in import PASSWORD_BACKEND
from shopfloor.studio.visitors import for_visitors
from shopfloor.studio.visits import device_of, note_visit
from shopfloor.studio.ways_in import noted


@after_proof
@owner_only
@require_POST
def tablet_mark(request: HttpRequest) -> HttpResponse:
    """Make this browser a bench tablet. Whoever did it is signed out, so that nobody acts in their name."""
    device = device_of(request.headers.get("User-Agent", ""))
    secret = mark_tablet(device=device, now=request.studio.now())  # type: ignore[attr-defined]
    noted(request, f"Made {device} the bench tablet.")
    logout(request)
    answer = redirect("bench-tablet")
    leave_mark(answer, secret)
    return answer


@after_proof
@owner_only
@require_POST
def tablet_end(request: HttpRequest, tablet_id: int) -> HttpResponse:
    """A browser is a bench tablet no more."""
    if end_tablet(tablet_id):
        noted(request, "Ended a bench tablet.")
        request.session["said"] = {"text": "It is no bench tablet any more.", "act_id": None}
    else:
        refuse(request, StudioError("That is no bench tablet any more."))
    return redirect("studio")


@for_visitors
@never_cache
@sensitive_post_parameters("pin")
@require_http_methods(["GET", "POST"])
def bench_tablet(request: HttpRequest) -> HttpResponse:
    """Who is at the bench: a name, then a PIN."""
    tablet_id = tablet_of(request)
    if tablet_id is None:
        return redirect("sign-in")
    people = at_the_bench()
    asked = request.POST.get("person", "") or request.GET.get("person", "")
    chosen = next((one for one in people if str(one.user_id) == asked), None)
    goes_to = _ours(request, request.POST.get("next", "") or request.GET.get("next", ""))
    fault = ""
    if request.method == "POST" and chosen is not None:
        now = request.studio.now()  # type: ignore[attr-defined]
        try:
            person = person_by_pin(chosen.user_id, request.POST.get("pin", ""), now=now)
        except PinRefused as refused:
            fault = refused.message
        else:
            # What the one before left in the session is not the next one's.
            logout(request)
            login(request, person, backend=PASSWORD_BACKEND)
            note_visit(request, now=now)
            mark_session(request, tablet_id, came_by_pin=True)
            return redirect(goes_to or "production:bench")
    context = {"people": people, "chosen": chosen, "fault": fault, "next": goes_to}
    return render(request, "studio/bench_tablet.html", context, status=422 if fault else 200)


@for_everyone
@require_POST
def person_change(request: HttpRequest) -> HttpResponse:
    """Let the next person at the bench tablet."""
    logout(request)
    return redirect("bench-tablet")


@after_proof
@for_everyone
@never_cache
@sensitive_post_parameters("pin")
@require_POST
def pin_keep(request: HttpRequest) -> HttpResponse:
    """Keep one's own PIN; an empty one takes it out."""
    pin = request.POST.get("pin", "").strip()
    user_id = int(request.user.pk)
    if not pin:
        forget_pin(user_id)
        noted(request, "Took out their PIN at the bench tablet.")
        request.session["said"] = {"text": "You have no PIN for the bench tablet any more.", "act_id": None}
        return redirect("studio")
    try:
        keep_pin(user_id, pin)
        noted(request, "Set their PIN at the bench tablet.")
        request.session["said"] = {
            "text": "PIN kept. At the bench tablet, tap your name and type it.",
            "act_id": None,
        }
    except PinRefused as fault:
        refuse(request, fault)
    return redirect("studio")


def _ours(request: HttpRequest, address: str) -> str:
    """An address to go on to, if it is one of ours."""
    ours = url_has_allowed_host_and_scheme(
        address, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    return address if ours else ""
