from __future__ import annotations

from datetime import UTC, datetime
from uuid import uuid4

import pytest
from django.contrib.auth.models import User

from inventory.roles import is_owner
from shopfloor.studio.errors import LastOwner, NameTaken, NoSuchEntry
from shopfloor.studio.operations.people import add_person, close_sign_in, open_sign_in
from shopfloor.studio.operations.signing_in import make_link

NOW = datetime(2026, 10, 5, 9, 0, tzinfo=UTC)


def tap() -> dict[str, object]:
    return {"request_key": uuid4(), "now": NOW}


def test_a_helper_is_let_in_without_a_password_and_is_no_owner(owner):
    done = add_person(name="wren", owner=False, by=owner.pk, **tap())

    wren = User.objects.get(pk=done.facts["user_id"])
    assert done.said == "wren is in as helper. Hand over a sign-in link next."
    assert not wren.has_usable_password()
    assert not is_owner(wren)


def test_a_name_is_given_once_whatever_its_capitals(owner):
    with pytest.raises(NameTaken) as refused:
        add_person(name="OWNER", owner=False, **tap())

    assert refused.value.message == "OWNER is here already. Choose another name."
    assert User.objects.count() == 1


def test_a_second_tap_adds_nobody(owner):
    same = tap()
    first = add_person(name="wren", owner=False, **same)
    again = add_person(name="wren", owner=False, **same)

    assert again.again
    assert again.facts == first.facts


def test_the_last_owner_cannot_be_kept_out(owner, helper_user):
    with pytest.raises(LastOwner, match="owner is the only owner. Add another owner first."):
        close_sign_in(user_id=owner.pk, **tap())

    owner.refresh_from_db()
    assert owner.is_active


def test_one_of_two_owners_can_be_kept_out_and_let_in_again(owner):
    other = add_person(name="wren", owner=True, **tap()).facts["user_id"]

    close_sign_in(user_id=other, **tap())
    assert not User.objects.get(pk=other).is_active
    open_sign_in(user_id=other, **tap())
    assert User.objects.get(pk=other).is_active


def test_keeping_a_person_out_ends_their_link(owner, helper_user):
    make_link(helper_user.pk, now=NOW)

    close_sign_in(user_id=helper_user.pk, **tap())

    assert not helper_user.__class__.objects.filter(pk=helper_user.pk, is_active=True).exists()


def test_nobody_by_that_number_is_said_so(owner):
    with pytest.raises(NoSuchEntry, match="There is nobody of that name here"):
        close_sign_in(user_id=999, **tap())
