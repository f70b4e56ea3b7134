"""How every act is done: once, in one transaction, with a line in the history.

An operation is a function of a `Tap` and keywords of its own, decorated with `@act("app.name")`. Callers
give `request_key`, `now`, `by` and `happened_at` beside those keywords; the decorator makes the tap of them.
The same key with the same content answers as the first time, the same key with other content is refused, and
a refused act leaves the key unused. Functions that are parts of an act are handed its tap.
"""

from __future__ import annotations

import functools
import hashlib
import json
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import IntegrityError, OperationalError, models, transaction

from inventory.errors import NothingToUndo, RequestKeyReused, StudioBusy, StudioError
from inventory.models import Act

# Source: PostgreSQL's table of error codes.
_LOCK_NOT_AVAILABLE, _DEADLOCK = "55P03", "40P01"


@dataclass(frozen=True)
class Tap:
    """One tap of somebody: its key, who (a user's id), when it happened, when it was recorded (`now`)."""

    request_key: UUID
    by: int | None
    happened_at: datetime
    now: datetime


@dataclass(frozen=True)
class Done:
    """What an operation answers: the sentence it says, and plain figures (JSON) for whoever asked."""

    said: str
    facts: dict[str, Any] = field(default_factory=dict)
    act_id: int | None = None
    again: bool = False


def act(name: str, *, undoes: str = "") -> Callable[[Callable[..., Done]], Callable[..., Done]]:
    """Make a function an act called `name` ("app.operation").

    The function is defined with a Tap and its own keyword arguments, and returns a Done. It is called with
    `request_key`, `now`, `by`, `happened_at` and those keywords; `happened_at` defaults to `now` and may not
    be later. With `undoes` naming a keyword that carries an act's id, the record points at the act it undoes,
    and a second undo is refused.

    The function made bears its name as `act_name`.
    Again: the same key and content answers the first Done with `again=True`.
    Raises: RequestKeyReused; StudioBusy when others held the database for too long; and whatever the
    operation refuses with.
    """

    def decorate(operation: Callable[..., Done]) -> Callable[..., Done]:
        @functools.wraps(operation)
        def once(
            *,
            request_key: UUID,
            now: datetime,
            by: int | None = None,
            happened_at: datetime | None = None,
            **content: Any,
        ) -> Done:
            digest = _digest(name, content)
            answered = _answered(request_key, name, digest)
            if answered:
                return answered
            tap = Tap(request_key, by, happened_at or now, now)
            if tap.happened_at > now:
                raise StudioError(
                    "That time has not come yet. Type a time up to now.", happened_at=tap.happened_at
                )
            try:
                with transaction.atomic():
                    done = operation(tap, **content)
                    record = Act.objects.create(
                        request_key=request_key,
                        name=name,
                        content_digest=digest,
                        said=done.said,
                        answer=done.facts,
                        by_id=by,
                        happened_at=tap.happened_at,
                        recorded_at=now,
                        undoes_id=content[undoes] if undoes else None,
                    )
            except (StudioError, IntegrityError) as fault:
                # Two taps at once: the other one may have been answered while this one ran.
                answered = _answered(request_key, name, digest)
                if answered:
                    return answered
                if undoes and Act.objects.filter(undoes_id=content[undoes]).exists():
                    raise NothingToUndo("This was undone before. Nothing was changed.") from fault
                raise
            except OperationalError as fault:
                if not _is_held_by_others(fault):
                    raise
                raise StudioBusy(
                    "Too much is going on at this moment, and nothing was kept. Tap again."
                ) from fault
            return replace(done, act_id=record.pk)

        once.act_name = name  # type: ignore[attr-defined]
        return once

    return decorate


def act_to_undo(act_id: int, *names: str) -> Act:
    """The act with this id, if it is one of `names` and still stands.

    Raises: NothingToUndo.
    """
    found = Act.objects.filter(pk=act_id, name__in=names).first()
    if found is None:
        raise NothingToUndo("There is nothing to undo here.", act_id=act_id)
    if Act.objects.filter(undoes=found).exists():
        raise NothingToUndo("This was undone before. Nothing was changed.", act_id=act_id)
    return found


def _is_held_by_others(fault: OperationalError) -> bool:
    """SQLite's wait for its one writer ran out; or PostgreSQL's for a row, or two waited for each other."""
    state = getattr(fault.__cause__, "sqlstate", None)
    return "database is locked" in str(fault) or state in (_LOCK_NOT_AVAILABLE, _DEADLOCK)


def _answered(request_key: UUID, name: str, digest: str) -> Done | None:
    """The first answer to this key; refuses other content under the same key."""
    first = Act.objects.filter(request_key=request_key).first()
    if first is None:
        return None
    if (first.name, first.content_digest) != (name, digest):
        raise RequestKeyReused(
            "This page was answered before with other entries. Open it again to go on.",
            first=first.name,
            now=name,
        )
    return Done(said=first.said, facts=first.answer, act_id=first.pk, again=True)


def _digest(name: str, content: dict[str, Any]) -> str:
    plain = json.dumps([name, content], sort_keys=True, default=_plain)
    return hashlib.sha256(plain.encode()).hexdigest()


def _plain(value: Any) -> Any:
    """Content as plain JSON: rows by their keys; functions passed in are not content."""
    if isinstance(value, models.Model):
        return [value._meta.label, value.pk]
    if callable(value):
        return None
    if isinstance(value, (set, frozenset)):
        return sorted(value)
    if hasattr(value, "__dataclass_fields__"):
        return {key: getattr(value, key) for key in value.__dataclass_fields__}
    return str(value)
