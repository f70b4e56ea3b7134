"""One-time sign-in links: made for a person, good for a quarter of an hour, used once.

Only a digest is kept, so that a copy of the database signs nobody in. None of these is an act with a
request key: the answer of an act is kept, and a secret must not be.
"""

from __future__ import annotations

import hashlib
import secrets
from datetime import datetime, timedelta

from django.contrib.auth.models import Group, User
from django.db import transaction

from inventory.roles import OWNER_GROUP
from shopfloor.studio.errors import LinkSpent
from shopfloor.studio.models import SignInLink

LINK_MINUTES = 15
SECRET_BYTES = 32
SPENT = "This link was used before, or a newer one was made. Ask for a new one."


def owner_of_studio() -> User:
    """Whoever runs the studio; made under the name "owner", without a password, where nobody does yet.

    Changes: on the first call a user and the owner group.
    """
    with transaction.atomic():
        group, _ = Group.objects.get_or_create(name=OWNER_GROUP)
        found = User.objects.filter(groups=group, is_active=True).order_by("id").first()
        if found is None:
            found = User.objects.create_user("owner")
            found.groups.add(group)
        return found


def first_link(*, now: datetime) -> str | None:
    """The secret of a new link for the owner while they have no password yet; None afterwards."""
    user = owner_of_studio()
    return None if user.has_usable_password() else make_link(user.pk, now=now)


def make_link(user_id: int, *, now: datetime) -> str:
    """The secret of a new link for this person. Links made for them before stop working.

    Changes: one row with the digest of the secret.
    """
    secret = secrets.token_urlsafe(SECRET_BYTES)
    with transaction.atomic():
        SignInLink.objects.filter(user_id=user_id, used_at__isnull=True).update(used_at=now)
        SignInLink.objects.create(secret_digest=_digest(secret), user_id=user_id, made_at=now)
    return secret


def use_link(secret: str, *, now: datetime) -> User:
    """The person a link signs in, once.

    The row is taken by one conditional update, so that of two taps at once only one gets in.
    Raises: LinkSpent.
    """
    link = SignInLink.objects.select_related("user").filter(
        secret_digest=_digest(secret), user__is_active=True
    )
    found = link.first()
    if found is None:
        raise LinkSpent(SPENT)
    # By the row alone: with the person beside it the update would look for the row first, and two find it.
    unused = SignInLink.objects.filter(pk=found.pk, used_at__isnull=True)
    if unused.filter(made_at__gt=now - timedelta(minutes=LINK_MINUTES)).update(used_at=now):
        return found.user
    if unused.exists():
        raise LinkSpent(
            f"This link was good for {LINK_MINUTES} minutes and has run out. Ask for a new one.",
            minutes=LINK_MINUTES,
        )
    raise LinkSpent(SPENT)


def _digest(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()
