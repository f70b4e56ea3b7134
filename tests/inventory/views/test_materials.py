"""Materials on the page."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from inventory.models import Material
from tests.factories.inventory import KG, a_material, a_post

pytestmark = pytest.mark.django_db


def test_a_material_is_added_and_changed(signed_in: Client):
    fields = {
        "name": "Quick compound",
        "kind": "powder",
        "unit": "g",
        "slack_days": "1",
        "safety_level": "3 kg",
    }

    added = signed_in.post(reverse("inventory:material-new"), a_post(**fields), follow=True)
    material = Material.objects.get()
    assert "Quick compound added." in added.content.decode()

    changed = signed_in.post(
        reverse("inventory:material-change", args=[material.pk]),
        a_post(**fields | {"safety_level": "4 kg"}),
        follow=True,
    )
    material.refresh_from_db()
    assert "Quick compound changed." in changed.content.decode()
    assert material.safety_level == 4 * KG

    refused = signed_in.post(reverse("inventory:material-new"), a_post(**fields))
    assert refused.status_code == 422
    assert Material.objects.count() == 1


def test_a_helper_cannot_change_a_material(signed_in_helper: Client):
    address = reverse("inventory:material-change", args=[a_material().pk])

    assert signed_in_helper.post(address, a_post(name="x")).status_code == 403
