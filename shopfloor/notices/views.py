"""The notices: all on one page, those of any page again without opening it anew, and those by e-mail."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.cache import patch_cache_control
from django.utils.http import parse_etags
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inventory.answers import do, new_request_key, refuse, refuse_field
from inventory.errors import StudioError
from inventory.roles import for_everyone, is_owner
from shopfloor.notices.forms import MailForm
from shopfloor.notices.mail_queries import letters_failing, letters_of, mail_wish
from shopfloor.notices.mail_wishes import (
    address_to_end,
    ask_to_confirm,
    confirm,
    end_mail,
    keep_mail,
    send_again,
)
from shopfloor.notices.queries import ALL, Noted, closed_notices, noted_on
from shopfloor.studio.visitors import for_visitors


@for_everyone
@require_safe
def notices(request: HttpRequest) -> HttpResponse:
    """Everything worth knowing now, and what was lately."""
    shown = {"noted": noted_on(ALL), "closed_lately": closed_notices()}
    return render(request, "notices/notices.html", shown)


@for_visitors
@require_safe
def now(request: HttpRequest) -> HttpResponse:
    """The notices of an area as they are now: 304 while they are what the page shows already.

    To somebody who was signed out meanwhile it says nothing, so that no sign-in form lands in their page.
    """
    if not request.user.is_authenticated:
        return HttpResponse(status=204)
    noted = noted_on(request.GET.get("area", ""))
    if noted.mark in parse_etags(request.headers.get("If-None-Match", "")):
        answer = HttpResponse(status=304)
    else:
        shown = {"noted": noted, "new": _new(noted, request.GET.get("seen", "")), "is_again": True}
        answer = render(request, "components/notices.html", shown)
    answer.headers["ETag"] = noted.mark
    patch_cache_control(answer, private=True, no_cache=True)
    return answer


def _new(noted: Noted, seen: str) -> list[str]:
    newest_seen = int(seen) if seen.isdecimal() and len(seen) < 18 else noted.newest
    return [notice.text for notice in noted.here if notice.pk > newest_seen]


@for_everyone
@require_http_methods(["GET", "POST"])
def mail(request: HttpRequest) -> HttpResponse:
    """What somebody wants by e-mail: their own, whoever they are."""
    if request.method != "POST":
        return _mail_page(request)
    form = MailForm(request.POST, is_owner=is_owner(request.user))
    if form.is_valid():
        try:
            do(request, keep_mail, user_id=request.user.pk, values=form.cleaned_data)
            return redirect("mail")
        except StudioError as fault:
            refuse_field(form, fault)
    return _mail_page(request, form=form, status=422)


@for_everyone
@require_POST
def mail_link(request: HttpRequest) -> HttpResponse:
    """Another link to confirm the address by."""
    return _mail_tap(request, ask_to_confirm)


@for_everyone
@require_POST
def mail_again(request: HttpRequest, letter_id: int) -> HttpResponse:
    """Send a letter again that did not get through."""
    return _mail_tap(request, send_again, letter_id=letter_id)


@for_visitors
@never_cache
@require_http_methods(["GET", "POST"])
def mail_confirm(request: HttpRequest, token: str) -> HttpResponse:
    """Ask for a tap first: what only looks at the address, such as a preview, does not use it up."""
    if request.method != "POST":
        return render(request, "notices/confirm.html")
    try:
        address = confirm(token, now=request.studio.now())  # type: ignore[attr-defined]
    except StudioError as fault:
        return render(request, "notices/confirm.html", {"fault": fault.message}, status=422)
    return render(request, "notices/confirm.html", {"address": address})


@csrf_exempt
@for_visitors
@never_cache
@require_http_methods(["GET", "POST"])
def mail_end(request: HttpRequest, token: str) -> HttpResponse:
    """End the e-mails to an address by the link in them: after a tap, or by the mail program's own button.

    The token is all it takes, and all it gives: the button sends no cookie and no sign of a form. Source:
    RFC 8058, section 3.2.
    """
    is_tap = request.method == "POST"
    try:
        shown = {"address": end_mail(token) if is_tap else address_to_end(token), "is_ended": is_tap}
    except StudioError as fault:
        return render(request, "notices/end.html", {"fault": fault.message}, status=422)
    return render(request, "notices/end.html", shown)


def _mail_tap(request: HttpRequest, operation: Any, **content: Any) -> HttpResponse:
    try:
        do(request, operation, user_id=request.user.pk, **content)
    except StudioError as fault:
        refuse(request, fault)
    return redirect("mail")


def _mail_page(request: HttpRequest, *, form: MailForm | None = None, status: int = 200) -> HttpResponse:
    person_id = int(request.user.pk or 0)
    wish, failing = mail_wish(person_id), list(letters_failing())
    initial = {name: getattr(wish, name) for name in MailForm.base_fields}
    shown = {
        "area": "studio",
        "wish": wish,
        "letters": letters_of(person_id),
        "failing": [one for one in failing if is_owner(request.user) or one.person_id == person_id],
        "is_mine_failing": any(one.person_id == person_id for one in failing),
        "form": form or MailForm(initial=initial, is_owner=is_owner(request.user)),
        "request_key": request.POST.get("request_key") or new_request_key(),
        "mail_is_set": settings.EMAIL_IS_SET,
        "sent_from": settings.DEFAULT_FROM_EMAIL,
        "is_owner": is_owner(request.user),
    }
    return render(request, "notices/mail.html", shown, status=status)
