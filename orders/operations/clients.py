"""Programs let in over HTTP: let in, ended, recognised, and answered once per key."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.db import IntegrityError, transaction
from django.db.models import Q

from inventory.errors import RequestKeyReused, StudioError
from inventory.operations.acts import Done, Tap, act
from orders.models import ApiAnswer, ApiClient

SCOPES = {
    "orders:read": "read orders, the range and what can be promised",
    "orders:write": "keep, change and call off orders",
    "stores:read": "read what is in the stores",
}
ANSWERS_KEPT = timedelta(days=30)
_USED_TO = timedelta(minutes=1)


@dataclass(frozen=True)
class Client:
    """A program that was recognised by its token."""

    id: int
    name: str
    scopes: frozenset[str]


@dataclass(frozen=True)
class Answer:
    """What a program is answered: HTTP's number for it, and the content."""

    code: int
    body: dict[str, Any]


def token_digest(token: str) -> str:
    """What is kept of a token, and looked up."""
    return hashlib.sha256(token.encode()).hexdigest()


@act("orders.let_client_in")
def let_client_in(tap: Tap, *, name: str, scopes: Sequence[str], digest: str) -> Done:
    """Let a program in under a name; `digest` is all that is kept of its token.

    Changes: orders_apiclient.
    Raises: StudioError when an open program has the name, or it may do nothing.
    """
    if ApiClient.objects.filter(name__iexact=name, ended_at__isnull=True).exists():
        raise StudioError(f"{name} is let in already. End it first, or choose another name.", field="name")
    if not scopes or not set(scopes) <= SCOPES.keys():
        raise StudioError("Say what it may do.", field="scopes")
    made = ApiClient.objects.create(
        name=name, token_digest=digest, scopes=sorted(scopes), made_at=tap.now, made_by_id=tap.by
    )
    return Done(f"{name} is let in.", {"client_id": made.pk})


@act("orders.end_client")
def end_client(tap: Tap, *, client_id: int) -> Done:
    """End a program's token at once; what it kept stays.

    Changes: orders_apiclient.
    Raises: StudioError when it is not there or ended before.
    """
    here = ApiClient.objects.select_for_update().filter(pk=client_id, ended_at__isnull=True).first()
    if here is None:
        raise StudioError("This one is ended already. Nothing was changed.", client_id=client_id)
    ApiClient.objects.filter(pk=client_id).update(ended_at=tap.now)
    return Done(f"{here.name} is ended. Its token opens nothing any more.")


def client_of(token: str, *, now: datetime) -> Client | None:
    """The program with this token, None when there is none or it was ended. Notes when it was used.

    One query, two at most once a minute.
    """
    found = ApiClient.objects.filter(token_digest=token_digest(token), ended_at__isnull=True).first()
    if found is None:
        return None
    stale = Q(used_at__isnull=True) | Q(used_at__lt=now - _USED_TO)
    if found.used_at is None or found.used_at < now - _USED_TO:
        ApiClient.objects.filter(stale, pk=found.pk).update(used_at=now)
    return Client(found.pk, found.name, frozenset(found.scopes))


def answer_once(
    work: Callable[[], Answer], *, client_id: int, key: str, digest: str, now: datetime
) -> tuple[Answer, bool]:
    """Do `work` once for a key of a program; answers what was answered, and whether it was before.

    The answer is kept in the transaction of the work. A refusal keeps nothing, so that the key can be used
    again with mended content. Answers are forgotten after thirty days.

    Changes: orders_apianswer, and what the work changes.
    Raises: RequestKeyReused when the key was used with other content; whatever the work refuses with.
    Source: J. Jena and S. Dalal, The Idempotency-Key HTTP Header Field, IETF draft, section 2.
    """
    before = _answered(client_id, key, digest)
    if before:
        return before, True
    ApiAnswer.objects.filter(made_at__lt=now - ANSWERS_KEPT).delete()
    try:
        with transaction.atomic():
            # First, so that the same request at the same moment waits here, and then finds it answered.
            kept = _new_answer(client_id, key, digest, now)
            answer = work()
            ApiAnswer.objects.filter(pk=kept.pk).update(code=answer.code, body=answer.body)
    except _SameMoment:
        before = _answered(client_id, key, digest)
        if before is None:
            raise StudioError("The same request is being answered. Ask again in a moment.") from None
        return before, True
    return answer, False


class _SameMoment(Exception):
    """Another request has the key."""


def _new_answer(client_id: int, key: str, digest: str, now: datetime) -> ApiAnswer:
    try:
        with transaction.atomic():
            return ApiAnswer.objects.create(client_id=client_id, key=key, request_digest=digest, made_at=now)
    except IntegrityError:
        raise _SameMoment from None


def _answered(client_id: int, key: str, digest: str) -> Answer | None:
    first = ApiAnswer.objects.filter(client=client_id, key=key, code__gt=0).first()
    if first is None:
        return None
    if first.request_digest != digest:
        raise RequestKeyReused("This key was used with another request. Take a new key.", key=key)
    return Answer(first.code, first.body)
