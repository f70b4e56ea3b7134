from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from django.contrib.auth.models import User

from inventory.roles import is_owner
from shopfloor.studio.errors import LinkSpent
from shopfloor.studio.models import SignInLink
from shopfloor.studio.operations.signing_in import first_link, make_link, owner_of_studio, use_link
from tests.services.at_once import at_once

NOW = datetime(2026, 10, 5, 9, 0, tzinfo=UTC)


def test_a_new_studio_gets_an_owner_and_a_link_that_signs_them_in(db):
    secret = first_link(now=NOW)

    person = use_link(secret, now=NOW + timedelta(minutes=14))

    assert person.username == "owner"
    assert is_owner(person)


def test_an_owner_with_a_password_gets_no_link_unasked(owner):
    assert first_link(now=NOW) is None


def test_the_owner_is_made_once(db):
    assert owner_of_studio().pk == owner_of_studio().pk
    assert User.objects.count() == 1


def test_only_a_digest_of_the_secret_is_kept(owner):
    secret = make_link(owner.pk, now=NOW)

    kept = SignInLink.objects.get()
    assert len(secret) >= 43
    assert secret not in str(kept.__dict__)


def test_a_link_works_once(owner):
    secret = make_link(owner.pk, now=NOW)
    use_link(secret, now=NOW)

    with pytest.raises(LinkSpent, match="used before, or a newer one was made. Ask for a new one."):
        use_link(secret, now=NOW)


def test_a_link_runs_out_after_a_quarter_of_an_hour(owner):
    secret = make_link(owner.pk, now=NOW)

    with pytest.raises(LinkSpent) as refused:
        use_link(secret, now=NOW + timedelta(minutes=15))

    assert refused.value.message == "This link was good for 15 minutes and has run out. Ask for a new one."
    assert refused.value.facts == {"minutes": 15}
    assert SignInLink.objects.get().used_at is None


def test_a_newer_link_ends_the_older_one(owner):
    older = make_link(owner.pk, now=NOW)
    newer = make_link(owner.pk, now=NOW)

    with pytest.raises(LinkSpent):
        use_link(older, now=NOW)
    assert use_link(newer, now=NOW) == owner


def test_a_link_that_never_was_lets_nobody_in(db):
    with pytest.raises(LinkSpent):
        use_link("made-up", now=NOW)


def test_a_person_kept_out_is_not_let_in_by_a_link(owner):
    secret = make_link(owner.pk, now=NOW)
    User.objects.filter(pk=owner.pk).update(is_active=False)

    with pytest.raises(LinkSpent):
        use_link(secret, now=NOW)


def test_of_two_taps_at_once_one_gets_in(transactional_db):
    secret = first_link(now=NOW)

    answers = at_once(*[lambda: use_link(secret, now=NOW)] * 4)

    assert sum(isinstance(answer, User) for answer in answers) == 1
    assert sum(isinstance(answer, LinkSpent) for answer in answers) == 3
