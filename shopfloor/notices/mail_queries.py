"""How the e-mail stands, of one person and of all."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.db.models import Exists, OuterRef, Q, QuerySet
from django.urls import reverse

from inventory.conditions import Condition
from shopfloor.notices.models import Letter, MailWish, Notice

SHOWN = 10
# A server that is away for a moment is no news.
TRIES_TOLD_FROM = 3


def mail_wish(user_id: int) -> MailWish:
    """What this person wants by e-mail, with the defaults where it was never kept. One query."""
    return MailWish.objects.filter(user=user_id).first() or MailWish(user_id=user_id)


def letters_of(user_id: int) -> list[Letter]:
    """The last letters to this person, newest first. One query."""
    return list(Letter.objects.filter(person=user_id)[:SHOWN])


def letters_failing() -> QuerySet[Letter]:
    """Letters that do not get through, as long as no later one to the same person did. One query."""
    later = Letter.objects.filter(
        person=OuterRef("person"), state=Letter.State.SENT, ended_at__gt=OuterRef("made_at")
    )
    tried = Q(state__in=Letter.OPEN, attempts__gte=TRIES_TOLD_FROM)
    return (
        Letter.objects.filter(Q(state__in=(Letter.State.FAILED, Letter.State.DOUBT)) | tried)
        .filter(~Exists(later), person__is_active=True)
        .select_related("person")
    )


def mail_failing() -> list[Condition]:
    """A condition for each person whose e-mail does not get through, until one does. One query."""
    newest = {letter.person_id: letter for letter in reversed(letters_failing())}
    return [
        Condition(
            cause=f"mail {person_id}",
            kind=Notice.Kind.MAIL,
            text=f"E-mail to {letter.person.get_username()} does not get through. {letter.fault}",
            link=f"{reverse('mail')}#failing",
        )
        for person_id, letter in newest.items()
    ]


def mail_stands() -> dict[str, Any]:
    """For `doctor`: how many get e-mail, and the newest letter that does not get through. Two queries."""
    return {
        "people": MailWish.objects.filter(confirmed_at__isnull=False).count(),
        "failing": letters_failing().first(),
        "is_set": settings.EMAIL_IS_SET,
    }
