"""Signing in and out: by password, or by a one-time link and then choosing a password."""

from __future__ import annotations

from typing import Any

from django.contrib.auth import authenticate, login, logout, update_session_auth_hash
from django.contrib.auth.forms import AuthenticationForm, SetPasswordForm
from django.contrib.auth.views import LoginView
from django.core.exceptions import ValidationError
from django.forms import CharField, PasswordInput
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from inventory.roles import for_everyone
from shopfloor.studio.bench_tablet import mark_session, tablet_of
from shopfloor.studio.errors import LinkSpent
from shopfloor.studio.operations.signing_in import use_link
from shopfloor.studio.session_rules import is_proved, note_proof
from shopfloor.studio.visitors import for_visitors
from shopfloor.studio.visits import note_visit

# On a session that a link began: the password may be chosen anew without the old one.
BY_LINK = "by_link"
PASSWORD_BACKEND = "django.contrib.auth.backends.ModelBackend"


class NameAndPassword(AuthenticationForm):
    """The sign-in form in the studio's own words."""

    error_messages = {
        **AuthenticationForm.error_messages,
        "invalid_login": "That name and password do not belong together. Both mind capitals.",
    }


class NewPassword(SetPasswordForm):
    """A password typed twice, asked for in the studio's own words."""

    error_messages = {
        **SetPasswordForm.error_messages,
        "password_mismatch": "The two are not the same. Type both again.",
    }
    field_order = ("old_password", "new_password1", "new_password2")
    old_password = CharField(
        label="The password until now",
        strip=False,
        widget=PasswordInput(attrs={"autocomplete": "current-password"}),
    )

    def __init__(self, request: HttpRequest, *args: Any, wants_old: bool, **options: Any) -> None:
        super().__init__(request.user, *args, **options)
        self.request = request
        if not wants_old:
            del self.fields["old_password"]
        self.fields["new_password2"].label = "The same again"
        self.fields["new_password2"].help_text = ""

    def clean_old_password(self) -> str:
        """The password until now, counted as a try to sign in where it is wrong."""
        typed: str = self.cleaned_data["old_password"]
        if authenticate(self.request, username=self.user.get_username(), password=typed) != self.user:
            raise ValidationError("That is not your password. It minds capitals.")
        return typed


class SignIn(LoginView):
    """Name and password, and a note of when and with what."""

    authentication_form = NameAndPassword
    redirect_authenticated_user = True

    def form_valid(self, form: AuthenticationForm) -> HttpResponse:
        """Let them in."""
        answer = super().form_valid(form)
        _note(self.request)
        return answer


def _note(request: HttpRequest) -> None:
    """Note a fresh sign-in by password or link: when, with what, and whether at the bench tablet."""
    now = request.studio.now()  # type: ignore[attr-defined]
    note_visit(request, now=now)
    note_proof(request, now=now)
    tablet_id = tablet_of(request)
    if tablet_id is not None:
        mark_session(request, tablet_id, came_by_pin=False)


@for_visitors
def sign_in(request: HttpRequest) -> HttpResponse:
    """Name and password; locked for a while after too many wrong ones. A bench tablet asks who it is."""
    if request.method == "GET" and "full" not in request.GET and tablet_of(request) is not None:
        goes_to = urlencode({"next": request.GET.get("next", "")})
        return redirect(f"{reverse('bench-tablet')}?{goes_to}")
    return SignIn.as_view()(request)


@for_visitors
@never_cache
@require_http_methods(["GET", "POST"])
def sign_in_by_link(request: HttpRequest, secret: str) -> HttpResponse:
    """Ask for a tap first: what only looks at the address, such as a message preview, does not use it up."""
    if request.method != "POST":
        return render(request, "studio/sign_in_link.html")
    try:
        person = use_link(secret, now=request.studio.now())  # type: ignore[attr-defined]
    except LinkSpent as fault:
        return render(request, "studio/sign_in_link.html", {"fault": fault.message}, status=422)
    login(request, person, backend=PASSWORD_BACKEND)
    _note(request)
    request.session[BY_LINK] = True
    return redirect("home" if person.has_usable_password() else "choose-password")


@for_everyone
@never_cache
@sensitive_post_parameters()
@require_http_methods(["GET", "POST"])
def choose_password(request: HttpRequest) -> HttpResponse:
    """A first password after a link, or a new one."""
    now = request.studio.now()  # type: ignore[attr-defined]
    # A link stands for a password that was forgotten or seen; otherwise the old one is asked for.
    by_link = request.session.get(BY_LINK) and is_proved(request, now=now)
    wants_old = request.user.has_usable_password() and not by_link
    form = NewPassword(request, request.POST or None, wants_old=wants_old)
    if form.is_valid():
        request.session.pop(BY_LINK, None)
        update_session_auth_hash(request, form.save())
        request.session["said"] = {"text": f"Password kept. You sign in as {request.user.get_username()}."}
        return redirect("home")
    status = 422 if form.is_bound else 200
    person = request.user.get_username()
    return render(request, "registration/set_password.html", {"form": form, "person": person}, status=status)


@for_everyone
@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    """End this device's sign-in."""
    logout(request)
    return redirect("sign-in")
