"""What a view's answer does beside running the operation."""

from __future__ import annotations

import re

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from shopfloor.notices.models import Notice
from shopfloor.notices.operations import watch_notices
from shopfloor.studio.models import WeeklyHours
from shopfloor.studio.port import LiveStudio
from tests.factories.inventory import KG, a_filled_tub, a_material, a_post, held

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("studio_open")]


@pytest.fixture
def low(db):
    """A tub of 1 kg where 3 are to be kept, and the notice that says so."""
    tub = a_filled_tub(KG, a_material(name="Quick compound", safety_level=3 * KG), code="B4")
    watch_notices(LiveStudio(), now=timezone.now())
    assert "Quick compound: Order today." in Notice.objects.get(closed_at=None).text
    return tub


def deliver(client: Client, tub):
    return client.post(
        reverse("inventory:receive") + f"?material={tub.material_id}",
        a_post(amount="20", container=tub.pk, received_on="2026-10-05"),
        follow=True,
    )


def test_a_delivery_takes_its_notice_off_the_very_next_page(signed_in, low):
    assert "Quick compound: Order today." in signed_in.get(reverse("inventory:stores")).content.decode()

    deliver(signed_in, low)

    assert not Notice.objects.filter(closed_at=None).exists()
    assert "Order today" not in signed_in.get(reverse("inventory:stores")).content.decode()


def test_a_delivery_taken_back_brings_its_notice_again(signed_in, low):
    page = deliver(signed_in, low)
    undo = re.search(r'action="(/undo/[0-9]+/)"', page.content.decode())

    signed_in.post(undo[1], a_post())

    assert "Quick compound: Order today." in Notice.objects.get(closed_at=None).text


def test_a_lower_level_to_keep_takes_the_notice_away_too(signed_in, low):
    form = signed_in.get(reverse("inventory:material-change", args=[low.material_id])).context["form"]
    typed = {name: form[name].value() or "" for name in form.fields} | {"safety_level": "500 g"}

    signed_in.post(reverse("inventory:material-change", args=[low.material_id]), a_post(**typed))

    assert not Notice.objects.filter(closed_at=None).exists()


def test_where_nobody_is_ever_in_a_delivery_is_taken_in_all_the_same(signed_in, low):
    WeeklyHours.objects.all().delete()
    a_filled_tub(KG, a_material(name="Slow compound", safety_level=3 * KG))

    deliver(signed_in, low)

    assert held(low) == 21 * KG
    assert "Slow compound: Order today." in Notice.objects.get(closed_at=None).text
