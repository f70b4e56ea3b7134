"""How a view answers an act: the request key from the form, the said line, the refusal in plain words.

Shared by the views of every app, so that a second tap, a stale page and a refusal read the same everywhere.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from uuid import UUID, uuid4

from django.forms import Form, ModelForm
from django.http import HttpRequest

from inventory.errors import StudioError
from inventory.operations.acts import Done


def new_request_key() -> str:
    """A key to put into a form when it is shown."""
    return str(uuid4())


def request_key_of(request: HttpRequest) -> UUID:
    """The key the form was shown with.

    Raises: StudioError when the page sent none.
    """
    try:
        return UUID(request.POST.get("request_key", ""))
    except ValueError:
        raise StudioError("This page is too old to answer. Open it again and repeat the tap.") from None


def do(request: HttpRequest, operation: Callable[..., Done], **content: Any) -> Done:
    """Run one operation for this request and put what it says on the said line of the next page.

    A tap that the device kept while it had no connection happened when it was made (`request.tapped_at`).

    Raises: StudioError, as the operation refuses; its sentence is left on `request.refusal` as well.
    """
    tapped_at = getattr(request, "tapped_at", None)
    if tapped_at is not None:
        content.setdefault("happened_at", tapped_at)
    try:
        done = operation(
            request_key=request_key_of(request),
            now=request.studio.now(),  # type: ignore[attr-defined]
            by=request.user.pk,
            **content,
        )
    except StudioError as fault:
        request.refusal = fault.message  # type: ignore[attr-defined]
        raise
    request.studio.after_act(operation.act_name)  # type: ignore[attr-defined]
    request.session["said"] = {"text": done.said, "act_id": done.act_id}
    return done


def save_form(request: HttpRequest, form: ModelForm, said: str) -> Any:
    """Save a descriptive record without history (a supplier's name, a tub's place) and say so.

    The one way to save such a form: what moves amounts is an operation instead.
    """
    saved = form.save()
    request.studio.after_act("inventory.save_form")  # type: ignore[attr-defined]
    request.session["said"] = {"text": said, "act_id": None}
    return saved


def refuse(request: HttpRequest, fault: StudioError) -> None:
    """Put a refusal on the said line of the next page, for acts that are a single tap."""
    request.session["said"] = {"text": fault.message, "act_id": None, "refused": True}


def refuse_field(form: Form, fault: StudioError, field: str | None = None) -> None:
    """Put a refusal beside its field (`fault.facts['field']` unless named), typed values kept."""
    named = field or fault.facts.get("field")
    form.add_error(named if named in form.fields else None, fault.message)
