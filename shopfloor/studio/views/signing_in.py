"""Signing in and out: by password, or by a one-time link and then choosing a password."""

from __future__ import annotations

from typing import Any

from django.contrib.auth import login, logout, update_session_auth_hash
from django.contrib.auth.forms import AuthenticationForm, SetPasswordForm
from django.contrib.auth.views import LoginView
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from inventory.roles import for_everyone
from shopfloor.studio.errors import LinkSpent
from shopfloor.studio.operations.signing_in import use_link
from shopfloor.studio.visitors import for_visitors
from shopfloor.studio.visits import note_visit

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

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["new_password2"].label = "The same again"
        self.fields["new_password2"].help_text = ""


class SignIn(LoginView):
    """Name and password, and a note of when and with what."""

    authentication_form = NameAndPassword
    redirect_authenticated_user = True

    def form_valid(self, form: AuthenticationForm) -> HttpResponse:
        """Let them in."""
        answer = super().form_valid(form)
        note_visit(self.request, now=self.request.studio.now())  # type: ignore[attr-defined]
        return answer


@for_visitors
def sign_in(request: HttpRequest) -> HttpResponse:
    """Name and password; locked for a while after too many wrong ones."""
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
    note_visit(request, now=request.studio.now())  # type: ignore[attr-defined]
    return redirect("home" if person.has_usable_password() else "choose-password")


@for_everyone
@never_cache
@sensitive_post_parameters()
@require_http_methods(["GET", "POST"])
def choose_password(request: HttpRequest) -> HttpResponse:
    """A first password after a link, or a new one."""
    form = NewPassword(request.user, request.POST or None)
    if form.is_valid():
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
