"""Tubs made, changed and put away on the page."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from inventory.models import Container
from tests.factories.inventory import KG, a_filled_tub, a_material, a_post

pytestmark = pytest.mark.django_db


@pytest.fixture
def tubs(db):
    powder = a_material(name="Quick compound")
    bulk = a_filled_tub(13_720_000, powder, code="B4", tare_mg=1_180_000)
    working = a_filled_tub(5_310_000, powder, code="Q2", role="working", tare_mg=860_000, capacity=15 * KG)
    return bulk, working


def test_a_tub_is_added_changed_marked_and_retired(signed_in: Client):
    powder = a_material()
    signed_in.post(
        reverse("inventory:tub-make", args=[powder.pk]),
        a_post(role="working", code="q2", tare="0.86", capacity="15", stands_at="by the scale"),
    )
    tub = Container.objects.get()
    assert (tub.code, tub.stands_at) == ("Q2", "by the scale")

    taken = signed_in.post(
        reverse("inventory:tub-make", args=[powder.pk]),
        a_post(role="working", code="Q2", tare="1", capacity="15"),
    )
    assert "There is a tub Q2 already." in taken.content.decode()

    signed_in.post(
        reverse("inventory:tub-change", args=["Q2"]), a_post(tare_mg="0.9", capacity="15", stands_at="")
    )
    signed_in.post(reverse("inventory:tub-lumps", args=["Q2"]), a_post(lumpy="yes"))
    tub.refresh_from_db()
    assert (tub.tare_mg, tub.is_lumpy) == (900_000, True)
    signed_in.post(reverse("inventory:tub-lumps", args=["Q2"]), a_post())
    signed_in.post(reverse("inventory:tub-retire", args=["Q2"]), a_post())
    tub.refresh_from_db()
    assert (tub.is_lumpy, tub.retired_on is not None) == (False, True)


def test_a_tub_with_powder_is_not_retired_and_says_why(signed_in: Client, tubs):
    answer = signed_in.post(reverse("inventory:tub-retire", args=["Q2"]), a_post(), follow=True)

    assert "Q2 still holds 5.31 kg." in answer.content.decode()


def test_a_helper_cannot_retire_a_tub(signed_in_helper: Client, tubs):
    assert signed_in_helper.post(reverse("inventory:tub-retire", args=["Q2"]), a_post()).status_code == 403


def test_what_changes_something_is_never_done_by_following_a_link(signed_in: Client, tubs):
    assert signed_in.get(reverse("inventory:tub-retire", args=["Q2"])).status_code == 405
    assert signed_in.get(reverse("inventory:tub-lumps", args=["Q2"])).status_code == 405
