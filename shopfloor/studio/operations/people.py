"""Who works in the studio."""

from __future__ import annotations

from django.contrib.auth.models import Group, User

from inventory.operations.acts import Done, Tap, act
from inventory.roles import OWNER_GROUP
from shopfloor.studio.errors import LastOwner, NameTaken, NoSuchEntry
from shopfloor.studio.models import SignInLink


@act("studio.add_person")
def add_person(tap: Tap, *, name: str, owner: bool) -> Done:
    """Let somebody in under `name`, as owner or as helper. They choose a password by a sign-in link.

    Changes: one user. Again: the same user.
    Raises: NameTaken.
    """
    if User.objects.filter(username__iexact=name).exists():
        raise NameTaken(f"{name} is here already. Choose another name.", field="name", name=name)
    person = User.objects.create_user(name)
    if owner:
        person.groups.add(Group.objects.get_or_create(name=OWNER_GROUP)[0])
    role = "owner" if owner else "helper"
    return Done(f"{name} is in as {role}. Hand over a sign-in link next.", {"user_id": person.pk})


@act("studio.close_sign_in")
def close_sign_in(tap: Tap, *, user_id: int) -> Done:
    """Keep a person out from now on; what they did stays under their name.

    Changes: the user, and links not used yet. Again: nothing more.
    Raises: NoSuchEntry, LastOwner.
    """
    person = _person(user_id)
    owners = User.objects.select_for_update().filter(groups__name=OWNER_GROUP, is_active=True)
    if {owner.pk for owner in owners} == {user_id}:
        raise LastOwner(f"{person.username} is the only owner. Add another owner first.", user_id=user_id)
    User.objects.filter(pk=user_id).update(is_active=False)
    SignInLink.objects.filter(user_id=user_id, used_at__isnull=True).update(used_at=tap.now)
    return Done(f"{person.username} can no longer sign in.")


@act("studio.open_sign_in")
def open_sign_in(tap: Tap, *, user_id: int) -> Done:
    """Let a person sign in again.

    Changes: the user. Again: nothing more.
    Raises: NoSuchEntry.
    """
    person = _person(user_id)
    User.objects.filter(pk=user_id).update(is_active=True)
    return Done(f"{person.username} can sign in again.")


@act("studio.note_way_in")
def note_way_in(tap: Tap, *, said: str) -> Done:
    """Put into the history that somebody opened or shut a way in; what it lets in by is not in it.

    Changes: nothing but the history. Again: the first answer.
    """
    return Done(said)


def _person(user_id: int) -> User:
    found = User.objects.filter(pk=user_id).first()
    if found is None:
        raise NoSuchEntry("There is nobody of that name here. Open the page again.", user_id=user_id)
    return found
